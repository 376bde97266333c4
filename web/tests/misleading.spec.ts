/** Nothing misleads and nothing destroys: closest attempts, drags in the 3D view, advice, figures of an earlier state, lost connections. */
import AxeBuilder from '@axe-core/playwright';
import type { APIRequestContext, Page } from '@playwright/test';
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

test.beforeEach(({ page }) => withoutNotes(page));

interface Edit { op: 'set' | 'remove'; path: (string | number)[]; value?: unknown }

async function starter(request: APIRequestContext, shop: string): Promise<string> {
  const made = await request.post(`${shop}/api/jobs`, { data: { starter: { name: 'impossible', layout: 'inline', cylinders: 4, bore_spacing: 93 } } });
  expect(made.status()).toBe(201);
  return ((await made.json()) as { id: string }).id;
}

async function edit(request: APIRequestContext, shop: string, id: string, edits: Edit[]): Promise<void> {
  const { version } = await jobOf(request, shop, id);
  const done = await request.post(`${shop}/api/jobs/${id}/edits`, { data: { version, label: 'by the test', edits } });
  expect(done.status(), await done.text()).toBe(200);
}

async function search(page: Page, effort = 'quick'): Promise<void> {
  await page.getByLabel('Effort').selectOption(effort);
  await page.getByRole('button', { name: /^(Route|Re-route)$/ }).click();
  await expect(page.getByRole('button', { name: 'Re-route' })).toBeVisible({ timeout: 120_000 });
}

test('a closest attempt is drawn with what it misses, beside the routes and never in their place', look(), async ({ page, request, shop }) => {
  test.setTimeout(240_000);
  const id = await starter(request, shop);
  await edit(request, shop, id, [{ op: 'set', path: ['length', 'target'], value: 300 }]);
  await openStep(page, id, 'route');
  await search(page);
  await expect(page.getByRole('heading', { name: 'Closest attempt' })).toBeVisible();
  await expect(page.getByRole('region', { name: /not met/ })).toContainText('primary 1');
  await turnTo(page, 'Tube lengths');
  await expect(page.getByRole('slider', { name: /^primary 4,/ })).toBeVisible();
  await turnTo(page, 'Panel');
  expect((await jobOf(request, shop, id)).routes).toBeNull();
  // Fixed by the change that was tested, and routed.
  await page.getByRole('button', { name: /^Apply and route: make the primaries/ }).click();
  await expect(page.getByText('✓ All requirements met')).toBeVisible({ timeout: 120_000 });
  const good = (await jobOf(request, shop, id)).routes.runs;
  expect(good).toHaveLength(4);
  // An impossible target now leaves the good routes as they are.
  await edit(request, shop, id, [{ op: 'set', path: ['length', 'target'], value: 300 }]);
  await page.reload();
  await search(page);
  await expect(page.getByRole('heading', { name: 'Closest attempt' })).toBeVisible();
  expect((await jobOf(request, shop, id)).routes.runs.map((r) => r.points)).toEqual(good.map((r) => r.points));
  await page.getByRole('button', { name: 'Show saved routes' }).click();
  await expect(page.getByRole('button', { name: 'Show the closest attempt' })).toBeVisible();
  await page.getByRole('button', { name: 'Show the closest attempt' }).click();
  await page.getByRole('button', { name: 'Discard it' }).click();
  await expect(page.getByRole('heading', { name: 'Closest attempt' })).toBeHidden();
});

test('advice lists only changes that make the job hold, an unlocked tube among them', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(240_000);
  // A locked tube that is too long: the target cannot be met while it is kept.
  const { version } = await jobOf(request, shop, jobId);
  const pulled = await request.put(`${shop}/api/jobs/${jobId}/routes`, {
    data: { version, label: 'too long', edit: { kind: 'pull_to_length', run: 'primary 2', length_mm: 830 } },
  });
  expect(pulled.status()).toBe(200);
  await openStep(page, jobId, 'route');
  await page.getByRole('button', { name: 'Lock primary 2' }).click();
  await expect(page.getByRole('button', { name: 'Unlock primary 2' })).toBeVisible();
  const heard = page.waitForResponse((r) => r.url().includes('/searches'));
  await search(page);
  const events = await (await heard).text();
  const done = JSON.parse(/event: ?done\ndata: ?(.*)/.exec(events)![1]!) as { relaxations: { change: string; met: boolean }[] };
  const held = done.relaxations.filter((r) => r.met).map((r) => r.change);
  expect(held).toContain('unlock primary 2');
  const fixes = page.getByRole('button', { name: /^Apply and route/ });
  await expect(fixes).toHaveCount(held.length);
  for (const failed of done.relaxations.filter((r) => !r.met)) await expect(page.getByText(failed.change)).toHaveCount(0);
  await page.getByRole('button', { name: 'Apply and route: unlock primary 2' }).click();
  await expect(page.getByText('✓ All requirements met')).toBeVisible({ timeout: 120_000 });
});

