/** What a form needs of a document: its tree, and a way to edit it by place. */
import type { Edit, ProblemView, UnitsCode } from '../api/schema';
import type { Json } from '../api/types';

export interface Editable {
  /** The document as a tree; null when it is not there or not TOML. */
  readonly document: Json;
  /** Unit of its bare lengths. */
  readonly units: UnitsCode;
  /** Edits that the server has not confirmed yet. */
  readonly pending: Edit[];
  readonly problems: ProblemView[];
  /** Makes edits as one change. True when it was saved. */
  edit(label: string, edits: Edit[]): Promise<boolean>;
}
