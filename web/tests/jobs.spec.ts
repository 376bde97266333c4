/** The list of jobs, files in and out, and measuring. */
import { expect, jobOf, openStep, test, withoutNotes } from './shop';

test.beforeEach(({ page }) => withoutNotes(page));

/** A binary STL of a box, 12 triangles. */
function stlBox(size: number): Buffer {
  const corner = (i: number) => [i & 1, (i >> 1) & 1, (i >> 2) & 1].map((bit) => bit * size);
  const faces = [[0, 2, 1], [1, 2, 3], [4, 5, 6], [5, 7, 6], [0, 1, 4], [1, 5, 4], [2, 6, 3], [3, 6, 7], [0, 4, 2], [2, 4, 6], [1, 3, 5], [3, 7, 5]];
  const bytes = Buffer.alloc(84 + 50 * faces.length);
  bytes.writeUInt32LE(faces.length, 80);
  faces.forEach((face, f) => face.forEach((c, i) => corner(c).forEach((v, axis) => bytes.writeFloatLE(v, 84 + 50 * f + 12 + 12 * i + 4 * axis))));
  return bytes;
}

test('a job is copied, renamed, archived, saved as one file and read again', async ({ page, jobId, request, shop }) => {
  const { version } = await jobOf(request, shop, jobId);
  await request.patch(`${shop}/api/jobs/${jobId}`, { data: { version, name: 'one of a kind' } });
  await page.goto('/');
  const card = page.locator('article').filter({ hasText: 'one of a kind' });
  await card.getByRole('button', { name: 'More for one of a kind' }).click();
  const download = page.waitForEvent('download');
  await card.getByRole('link', { name: 'Save as one file' }).click();
  const archive = await (await download).path();
  await card.getByRole('button', { name: 'Copy' }).click();
  await expect(card).toHaveCount(2);
  await card.first().getByRole('button', { name: 'More for one of a kind' }).click();
  await card.first().getByRole('button', { name: 'Rename' }).click();
  await page.getByRole('textbox', { name: 'Name of the job' }).fill('renamed');
  await page.getByRole('button', { name: 'Keep' }).click();
  const renamed = page.locator('article').filter({ hasText: 'renamed' });
  await expect(renamed).toHaveCount(1);
  await renamed.getByRole('button', { name: 'More for renamed' }).click();
  await renamed.getByRole('button', { name: 'Archive' }).click();
  await expect(renamed).toHaveCount(0);
  await page.getByLabel('Show archived').check();
  await expect(renamed).toHaveCount(1);
  await page.locator('input[type=file]').setInputFiles({ name: 'job.zip', mimeType: 'application/zip', buffer: await (await import('node:fs/promises')).readFile(archive) });
  await expect(page.getByRole('textbox', { name: 'Name of the job' })).toHaveValue(/hill-climb/);
  await expect(page.getByText('Every requirement holds')).toBeVisible();
});

test('a file that is no job is refused with what to do', async ({ page, watch }) => {
  watch.allow(/4\d\d/);
  await page.goto('/');
  await page.locator('input[type=file]').setInputFiles({ name: 'photo.png', mimeType: 'image/png', buffer: Buffer.from('x') });
  await expect(page.getByText('A job is a .toml file or an archive')).toBeVisible();
});

test('a scan is brought and stands among the keep-outs', async ({ page, jobId }) => {
  await openStep(page, jobId, 'measure');
  await page.locator('#work input[type=file]').setInputFiles({ name: 'Bracket.STL', mimeType: 'model/stl', buffer: stlBox(30) });
  await expect(page.getByText('12 triangles', { exact: false })).toBeVisible();
  await expect(page.getByText('bracket', { exact: true })).toBeVisible();
  await expect(page.getByRole('button', { name: 'Place bracket by three points' })).toBeVisible();
});

test('a port is moved in numbers, and a wrong number is said at its field', async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'measure');
  await page.getByText('Port 2', { exact: true }).click();
  const x = page.getByRole('group', { name: 'Centre' }).getByRole('textbox', { name: 'Centre, x (front)' }).locator('visible=true');
  await x.fill('=-94-1.5');
  await x.press('Enter');
  await expect.poll(async () => ((await jobOf(request, shop, jobId)).document as unknown as { port: { at: number[] }[] }).port[1]!.at[0]).toBe(-95.5);
  await page.getByRole('link', { name: 'Size' }).click();
  const material = page.getByRole('textbox', { name: 'Material' });
  await material.fill('unobtainium');
  await material.press('Enter');
  await expect(page.getByRole('region', { name: /to mend/ })).toBeVisible();
  await expect(material).toHaveAttribute('aria-invalid', 'true');
});

test('a keep-out is dragged in the bay', async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'measure');
  await expect(page.locator('.label.place').first()).toBeVisible();
  const document = async () => JSON.stringify((await jobOf(request, shop, jobId)).document);
  const before = await document();
  const collector = (await page.locator('.label.place').first().boundingBox())!;
  const [x, y] = [collector.x + collector.width / 2 + 26, collector.y + collector.height / 2 - 14];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 8, y + 4, { steps: 3 });
  await page.mouse.move(x + 40, y + 10, { steps: 5 });
  await page.mouse.up();
  await expect.poll(document).not.toBe(before);
  await page.getByRole('button', { name: /^Undo/ }).click();
  await expect.poll(document).toBe(before);
});
