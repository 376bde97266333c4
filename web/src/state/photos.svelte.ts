/** The photos of the open job's survey: on their way to the server, looked through and adjusted there, and the plates in them named. */
import * as api from '../api/calls';
import { ApiError, events } from '../api/client';
import type { Edit, ErrorBody, PhotoProgress, PhotosView, Started, SurveyAdjusted, SurveyView } from '../api/schema';
import type { Json, Path } from '../api/types';
import { t } from '../texts/en';
import { rowsOf, valueAt } from './document';
import type { EditedJob } from './change';
import type { Editable } from './editable';
import { notices } from './notices.svelte';
import { Work } from './work.svelte';

/** A photo on its way. */
export interface Upload {
  name: string;
  /** Part that was sent, 0 to 1. */
  share: number;
  /** Why it was refused. */
  refused: string | null;
}

/** Side of the black square of the job's own sheets, mm. */
const SIDE = 40;
/** Numbers of the family's markers. */
export const LAST_TAG = 586;

/** The survey as its photos see it. */
export interface SurveyAccess extends Editable {
  view: SurveyView | null;
  /** Asks the server for it again. */
  load(): Promise<void>;
}

export class PhotoSurvey extends Work {
  uploads = $state<Upload[]>([]);
  looked = $state.raw<PhotoProgress | null>(null);
  /** Whether the job changed while its photos were adjusted. */
  private overtaken = false;

  constructor(
    private readonly of: EditedJob,
    private readonly survey: SurveyAccess,
  ) {
    super(of);
  }

  get view(): PhotosView | null {
    return this.survey.view?.photos ?? null;
  }

  /** Whether survey.toml says how the markers are printed. */
  get isSetUp(): boolean {
    return valueAt(this.survey.document, ['photos']) !== undefined;
  }

  /** Sends photos one after the other; one that is refused does not hold up the others. */
  async take(files: File[]): Promise<void> {
    this.uploads = this.uploads.filter((u) => u.refused === null && u.share < 1);
    const taken = (this.view?.photos ?? []).map((p) => p.name);
    const mine = files.map((file) => {
      const name = freeName(file.name, taken);
      taken.push(name);
      this.uploads.push({ name, share: 0, refused: null });
      return { file, upload: this.uploads[this.uploads.length - 1]! };
    });
    for (const { file, upload } of mine) await this.send(file, upload);
    await this.survey.load();
  }

  private async send(file: File, upload: Upload): Promise<void> {
    await this.of.write(t.photos.added(upload.name), async (id, version) => {
      try {
        const job = await api.putPhoto(id, upload.name, version, file, (share) => (upload.share = share));
        upload.share = 1;
        return job;
      } catch (error) {
        if (!(error instanceof ApiError) || ![413, 422].includes(error.status)) throw error;
        const { message, hint } = error.refusal;
        upload.refused = [message, hint].filter(Boolean).join('. ');
        return api.getJob(id);
      }
    });
  }

  remove(name: string): Promise<boolean> {
    return this.of.write(t.photos.removed(name), (id, version) => api.deletePhoto(id, name, version));
  }

  /** Says how the markers are printed: as on the job's own sheets, with their names. */
  async setUp(): Promise<void> {
    const { document, view } = this.survey;
    const printed = view?.printed ?? [];
    const inUnit = (mm: number) => (this.survey.units === 'in' ? Number((mm / 25.4).toFixed(4)) : mm);
    const edits: Edit[] = [{ op: 'set', path: ['photos'], value: { files: ['*.jpg', '*.jpeg', '*.png'], side: inUnit(SIDE) } }];
    const known = rowsOf(document, ['marker']).length;
    if (known === 0) {
      printed.forEach((plate, i) => {
        const side = plate.side_mm === SIDE ? {} : { side: inUnit(plate.side_mm) };
        edits.push({ op: 'insert', path: ['marker', i], value: { tag: plate.tag, name: plate.name, ...side } });
      });
      const ports = printed.map((p) => p.name).filter((name) => /^port /.test(name));
      if (ports.length > 1 && valueAt(document, ['frame']) === undefined) {
        edits.push({ op: 'set', path: ['frame'], value: { origin: ports[0]!, forward: [ports[ports.length - 1]!, ports[0]!], left: { mean_normal: ports } } });
      }
    }
    await this.survey.edit(t.photos.setUp, edits);
  }

  /** Names the point under a marker; none takes the marker out. */
  async name(tag: number, name: string): Promise<void> {
    const tables = rowsOf(this.survey.document, ['marker']);
    const at = tables.findIndex((m) => m.tag === tag || (Array.isArray(m.tag) && m.tag.includes(tag)));
    const table: Path = ['marker', at < 0 ? tables.length : at];
    const tags = tables[at]?.tag;
    const edits: Edit[] = [];
    if (at < 0) {
      if (name) edits.push({ op: 'insert', path: table, value: { tag, name } });
    } else if (Array.isArray(tags) && tags.length > 1) {
      const place = tags.indexOf(tag);
      if (name) edits.push({ op: 'set', path: [...table, 'name', place], value: name });
      else edits.push({ op: 'remove', path: [...table, 'name', place] }, { op: 'remove', path: [...table, 'tag', place] });
    } else if (name) edits.push({ op: 'set', path: [...table, 'name'], value: name });
    else edits.push({ op: 'remove', path: table });
    if (edits.length > 0) await this.survey.edit(t.photos.named(tag), edits);
  }

  /** The bar: two markers of one print and their distance as measured, in the file's unit. */
  bar(between: [number, number], measured: Json): Promise<boolean> {
    return this.survey.edit(t.photos.bar, [{ op: 'set', path: ['photos', 'bar'], value: { between, measured } }]);
  }

  /** Has the photos looked through and adjusted, unless that is done or under way. */
  async adjust(): Promise<void> {
    if (this.running) {
      this.overtaken = true;
      return;
    }
    this.begin();
    this.looked = null;
    this.overtaken = false;
    try {
      for await (const { name, data } of events(await api.adjustSurvey(this.of.job.id))) {
        if (name === 'begun') this.id = (data as Started).search;
        if (name === 'better') this.looked = data as PhotoProgress;
        if (name === 'failed') notices.refused(new ApiError(500, (data as ErrorBody).error));
        if (name === 'done') this.survey.view = (data as SurveyAdjusted).survey;
      }
    } catch (error) {
      notices.refused(error);
    } finally {
      this.end();
    }
    if (this.overtaken) await this.survey.load();
  }
}

/** A name that the server takes and no other photo has; phones call every photo of their camera the same. */
export function freeName(name: string, taken: string[]): string {
  const [, stem = '', ending = ''] = /^(.*?)(\.[A-Za-z0-9]*)?$/.exec(name) ?? [];
  const plain = stem.replace(/[^A-Za-z0-9_-]+/g, '-').replace(/^-+/, '').slice(0, 36) || 'photo';
  const end = ending.toLowerCase();
  let free = `${plain}${end}`;
  for (let n = 2; taken.includes(free); n++) free = `${plain}-${n}${end}`;
  return free;
}
