/** The survey of the open job: survey.toml, what its readings come to, and readings that are on their way. */
import * as api from '../api/calls';
import { ApiError } from '../api/client';
import type { Edit, ProblemView, ReadingView, SurveyView, ToolCode, UnitsCode, WrittenValue } from '../api/schema';
import type { Json, Path } from '../api/types';
import { t } from '../texts/en';
import { Beside } from './beside.svelte';
import { rowsOf, valueAt } from './document';
import type { EditedJob } from './change';
import { notices } from './notices.svelte';
import { PhotoSurvey } from './photos.svelte';

export const SURVEY_FILE = 'survey.toml';

/** A reading that was typed: the row for its tool. */
interface TypedReading {
  id: number;
  tool: ToolCode;
  row: Json[];
}

/** A row of survey.toml. */
export interface SurveyRow {
  tool: ToolCode;
  path: Path;
  cells: Json[];
  /** What the others say of it; several of a straight-edge over several points, none before the server has answered. */
  said: ReadingView[];
}

export const TOOLS: ToolCode[] = ['tape', 'rule', 'calipers', 'rod', 'outside', 'inside', 'height', 'incline', 'flush', 'row'];

export class Survey extends Beside {
  view = $state.raw<SurveyView | null>(null);
  private turn = 0;
  /** Typed readings that are not saved yet; they survive a reload of the page. */
  waiting = $state.raw<TypedReading[]>([]);

  /** Its photos. */
  readonly photos: PhotoSurvey;

  constructor(open: EditedJob) {
    super(open, SURVEY_FILE);
    this.photos = new PhotoSurvey(open, this);
    this.waiting = this.kept();
    for (const reading of this.waiting) void this.send(reading);
  }

  get document(): Json {
    return (this.view?.document ?? null) as Json;
  }

  get units(): UnitsCode {
    return this.view?.units ?? this.open.units;
  }

  get problems(): ProblemView[] {
    return this.view?.problems ?? [];
  }

  /** All readings in the order of the tools. */
  get rows(): SurveyRow[] {
    const said = (this.view?.answer?.readings ?? []).map((reading) => ({ reading, at: reading.path.join('/') }));
    return TOOLS.flatMap((tool) => {
      const rows = valueAt(this.document, ['measured', tool]);
      if (!Array.isArray(rows)) return [];
      return rows.filter(Array.isArray).map((cells, i) => {
        const path: Path = ['measured', tool, i];
        return { tool, path, cells, said: said.filter((r) => r.at === path.join('/')).map((r) => r.reading) };
      });
    });
  }

  /** Names of all points, as they first appear. */
  get names(): string[] {
    const names: string[] = [];
    const take = (value: Json | undefined): void => {
      if (typeof value === 'string' && value.trim() !== '' && !names.includes(value.trim())) names.push(value.trim());
      else if (Array.isArray(value)) value.forEach(take);
    };
    const isLength = (tool: ToolCode) => tool !== 'flush' && tool !== 'row';
    for (const { tool, cells } of this.rows) take(isLength(tool) ? cells.slice(0, 2) : cells);
    for (const marker of rowsOf(this.document, ['marker'])) take(marker.name);
    for (const key of ['origin', 'forward', 'down', 'up', 'left', 'right']) take(valueAt(this.document, ['frame', key]));
    for (const reading of this.waiting) take(isLength(reading.tool) ? reading.row.slice(0, 2) : reading.row);
    return names;
  }

  /** Reads it again; of several answers on their way only the last counts. */
  async load(): Promise<void> {
    const turn = ++this.turn;
    try {
      const view = await api.getSurvey(this.open.job.id);
      if (turn !== this.turn) return;
      this.view = view;
      if (this.view.photos?.pending) void this.photos.adjust();
    } catch (error) {
      notices.refused(error);
    }
  }

  /** Adds a reading; it is kept in this browser until the server has it. */
  add(tool: ToolCode, row: Json[]): void {
    const reading = { id: Date.now() + Math.random(), tool, row };
    this.keep([...this.waiting, reading]);
    void this.send(reading);
  }

  private async send(reading: TypedReading): Promise<void> {
    const label = t.survey.added(reading.tool);
    await this.open.write(label, async (id, version) => {
      const edit: Edit = { op: 'insert', path: ['measured', reading.tool, await this.length(id, reading.tool)], value: reading.row };
      const job = await api.editDocument(id, SURVEY_FILE, version, label, [edit]);
      this.keep(this.waiting.filter((r) => r.id !== reading.id));
      return job;
    });
  }

  /** Readings of a tool that the server has. */
  private async length(id: string, tool: ToolCode): Promise<number> {
    try {
      const { tree } = await api.getDocument(id, SURVEY_FILE);
      return rowsOf((tree ?? null) as Json, ['measured', tool]).length;
    } catch (error) {
      if (error instanceof ApiError && error.status === 404) return 0;
      throw error;
    }
  }

  /** Writes the places of the survey into job.toml; what changed, and what was left as typed. */
  async writePlaces(overwrite: boolean): Promise<WrittenValue[] | null> {
    let changes: WrittenValue[] | null = null;
    await this.open.write(t.survey.written, async (id, version) => {
      const written = await api.writeSurvey(id, version, overwrite);
      changes = written.changes;
      return written.job;
    });
    return changes;
  }

  private get key(): string {
    return `tubewright.survey.${this.open.job.id}`;
  }

  private kept(): TypedReading[] {
    try {
      return JSON.parse(window.localStorage.getItem(this.key) ?? '[]') as TypedReading[];
    } catch {
      return []; // No storage, or not ours.
    }
  }

  private keep(waiting: TypedReading[]): void {
    this.waiting = waiting;
    try {
      if (waiting.length > 0) window.localStorage.setItem(this.key, JSON.stringify(waiting));
      else window.localStorage.removeItem(this.key);
    } catch {
      // A browser without storage: the reading is still sent.
    }
  }
}
