/** What the page works out of a routed job: torque, strength, fit; each with one change that goes into the job. */
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

test.beforeEach(({ page }) => withoutNotes(page));

type Document = { length: { target?: number }; slip?: unknown[]; bracket?: unknown[]; engine: Record<string, unknown> };
const documentOf = async (...of: Parameters<typeof jobOf>) => ((await jobOf(...of)) as unknown as { document: Document }).document;

test('torque of the routed tubes: a slider, waves, and a target length that is taken', look(), async ({ page, request, shop, jobId, watch }) => {
  test.setTimeout(180_000);
  watch.allow(/422/);
  await openStep(page, jobId, 'size');
  const gas = page.getByRole('region', { name: 'Torque and power' });
  await expect(gas.getByText(/\d+ Nm at \d+ rpm, \d+ kW at \d+ rpm/)).toBeVisible({ timeout: 90_000 });
  const torque = gas.getByRole('slider', { name: 'Read off: torque, Nm', exact: true });
  await torque.focus();
  await torque.press('End');
  await torque.press('ArrowLeft');
  const rpm = async () => Number(/^(\d+) rpm: \d+/.exec((await torque.getAttribute('aria-valuetext')) ?? '')?.[1]);
  const second = await rpm();
  await torque.press('ArrowRight');
  await expect.poll(rpm).toBeGreaterThan(second);
  await torque.hover({ position: { x: 1, y: 20 } });
  await expect.poll(rpm).toBeLessThan(second);
  await gas.getByRole('slider', { name: /Primary length/ }).fill('800');
  await expect(gas.getByText(/mean torque in this band/)).toBeVisible({ timeout: 90_000 });
  await gas.getByRole('button', { name: 'Show waves' }).click();
  await expect(gas.getByText('Returning waves')).toBeVisible({ timeout: 90_000 });
  await expect(gas.getByRole('img', { name: 'Pressure along the run over crank angle.' })).toBeVisible();
  const streaks = gas.getByRole('slider', { name: /^Read off: crank angle/ });
  await streaks.focus();
  await streaks.press('PageUp');
  await streaks.press('ArrowUp');
  await expect(streaks).toHaveAttribute('aria-valuetext', /^\d+(\.\d+)? mm, \d+°: \d+ kPa$/);
  await gas.getByRole('button', { name: /^Take .* as target length$/ }).click();
  await expect.poll(async () => Math.abs(((await documentOf(request, shop, jobId)).length.target ?? 0) - 800)).toBeLessThan(6);
  // Without the cams the six numbers are asked for, and nothing is drawn.
  const { version } = await jobOf(request, shop, jobId);
  const edits = [{ op: 'remove', path: ['engine', 'exhaust_cam'] }];
  expect((await request.post(`${shop}/api/jobs/${jobId}/edits`, { data: { version, label: 'no cam', edits } })).status()).toBe(200);
  await page.reload();
  await expect(gas.getByText('What is still missing')).toBeVisible({ timeout: 60_000 });
  await expect(gas.getByText('Crank degrees before bottom dead centre at which the exhaust valve opens.')).toBeVisible();
  await expect(gas.getByRole('button', { name: 'Enter it' })).toHaveCount(2);
});

test('strength: what works hardest, modes, and a change that is taken into the job', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(180_000);
  await openStep(page, jobId, 'strength');
  await expect(page.getByText(/works hardest: \d+ % of what its metal may take/)).toBeVisible({ timeout: 90_000 });
  await expect(page.getByRole('region', { name: 'Vibration' }).getByRole('img').first()).toBeVisible();
  const before = await documentOf(request, shop, jobId);
  await page.getByRole('button', { name: 'Add to the job' }).first().click();
  const parts = (d: Document) => (d.slip?.length ?? 0) + (d.bracket?.length ?? 0);
  await expect.poll(async () => parts(await documentOf(request, shop, jobId))).toBe(parts(before) + 1);
  await expect(page.getByRole('region', { name: 'Parts on the tubes' }).locator('summary').first()).toBeVisible();
});

