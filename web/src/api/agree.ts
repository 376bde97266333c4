/**
 * The page's types against the server's: this file holds nothing at run time, it does not compile when they disagree.
 *
 * `types.ts` says more than OpenAPI can: places are three numbers, kinds are fixed words. So each answer of the server must
 * be one of ours when that is left out, and each of our requests must be one of the server's.
 */
import type { components } from './schema';
import type * as T from './types';

type Server = components['schemas'];

/** A type without lengths of lists and fixed words; what may be null may be missing too. */
type Loose<V> = V extends number
  ? number
  : V extends string
    ? string
    : V extends boolean | null | undefined
      ? V
      : V extends readonly (infer E)[]
        ? Loose<E>[]
        : { [K in keyof V as null extends V[K] ? never : K]: Loose<V[K]> } & { [K in keyof V as null extends V[K] ? K : never]?: Loose<V[K]> };

/** Holds only when what the server answers can be read as ours. */
type Answers<Theirs extends Loose<Ours>, Ours> = Theirs;
/** Holds only when the server takes what we send. */
type Takes<Ours extends Theirs, Theirs> = Ours;

/** Every answer and request that the page knows. */
export type Agreed = [
  Answers<Server['ShopView'], T.Shop>,
  Answers<Server['Card'], T.JobCard>,
  Answers<Server['ExampleView'], T.Example>,
  Answers<Server['ProblemView'], Omit<T.Problem, 'path'>>,
  Answers<Server['BayView'], T.Bay>,
  Answers<Server['RoutesView'], T.Routes>,
  Answers<Server['Tried'], T.Tried>,
  Answers<Server['BetterPlan'], T.BetterPlan>,
  Answers<Server['PlanView'], T.Plan>,
  Answers<Server['QuoteView'], T.Quote>,
  Answers<Server['SizesView'], T.Sizes>,
  Answers<Server['RevisionView'], T.Revision>,
  Answers<Omit<Server['JobView'], 'document' | 'problems'>, Omit<T.Job, 'document' | 'problems'>>,
  Answers<Server['AlternativeView'], T.Alternative>,
  Answers<Server['Better'], T.Better>,
  Answers<Omit<Server['SearchDone'], 'job'>, Omit<T.Done, 'job'>>,
  Answers<Server['BookingView'], T.Booking>,
  Answers<Server['ShelfView'], T.Shelf>,
  Answers<Server['StockView'], T.Stock>,
  Answers<Server['MeshView'], T.MeshFacts>,
  Answers<Server['SheetList'], T.SheetList>,
  Answers<Server['Comparison'], T.Comparison>,
  Answers<Server['Ticks'], T.Ticks>,
  Takes<T.RouteEdit, Server['HandEdit']>,
  Takes<T.RunEntry, Server['ChangedRun']>,
  Takes<T.Edit, Server['Edit']>,
  Takes<T.Starter, Server['StarterWish']>,
  Takes<T.SearchSettings & { version: number }, Server['SearchWish']>,
  Takes<T.Ticks, Server['Ticks']>,
];
