/** A survey by tape: typed reading by reading, what is doubtful named, and its places put into the job. */
import { readFileSync } from 'node:fs';
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, withoutNotes } from './shop';

const look = inTurn(4);

const SURVEY = readFileSync('../checks/survey/given/survey.toml', 'utf8');

test.beforeEach(({ page }) => withoutNotes(page));

test('a tape survey: a misread number is named, the side is asked, places go into the job', look(), async ({ page, request, shop, jobId }) => {
  test.setTimeout(150_000);
  // The whole net but one reading, with a slip of 40 mm, and nothing that tells left from right.
  const text = SURVEY.replace(/\n\s*\["rod 1", "rod 4", 316\.5\],/, '').replace('["mount front", "port 4", 526.5]', '["mount front", "port 4", 566.5]').replace(/\nleft = .*/, '');
  const { version } = await jobOf(request, shop, jobId);
  const put = await request.put(`${shop}/api/jobs/${jobId}/documents/survey.toml`, { data: { version, text, label: 'survey' } });
  expect(put.ok()).toBe(true);

  await openStep(page, jobId, 'measure');
  await page.getByRole('button', { name: 'Survey by tape' }).click();
  const card = page.getByRole('form', { name: 'Add a reading' });
  await card.getByLabel('From').fill('rod 1');
  await card.getByLabel('To', { exact: true }).fill('Rod-4');
  await card.getByLabel(/^Reads/).fill('316.5');
  await expect(card.getByRole('button', { name: 'Save reading' })).toBeDisabled();
  await card.getByRole('button', { name: 'Yes, use “rod 4”' }).click();
  await card.getByRole('button', { name: 'Save reading' }).click();
  await expect(page.getByRole('row', { name: /rod 1 – rod 4/ })).toBeVisible();

  const result = page.getByRole('region', { name: 'Result' });
  await expect(result.getByText('Tape, mount front – port 4, looks misread')).toBeVisible();
  await expect(result.getByText(/You read 566\.5 mm\. The other readings say 52\d/)).toBeVisible();
  await result.getByRole('button', { name: /^Use 52\d/ }).click();
  await expect(result.getByText('looks misread')).toHaveCount(0);
  await expect(result.getByText('On which side is')).toBeVisible();
  await expect(page.getByRole('button', { name: 'Put places into the job' })).toBeDisabled();
  // The truth of this survey: everything that was photographed or taped lies on the left.
  await result.getByRole('button', { name: 'On the left' }).click();
  await expect(result.getByText(/All 19 points are fixed/)).toBeVisible();

  const inJob = page.getByRole('region', { name: 'Into the job' });
  await inJob.getByRole('group', { name: 'Port 1', exact: true }).getByLabel('Centre').selectOption('port 1');
  await inJob.getByRole('group', { name: 'Port 1', exact: true }).getByLabel('Direction to').selectOption('rod 1');
  await inJob.getByRole('button', { name: 'Put places into the job' }).click();
  await expect(inJob.getByText(/values? changed/)).toBeVisible();
  const job = (await jobOf(request, shop, jobId)) as unknown as { document: { port: { at: number[]; at_sd?: number[] }[] }; documents: string[] };
  expect(job.document.port[0]!.at).toEqual([0, 0, 0]);
  expect(job.document.port[0]!.at_sd).toHaveLength(3);
  expect(job.documents).toContain('survey.json');
});

test('a reading typed while the server cannot be reached is kept through a reload and sent later', look(), async ({ page, context, request, shop, jobId, watch }) => {
  watch.allow(/net::|Failed to load resource/);
  await openStep(page, jobId, 'measure');
  await page.getByRole('button', { name: 'Survey by tape' }).click();
  const edits = /\/api\/jobs\/[^/]+\/(edits|documents\/survey\.toml)$/;
  await context.route(edits, (route) => route.abort());
  const card = page.getByRole('form', { name: 'Add a reading' });
  await card.getByLabel('From').fill('port 1');
  await card.getByLabel('To', { exact: true }).fill('stud');
  await card.getByLabel(/^Reads/).fill('88.5');
  await card.getByRole('button', { name: 'Save reading' }).click();
  await expect(card.getByText('One reading is kept here')).toBeVisible();
  page.on('dialog', (dialog) => void dialog.accept());
  await context.unroute(edits);
  await page.reload();
  await expect.poll(async () => ((await jobOf(request, shop, jobId)) as unknown as { documents: string[] }).documents.includes('survey.toml')).toBe(true);
  const { text } = (await (await request.get(`${shop}/api/jobs/${jobId}/documents/survey.toml`)).json()) as { text: string };
  expect(text.match(/88\.5/g)).toHaveLength(1);
});
