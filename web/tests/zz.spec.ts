import { jobOf, openStep, test, withoutNotes } from './shop';
test('pics', async ({ page, request, shop, jobId }) => {
  await withoutNotes(page);
  await page.setViewportSize({ width: 1440, height: 3200 });
  await openStep(page, jobId, 'strength');
  await page.getByRole('heading', { name: 'What helps' }).waitFor({ timeout: 60000 });
  await page.waitForTimeout(1500);
  await page.screenshot({ path: '/work/log/strength.png', clip: { x: 940, y: 0, width: 500, height: 3200 } });
  await page.getByRole('button', { name: 'Add to the job' }).first().click();
  await page.waitForTimeout(4000);
  await page.screenshot({ path: '/work/log/strength2.png', clip: { x: 0, y: 0, width: 1440, height: 1000 } });
  await page.getByRole('button', { name: 'in', exact: true }).click();
  await page.setViewportSize({ width: 420, height: 1800 });
  await page.waitForTimeout(800);
  await page.screenshot({ path: '/work/log/strength-phone.png' });
});
