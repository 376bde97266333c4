/** Cutting, the shelf, the saw, two pages at once, units, undo. */
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

test.beforeEach(({ page }) => withoutNotes(page));

test('a cut is booked onto the shelf and the booking is taken back', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'cut');
  const things = async () => ((await (await request.get(`${shop}/api/shelf`)).json()) as { items: unknown[] }).items.length;
  const before = await things();
  await page.getByRole('button', { name: 'Reserve stock' }).click();
  await expect(page.getByRole('button', { name: 'Cancel reservation' })).toBeVisible();
  await expect.poll(things).not.toBe(before);
  await page.reload();
  await page.getByRole('button', { name: 'Cancel reservation' }).click();
  await expect(page.getByRole('button', { name: 'Reserve stock' })).toBeVisible();
  await expect.poll(things).toBe(before);
});

test('a plan on its way tells what it has come to, and is stopped with the best kept', look(), async ({ page, request, shop }) => {
  const starter = { name: 'eight in a row', layout: 'inline', cylinders: 8, units: 'mm' };
  const made = (await (await request.post(`${shop}/api/jobs`, { data: { starter } })).json()) as { id: string };
  expect((await request.post(`${shop}/api/jobs/${made.id}/searches`, { data: { version: 1, effort: 0 } })).ok()).toBe(true);
  await openStep(page, made.id, 'cut');
  await page.getByRole('button', { name: 'Plan the cuts' }).click();
  await expect(page.getByText(/^Best so far [\d.]+; the cheapest possible is at least [\d.]+\.$/)).toBeVisible();
  await page.getByRole('button', { name: 'Stop, keep this plan' }).click();
  await expect(page.getByRole('button', { name: 'Re-plan' })).toBeEnabled();
  await expect(page.getByRole('progressbar')).toHaveCount(0);
  await expect(page.getByText(/proven cheapest|the cheapest possible is at least/)).toBeVisible();
});

test('a line of the shop is added to the quote, changed and undone', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'price');
  const direct = async () => ((await (await request.get(`${shop}/api/jobs/${jobId}/quote`)).json()) as { direct: number }).direct;
  const before = await direct();
  await page.getByRole('button', { name: 'Add a line' }).click();
  const what = page.getByRole('textbox', { name: 'Item of new line' });
  await what.fill('ceramic coating');
  await what.press('Enter');
  const price = page.getByRole('textbox', { name: 'Unit price of ceramic coating' });
  await price.fill('=2*45');
  await price.press('Enter');
  await expect.poll(direct).toBeCloseTo(before + 90, 2);
  await expect(page.getByRole('cell', { name: 'ceramic coating', exact: true }).first()).toBeVisible();
  await page.getByRole('button', { name: 'Remove ceramic coating' }).click();
  await expect.poll(direct).toBeCloseTo(before, 2);
  await page.keyboard.press('Control+z');
  await expect.poll(direct).toBeCloseTo(before + 90, 2);
});

test('the shop sets a price for all its jobs, in a field and in the text', look(), async ({ page, request, shop }) => {
  const stock = async () => (await (await request.get(`${shop}/api/stock`)).json()) as { text: string; rates: { key: string; value: number }[] };
  const hour = async () => (await stock()).rates.find((r) => r.key === 'labour_per_hour')!.value;
  await page.goto('/#/shelf');
  const prices = page.getByRole('region', { name: 'Shop prices and times' });
  await prices.getByText('Prices', { exact: true }).click();
  const labour = prices.getByRole('textbox', { name: 'labour', exact: true });
  const before = await labour.inputValue();
  await labour.fill('71.5');
  await labour.press('Enter');
  await expect.poll(hour).toBe(71.5);
  await prices.getByText('Shop file (stock.toml) as text').click();
  const text = prices.getByRole('textbox', { name: 'Shop file (stock.toml) as text' });
  await expect(text).toHaveValue(/labour_per_hour = 71.5/);
  await text.fill((await text.inputValue()).replace('71.5', `"dear"`));
  await prices.getByRole('button', { name: 'Save this text' }).click();
  await expect(prices.getByRole('region', { name: /to fix/ })).toBeVisible();
  await text.fill((await text.inputValue()).replace('"dear"', before));
  await prices.getByRole('button', { name: 'Save this text' }).click();
  await expect.poll(hour).toBe(Number(before));
  await expect(prices.getByRole('region', { name: /to fix/ })).toHaveCount(0);
});

test('a piece that is pointed at is found in the bay and on its ruler', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'cut');
  await page.getByRole('button', { name: 'Find piece 1B in 3D' }).focus();
  await expect(page.locator('rect.marked')).toHaveCount(1);
});

