/** From a problem to the field or the line where it is fixed. */
import { tick } from 'svelte';
import type { ProblemView } from '../api/schema';
import { stepOf } from '../jobs/needs';
import { here } from './here.svelte';
import type { OpenJob } from './job.svelte';

/** How long a step may take to show its fields, frames. */
const FRAMES = 30;

/** The element of a path, or of the nearest table around it. */
function fieldOf(path: readonly (string | number)[]): HTMLElement | null {
  for (let length = path.length; length > 0; length--) {
    const found = document.querySelector<HTMLElement>(`#work [data-path="${CSS.escape(path.slice(0, length).join('/'))}"]`);
    if (found) return found;
  }
  return null;
}

/** Shows the field of a problem; where no form has it, its line in the text view. */
export async function jumpTo(open: OpenJob, problem: ProblemView): Promise<void> {
  const path = problem.path ?? [];
  if (open.document !== null && path.length > 0) {
    open.text = null;
    here.go({ page: 'job', id: open.job.id, step: stepOf(path) });
    for (let i = 0; i < FRAMES; i++) {
      await tick();
      await new Promise(requestAnimationFrame);
      const field = fieldOf(path);
      if (!field) continue;
      for (let at = field.parentElement; at; at = at.parentElement) if (at instanceof HTMLDetailsElement) at.open = true;
      if (field instanceof HTMLDetailsElement) field.open = true;
      field.scrollIntoView({ block: 'center' });
      (field instanceof HTMLDetailsElement ? field.querySelector('summary') : field)?.focus();
      return;
    }
  }
  open.text = { file: problem.file || 'job.toml', line: problem.line ?? 1 };
}
