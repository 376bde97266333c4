/** Input that answers, everything of a job from the page, and the text beside the forms. */
import { readFileSync } from 'node:fs';
import type { APIRequestContext } from '@playwright/test';
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

test.beforeEach(({ page }) => withoutNotes(page));

async function documentOf(request: APIRequestContext, shop: string, id: string) {
  return ((await (await request.get(`${shop}/api/jobs/${id}`)).json()) as { document: Record<string, never> }).document as unknown as {
    engine: { firing_order: number[]; exhaust_cam?: { lift: number } };
    collector: { inlet_of?: Record<string, number>; may_move?: { along: number }; rotation?: string }[];
    keepout: { shape: string; axes?: number[][]; clearance?: number }[];
    tail?: { from: string; via?: number[][] }[];
    clearance: { tubes: number };
  };
}

test('bad input stays with its reason; commas and sums are understood; Ctrl+Z is of the job', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'size');
  const gap = page.getByRole('textbox', { name: 'Tube to tube' });
  for (const bad of ['abc', '1e9', '1,250']) {
    await gap.fill(bad);
    await gap.press('Tab');
    await expect(gap).toHaveValue(bad);
    await expect(gap).toHaveAttribute('aria-invalid', 'true');
    await expect(page.locator('main').getByRole('alert')).toBeVisible();
  }
  await gap.fill('6,5');
  await gap.press('Enter');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(6.5);
  await gap.fill('2*3+1');
  await gap.press('Enter');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(7);
  await expect(gap).toBeFocused();
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(6.5);
  await page.keyboard.press('Control+y');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).document.clearance.tubes).toBe(7);
  // A value that the job cannot hold: the reason stands under its field, and the last good picture stays.
  await gap.fill('99999');
  await gap.press('Enter');
  await expect(page.locator('main').getByRole('alert')).toContainText(/500/);
  await expect(page.getByText('Showing the last valid version', { exact: false })).toHaveCount(1);
  await turnTo(page, 'Tube lengths');
  await expect(page.getByRole('slider')).toHaveCount(4);
});

test('firing order, cams, inlets, travel, turned boxes and tails are set in forms', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(150_000);
  await openStep(page, jobId, 'size');
  const order = page.getByRole('textbox', { name: 'Firing order' });
  await order.fill('1-2-4-3');
  await order.press('Enter');
  await expect.poll(async () => (await documentOf(request, shop, jobId)).engine.firing_order).toEqual([1, 2, 4, 3]);
  await openStep(page, jobId, 'measure');
  const collectors = page.getByRole('region', { name: 'Collectors' });
  await collectors.locator('summary').first().click();
  await collectors.getByText('Inlet of each cylinder').click();
  await collectors.getByRole('combobox', { name: 'Cylinder 1' }).selectOption('2');
  await expect.poll(async () => (await documentOf(request, shop, jobId)).collector[0]!.inlet_of?.['1']).toBe(2);
  await collectors.getByLabel('The router may move it').check();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).collector[0]!.may_move?.along).toBeGreaterThan(0);
  const obstacles = page.getByRole('region', { name: 'Obstacles' });
  await obstacles.getByRole('button', { name: 'Add a box' }).click();
  const turned = page.getByRole('textbox', { name: /Turned, ° about z/ }).last();
  await expect(turned).toBeVisible();
  await turned.fill('30');
  await turned.press('Enter');
  await expect.poll(async () => (await documentOf(request, shop, jobId)).keepout.at(-1)!.axes?.[0]?.[1]).toBeCloseTo(0.5, 6);
  await obstacles.getByRole('button', { name: 'Add a round-ended cylinder' }).click();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).keepout.at(-1)!.shape).toBe('capsule');
  const tails = page.getByRole('region', { name: 'Tails' });
  await tails.getByRole('button', { name: 'Add a tail' }).click();
  await tails.locator('summary').first().click();
  await tails.getByRole('button', { name: 'Add a waypoint' }).click();
  await expect.poll(async () => (await documentOf(request, shop, jobId)).tail?.[0]?.via?.length).toBe(1);
});

