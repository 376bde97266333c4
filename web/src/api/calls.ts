/** Every call that the page makes, by name. */
import { call, send, upload } from './client';
import type * as T from './types';

const job = (id: string) => `/jobs/${encodeURIComponent(id)}`;

export const getShop = () => call<T.Shop>('GET', '/shop');
export const keepUnits = (units: T.Units) => call<unknown>('PATCH', '/shop', { units });
export const signIn = (password: string) => call<void>('POST', '/session', { password });

export const listJobs = (archived: boolean) => call<{ jobs: T.JobCard[] }>('GET', `/jobs?archived=${archived}`).then((a) => a.jobs);
export const listExamples = () => call<{ examples: T.Example[] }>('GET', '/examples').then((a) => a.examples);
export const makeJob = (from: { example: string } | { starter: T.Starter } | { toml: string; name?: string }) =>
  call<T.Job>('POST', '/jobs', from);
export const importJob = async (file: Blob) =>
  (await (await send('POST', '/jobs/import', { body: file, type: 'application/zip' })).json()) as T.Job;
export const copyJob = (id: string) => call<T.Job>('POST', `${job(id)}/copy`);
export const patchJob = (id: string, change: { version: number; name?: string; archived?: boolean }) =>
  call<T.Job>('PATCH', job(id), change);
export const getJob = (id: string) => call<T.Job>('GET', job(id));

export const editJob = (id: string, version: number, label: string, edits: T.Edit[]) =>
  call<T.Job>('POST', `${job(id)}/edits`, { version, label, edits });
export const putDocument = (id: string, name: string, version: number, text: string, label: string) =>
  call<T.Job>('PUT', `${job(id)}/documents/${encodeURIComponent(name)}`, { version, text, label });
export const putMesh = (id: string, name: string, version: number, file: Blob, progress: (share: number) => void) =>
  upload<{ job: T.Job; mesh: T.MeshFacts }>(`${job(id)}/meshes/${encodeURIComponent(name)}?version=${version}`, file, progress);
export const getMesh = async (id: string, name: string) =>
  (await send('GET', `${job(id)}/meshes/${encodeURIComponent(name)}`)).arrayBuffer();

export const undo = (id: string, version: number) => call<T.Job>('POST', `${job(id)}/undo`, { version });
export const redo = (id: string, version: number) => call<T.Job>('POST', `${job(id)}/redo`, { version });
export const listRevisions = (id: string) =>
  call<{ revisions: T.Revision[] }>('GET', `${job(id)}/revisions`).then((a) => a.revisions);
export const nameRevision = (id: string, revision: string, name: string) =>
  call<unknown>('PATCH', `${job(id)}/revisions/${revision}`, { name });
export const restoreRevision = (id: string, revision: string, version: number) =>
  call<T.Job>('POST', `${job(id)}/revisions/${revision}/restore`, { version });
export const compare = (id: string, a: string, b: string) =>
  call<T.Comparison>('GET', `${job(id)}/compare?a=${encodeURIComponent(a)}&b=${encodeURIComponent(b)}`);

export const trial = (id: string, edit: T.RouteEdit) => call<T.Tried>('POST', `${job(id)}/trial`, { runs: [], edit });
export const putRoutes = (id: string, version: number, label: string, runs: T.RunEntry[]) =>
  call<T.Job>('PUT', `${job(id)}/routes`, { version, label, runs });
export const putRouteEdit = (id: string, version: number, label: string, edit: T.RouteEdit) =>
  call<T.Job>('PUT', `${job(id)}/routes`, { version, label, runs: [], edit });
export const listAlternatives = (id: string) =>
  call<{ alternatives: T.Alternative[] }>('GET', `${job(id)}/alternatives`).then((a) => a.alternatives);
export const beginSearch = (id: string, version: number, settings: T.SearchSettings, signal: AbortSignal) =>
  send('POST', `${job(id)}/searches`, { body: JSON.stringify({ version, ...settings }), type: 'application/json', signal });
export const stopSearch = (id: string, search: string) => call<unknown>('POST', `${job(id)}/searches/${search}/stop`);

export const beginCut = (id: string, version: number) =>
  send('POST', `${job(id)}/cut`, { body: JSON.stringify({ version }), type: 'application/json' });
export const book = (id: string, version: number) =>
  call<{ job: T.Job; booking: T.Booking }>('POST', `${job(id)}/bookings`, { version });
export const listBookings = (id: string) =>
  call<{ bookings: T.Booking[] }>('GET', `${job(id)}/bookings`).then((a) => a.bookings);
export const unbook = (booking: string) => call<unknown>('DELETE', `/bookings/${encodeURIComponent(booking)}`);
export const getStock = () => call<T.Stock>('GET', '/stock');
export const putStock = (version: number, text: string) => call<T.Stock>('PUT', '/stock', { version, text });
export const editStock = (version: number, edits: T.Edit[]) => call<T.Stock>('PATCH', '/stock', { version, edits });
export const getShelf = () => call<T.Shelf>('GET', '/shelf');
export const addToShelf = (item: object) => call<unknown>('POST', '/shelf', item);
export const takeFromShelf = (id: string) => call<unknown>('DELETE', `/shelf/${encodeURIComponent(id)}`);

export const getSizes = (id: string) => call<T.Sizes>('GET', `${job(id)}/sizes`);
export const getQuote = (id: string) => call<T.Quote>('GET', `${job(id)}/quote`);
export const editRates = (id: string, version: number, edits: T.Edit[]) => call<T.Job>('PUT', `${job(id)}/rates`, { version, edits });
export const listSheets = (id: string, paper: string, units: T.Units) =>
  call<T.SheetList>('GET', `${job(id)}/papers/sheets?paper=${paper}&units=${units}`);
export const papersUrl = (id: string, options: Record<string, string>) =>
  `/api${job(id)}/papers?${new URLSearchParams(options).toString()}`;
export const exportUrl = (id: string, format: string) => `/api${job(id)}/exports/${format}`;
export const archiveUrl = (id: string) => `/api${job(id)}/archive`;
export const pictureUrl = (id: string, version: number) => `/api${job(id)}/picture.svg?v=${version}`;

export const getSaw = (id: string) => call<T.Ticks>('GET', `${job(id)}/saw`);
export const putSaw = (id: string, ticks: T.Ticks) => call<unknown>('PUT', `${job(id)}/saw`, ticks);
