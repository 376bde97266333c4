/** Every call that the page makes, by name. */
import { call, send, upload } from './client';
import type * as T from './schema';

const job = (id: string) => `/jobs/${encodeURIComponent(id)}`;

export const getShop = () => call<T.ShopView>('GET', '/shop');
export const saveUnits = (units: T.UnitsCode) => call<unknown>('PATCH', '/shop', { units } satisfies T.ShopChange);
export const signIn = (password: string) => call<void>('POST', '/session', { password } satisfies T.SignIn);

export const listJobs = (archived: boolean) => call<T.JobList>('GET', `/jobs?archived=${archived}`).then((a) => a.jobs);
export const listExamples = () => call<T.ExampleList>('GET', '/examples').then((a) => a.examples);
export const createJob = (from: T.NewJob) => call<T.JobView>('POST', '/jobs', from);
export const importJob = async (file: Blob) =>
  (await (await send('POST', '/jobs/import', { body: file, type: 'application/zip' })).json()) as T.JobView;
export const deleteJob = (id: string, version: number) => call<unknown>('DELETE', `${job(id)}?version=${version}`);
export const copyJob = (id: string) => call<T.JobView>('POST', `${job(id)}/copy`);
export const patchJob = (id: string, change: T.JobChange) => call<T.JobView>('PATCH', job(id), change);
export const getJob = (id: string) => call<T.JobView>('GET', job(id));

export const editJob = (id: string, version: number, label: string, edits: T.Edit[]) =>
  call<T.JobView>('POST', `${job(id)}/edits`, { version, label, edits } satisfies T.Edits);
export const editDocument = (id: string, document: string, version: number, label: string, edits: T.Edit[]) =>
  call<T.JobView>('POST', `${job(id)}/edits`, { version, label, document, edits } satisfies T.Edits);
export const getDocument = (id: string, name: string) => call<T.DocumentView>('GET', `${job(id)}/documents/${encodeURIComponent(name)}`);
export const putDocument = (id: string, name: string, version: number, text: string | null, label: string) =>
  call<T.JobView>('PUT', `${job(id)}/documents/${encodeURIComponent(name)}`, { version, text, label } satisfies T.DocumentChange);
export const putMesh = (id: string, name: string, version: number, file: Blob, progress: (share: number) => void) =>
  upload<T.MeshAdded>(`${job(id)}/meshes/${encodeURIComponent(name)}?version=${version}`, file, progress);
export const getMesh = async (id: string, name: string) =>
  (await send('GET', `${job(id)}/meshes/${encodeURIComponent(name)}`)).arrayBuffer();

export const putPhoto = (id: string, name: string, version: number, file: Blob, progress: (share: number) => void) =>
  upload<T.JobView>(`${job(id)}/photos/${encodeURIComponent(name)}?version=${version}`, file, progress);
export const deletePhoto = (id: string, name: string, version: number) =>
  call<T.JobView>('DELETE', `${job(id)}/photos/${encodeURIComponent(name)}?version=${version}`);
export const photoUrl = (id: string, name: string) => `/api${job(id)}/photos/${encodeURIComponent(name)}`;
export const adjustSurvey = (id: string) => send('POST', `${job(id)}/survey/adjust`);

export const undo = (id: string, version: number) => call<T.JobView>('POST', `${job(id)}/undo`, { version } satisfies T.AtVersion);
export const redo = (id: string, version: number) => call<T.JobView>('POST', `${job(id)}/redo`, { version } satisfies T.AtVersion);
export const listRevisions = (id: string) => call<T.RevisionList>('GET', `${job(id)}/revisions`).then((a) => a.revisions);
export const nameRevision = (id: string, revision: string, name: string) =>
  call<unknown>('PATCH', `${job(id)}/revisions/${revision}`, { name } satisfies T.RevisionName);
export const restoreRevision = (id: string, revision: string, version: number) =>
  call<T.JobView>('POST', `${job(id)}/revisions/${revision}/restore`, { version } satisfies T.AtVersion);
export const compare = (id: string, a: string, b: string) =>
  call<T.Comparison>('GET', `${job(id)}/compare?a=${encodeURIComponent(a)}&b=${encodeURIComponent(b)}`);

export const trial = (id: string, edit: T.RunEdit) => call<T.TrialResult>('POST', `${job(id)}/trial`, { runs: [], edit } satisfies T.TrialRequest);
export const putRoutes = (id: string, version: number, label: string, runs: T.ChangedRun[]) =>
  call<T.JobView>('PUT', `${job(id)}/routes`, { version, label, runs } satisfies T.RoutesChange);
export const putRunEdit = (id: string, version: number, label: string, edit: T.RunEdit) =>
  call<T.JobView>('PUT', `${job(id)}/routes`, { version, label, runs: [], edit } satisfies T.RoutesChange);