test('a part is put on by a press on a tube and dragged along it, and the figures follow', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(180_000);
  await openStep(page, jobId, 'strength');
  await expect(page.getByText(/works hardest/)).toBeVisible({ timeout: 90_000 });
  const before = (await documentOf(request, shop, jobId)).bracket?.length ?? 0;
  await turnTo(page, '3D view');
  const centre = async (label: string) => {
    const box = (await page.locator(label).first().boundingBox())!;
    return [box.x + box.width / 2, box.y + box.height / 2] as const;
  };
  await page.mouse.click(...(await centre('.label.run')));
  await page.getByRole('group', { name: /^primary \d, .* from the start$/ }).getByRole('button', { name: 'Add a bracket' }).click();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).bracket?.length ?? 0).toBe(before + 1);
  const placeOf = async () => ((await documentOf(request, shop, jobId)).bracket as { at: number }[])[before]!.at;
  const put = await placeOf();
  const grip = `.label.grip:has-text("Bracket ${before + 1}")`;
  await expect(page.locator(grip)).toBeVisible();
  const [x, y] = await centre(grip);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 60, y + 50, { steps: 6 });
  await expect(page.getByRole('status').filter({ hasText: new RegExp(`Bracket ${before + 1} at .*first mode \\d+ Hz`) })).toBeVisible({ timeout: 60_000 });
  await page.mouse.up();
  await expect.poll(async () => Math.abs((await placeOf()) - put)).toBeGreaterThan(1);
});

test('fit: a forecast, a piece welded and measured, a correction accepted', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(180_000);
  await openStep(page, jobId, 'fit');
  await expect(page.getByText('made as drawn')).toBeVisible({ timeout: 90_000 });
  await expect(page.getByText(/^The end lies/)).toBeVisible();
  await page.getByRole('group', { name: '1A', exact: true }).getByRole('button', { name: 'welded' }).click();
  const card = page.getByRole('form', { name: 'Measure' });
  await expect(page.getByText('Off its inlet, rest as planned')).toBeVisible({ timeout: 90_000 });
  // The drawn end, 4 mm off in x.
  const fit = (await (await request.get(`${shop}/api/jobs/${jobId}/fit`)).json()) as { runs: { open_end: { drawn_mm: number[] } }[] };
  const drawn = fit.runs[0]!.open_end.drawn_mm;
  await card.getByRole('button', { name: 'Centre, x y z' }).click();
  for (const [i, axis] of ['x (front)', 'y (left)', 'z (up)'].entries()) await card.getByLabel(axis).fill((drawn[i]! + (i === 0 ? 4 : 0)).toFixed(2));
  await card.getByRole('button', { name: 'Save reading' }).click();
  await expect(page.getByRole('region', { name: 'Record' }).getByText('Measured')).toBeVisible({ timeout: 90_000 });
  await page.getByRole('button', { name: 'Accept this correction' }).click();
  await expect.poll(async () => ((await jobOf(request, shop, jobId)) as unknown as { documents: string[] }).documents, { timeout: 60_000 }).toContain('asbuilt.toml');
  const { text } = (await (await request.get(`${shop}/api/jobs/${jobId}/documents/fit.toml`)).json()) as { text: string };
  expect(text).toContain('[[corrected]]');
  expect(text).toMatch(/^plan = "[0-9a-f]{12}"/m);
  // As built it can be printed; one reading is too little for figures of the shop's own.
  const sheets = await request.get(`${shop}${await page.getByRole('link', { name: 'Sheets as built' }).getAttribute('href')}`);
  expect(sheets.status()).toBe(200);
  expect(sheets.headers()['content-type']).toBe('application/pdf');
  await page.getByText('Your shop’s own errors').click();
  await expect(page.getByText(/^Too little was measured so far: 1 tube /)).toBeVisible({ timeout: 60_000 });
  // What is left to be cut becomes a job beside this one, with the leftovers as remnants.
  await page.getByRole('button', { name: 'Re-plan the rest' }).click();
  await expect(page.getByRole('heading', { name: /\(the rest\)/ })).toBeVisible({ timeout: 60_000 });
  const all = (await (await request.get(`${shop}/api/jobs`)).json()) as { jobs: { id: string; name: string }[] };
  const rest = all.jobs.find((job) => job.name.endsWith('(the rest)'))!;
  const { text: written } = (await (await request.get(`${shop}/api/jobs/${rest.id}/documents/job.toml`)).json()) as { text: string };
  expect(written).toContain('[[stock.remnant]]');
});
