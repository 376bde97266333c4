/** Parts on the tubes: put on at a place, and tried at another one while they are dragged. */
import * as api from '../api/calls';
import type { Edit, PartKind, PartTrial, RunView } from '../api/schema';
import type { Json } from '../api/types';
import { inFile } from '../format/length';
import { t } from '../texts/en';
import { bendAt } from '../view3d/line';
import type { Gripped } from '../view3d/grips';
import type { Spot } from '../view3d/runs';
import { lengthOf, rowsOf } from './document';
import type { EditedJob } from './change';
import { notices } from './notices.svelte';

export type PartName = PartKind | 'shield';
export const PARTS: PartName[] = ['bracket', 'slip', 'bung', 'joint', 'shield'];

/** Length of a straight that a new part takes, mm: overlap of a slip joint, width of a clamp. */
const TAKES: Partial<Record<PartName, number>> = { slip: 40, joint: 20 };

/** The place of a new part nearest to a spot: whole in its straight; null where it cannot be. */
export function placeFor(kind: PartName, run: RunView, at: number): number | null {
  const takes = TAKES[kind];
  if (takes === undefined) return at;
  if (bendAt(run, at) !== null) return null;
  const straight = run.elements.find((e) => e.kind !== 'bend' && at >= e.from_mm && at <= e.to_mm);
  if (!straight || straight.to_mm - straight.from_mm < takes + 2) return null;
  return Math.min(Math.max(at - takes / 2, straight.from_mm + 1), straight.to_mm - takes - 1);
}

/** Puts a part on a run at a spot. */
export function addPart(open: EditedJob, kind: PartName, spot: Spot): Promise<boolean> {
  const run = open.job.routes?.runs.find((r) => r.run === spot.run);
  const at = run && placeFor(kind, run, spot.at);
  if (!run || at == null) return Promise.resolve(false);
  const mm = (length: number) => inFile(length, open.units, 2);
  const more: Record<PartName, Record<string, Json>> = {
    bracket: { at: mm(at), kind: 'tab' },
    slip: { at: mm(at), overlap: mm(TAKES.slip!) },
    bung: { at: mm(at), clock: roundClock(spot.clock ?? 0), length: mm(70) },
    joint: { at: mm(at), kind: 'v_band' },
    shield: { obstacle: run.nearest_keepout ?? '' },
  };
  const value: Record<string, Json> = { run: run.run, ...more[kind] };
  return open.edit(t.strength.add[kind], [{ op: 'insert', path: [kind, rowsOf(open.document, [kind]).length], value }]);
}

const roundClock = (degrees: number) => Math.round(degrees / 5) * 5 + 0;

/** A part that is being dragged, and what the header does with it there. */
export class PartDrag {
  /** Where it is held; null when none is. */
  held = $state.raw<{ key: string; at: number; clock: number } | null>(null);
  /** The header with it there; of a place before while it is worked out. */
  found = $state.raw<PartTrial | null>(null);
  refusal = $state<string | null>(null);
  private pending: Promise<void> | null = null;
  private asked: { kind: PartKind; index: number; at_mm: number } | null = null;

  constructor(private readonly open: EditedJob) {}

  /** The parts of the job that stand on runs, where they are held. */
  get parts(): Gripped[] {
    const { open, held } = this;
    const kinds: PartKind[] = ['bracket', 'slip', 'bung', 'joint'];
    return kinds.flatMap((kind) => rowsOf(open.document, [kind]).flatMap((row, i): Gripped[] => {
      if (row.run === undefined) return [];
      const key = `${t.strength.part[kind]} ${i + 1}`;
      const clock = typeof row.clock === 'number' ? row.clock : 0;
      const at = lengthOf(row.at, open.units);
      return Number.isFinite(at) ? [{ key, run: String(row.run), at, clock, ...(held?.key === key ? { at: held.at, clock: held.clock } : {}) }] : [];
    }));
  }

  private partOf(key: string): { kind: PartKind; index: number } | null {
    const kinds: PartKind[] = ['bracket', 'slip', 'bung', 'joint'];
    const kind = kinds.find((k) => key.startsWith(`${t.strength.part[k]} `));
    return kind ? { kind, index: Number(key.slice(t.strength.part[kind].length)) - 1 } : null;
  }

  /** Holds a part at a place and asks what the header then does: one question at a time, the newest place next. */
  drag(key: string, to: Required<Spot>): void {
    const part = this.partOf(key);
    if (!part) return;
    const at = Math.round(to.at);
    this.held = { key, at, clock: part.kind === 'bung' ? roundClock(to.clock) : 0 };
    this.asked = { ...part, at_mm: at };
    this.pending ??= this.run();
  }

  private async run(): Promise<void> {
    while (this.asked) {
      const { asked } = this;
      this.asked = null;
      try {
        this.found = await api.strengthPart(this.open.job.id, asked);
        this.refusal = null;
      } catch (error) {
        this.refusal = error instanceof Error ? error.message : String(error);
      }
    }
    this.pending = null;
  }

  /** Saves where it is held. */
  async drop(key: string): Promise<void> {
    await this.pending;
    const { held } = this;
    const part = this.partOf(key);
    if (held && part && !this.refusal) {
      const path = [part.kind, part.index];
      const edits: Edit[] = [{ op: 'set', path: [...path, 'at'], value: inFile(held.at, this.open.units, 2) }];
      if (part.kind === 'bung') edits.push({ op: 'set', path: [...path, 'clock'], value: held.clock });
      await this.open.edit(t.strength.movedPart(key), edits);
    } else if (this.refusal) notices.refused(new Error(this.refusal));
    this.held = null;
    this.found = null;
    this.refusal = null;
  }
}
