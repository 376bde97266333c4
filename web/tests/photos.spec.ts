/** A survey by photo: photos taken in, markers named, what is off said in words, places put into the job. */
import AxeBuilder from '@axe-core/playwright';
import { readFileSync } from 'node:fs';
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, withoutNotes } from './shop';

const look = inTurn(2);

const GIVEN = '../checks/photos/given';
const PHOTOS = Array.from({ length: 8 }, (_, i) => `${GIVEN}/IMG_0${i + 1}.jpg`);

test.beforeEach(({ page }) => withoutNotes(page));

test('a photo survey: photos dropped together, a knocked plate named, places go into the job', look(), async ({ page, request, shop, jobId, watch }) => {
  test.setTimeout(240_000);
  watch.allow(/422/);
  await openStep(page, jobId, 'measure');
  await page.getByRole('button', { name: 'Survey by photo' }).click();
  const broken = { name: 'torn.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('GIF89a, called a JPEG') };
  await page.locator('input[type=file][multiple]').setInputFiles([...PHOTOS.map((name) => ({ name: name.split('/').pop()!, mimeType: 'image/jpeg', buffer: readFileSync(name) })), broken]);
  await expect(page.getByText(/torn\.jpg: neither JPEG nor PNG/)).toBeVisible({ timeout: 90_000 });
  const list = page.getByRole('region', { name: 'Photos', exact: true });
  await expect(list.getByRole('img')).toHaveCount(8);
  await expect(list.getByRole('img', { name: /IMG_01\.jpg with 1\d found markers outlined/ })).toBeVisible();

  // The plates of the set are not those of this job's sheets: its own survey.toml names them, but for one that is typed here, and no bar.
  const text = readFileSync(`${GIVEN}/survey.toml`, 'utf8').replace(', 9]', ']').replace(', "shaft"]', ']').replace(/\[photos\.bar\][^[]*\[16, 17\]\nmeasured.*\n/, '');
  const { version } = await jobOf(request, shop, jobId);
  expect((await request.put(`${shop}/api/jobs/${jobId}/documents/survey.toml`, { data: { version, text, label: 'survey' } })).ok()).toBe(true);
  await page.reload();
  await page.getByRole('button', { name: 'Survey by photo' }).click();
  await expect(page.getByText(/No size yet/)).toBeVisible({ timeout: 60_000 });
  await page.getByLabel('First marker of the bar').fill('16');
  await page.getByLabel('Second marker of the bar').fill('17');
  await page.getByLabel('Second marker of the bar').blur();
  await page.getByLabel('Bar, centre to centre, as measured').fill('200');
  await page.getByLabel('Bar, centre to centre, as measured').press('Enter');
  await expect(page.getByText(/The prints came out at 98\.\d+ % of the drawn size/)).toBeVisible({ timeout: 60_000 });
  await page.getByLabel('Point under marker 9', { exact: true }).fill('shaft');
  await page.getByLabel('Point under marker 9', { exact: true }).press('Enter');
  await expect(page.getByText(/The plate on shaft moved after photo 5 \(before IMG_06\.jpg\)/)).toBeVisible({ timeout: 60_000 });
  await expect(page.getByRole('region', { name: 'Result' }).getByText(/All 6 points are fixed/)).toBeVisible();
  await expect(page.getByRole('region', { name: 'The net' }).locator('path.camera')).toHaveCount(16);

  const inJob = page.getByRole('region', { name: 'Into the job' });
  await inJob.getByRole('group', { name: 'Port 1', exact: true }).getByLabel('Centre').selectOption('port 1');
  await inJob.getByRole('button', { name: 'Put places into the job' }).click();
  await expect(inJob.getByText(/values? changed/)).toBeVisible();
  const job = (await jobOf(request, shop, jobId)) as unknown as { document: { port: { at: number[]; axis_sd?: number }[] } };
  expect(job.document.port[0]!.at).toEqual([0, 0, 0]);
  expect(job.document.port[0]!.axis_sd).toBeLessThan(0.5);
  const seen = await new AxeBuilder({ page }).include('main').analyze();
  expect(seen.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(' ')).join(', ')}`)).toEqual([]);
});