test('a drag turns the view and moves nothing; a selected thing moves by a typed offset and by its arrows', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'measure');
  await turnTo(page, '3D view');
  const canvas = page.locator('canvas');
  await expect(page.locator('.label.place').first()).toBeVisible();
  const before = await documentOf(request, shop, jobId);
  const box = (await canvas.boundingBox())!;
  for (const [x, y] of [[0.5, 0.5], [0.35, 0.6], [0.6, 0.4], [0.7, 0.65], [0.25, 0.3]] as const) {
    const at = [box.x + box.width * x, box.y + box.height * y] as const;
    await page.mouse.move(...at);
    await page.mouse.down();
    await page.mouse.move(at[0] + 90, at[1] + 30, { steps: 5 });
    await page.mouse.up();
  }
  await page.waitForTimeout(500);
  expect(await documentOf(request, shop, jobId)).toEqual(before);
  // Selected in the list: a typed offset.
  await turnTo(page, 'Panel');
  await page.getByText('Port 1', { exact: true }).click();
  const [x0] = before.port[0]!.at;
  await page.getByRole('textbox', { name: 'Move by, x (front)' }).fill('12.5');
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Move Port 1', exact: true }).click();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).port[0]!.at[0]).toBeCloseTo(x0 + 12.5, 3);
  await page.getByRole('button', { name: /^Undo: port 1 moved/ }).click();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).port[0]!.at[0]).toBeCloseTo(x0, 3);
});

async function toStep(page: Page, name: string): Promise<void> {
  await page.getByRole('navigation', { name: 'Steps of the job' }).getByRole('link', { name }).click();
}

async function documentOf(request: APIRequestContext, shop: string, id: string) {
  return ((await (await request.get(`${shop}/api/jobs/${id}`)).json()) as { document: { port: { at: [number, number, number] }[] } }).document;
}

test('figures out of date are greyed with the reason, and nothing can be exported from them', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'cut');
  await expect(page.getByText(/proven cheapest|cheapest possible/)).toBeVisible();
  await toStep(page, 'Price');
  await expect(page.getByRole('row', { name: /^Total/ })).toBeVisible();
  const removed = page.waitForResponse((r) => r.url().includes('/edits'));
  await toStep(page, 'Measure');
  await page.getByRole('region', { name: 'Collectors' }).locator('summary').first().click();
  await page.getByRole('region', { name: 'Collectors' }).getByRole('button', { name: /^Remove/ }).click();
  await removed;
  await toStep(page, 'Cut');
  await expect(page.locator('main').getByText(/out of date/).first()).toBeVisible();
  await expect(page.getByText('proven cheapest')).toHaveCount(0);
  await expect(page.locator('.stale-figures dl')).toBeVisible();
  await expect(page.getByRole('link', { name: 'Saw view' })).toHaveCount(0);
  await toStep(page, 'Price');
  await expect(page.locator('main .stale-figures').getByRole('row', { name: /^Total/ })).toBeVisible();
  await expect(page.getByRole('link', { name: 'Quote as PDF' })).toHaveCount(0);
  await toStep(page, 'Print');
  await expect(page.getByRole('link', { name: /STEP/ })).toHaveCount(0);
  expect((await request.get(`${shop}/api/jobs/${jobId}/exports/cutlist`)).status()).not.toBe(200);
  await page.keyboard.press('Control+z');
  await toStep(page, 'Cut');
  await expect(page.getByText(/out of date/)).toHaveCount(0);
});

test('a job that is not met says so on Cut, Price, Print and at the saw', look(), async ({ page, request, shop, jobId }) => {
  await edit(request, shop, jobId, [{ op: 'set', path: ['clearance', 'tubes'], value: 40 }]);
  for (const step of ['cut', 'price', 'papers']) {
    await openStep(page, jobId, step);
    await expect(page.locator('main').getByText(/Don’t cut yet: \d+ requirements? (is|are) not met/)).toBeVisible();
  }
  await page.goto(`/#/saw/${jobId}`);
  await expect(page.getByText(/Don’t cut yet|out of date/).first()).toBeVisible();
});

test('Esc does not drop a change that met another one', look(), async ({ page, request, shop, jobId, watch }) => {
  watch.allow(/409/);
  await openStep(page, jobId, 'size');
  const gap = page.getByRole('textbox', { name: 'Tube to tube' });
  await expect(gap).toBeVisible();
  await edit(request, shop, jobId, [{ op: 'set', path: ['clearance', 'keepouts'], value: 7 }]);
  await gap.fill('6.5');
  await gap.press('Enter');
  const dialog = page.getByRole('dialog');
  await expect(dialog).toBeVisible();
  await page.keyboard.press('Escape');
  await page.keyboard.press('Escape');
  await page.keyboard.press('Escape');
  await expect(dialog).toBeVisible();
  await expect(dialog.getByRole('button', { name: 'Close' })).toHaveCount(0);
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
  await dialog.getByRole('button', { name: 'Apply mine to theirs' }).click();
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance).toMatchObject({ tubes: 6.5, keepouts: 7 });
});

test('a value typed while the server is gone stays and is sent again', look(), async ({ page, context, request, shop, jobId, watch }) => {
  watch.allow(/ERR_INTERNET_DISCONNECTED|Failed to load resource/);
  await openStep(page, jobId, 'size');
  const gap = page.getByRole('textbox', { name: 'Tube to tube' });
  await expect(gap).toBeVisible();
  await context.setOffline(true);
  await gap.fill('6.25');
  await gap.press('Enter');
  await expect(page.getByText(/Your change is kept and sent again/)).toBeVisible();
  await expect(gap).toHaveValue('6.25');
  await context.setOffline(false);
  await expect(page.getByText(/Your change is kept and sent again/)).toBeHidden({ timeout: 15_000 });
  await expect(gap).toHaveValue('6.25');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(6.25);
});
