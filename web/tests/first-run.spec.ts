/** From the first start to a printed paper. */
import { expect, openStep, test } from './shop';

test('the first start shows a finished example with its picture and price', async ({ page, jobId }) => {
  expect(jobId).not.toBe('');
  await page.goto('/');
  await expect(page.getByRole('button', { name: 'Start my own' })).toBeVisible();
  const picture = page.getByRole('img', { name: /^Picture of/ }).first();
  await expect(picture).toBeVisible();
  await expect.poll(() => picture.evaluate((img: HTMLImageElement) => img.naturalWidth)).toBeGreaterThan(0);
  await page.getByRole('link', { name: /Picture of/ }).first().click();
  await expect(page.getByText('Every requirement holds')).toBeVisible();
  await expect(page.getByRole('slider')).toHaveCount(4);
});

test('an example is taken, routed, cut and printed', async ({ page }) => {
  test.setTimeout(360_000);
  await page.goto('/');
  await page.getByRole('button', { name: 'From an example' }).click();
  await page.getByRole('button', { name: /Take this one: .*(turbo|Turbo)/ }).click();
  await page.getByRole('link', { name: 'Route' }).click();
  await page.getByLabel('How hard').selectOption('quick');
  await page.getByRole('button', { name: 'Find routes' }).click();
  await expect(page.getByText('Searching')).toBeVisible();
  await expect(page.getByRole('button', { name: 'Search again' })).toBeVisible({ timeout: 240_000 });
  await page.getByRole('link', { name: 'Cut' }).click();
  await page.getByRole('button', { name: 'Plan the cuts' }).click();
  await expect(page.getByText('Yield')).toBeVisible({ timeout: 60_000 });
  await page.getByRole('link', { name: 'Papers' }).click();
  const download = page.waitForEvent('download');
  await page.getByRole('link', { name: /All papers/ }).click();
  const file = await (await download).createReadStream();
  const parts: Buffer[] = [];
  for await (const part of file) parts.push(part as Buffer);
  const pdf = Buffer.concat(parts);
  expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
  expect(pdf.length).toBeGreaterThan(20_000);
});

test('a job of one’s own is begun with a form and starts with its ports', async ({ page }) => {
  await page.goto('/');
  await page.getByRole('button', { name: 'Start my own' }).click();
  await page.getByLabel('What is it for?').fill('club racer');
  await page.getByLabel(/From one port to the next/).fill('3 11/16 in');
  await page.getByRole('button', { name: 'Make the job' }).click();
  await expect(page.getByRole('heading', { name: 'What is there' })).toBeVisible();
  await expect(page.getByText('Port 4', { exact: true })).toBeVisible();
  await expect(page.getByRole('textbox', { name: 'Name of the job' })).toHaveValue('club racer');
});

test('a sheet is shown in the page', async ({ page, jobId }) => {
  await openStep(page, jobId, 'papers');
  await page.getByRole('button', { name: /Overview|overview/ }).first().click();
  await expect(page.locator('iframe')).toHaveAttribute('src', /^blob:/);
});