test('a file that is nonsense opens as text with what is wrong, and is put right there', look(), async ({ page, request, shop, jobId, watch }) => {
  // Chromium gives text that replaces a selection the style of what it replaces; the server's policy forbids that.
  watch.allow(/Applying inline style/);
  const { version } = await jobOf(request, shop, jobId);
  const before = ((await (await request.get(`${shop}/api/jobs/${jobId}`)).json()) as { text: string }).text;
  const put = await request.put(`${shop}/api/jobs/${jobId}/documents/job.toml`, { data: { version, label: 'nonsense', text: 'this = = no toml' } });
  expect(put.status()).toBe(200);
  await openStep(page, jobId, 'measure');
  const editor = page.getByRole('textbox', { name: 'Text of job.toml' });
  await expect(editor).toBeVisible();
  await expect(page.locator('.cm-lintRange-error').first()).toBeVisible();
  await editor.focus();
  await page.keyboard.press('Control+a');
  await page.keyboard.insertText(before);
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await expect(page.getByText(/things? to fix/)).toHaveCount(0);
  await page.getByRole('button', { name: 'Form', exact: true }).click();
  await expect(page.getByRole('region', { name: 'Ports' })).toBeVisible();
});

test('the text completes from the schema, and a problem leads to its field or its line', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  await page.getByRole('button', { name: 'Text', exact: true }).click();
  const editor = page.getByRole('textbox', { name: 'Text of job.toml' });
  await editor.focus();
  await page.keyboard.press('Control+End');
  await page.keyboard.insertText('\n[clearance]\ntubes = 900\n');
  await page.keyboard.type('keep');
  await expect(page.locator('.cm-tooltip-autocomplete')).toContainText('keepouts');
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'Revert' }).click();
  await page.getByRole('button', { name: 'Form', exact: true }).click();
  await page.getByRole('navigation', { name: 'Steps of the job' }).getByRole('link', { name: 'Size' }).click();
  const gap = page.getByRole('textbox', { name: 'Tube to tube' });
  await gap.fill('99999');
  await gap.press('Enter');
  await page.getByRole('navigation', { name: 'Steps of the job' }).getByRole('link', { name: 'Measure' }).click();
  await page.getByRole('button', { name: 'Go to field' }).first().click();
  await expect(gap).toBeFocused();
  await page.getByRole('button', { name: /^job\.toml, line/ }).first().click();
  await expect(editor).toBeVisible();
  await expect(page.locator('.cm-activeLine')).toContainText('99999');
});

test('the 3D view shows sides, layers, a section and a picture, and names obstacles', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  await turnTo(page, '3D view');
  await expect(page.locator('.label.run').first()).toBeVisible();
  const menu = page.locator('details.menu');
  await menu.locator('> summary').click();
  await menu.getByLabel('Names of obstacles').check();
  await expect(page.locator('.label.place').nth(1)).toBeVisible();
  await menu.getByRole('button', { name: 'Right' }).click();
  await menu.getByRole('combobox', { name: 'Section' }).selectOption('0');
  await expect(menu.getByText(/Section at/)).toBeVisible();
  const download = page.waitForEvent('download');
  await menu.getByRole('button', { name: 'Save picture (PNG)' }).click();
  expect((await download).suggestedFilename()).toMatch(/\.png$/);
});

test('a single tube and a single obstacle are hidden in the 3D view and shown again', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'route');
  await turnTo(page, '3D view');
  const tag = page.locator('.label.run', { hasText: /^2$/ });
  await expect(tag).toBeVisible();
  await page.locator('details.menu > summary').click();
  await page.getByText('Single objects').click();
  const sight = page.getByLabel('How primary 2 is shown');
  await sight.selectOption('hidden');
  await expect(tag).toHaveCount(0);
  await sight.selectOption('see-through');
  await expect(tag).toBeVisible();
});

