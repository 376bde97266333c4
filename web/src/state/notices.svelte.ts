/** Short messages over the page: what was done, or what failed and how to fix it. */
import { ApiError } from '../api/client';

export interface Notice {
  id: number;
  kind: 'done' | 'refused' | 'waiting';
  text: string;
  more: string[];
}

/** How long a success message stays, ms; an error stays until dismissed. */
const STAYS_MS = 4000;

class Notices {
  list = $state<Notice[]>([]);
  private next = 1;

  done(text: string): void {
    const id = this.add('done', text, []);
    setTimeout(() => this.close(id), STAYS_MS);
  }

  /** Shows an error; a cancelled request is not one. */
  refused(error: unknown): void {
    if (error instanceof DOMException && error.name === 'AbortError') return;
    if (error instanceof ApiError) {
      const { message, expected, hint, problems, id } = error.refusal;
      const more = [expected, hint, id && `(${id})`, ...(problems ?? []).map((p) => `${p.line ? `${p.line}: ` : ''}${p.message}`)];
      this.add('refused', message, more.filter((m): m is string => !!m).slice(0, 5));
    } else {
      this.add('refused', error instanceof Error ? error.message : String(error), []);
    }
  }

  /** Says that the server cannot be reached; stays until it is. */
  waiting(text: string): void {
    if (!this.list.some((n) => n.kind === 'waiting')) this.add('waiting', text, []);
  }

  /** The server is back. */
  reached(): void {
    this.list = this.list.filter((n) => n.kind !== 'waiting');
  }

  close(id: number): void {
    this.list = this.list.filter((n) => n.id !== id);
  }

  private add(kind: Notice['kind'], text: string, more: string[]): number {
    const id = this.next++;
    this.list = [...this.list.filter((n) => n.text !== text), { id, kind, text, more }].slice(-3);
    return id;
  }
}

export const notices = new Notices();
