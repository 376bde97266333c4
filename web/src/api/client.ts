/** Requests to the server: JSON over fetch; every failure is an `ApiError`. */
import { t } from '../texts/en';
import type { ErrorBody, ErrorCode, ErrorView } from './schema';

/** An error of the server, or of the page when there is no readable response. */
export type Refusal = Omit<ErrorView, 'code'> & { code: ErrorCode | 'unreachable' | 'unknown' };

/** An error response, or no connection (status 0). */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    readonly refusal: Refusal,
  ) {
    super(refusal.message);
  }
}

/** Sends and receives JSON. */
export async function call<T>(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const response = await send(method, path, {
    body: body === undefined ? undefined : JSON.stringify(body),
    type: body === undefined ? undefined : 'application/json',
    signal,
  });
  if (response.status === 204) return undefined as T;
  return (await response.json()) as T;
}

/** Sends any body; the caller reads the response. */
export async function send(
  method: string,
  path: string,
  with_: { body?: BodyInit; type?: string; signal?: AbortSignal } = {},
): Promise<Response> {
  const headers: Record<string, string> = { Accept: 'application/json' };
  if (with_.type) headers['Content-Type'] = with_.type;
  let response: Response;
  try {
    response = await fetch(`/api${path}`, { method, headers, body: with_.body, signal: with_.signal });
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ApiError(0, { code: 'unreachable', message: t.unreachable });
  }
  if (!response.ok) throw new ApiError(response.status, await refusal(response));
  return response;
}

/** Uploads a large body and reports the share sent, 0 to 1. */
export function upload<T>(path: string, body: Blob, progress: (share: number) => void): Promise<T> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('PUT', `/api${path}`);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.upload.onprogress = (event) => event.lengthComputable && progress(event.loaded / event.total);
    request.onerror = () => reject(new ApiError(0, { code: 'unreachable', message: t.unreachable }));
    request.onload = () => {
      if (request.status < 300) resolve(JSON.parse(request.responseText) as T);
      else reject(new ApiError(request.status, readRefusal(request.responseText, request.status)));
    };
    request.send(body);
  });
}

async function refusal(response: Response): Promise<Refusal> {
  return readRefusal(await response.text(), response.status);
}

function readRefusal(text: string, status: number): Refusal {
  try {
    const body = JSON.parse(text) as Partial<ErrorBody>;
    if (body.error) return body.error;
  } catch {
    // Not from our server: shown as received.
  }
  return { code: 'unknown', message: text.slice(0, 300) || `The server answered ${status}.` };
}

/** One event of a stream. */
export interface StreamEvent {
  name: string;
  data: unknown;
}

/** Events of a `text/event-stream` response, as they arrive. */
export async function* events(response: Response): AsyncGenerator<StreamEvent> {
  const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
  let rest = '';
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    rest += value.replaceAll('\r', '');
    const blocks = rest.split('\n\n');
    rest = blocks.pop() ?? '';
    for (const block of blocks) {
      const event = readBlock(block);
      if (event) yield event;
    }
  }
}

function readBlock(block: string): StreamEvent | null {
  let name = 'message';
  const data: string[] = [];
  for (const line of block.split('\n')) {
    if (line.startsWith('event:')) name = line.slice(6).trim();
    if (line.startsWith('data:')) data.push(line.slice(5).trimStart());
  }
  return data.length > 0 ? { name, data: JSON.parse(data.join('\n')) as unknown } : null;
}
