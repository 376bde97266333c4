/** A shop for a test: the real program on a free port with a folder of its own, and a page that is watched. */
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test as base, type APIRequestContext, type Locator, type Page } from '@playwright/test';
import { serve } from './program';

/** What a page may complain about in one test, as patterns of console errors. */
interface Watch {
  allow(pattern: RegExp): void;
}

export const test = base.extend<{ watch: Watch; jobId: string }, { shop: string }>({
  shop: [
    // eslint-disable-next-line no-empty-pattern
    async ({}, use) => {
      const data = mkdtempSync(join(tmpdir(), 'tubewright-page-'));
      // Prepared before all tests (prepare.ts): its example is routed already.
      cpSync(process.env.TUBEWRIGHT_SHOP!, data, { recursive: true });
      const served = await serve(data);
      await use(served.address);
      await served.stop();
      rmSync(data, { recursive: true, force: true });
    },
    { scope: 'worker' },
  ],
  baseURL: async ({ shop }, use) => use(shop),
  /** Every page of every test: no error on the console, no request to another host. */
  watch: [
    async ({ context, shop }, use) => {
      // A page built after the program: its files come from web/dist instead of the program, under the program's policy.
      const dist = process.env.TUBEWRIGHT_DIST;
      if (dist) {
        const policy = (await fetch(`${shop}/api/health`)).headers.get('content-security-policy') ?? '';
        await context.route((url) => url.origin === shop && !url.pathname.startsWith('/api/'), (route) => {
          const name = new URL(route.request().url()).pathname;
          return route.fulfill({ path: join(dist, name === '/' ? 'index.html' : name), headers: { 'content-security-policy': policy } });
        });
      }
      const allowed: RegExp[] = [];
      const errors: string[] = [];
      const strangers: string[] = [];
      context.on('page', (page) => {
        page.on('pageerror', (error) => errors.push(error.message));
        page.on('console', (message) => message.type() === 'error' && errors.push(message.text()));
        page.on('request', (request) => /^https?:/.test(request.url()) && !request.url().startsWith(shop) && strangers.push(request.url()));
      });
      await use({ allow: (pattern) => allowed.push(pattern) });
      expect(errors.filter((error) => !allowed.some((pattern) => pattern.test(error)))).toEqual([]);
      expect(strangers).toEqual([]);
    },
    { auto: true },
  ],
  /** A job of this test's own: a copy of the finished example of the first start. */
  jobId: async ({ request, shop }, use) => use(await copyOfExample(request, shop)),
});

export { expect };

/** The finished example of the first start, by its id. */
export async function exampleOf(request: APIRequestContext, shop: string): Promise<string> {
  let example: { id: string } | undefined;
  await expect(async () => {
    const { jobs } = (await (await request.get(`${shop}/api/jobs`)).json()) as { jobs: { id: string; name: string; state: string }[] };
    // Other tests leave jobs of their own in the list.
    example = jobs.find((job) => job.state === 'cut' && /^hill-climb.four$/.test(job.name));
    expect(example).toBeDefined();
  }).toPass({ timeout: 60_000 });
  return example!.id;
}

/** A copy of the finished example, by its id. */
export async function copyOfExample(request: APIRequestContext, shop: string): Promise<string> {
  const copy = await request.post(`${shop}/api/jobs/${await exampleOf(request, shop)}/copy`);
  expect(copy.status()).toBe(201);
  return ((await copy.json()) as { id: string }).id;
}

/** What the server now says of a job. */
export async function jobOf(request: APIRequestContext, shop: string, id: string) {
  return (await (await request.get(`${shop}/api/jobs/${id}`)).json()) as {
    version: number;
    routes: { runs: { run: string; length_mm: number; locked: boolean; points: number[][] }[] };
    document: { clearance: { tubes: number; keepouts: number } };
  };
}

/** Opens a step of a job and waits until it has been read. */
export async function openStep(page: Page, id: string, step: string): Promise<void> {
  await page.goto(`/#/job/${id}/${step}`);
  await expect(page.getByRole('navigation', { name: 'Steps of the job' })).toBeVisible();
}

/** Width up to which the page shows one of its three parts at a time, px. */
const NARROW = 820;

/** Shows a part of a job's page; where the screen is wide all three are there. */
export async function turnTo(page: Page, part: '3D view' | 'Tube lengths' | 'Panel'): Promise<void> {
  if (page.viewportSize()!.width > NARROW) return;
  await page.getByRole('navigation', { name: 'View', exact: true }).getByRole('button', { name: part }).click();
}

/** The middle of something in the 3D view, once it has come to rest: a view that was just shown takes its new size first. */
export async function atRest(part: Locator): Promise<[number, number]> {
  await expect(part).toBeVisible();
  let [x, y] = [NaN, NaN];
  const moved = async () => {
    const [box, wasX, wasY] = [await part.boundingBox(), x, y];
    [x, y] = box ? [box.x + box.width / 2, box.y + box.height / 2] : [NaN, NaN];
    return Math.hypot(x - wasX, y - wasY);
  };
  await expect.poll(moved, { intervals: [250] }).toBeLessThan(0.5);
  return [x, y];
}

/** Puts the notes of the first minutes away before the page begins. */
export async function withoutNotes(page: Page): Promise<void> {
  await page.addInitScript(() => ['bay', 'rulers', 'route'].forEach((name) => localStorage.setItem(`tubewright.note.${name}`, 'read')));
}
