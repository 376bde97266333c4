/** Every width, keyboard alone, and no fault that axe finds, light and dark. */
import AxeBuilder from '@axe-core/playwright';
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const STEPS = ['measure', 'size', 'route', 'strength', 'cut', 'price', 'papers', 'fit'];

const [everyLook, fourLooks, look] = [inTurn(8), inTurn(4), inTurn(3)];

// Both grounds and every width once: it takes a minute and more in each.
test('axe finds nothing', fourLooks(), async ({ page, jobId }) => {
  test.setTimeout(180_000);
  const { width } = page.viewportSize()!;
  const scan = async (where: string) => {
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map((v) => `${where}: ${v.id} at ${v.nodes.map((n) => n.target.join(' ')).join(', ')}`)).toEqual([]);
  };
  await page.goto('/');
  await expect(page.getByRole('img', { name: /^Picture of/ }).first()).toBeVisible();
  await scan('jobs');
  await page.getByRole('button', { name: 'New job' }).click();
  await scan('starter');
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'Start from an example' }).click();
  await expect(page.getByRole('button', { name: /^Use this example/ }).first()).toBeVisible();
  await scan('examples');
  for (const step of STEPS) {
    await openStep(page, jobId, step);
    const run = page.getByRole('button', { name: 'primary 1', exact: true }).first();
    if (width > 820 || (await run.isVisible())) await run.click();
    await page.waitForTimeout(700);
    await scan(step);
  }
  for (const view of width <= 820 ? (['Tube lengths', '3D view', 'Panel'] as const) : []) {
    await turnTo(page, view);
    await scan(view);
  }
  await page.getByRole('button', { name: 'History' }).click();
  await expect(page.getByRole('dialog').getByRole('listitem').first()).toBeVisible();
  await scan('history');
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'Text', exact: true }).click();
  await expect(page.getByRole('textbox', { name: 'Text of job.toml' })).toBeVisible();
  await scan('text');
  await turnTo(page, '3D view');
  await page.locator('details.menu > summary').click();
  await scan('view menu');
  await page.goto(`/#/saw/${jobId}`);
  await expect(page.getByRole('button', { name: 'Cut done' })).toBeVisible();
  await scan('saw');
  await page.goto('/#/shelf');
  await expect(page.getByRole('heading', { name: 'Add to stock on hand' })).toBeVisible();
  await scan('shelf');
});

test('nothing is cut off', everyLook(), async ({ page, jobId }) => {
  const wide = () => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  await page.goto('/');
  await expect(page.getByRole('button', { name: 'New job' })).toBeVisible();
  expect(await wide()).toBeLessThanOrEqual(0);
  for (const step of STEPS) {
    await openStep(page, jobId, step);
    await expect(page.locator('#work h2').first()).toBeVisible();
    expect(await wide(), step).toBeLessThanOrEqual(0);
  }
  await turnTo(page, 'Tube lengths');
  await expect(page.getByRole('slider').first()).toBeVisible();
  await turnTo(page, '3D view');
  await expect(page.locator('canvas')).toBeVisible();
  expect(await wide()).toBeLessThanOrEqual(0);
  await page.goto(`/#/saw/${jobId}`);
  await expect(page.getByRole('button', { name: 'Cut done' })).toBeVisible();
  expect(await wide()).toBeLessThanOrEqual(0);
});

test('a run is chosen and bent with the keyboard alone', look(), async ({ page, request, shop, jobId }) => {
  await withoutNotes(page);
  await openStep(page, jobId, 'route');
  const before = (await jobOf(request, shop, jobId)).routes.runs[0]!;
  const focused = () => page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '');
  const tabTo = async (wanted: RegExp) => {
    for (let i = 0; i < 80 && !wanted.test(await focused()); i++) await page.keyboard.press('Tab');
    expect(await focused()).toMatch(wanted);
  };
  /** As `turnTo`, without a mouse. */
  const turnByKeys = async (part: RegExp) => {
    if (!(await page.getByRole('navigation', { name: 'View', exact: true }).isVisible())) return;
    await tabTo(part);
    await page.keyboard.press('Enter');
  };
  await turnByKeys(/^Tube lengths$/);
  await expect(page.getByRole('slider')).toHaveCount(4);
  await tabTo(/^primary 1, /);
  for (let i = 0; i < 4; i++) await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('Enter');
  await turnByKeys(/^Panel$/);
  await expect(page.getByRole('heading', { name: 'Edit primary 1' })).toBeVisible();
  await tabTo(/^Set length/);
  await page.keyboard.press('Shift+ArrowUp');
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await jobOf(request, shop, jobId)).routes.runs[0]!.length_mm).toBeCloseTo(before.length_mm + 10, 1);
});

test('the skip link leads to the panel, whatever is shown', look(), async ({ page, jobId }) => {
  await withoutNotes(page);
  await openStep(page, jobId, 'size');
  await turnTo(page, '3D view');
  await page.getByRole('link', { name: 'Skip to panel' }).focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('region', { name: 'Panel' })).toBeFocused();
  await expect(page.getByRole('textbox', { name: 'Tube to tube' })).toBeVisible();
});

test('the bay turns by keys', look(), async ({ page, jobId }) => {
  await withoutNotes(page);
  await openStep(page, jobId, 'route');
  await turnTo(page, '3D view');
  const label = page.locator('.label.run').first();
  await expect(label).toBeVisible();
  const before = (await label.boundingBox())!;
  await page.locator('canvas').focus();
  for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowLeft');
  const away = async () => {
    const now = (await label.boundingBox())!;
    return Math.hypot(now.x - before.x, now.y - before.y);
  };
  await expect.poll(away).toBeGreaterThan(10);
});
