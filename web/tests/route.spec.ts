/** Searching, stopping, locking, and bending by hand. */
import { inTurn } from './looks';
import { atRest, expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

test.beforeEach(({ page }) => withoutNotes(page));

test('a point is dragged: the length follows at once and the end is one step of undo', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'route');
  const before = (await jobOf(request, shop, jobId)).routes.runs[0]!;
  await turnTo(page, 'Tube lengths');
  await page.getByRole('slider', { name: /^primary 1,/ }).click();
  await turnTo(page, '3D view');
  const handle = page.locator('.label.handle').nth(1);
  const [x, y] = await atRest(handle);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x - 8, y - 6, { steps: 3 });
  await page.mouse.move(x - 24, y - 16, { steps: 6 });
  await expect(page.locator('.ruler .ghost')).not.toHaveCount(0);
  await expect(page.getByRole('region', { name: '3D view' }).getByRole('status')).toHaveText(/^primary 1: \d{3}(\.\d)? mm\s*$/);
  await page.mouse.up();
  await expect(page.getByRole('button', { name: /^Undo: primary 1, point/ })).toBeEnabled();
  const after = (await jobOf(request, shop, jobId)).routes.runs[0]!;
  expect(Math.abs(after.length_mm - before.length_mm)).toBeGreaterThan(1);
  expect(after.points[0]).toEqual(before.points[0]);
  expect(after.points.at(-1)).toEqual(before.points.at(-1));
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).routes.runs[0]!.length_mm).toBeCloseTo(before.length_mm, 6);
  await page.getByRole('button', { name: /^Redo/ }).click();
  await expect.poll(async () => (await jobOf(request, shop, jobId)).routes.runs[0]!.length_mm).toBeCloseTo(after.length_mm, 6);
});

test.describe('by touch', () => {
  test.use({ hasTouch: true });

  test('a finger drags a point and turns the bay', look(), async ({ page, context, request, shop, jobId }) => {
    await openStep(page, jobId, 'route');
    const before = (await jobOf(request, shop, jobId)).routes.runs[0]!;
    await turnTo(page, 'Tube lengths');
    await page.getByRole('slider', { name: /^primary 1,/ }).tap();
    await turnTo(page, '3D view');
    const handle = page.locator('.label.handle').nth(1);
    const finger = await context.newCDPSession(page);
    const stroke = async (from: [number, number], to: [number, number]) => {
      const touch = (type: string, points: { x: number; y: number }[]) => finger.send('Input.dispatchTouchEvent', { type: type as 'touchStart', touchPoints: points });
      await touch('touchStart', [{ x: from[0], y: from[1] }]);
      for (let i = 1; i <= 6; i++) await touch('touchMove', [{ x: from[0] + ((to[0] - from[0]) * i) / 6, y: from[1] + ((to[1] - from[1]) * i) / 6 }]);
      await touch('touchEnd', []);
    };
    const middle = async () => {
      const box = (await handle.boundingBox())!;
      return [box.x + box.width / 2, box.y + box.height / 2] as [number, number];
    };
    const at = await atRest(handle);
    // Beside the handle: a finger need not hit its middle.
    await stroke([at[0] + 12, at[1]], [at[0] + 42, at[1] + 24]);
    await expect(page.getByRole('button', { name: /^Undo: primary 1, point/ })).toBeEnabled();
    const after = (await jobOf(request, shop, jobId)).routes.runs[0]!;
    expect(after.points[2]).not.toEqual(before.points[2]);
    const seen = await middle();
    const canvas = (await page.locator('canvas').boundingBox())!;
    await stroke([canvas.x + 40, canvas.y + 40], [canvas.x + 160, canvas.y + 60]);
    await expect.poll(async () => Math.hypot(...(await middle()).map((v, i) => v - seen[i]!))).toBeGreaterThan(5);
  });
});

test('a run is locked and the rest is routed around it', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(300_000);
  await openStep(page, jobId, 'route');
  await page.getByRole('button', { name: 'Lock primary 2' }).click();
  await expect(page.getByRole('button', { name: 'Unlock primary 2' })).toBeVisible();
  const before = (await jobOf(request, shop, jobId)).routes.runs[1]!;
  await page.getByLabel('Effort').selectOption('quick');
  await page.getByRole('button', { name: 'Re-route' }).click();
  await expect(page.getByRole('button', { name: 'Stop, keep best' })).toBeVisible();
  await expect(page.getByRole('button', { name: 'Re-route' })).toBeVisible({ timeout: 240_000 });
  const after = (await jobOf(request, shop, jobId)).routes.runs[1]!;
  expect(after.locked).toBe(true);
  expect(after.points).toEqual(before.points);
});

test('a search is stopped and its best is kept', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(180_000);
  await openStep(page, jobId, 'route');
  const { version } = await jobOf(request, shop, jobId);
  await page.getByLabel('Effort').selectOption('thorough');
  await page.getByRole('button', { name: 'Re-route' }).click();
  await expect(page.getByText(/Option \d+:/)).toBeVisible({ timeout: 60_000 });
  await expect(page.getByText(/^(About \d+ s left, or less|Nearly done)$/)).toBeVisible({ timeout: 60_000 });
  await page.getByRole('button', { name: 'Stop, keep best' }).click();
  await expect(page.getByRole('button', { name: 'Re-route' })).toBeVisible({ timeout: 60_000 });
  const job = await jobOf(request, shop, jobId);
  expect(job.version).toBeGreaterThan(version);
  expect(job.routes.runs).toHaveLength(4);
});

test('a run is pulled to a length by a sum, and what it then misses is said', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'route');
  await page.getByRole('button', { name: 'primary 3', exact: true }).last().click();
  const pull = page.getByRole('textbox', { name: 'Set length' });
  await pull.fill('=800+12');
  await pull.press('Enter');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).routes.runs[2]!.length_mm).toBeCloseTo(812, 2);
  await expect(page.getByText(/not met/).first()).toBeVisible();
  await expect(page.getByRole('region', { name: /not met/ })).toContainText('primary 3');
});

test('hovering a ruler marks the place, and choosing there chooses the bend', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  await turnTo(page, 'Tube lengths');
  const ruler = page.getByRole('slider', { name: /^primary 4,/ });
  await ruler.hover();
  await expect(ruler).toHaveAttribute('aria-valuetext', /from the port/);
  await ruler.click();
  await turnTo(page, 'Panel');
  await expect(page.getByRole('heading', { name: 'Edit primary 4' })).toBeVisible();
});

test('options are compared by price and spare clearance, and the one in use is marked', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'route');
  await page.getByLabel('Effort').selectOption('quick');
  await page.getByLabel('Options').selectOption('3');
  await page.getByRole('button', { name: 'Re-route' }).click();
  const plot = page.getByRole('group', { name: 'Options by price and spare clearance' });
  await expect(plot).toBeVisible({ timeout: 60_000 });
  const options = plot.getByRole('button');
  expect(await options.count()).toBeGreaterThan(1);
  await expect(plot.getByRole('button', { name: /in use$/ })).toHaveCount(1);
  await plot.getByRole('button', { name: /^Option 2/ }).click();
  await turnTo(page, '3D view');
  await expect(page.getByText('Overlay: Option 2')).toBeVisible();
  expect((await jobOf(request, shop, jobId)).routes.runs.length).toBe(4);
});

test('rulers have a scale, and say how far a tube is from its target', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  await turnTo(page, 'Tube lengths');
  await expect(page.locator('.scale text').first()).toHaveText('0');
  await expect(page.locator('.scale .aim')).toHaveText('target');
  await expect(page.locator('.ruler .length small').first()).toHaveText(/ of target$/);
});
