/** The server's types by the names that the page uses: those of `schema.d.ts`, without `View`. */
import type { components } from './schema';

type Schemas = components['schemas'];

/** Anything that JSON can hold. */
export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
/** A place or a direction, mm; `narrow.ts` makes one of a list of numbers. */
export type Xyz = [number, number, number];
export type Units = 'mm' | 'in';
/** A place in the tree of a document. */
export type Path = Edit['path'];

export type ErrorBody = Schemas['ErrorBody'];
export type ErrorView = Schemas['ErrorView'];
export type Problem = Schemas['ProblemView'];
export type Current = Schemas['CurrentView'];

export type Shop = Schemas['ShopView'];
export type ShopChange = Schemas['ShopChange'];
export type SignIn = Schemas['SignIn'];

export type JobList = Schemas['JobList'];
export type Card = Schemas['Card'];
export type ExampleList = Schemas['ExampleList'];
export type NewJob = Schemas['NewJob'];
export type Job = Schemas['JobView'];
export type JobChange = Schemas['JobChange'];
export type AtVersion = Schemas['AtVersion'];

export type Edit = Schemas['Edit'];
export type Edits = Schemas['Edits'];
export type DocumentChange = Schemas['DocumentChange'];
export type MeshTaken = Schemas['MeshTaken'];
export type Mesh = Schemas['MeshView'];

export type RevisionList = Schemas['RevisionList'];
export type Revision = Schemas['RevisionView'];
export type RevisionName = Schemas['RevisionName'];
export type Comparison = Schemas['Comparison'];
export type Compared = Schemas['Compared'];

export type Bay = Schemas['BayView'];
export type Collector = Schemas['CollectorView'];
export type Keepout = Schemas['KeepoutView'];
export type Shape = Schemas['ShapeView'];

export type Routes = Schemas['RoutesView'];
export type Run = Schemas['RunView'];
export type Line = Schemas['LineView'];
export type Unmet = Schemas['UnmetView'];
export type HandEdit = Schemas['HandEdit'];
export type ChangedRun = Schemas['ChangedRun'];
export type RoutesChange = Schemas['RoutesChange'];
export type Trial = Schemas['Trial'];
export type Tried = Schemas['Tried'];
export type AlternativeList = Schemas['AlternativeList'];
export type Alternative = Schemas['AlternativeView'];

export type SearchRequest = Schemas['SearchRequest'];
/** How to search, whatever the version. */
export type SearchSettings = Omit<SearchRequest, 'version'>;
export type Started = Schemas['Started'];
export type Better = Schemas['Better'];
export type SearchDone = Schemas['SearchDone'];

export type CutRequest = Schemas['CutRequest'];
export type BetterPlan = Schemas['BetterPlan'];
export type CutDone = Schemas['CutDone'];
export type Item = Schemas['ItemView'];
export type ItemShape = Schemas['ItemShapeView'];
export type Cut = Schemas['CutView'];
export type Face = Schemas['FaceView'];
export type Piece = Schemas['PieceView'];
export type Ticks = Schemas['Ticks'];

export type Booked = Schemas['Booked'];
export type Booking = Schemas['BookingView'];
export type BookingList = Schemas['BookingList'];
export type Shelf = Schemas['ShelfView'];
export type ShelfShape = Schemas['ShelfShape'];
export type NewThing = Schemas['NewThing'];
export type Stock = Schemas['StockView'];
export type StockChange = Schemas['StockChange'];
export type StockEdits = Schemas['StockEdits'];

export type Sizes = Schemas['SizesView'];
export type Gaps = Schemas['GapsView'];
export type Quote = Schemas['QuoteView'];
export type Rate = Schemas['RateView'];
export type RatesChange = Schemas['RatesChange'];
export type Extra = Schemas['ExtraView'];
export type SheetList = Schemas['SheetList'];