test('port flanges are given in a form; the last one removed leaves each port its own plate', look(), async ({ page, request, shop, jobId }) => {
  const kept = async () => {
    const answer = await request.get(`${shop}/api/jobs/${jobId}/documents/flange.toml`);
    return answer.status() === 404 ? null : ((await answer.json()) as { tree: { flange: { thickness: number; meets?: string; pocket?: number; hole?: unknown[] }[] } }).tree.flange;
  };
  await openStep(page, jobId, 'measure');
  const flanges = page.getByRole('region', { name: 'Port flanges' });
  await flanges.locator('summary').first().click();
  const thickness = flanges.getByRole('textbox', { name: 'head, Plate thickness' });
  await thickness.fill('12');
  await thickness.press('Enter');
  await expect.poll(async () => (await kept())?.[0]?.thickness).toBe(12);
  await thickness.fill('-3');
  await thickness.press('Enter');
  await expect(flanges.getByRole('alert')).toBeVisible();
  await thickness.fill('12');
  await thickness.press('Enter');
  await expect(flanges.getByRole('alert')).toHaveCount(0);
  await flanges.getByRole('combobox', { name: 'head, The tube ends' }).selectOption('pocket');
  await flanges.getByRole('textbox', { name: 'head, Pocket depth' }).fill('4');
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await kept())?.[0]?.pocket).toBe(4);
  await flanges.getByRole('button', { name: 'Add a hole' }).click();
  await expect.poll(async () => (await kept())?.[0]?.hole?.length).toBe(1);
  await flanges.getByRole('button', { name: 'Remove head' }).click();
  await expect(flanges.getByText('Each port has a plate of its own', { exact: false })).toBeVisible();
  expect(await kept()).toBeNull();
  await flanges.getByRole('button', { name: 'Add a flange' }).click();
  await expect.poll(async () => (await kept())?.length).toBe(1);
  await expect(flanges.getByRole('textbox', { name: 'head, Plate thickness' })).toHaveValue('10');
});

test('the assembly is played tube by tube, with the tacks of each', look(), async ({ page, request, shop, jobId }) => {
  const { steps } = (await (await request.get(`${shop}/api/jobs/${jobId}/assembly`)).json()) as { steps: { run: string; tacks: { joint: string }[] }[] };
  await openStep(page, jobId, 'cut');
  await turnTo(page, '3D view');
  await page.locator('details.menu > summary').click();
  await page.getByRole('button', { name: 'Play the assembly' }).click();
  const film = page.getByRole('region', { name: 'Order of assembly' });
  await film.getByRole('button', { name: 'Pause' }).click();
  for (const [i, step] of steps.entries()) {
    await film.getByRole('slider').fill(String(i + 1));
    await expect(film.getByText(`${i + 1} of ${steps.length}: ${step.run} onto its studs`, { exact: false })).toBeVisible();
    for (const tack of step.tacks) await expect(film.getByText(`Tack ${tack.joint} at`, { exact: false })).toBeVisible();
    await expect(page.locator('.label.run', { hasText: /^1A$/ })).toHaveCount(steps.slice(0, i + 1).some((s) => s.run === 'primary 1') ? 1 : 0);
  }
  await film.getByRole('button', { name: 'Close the film' }).click();
  await expect(film).toHaveCount(0);
  await expect(page.locator('.label.run', { hasText: /^1A$/ })).toBeVisible();
});

test('a 3D view that the browser takes away says so, and draws again when it is back', look(), async ({ page, watch, jobId }) => {
  watch.allow(/WebGL|CONTEXT_LOST/i);
  await openStep(page, jobId, 'route');
  await turnTo(page, '3D view');
  const canvas = page.locator('canvas');
  await expect(page.locator('.label.run').first()).toBeVisible();
  await canvas.evaluate((element: HTMLCanvasElement) => {
    const context = element.getContext('webgl2')!;
    const loss = context.getExtension('WEBGL_lose_context')!;
    Object.assign(window, { giveBack: () => loss.restoreContext() });
    loss.loseContext();
  });
  await expect(page.getByText('The browser stopped the 3D view', { exact: false })).toBeVisible();
  await page.evaluate(() => (window as unknown as { giveBack: () => void }).giveBack());
  await expect(page.getByText('The browser stopped the 3D view', { exact: false })).toHaveCount(0);
  // Something is drawn: not every pixel has the colour of the ground.
  await page.locator('details.menu > summary').click();
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save picture (PNG)' }).click();
  const picture = readFileSync((await (await download).path())!).toString('base64');
  const colours = await page.evaluate(async (base64) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))]));
    const small = new OffscreenCanvas(64, 64).getContext('2d')!;
    small.drawImage(bitmap, 0, 0, 64, 64);
    return new Set(new Uint32Array(small.getImageData(0, 0, 64, 64).data.buffer)).size;
  }, picture);
  expect(colours).toBeGreaterThan(20);
});
