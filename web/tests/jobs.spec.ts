/** The list of jobs, files in and out, and measuring. */
import { inTurn } from './looks';
import { expect, jobOf, openStep, test, turnTo, withoutNotes } from './shop';

const look = inTurn(2);

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

test('a job is copied, renamed, archived, saved as one file and read again', look(), async ({ page, jobId, request, shop }) => {
  const { version } = await jobOf(request, shop, jobId);
  await request.patch(`${shop}/api/jobs/${jobId}`, { data: { version, name: 'one of a kind' } });
  await page.goto('/');
  const card = page.locator('article').filter({ hasText: 'one of a kind' });
  await card.getByRole('button', { name: 'More actions for one of a kind' }).click();
  const download = page.waitForEvent('download');
  await card.getByRole('link', { name: 'Download job (.zip)' }).click();
  const archive = await (await download).path();
  await card.getByRole('button', { name: 'Copy' }).click();
  await expect(card).toHaveCount(2);
  await card.first().getByRole('button', { name: 'More actions for one of a kind' }).click();
  await card.first().getByRole('button', { name: 'Rename' }).click();
  await page.getByRole('textbox', { name: 'Job name' }).fill('renamed');
  await page.getByRole('button', { name: 'Save' }).click();
  const renamed = page.locator('article').filter({ hasText: 'renamed' });
  await expect(renamed).toHaveCount(1);
  await renamed.getByRole('button', { name: 'More actions for renamed' }).click();
  await renamed.getByRole('button', { name: 'Archive' }).click();
  await expect(renamed).toHaveCount(0);
  await page.getByLabel('Show archived').check();
  await expect(renamed).toHaveCount(1);
  await renamed.getByRole('button', { name: 'More actions for renamed' }).click();
  await renamed.getByRole('button', { name: 'Delete for good' }).click();
  await renamed.getByRole('button', { name: 'Delete', exact: true }).click();
  await expect(renamed).toHaveCount(0);
  await page.locator('input[type=file]').setInputFiles({ name: 'job.zip', mimeType: 'application/zip', buffer: await (await import('node:fs/promises')).readFile(archive) });
  await expect(page.getByRole('textbox', { name: 'Job name' })).toHaveValue(/hill-climb/);
  await expect(page.getByText('All requirements met')).toBeVisible();
});

test('a file that is no job is refused with what to do', look(), async ({ page, watch }) => {
  watch.allow(/4\d\d/);
  await page.goto('/');
  await page.locator('input[type=file]').setInputFiles({ name: 'photo.png', mimeType: 'image/png', buffer: Buffer.from('x') });
  await expect(page.getByText('A job is a .toml file or an archive')).toBeVisible();
});

test('a scan is brought and put into its place by three points', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'measure');
  await page.locator('#work input[type=file]').setInputFiles({ name: 'Bracket.STL', mimeType: 'model/stl', buffer: stlBox(30) });
  await expect(page.getByText('12 triangles', { exact: false })).toBeVisible();
  await expect(page.getByText('bracket', { exact: true })).toBeVisible();
  await page.getByRole('button', { name: 'Align bracket by three points' }).click();
  await turnTo(page, '3D view');
  // The bay now looks at the scan: its middle is a corner of the box's near faces.
  const canvas = (await page.locator('canvas').boundingBox())!;
  const [x, y] = [canvas.x + canvas.width / 2, canvas.y + canvas.height / 2];
  await page.waitForTimeout(500);
  for (const [right, down] of [[-40, 10], [40, 10], [0, -40]] as const) await page.mouse.click(x + right, y + down);
  await turnTo(page, 'Panel');
  const fields = page.getByRole('textbox', { name: /^Point \d$/ });
  await expect(fields).toHaveCount(3);
  const picked = await Promise.all([0, 1, 2].map(async (i) => (await fields.nth(i).inputValue()).split(',').map(Number)));
  for (const place of picked) {
    expect(place.every((v) => v > -0.1 && v < 30.1)).toBe(true);
    expect(place.some((v) => Math.abs(v) < 0.06 || Math.abs(v - 30) < 0.06), 'it lies on a face of the box').toBe(true);
  }
  // Moved by the same way, the box stands 500 mm to the left and 100 mm lower.
  for (const [i, place] of picked.entries()) await fields.nth(i).fill([place[0]!, place[1]! + 500, place[2]! - 100].join(', '));
  await page.getByRole('button', { name: 'Align scan' }).click();
  const bounds = async () => {
    const { bay } = (await jobOf(request, shop, jobId)) as unknown as { bay: { keepouts: { name: string; shape: { bounds: { min: number[] } } }[] } };
    return bay.keepouts.find((k) => k.name === 'bracket')!.shape.bounds.min;
  };
  await expect.poll(async () => Math.abs((await bounds())[1]! - 500)).toBeLessThan(1);
  expect(Math.abs((await bounds())[0]!)).toBeLessThan(1);
  expect(Math.abs((await bounds())[2]! + 100)).toBeLessThan(1);
});

test('a port is moved in numbers, and a wrong number is said at its field', look(), async ({ page, request, shop, jobId }) => {
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
  await expect(page.getByRole('region', { name: /to fix/ })).toBeVisible();
  await expect(material).toHaveAttribute('aria-invalid', 'true');
});

test('a selected collector is moved along one axis by its arrow', look(), async ({ page, request, shop, jobId }) => {
  await openStep(page, jobId, 'measure');
  const label = page.locator('.label.place').first();
  const place = async () => ((await jobOf(request, shop, jobId)).document as unknown as { collector: { at: number[] }[] }).collector[0]!.at;
  const before = await place();
  await page.getByRole('region', { name: 'Collectors' }).locator('summary').first().click();
  await turnTo(page, '3D view');
  await expect(label).toBeVisible();
  await page.waitForTimeout(800);
  // The arrows stand at the centre of the inlets, where its name is; that of z points up.
  const box = (await label.boundingBox())!;
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y - 34);
  await page.mouse.move(x, y - 40);
  await page.mouse.down();
  await page.mouse.move(x + 1, y - 60, { steps: 4 });
  await page.mouse.move(x + 1, y - 90, { steps: 4 });
  await page.mouse.up();
  await expect.poll(async () => (await place())[2]! - before[2]!).toBeGreaterThan(5);
  const after = await place();
  expect([after[0], after[1]]).toEqual([before[0], before[1]]);
  await page.getByRole('button', { name: /^Undo/ }).click();
  await expect.poll(place).toEqual(before);
});
