/** Figures of speed for the README; taken only when TUBEWRIGHT_FIGURES is set, as other work on the machine spoils them. */
import { readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { APIResponse, Page } from '@playwright/test';
import { expect, jobOf, openStep, test, withoutNotes } from './shop';

test.skip(!process.env.TUBEWRIGHT_FIGURES, 'figures are taken when TUBEWRIGHT_FIGURES is set');

/** The middle one of some figures. */
function median(figures: number[]): number {
  return [...figures].sort((a, b) => a - b)[Math.floor(figures.length / 2)] ?? NaN;
}

test('size of the code', () => {
  const folder = resolve('dist/assets');
  const parts = readdirSync(folder).filter((file) => file.endsWith('.js'))
    .map((file) => ({ name: file.replace(/-[^-]*\.js$/, ''), kB: gzipSync(readFileSync(resolve(folder, file))).length / 1000 }))
    .sort((a, b) => b.kB - a.kB);
  const page = parts.filter(({ name }) => name !== 'editor');
  expect(page.length, 'the text editor is a part of its own').toBe(parts.length - 1);
  const sum = page.reduce((all, { kB }) => all + kB, 0);
  console.log(`JavaScript, gzipped, without the text editor: ${sum.toFixed(1)} kB; ${parts.map(({ name, kB }) => `${name} ${kB.toFixed(1)}`).join(', ')}`);
  expect(sum).toBeLessThan(300);
});

test('first useful paint', async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  const times: number[] = [];
  for (let i = 0; i < 5; i++) {
    await page.reload();
    await expect(page.getByRole('slider').first()).toBeVisible();
    times.push(await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN));
  }
  console.log(`first contentful paint: median ${median(times).toFixed(0)} ms, most ${Math.max(...times).toFixed(0)} ms`);
});

/** Turns the bay by keys, one frame after another: what the page spends on a frame, and how far apart they come, ms. */
async function turned(page: Page): Promise<{ spent: number[]; apart: number[] }> {
  await page.locator('canvas').focus();
  return page.evaluate(async () => {
    const canvas = document.querySelector('canvas')!;
    const host = document.querySelector<HTMLElement>('[data-frame-ms]')!;
    const spent: number[] = [];
    const apart: number[] = [];
    let last = performance.now();
    for (let i = 0; i < 30; i++) {
      canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true }));
      await new Promise((next) => requestAnimationFrame(next));
      await new Promise((next) => requestAnimationFrame(next));
      spent.push(Number(host.dataset.frameMs));
      apart.push((performance.now() - last) / 2);
      last = performance.now();
    }
    return { spent, apart };
  });
}

function tell(what: string, { spent, apart }: { spent: number[]; apart: number[] }): void {
  const both = (ms: number[]) => `${median(ms).toFixed(1)} ms (most ${Math.max(...ms).toFixed(1)})`;
  console.log(`a frame of ${what}, drawn in software: the page spends ${both(spent)}, frames come ${both(apart)} apart`);
}

test('frames while turning the bay', async ({ page, jobId }) => {
  await withoutNotes(page);
  await openStep(page, jobId, 'route');
  await expect(page.locator('.label.run').first()).toBeVisible();
  tell('four primaries', await turned(page));
});

/** A wavy sheet below the runs as binary STL, of 2 n n triangles, mm. */
function sheet(n: number): Buffer {
  const at = (i: number, j: number): number[] => {
    const [x, y] = [-1200 + (1500 * i) / n, -300 + (1200 * j) / n];
    return [x, y, -620 + 18 * Math.sin(x / 40) * Math.cos(y / 55)];
  };
  const stl = Buffer.alloc(84 + 50 * 2 * n * n);
  stl.writeUInt32LE(2 * n * n, 80);
  let byte = 84;
  const put = (corners: number[][]) => {
    corners.flat().forEach((value, k) => stl.writeFloatLE(value, byte + 12 + 4 * k));
    byte += 50;
  };
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      put([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
      put([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
    }
  }
  return stl;
}

for (const side of [387, 707]) test(`frames of eight primaries beside a scan of ${2 * side * side} triangles`, async ({ page, request, shop }) => {
  test.setTimeout(240_000);
  const ok = async <T>(answer: Promise<APIResponse>): Promise<T> => {
    const got = await answer;
    expect(got.ok(), await got.text()).toBe(true);
    return (await got.json()) as T;
  };
  type Seen = { id: string; version: number; document: { keepout?: unknown[] } };
  const starter = { name: 'eight', layout: 'inline', cylinders: 8, units: 'mm' };
  const job = await ok<Seen>(request.post(`${shop}/api/jobs`, { data: { starter } }));
  const path = `${shop}/api/jobs/${job.id}`;
  const headers = { 'Content-Type': 'application/octet-stream' };
  await ok(request.put(`${path}/meshes/scan.stl?version=${job.version}`, { data: sheet(side), headers }));
  const seen = await ok<Seen>(request.get(path));
  const value = { name: 'floor', shape: 'mesh', file: 'scan.stl' };
  const edits = [{ op: 'insert', path: ['keepout', seen.document.keepout?.length ?? 0], value }];
  const placed = await ok<Seen>(request.post(`${path}/edits`, { data: { version: seen.version, label: 'Scan', edits } }));
  expect((await request.post(`${path}/searches`, { data: { version: placed.version, effort: 0 } })).ok()).toBe(true);
  await withoutNotes(page);
  await openStep(page, job.id, 'route');
  await expect(page.locator('.label.run')).toHaveCount(8);
  tell(`eight primaries and ${2 * side * side} triangles`, await turned(page));
});

test('an answer while dragging', async ({ request, shop, jobId }) => {
  const run = (await jobOf(request, shop, jobId)).routes.runs[0]!;
  const times: number[] = [];
  for (let i = 0; i < 60; i++) {
    const [x, y, z] = run.points[2]! as [number, number, number];
    const begun = performance.now();
    const answer = await request.post(`${shop}/api/jobs/${jobId}/trial`, {
      data: { runs: [], edit: { kind: 'move_point', run: run.run, index: 2, to: [x + i / 5, y, z] } },
    });
    times.push(performance.now() - begun);
    expect(answer.status()).toBe(200);
  }
  console.log(`trial, 4 runs: median ${median(times).toFixed(0)} ms, most ${Math.max(...times).toFixed(0)} ms`);
});
