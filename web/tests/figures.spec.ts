/** Figures of speed for the README; taken only when TUBEWRIGHT_FIGURES is set, as other work on the machine spoils them. */
import { readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, jobOf, openStep, test, withoutNotes } from './shop';

test.skip(!process.env.TUBEWRIGHT_FIGURES, 'figures are taken when TUBEWRIGHT_FIGURES is set');

/** The middle one of some figures. */
function median(figures: number[]): number {
  return [...figures].sort((a, b) => a - b)[Math.floor(figures.length / 2)] ?? NaN;
}

test('size of the code', () => {
  const folder = resolve('dist/assets');
  const sizes = readdirSync(folder).filter((f) => f.endsWith('.js')).map((f) => gzipSync(readFileSync(resolve(folder, f))).length);
  const sum = sizes.reduce((a, b) => a + b, 0) / 1000;
  console.log(`JavaScript, gzipped: ${sum.toFixed(0)} kB`);
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

test('frames while turning the bay', async ({ page, jobId }) => {
  await withoutNotes(page);
  await openStep(page, jobId, 'route');
  await expect(page.locator('.label.run').first()).toBeVisible();
  await page.locator('canvas').focus();
  const frames: number[] = [];
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press('ArrowLeft');
    frames.push(Number(await page.locator('[data-frame-ms]').getAttribute('data-frame-ms')));
  }
  console.log(`a frame, drawn in software: median ${median(frames).toFixed(1)} ms, most ${Math.max(...frames).toFixed(1)} ms`);
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