export const listAlternatives = (id: string) => call<T.AlternativeList>('GET', `${job(id)}/alternatives`);
export const startSearch = (id: string, request: T.SearchRequest, signal: AbortSignal) =>
  send('POST', `${job(id)}/searches`, { body: JSON.stringify(request), type: 'application/json', signal });
export const stopSearch = (id: string, search: string) => call<unknown>('POST', `${job(id)}/searches/${search}/stop`);

export const startCut = (id: string, version: number) =>
  send('POST', `${job(id)}/cut`, { body: JSON.stringify({ version } satisfies T.CutRequest), type: 'application/json' });
export const book = (id: string, version: number) =>
  call<T.Booked>('POST', `${job(id)}/bookings`, { version } satisfies T.AtVersion);
export const listBookings = (id: string) => call<T.BookingList>('GET', `${job(id)}/bookings`).then((a) => a.bookings);
export const unbook = (booking: string) => call<unknown>('DELETE', `/bookings/${encodeURIComponent(booking)}`);
export const getStock = () => call<T.StockView>('GET', '/stock');
export const putStock = (version: number, text: string) => call<T.StockView>('PUT', '/stock', { version, text } satisfies T.StockChange);
export const editStock = (version: number, edits: T.Edit[]) =>
  call<T.StockView>('PATCH', '/stock', { version, edits } satisfies T.StockEdits);
export const getShelf = () => call<T.ShelfView>('GET', '/shelf');
export const addToShelf = (item: T.NewShelfItem) => call<unknown>('POST', '/shelf', item);
export const removeFromShelf = (id: string) => call<unknown>('DELETE', `/shelf/${encodeURIComponent(id)}`);

export const getSurvey = (id: string) => call<T.SurveyView>('GET', `${job(id)}/survey`);
export const writeSurvey = (id: string, version: number, overwrite: boolean) =>
  call<T.SurveyWritten>('POST', `${job(id)}/survey/write`, { version, overwrite } satisfies T.SurveyWrite);
export const getFit = (id: string) => call<T.FitView>('GET', `${job(id)}/fit`);
export const pooledFits = (id: string) => call<T.PoolView>('GET', `${job(id)}/fit/shop`);
export const recutFit = (id: string, version: number) => call<T.JobView>('POST', `${job(id)}/fit/recut`, { version } satisfies T.AtVersion);
export const acceptFit = (id: string, version: number) => call<T.JobView>('POST', `${job(id)}/fit/accept`, { version } satisfies T.AtVersion);
export const gasCurve = (id: string, wanted: T.CurveRequest) => call<T.CurveAnswer>('POST', `${job(id)}/gas/curve`, wanted);
export const gasBand = (id: string, speeds: T.SpeedBand) => call<T.GasBand>('POST', `${job(id)}/gas/band`, { speeds } satisfies T.BandRequest);
export const gasMap = (id: string, wanted: T.MapRequest) => call<T.GasMap>('POST', `${job(id)}/gas/map`, wanted);
export const gasWaves = (id: string, wanted: T.WavesRequest) => call<T.GasWaves>('POST', `${job(id)}/gas/waves`, wanted);
export const gasSoundUrl = (id: string, rpm: number) => `/api${job(id)}/gas/sound?rpm=${rpm}`;
export const getStrength = (id: string) => call<T.StrengthAnswer>('GET', `${job(id)}/strength`);
export const strengthPart = (id: string, moved: T.PartMove) => call<T.PartTrial>('POST', `${job(id)}/strength/part`, moved);
export const getSizes = (id: string) => call<T.SizesView>('GET', `${job(id)}/sizes`);
export const getQuote = (id: string) => call<T.QuoteView>('GET', `${job(id)}/quote`);
export const editRates = (id: string, version: number, edits: T.Edit[]) =>
  call<T.JobView>('PUT', `${job(id)}/rates`, { version, edits } satisfies T.RatesChange);
export const listSheets = (id: string, options: Record<string, string>) =>
  call<T.SheetList>('GET', `${job(id)}/papers/sheets?${new URLSearchParams(options).toString()}`);
export const getAssembly = (id: string) => call<T.AssemblyView>('GET', `${job(id)}/assembly`);
export const papersUrl = (id: string, options: Record<string, string>) =>
  `/api${job(id)}/papers?${new URLSearchParams(options).toString()}`;
export const exportUrl = (id: string, format: string) => `/api${job(id)}/exports/${format}`;
export const archiveUrl = (id: string) => `/api${job(id)}/archive`;
export const pictureUrl = (id: string, version: number) => `/api${job(id)}/picture.svg?v=${version}`;

export const getSaw = (id: string) => call<T.Ticks>('GET', `${job(id)}/saw`);
export const putSaw = (id: string, ticks: T.Ticks) => call<unknown>('PUT', `${job(id)}/saw`, ticks);
