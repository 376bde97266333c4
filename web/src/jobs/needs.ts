/** Number of items that need attention, by step. */
import type { JobView } from '../api/schema';
import type { StepName } from '../state/place';

/** Tables of job.toml edited under Size; the others are under Measure. */
const SIZED = new Set<unknown>(['engine', 'tube', 'length', 'clearance', 'secondary']);
const BOUGHT = new Set<unknown>(['stock', 'saw', 'cost']);

/** The step in which a place of job.toml is edited. */
export function stepOf(path: readonly (string | number)[]): StepName {
  return SIZED.has(path[0]) || BOUGHT.has(path[0]) ? 'size' : 'measure';
}

export function needsOf(job: JobView): Record<StepName, number> {
  const problems = job.problems.filter((p) => p.severity === 'error');
  const sized = problems.filter((p) => SIZED.has(p.path?.[0])).length;
  const bought = problems.filter((p) => BOUGHT.has(p.path?.[0])).length;
  return {
    measure: problems.length - sized - bought,
    size: sized,
    route: job.routes?.unmet.length ?? 0,
    strength: 0,
    cut: bought + (job.plan_stale && job.plan ? 1 : 0),
    price: 0,
    papers: 0,
    fit: 0,
  };
}