test('ticks at the saw survive a reload and a server that does not answer', look(), async ({ page, context, watch, jobId }) => {
  watch.allow(/ERR_INTERNET_DISCONNECTED|Failed to fetch/);
  await page.goto(`/#/saw/${jobId}`);
  const tick = page.getByRole('button', { name: 'Cut done' });
  const left = page.getByText(/of \d+ cuts left/);
  await expect(left).toHaveText(/^(\d+) of \1 cuts left$/);
  const all = Number(/of (\d+)/.exec((await left.textContent())!)![1]);
  await tick.click();
  await expect(left).toHaveText(`${all - 1} of ${all} cuts left`);
  await page.reload();
  await expect(left).toHaveText(`${all - 1} of ${all} cuts left`);
  await context.setOffline(true);
  await tick.click();
  await expect(page.getByText(/stored on this device/)).toBeVisible();
  await context.setOffline(false);
  await page.reload();
  await expect(left).toHaveText(`${all - 2} of ${all} cuts left`);
  await page.evaluate(() => localStorage.clear());
  await page.reload();
  await expect(left).toHaveText(`${all - 2} of ${all} cuts left`);
});

test('two pages on one job: nothing is lost, whichever way it is settled', look(), async ({ page, context, request, watch, shop, jobId }) => {
  watch.allow(/409/);
  const other = await context.newPage();
  await openStep(page, jobId, 'size');
  await openStep(other, jobId, 'size');
  const set = async (on: typeof page, label: string, value: string) => {
    await on.getByRole('textbox', { name: label }).fill(value);
    await on.getByRole('textbox', { name: label }).press('Enter');
  };
  await set(page, 'Tube to tube', '6');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(6);
  await set(other, 'Tube to obstacle', '14');
  await expect(other.getByRole('dialog', { name: 'Someone else changed this job' })).toBeVisible();
  await other.getByRole('button', { name: 'Apply mine to theirs' }).click();
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance).toEqual({ tubes: 6, keepouts: 14 });

  await set(page, 'Tube to tube', '7');
  await page.getByRole('button', { name: 'Save mine as a copy of the job' }).click();
  await expect(page).not.toHaveURL(new RegExp(`/${jobId}/`));
  const copy = /job\/([^/]+)\//.exec(page.url())![1]!;
  expect((await jobOf(request, shop, copy)).document.clearance.tubes).toBe(7);
  expect((await jobOf(request, shop, jobId)).document.clearance).toEqual({ tubes: 6, keepouts: 14 });
});

test('a page that is come back to shows what was done elsewhere', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'size');
  const seen = await jobOf(request, shop, jobId);
  const edits = [{ op: 'set', path: ['clearance', 'tubes'], value: 6.5 }];
  expect((await request.post(`${shop}/api/jobs/${jobId}/edits`, { data: { version: seen.version, label: 'Wider gap', edits } })).ok()).toBe(true);
  await page.evaluate(() => window.dispatchEvent(new Event('focus')));
  await expect(page.getByText('Someone else just changed: Wider gap')).toBeVisible();
  await expect(page.getByRole('textbox', { name: 'Tube to tube' })).toHaveValue(/^6.5/);
});

test('units are switched at any time and fractions are understood', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'route');
  await turnTo(page, 'Tube lengths');
  await expect(page.locator('.ruler .length').first()).toHaveText(/^\d{3}\.\d/);
  await page.getByRole('button', { name: 'in', exact: true }).click();
  await expect(page.locator('.ruler .length').first()).toHaveText(/^\d{2}( \d+\/\d+)?/);
  await page.getByRole('link', { name: 'Size' }).click();
  await turnTo(page, 'Panel');
  const tubes = page.getByRole('textbox', { name: 'Tube to tube' });
  await tubes.fill('1/4');
  await tubes.press('Enter');
  await expect(tubes).toHaveValue('1/4 in');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe('1/4 in');
  await page.getByRole('button', { name: 'mm', exact: true }).click();
});

test('changes of one kind made in a row are one line of the history', look(), async ({ page, request, shop, jobId }) => {
  for (const height of [1, 2, 3, 4]) {
    const { version } = await jobOf(request, shop, jobId);
    const edits = [{ op: 'set', path: ['port', 0, 'at'], value: [0, 0, height / 100] }];
    await request.post(`${shop}/api/jobs/${jobId}/edits`, { data: { version, label: 'Move port', edits } });
  }
  await openStep(page, jobId, 'measure');
  await page.getByRole('button', { name: 'History' }).click();
  await page.getByText('Move port, 3 times').click();
  await expect(page.getByRole('dialog').getByText('Move port', { exact: true })).toHaveCount(4);
});

test('every change is undone and redone, and two revisions are compared', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'size');
  const tubes = page.getByRole('textbox', { name: 'Tube to tube' });
  await tubes.focus();
  await tubes.press('ArrowUp');
  await tubes.press('Enter');
  const first = (await jobOf(request, shop, jobId)).document.clearance.tubes;
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(6);
  await page.getByRole('button', { name: /^Undo: Tube to tube/ }).click();
  await expect(tubes).toHaveValue('5');
  await page.getByRole('button', { name: /^Redo: Tube to tube/ }).click();
  await expect(tubes).toHaveValue('6');
  expect([5, 6]).toContain(first);
  await page.getByRole('button', { name: 'History' }).click();
  const dialog = page.getByRole('dialog', { name: 'History' });
  await dialog.getByRole('checkbox').nth(0).check();
  await dialog.getByRole('checkbox').nth(1).check();
  await dialog.getByRole('button', { name: 'Compare the two' }).click();
  await expect(dialog.getByRole('cell', { name: /primary 1/ })).toBeVisible();
});
