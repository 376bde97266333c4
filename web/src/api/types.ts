/** What the server says and takes. Lengths are mm, angles degrees, money units of the currency. */
import type { QuoteSummary } from './money';

export type * from './money';

export type Xyz = [number, number, number];
export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
export type Step = string | number;
export type Path = Step[];
export type Units = 'mm' | 'in';

export interface Shop {
  name: string;
  units: Units;
  needs_password: boolean;
  signed_in: boolean;
  limits: { body_mb: number; mesh_mb: number; triangles: number };
}

export interface JobCard {
  id: string;
  name: string;
  state: 'measured' | 'routed' | 'cut' | 'not met' | 'broken';
  met: boolean;
  unmet_count: number;
  total: number | null;
  currency: string | null;
  runs: number;
  units: Units;
  updated: number;
  version: number;
  archived: boolean;
}

export interface Example {
  name: string;
  title: string;
  about: string;
}

export interface Starter {
  layout: string;
  cylinders: number;
  units: Units;
  bore_spacing: number;
  name: string;
}

export interface Problem {
  severity: string;
  code: string;
  message: string;
  file?: string | null;
  line?: number | null;
  column?: number | null;
  expected: string;
  about: string;
  hints: string[];
  path?: Path | null;
}

export interface Port {
  cylinder: number;
  at: Xyz;
  axis: Xyz;
  stub: number;
  od: number;
}

export interface Collector {
  name: string;
  at: Xyz;
  axis: Xyz;
  up: Xyz;
  od: number;
  inlets: { number: number; at: Xyz }[];
  stub: number;
}

export type Shape =
  | { kind: 'box'; center: Xyz; size: Xyz; axes?: Xyz[] | null }
  | { kind: 'cylinder' | 'capsule'; from: Xyz; to: Xyz; radius: number }
  | { kind: 'sphere'; center: Xyz; radius: number }
  | { kind: 'mesh'; file: string; triangles: number; bounds: { min: Xyz; max: Xyz } };

export interface KeepOut {
  name: string;
  shape: Shape;
  clearance: number;
  gap?: number | null;
  short?: number | null;
  holds_ports: boolean;
}

export interface ToolWay {
  name: string;
  from: Xyz;
  to: Xyz;
  radius: number;
}

export interface Bay {
  ports: Port[];
  collectors: Collector[];
  keepouts: KeepOut[];
  tools: ToolWay[];
  bounds: { min: Xyz; max: Xyz };
}

export interface Element {
  kind: 'straight' | 'bend';
  from_mm: number;
  to_mm: number;
  angle_deg?: number | null;
  clr?: number | null;
  roll_deg?: number | null;
}

export interface Line {
  at_mm: number[];
  xyz: Xyz[];
  gap_mm?: number[];
}

export interface Run {
  run: string;
  number: number;
  cylinder?: number | null;
  collector: string;
  inlet: number | null;
  od: number;
  locked: boolean;
  points: Xyz[];
  radii: number[];
  length_mm: number;
  bends: number;
  turn_deg: number;
  joints?: number | null;
  gap_to_tubes_mm: number | null;
  nearest_tube: string | null;
  gap_to_tubes_at_mm?: number | null;
  gap_to_keepouts_mm: number | null;
  nearest_keepout: string | null;
  gap_to_keepouts_at_mm?: number | null;
  line: Line;
  elements: Element[];
  kind: 'primary' | 'secondary' | 'tail';
  tuned_length_mm: number;
  target_mm: number | null;
  tolerance_mm: number | null;
}

export interface Unmet {
  requirement: string;
  run: string | null;
  by: number;
  message: string;
  at_mm?: number | null;
  at?: Xyz | null;
}

export interface Routes {
  met: boolean;
  unmet: Unmet[];
  length_spread_mm: number | null;
  target_mm: number | null;
  tolerance_mm: number | null;
  runs: Run[];
}

export interface RunEntry {
  run: string;
  points: Xyz[];
  radii: number[];
  locked: boolean;
}

export type RouteEdit =
  | { kind: 'move_point'; run: string; index: number; to: Xyz }
  | { kind: 'set_clr'; run: string; index: number; clr: number }
  | { kind: 'roll'; run: string; index: number; deg: number }
  | { kind: 'insert_bend'; run: string; after: number; clr: number }
  | { kind: 'remove_bend'; run: string; index: number }
  | { kind: 'pull_to_length'; run: string; length_mm: number };

export interface Stretch {
  at: [number, number];
  becomes: string;
  mark?: string | null;
}

export interface SawCut {
  id: string;
  number: number;
  at_mm: number;
  kerf_mm: [number, number];
  on: string;
  from_mm?: number | null;
  angle_deg?: number | null;
  outside_mm?: number | null;
  inside_mm?: number | null;
  kerf_after: boolean;
  held_mm: number;
  hold_start: boolean;
}

