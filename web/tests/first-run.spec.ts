/** From the first start to a printed paper. */
import { inTurn } from './looks';
import { expect, openStep, test, turnTo } from './shop';

const look = inTurn(2);

test('the first start shows a finished example with its picture and price', look(), async ({ page, jobId }) => {
  expect(jobId).not.toBe('');
  await page.goto('/');
  await expect(page.getByRole('button', { name: 'New job' })).toBeVisible();
  const picture = page.getByRole('img', { name: /^Picture of/ }).first();
  await expect(picture).toBeVisible();
  await expect.poll(() => picture.evaluate((img: HTMLImageElement) => img.naturalWidth)).toBeGreaterThan(0);
  await page.getByRole('link', { name: /Picture of/ }).first().click();
  await expect(page.getByText('All requirements met')).toBeVisible();
  await turnTo(page, 'Tube lengths');
  await expect(page.getByRole('slider')).toHaveCount(4);
});

test('an example is taken, routed, cut and printed', look(), async ({ page }) => {
  test.setTimeout(360_000);
  await page.goto('/');
  await page.getByRole('button', { name: 'Start from an example' }).click();
  await page.getByRole('button', { name: /Use this example: .*(turbo|Turbo)/ }).click();
  await page.getByRole('link', { name: 'Route' }).click();
  await page.getByLabel('Effort').selectOption('quick');
  await page.getByRole('button', { name: 'Route', exact: true }).click();
  await expect(page.getByText(/^Routing/)).toBeVisible();
  await expect(page.getByRole('button', { name: 'Re-route' })).toBeVisible({ timeout: 240_000 });
  await page.getByRole('link', { name: 'Cut' }).click();
  await page.getByRole('button', { name: 'Plan the cuts' }).click();
  await expect(page.getByText('Yield')).toBeVisible({ timeout: 60_000 });
  await page.getByRole('link', { name: 'Print' }).click();
  const download = page.waitForEvent('download');
  await page.getByRole('link', { name: /All sheets/ }).click();
  const file = await (await download).createReadStream();
  const parts: Buffer[] = [];
  for await (const part of file) parts.push(part as Buffer);
  const pdf = Buffer.concat(parts);
  expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
  expect(pdf.length).toBeGreaterThan(20_000);
});

test('a job of one’s own is begun with a form and starts with its ports', look(), async ({ page }) => {
  await page.goto('/');
  await page.getByRole('button', { name: 'New job' }).click();
  await page.getByLabel('Job name').fill('club racer');
  await page.getByLabel(/Port spacing/).fill('3 11/16 in');
  await page.getByRole('button', { name: 'Create job' }).click();
  await expect(page.getByRole('heading', { name: 'Measurements' })).toBeVisible();
  await expect(page.getByText('Port 4', { exact: true })).toBeVisible();
  await expect(page.getByRole('textbox', { name: 'Job name' })).toHaveValue('club racer');
});

test('a sheet is shown in the page', look(), async ({ page, jobId }) => {
  await openStep(page, jobId, 'papers');
  await page.getByRole('button', { name: /Overview|overview/ }).first().click();
  await expect(page.locator('iframe')).toHaveAttribute('src', /^blob:/);
});