export type ItemShape =
  | { kind: 'bend'; clr: number; angle_deg: number; legs: [number, number]; length: number }
  | { kind: 'straight'; length: number };

export interface Item {
  id: string;
  name: string;
  from_shelf: boolean;
  od: number;
  shape: ItemShape;
  price: number;
  stretches: Stretch[];
  cuts: SawCut[];
}

export interface Piece {
  mark: string;
  run: string;
  from_mm: number;
  to_mm: number;
  item: string;
  at: [number, number];
  reversed: boolean;
  leg_in_mm: number;
  angle_deg: number;
  leg_out_mm: number;
  clocking_to?: string | null;
  clocking_deg?: number | null;
  clocking_mm?: number | null;
}

export interface Plan {
  hash: string;
  cost: number;
  lower_bound: number;
  proven: boolean;
  yield: number;
  joints: number;
  cuts: number;
  stock: { item: string; count: number; price: number; from_shelf: boolean }[];
  items: Item[];
  pieces: Piece[];
}

export interface Job {
  id: string;
  name: string;
  version: number;
  revision: Revision;
  archived: boolean;
  units: Units;
  can_undo: boolean;
  can_redo: boolean;
  undo_label?: string | null;
  redo_label?: string | null;
  document: { [key: string]: Json } | null;
  text: string;
  documents: string[];
  problems: Problem[];
  bay: Bay | null;
  bay_stale?: boolean;
  routes: Routes | null;
  plan: Plan | null;
  plan_stale: string | null;
  quote: QuoteSummary | null;
}

export interface Sizes {
  rules: { of: string; collector?: string | null; rule: string; low_mm: number; high_mm: number; nearest?: string | null; source: string; range: string }[];
  pairs: Firing[]; groups: Firing[];
  collectors: { collector: string; around: Firing }[];
  missing: { key: string; needed_for: string }[];
}

export interface Firing { cylinders: number[]; gaps_deg: number[] }

export interface Edit {
  op: 'set' | 'insert' | 'remove';
  path: Path;
  value?: Json;
}

export interface Alternative {
  number: number;
  best_at: string[];
  figures: {
    joints: number;
    cost: number;
    spread_mm: number;
    room_mm: number;
    turn_deg: number;
    total: number | null;
    weight_kg: number | null;
  };
  routes: Routes;
}

export interface Revision {
  id: string;
  parent: string | null;
  label: string;
  number: number;
  name: string;
  made: number;
  current: boolean;
}

export type ShelfShape =
  | { kind: 'bend'; clr: number; angle_deg: number; legs: [number, number] }
  | { kind: 'straight'; length: number };

export interface ShelfItem {
  id: string;
  label: string;
  thing: { od: number; wall: number; material?: string; shape: ShelfShape } | null;
  made: number;
  booking: string | null;
}

export interface Shelf {
  items: ShelfItem[];
}

export interface Booking {
  id: string;
  plan: string;
  made: number;
  current: boolean;
}

export interface MeshFacts {
  triangles: number;
  vertices: number;
  size_mm: Xyz;
  warnings: string[];
}

export interface SearchSettings {
  seed: number;
  effort: number;
  alternatives: number;
}

export interface Better {
  seconds: number;
  bends: number;
  turn_deg: number;
  routes: Routes;
}

/** Of a cut plan on its way: no plan costs less than `lower_bound`. */
export interface BetterPlan {
  seconds: number;
  cost: number;
  lower_bound: number;
}

/** What a trial gave: routes, or why there are none. */
export interface Tried {
  routes: Routes | null;
  refusal: string | null;
}

export interface Done {
  met: boolean;
  unmet: Unmet[];
  relaxations: { change: string; met: boolean; left_mm: number | null }[];
  alternatives: Alternative[];
  seconds: number;
  job: Job | null;
  conflict: { version: number; label: string; made: number } | null;
  routes: Routes | null;
}

export interface Sheet {
  kind: string;
  title: string;
  page: number;
}

export interface SheetList {
  sheets: Sheet[];
  pages: number;
  warnings: string[];
}

export interface ComparedRun {
  run: string;
  number: number;
  od: number;
  length_mm: number;
  bends: number;
  turn_deg: number;
  joints: number | null;
  gap_to_tubes_mm: number | null;
  gap_to_keepouts_mm: number | null;
  line: Line;
}

export interface Compared {
  revision: Revision;
  met: boolean;
  unmet_count: number;
  length_spread_mm: number | null;
  joints: number | null;
  cost: number | null;
  total: number | null;
  currency: string | null;
  runs: ComparedRun[];
}

export interface Comparison {
  a: Compared;
  b: Compared;
  differ: string[];
}

export interface Ticks {
  plan: string;
  done: string[];
}
