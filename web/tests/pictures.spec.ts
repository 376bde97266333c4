/** Pictures of the main states for the README; drawn only when TUBEWRIGHT_PICTURES is set, so that git stays clean. */
import { resolve } from 'node:path';
import { exampleOf, expect, openStep, test, withoutNotes } from './shop';

test.skip(!process.env.TUBEWRIGHT_PICTURES, 'pictures are drawn when TUBEWRIGHT_PICTURES is set');

for (const [name, step, ground] of [['route', 'route', 'light'], ['route-dark', 'route', 'dark'], ['measure', 'measure', 'light'], ['cut', 'cut', 'light']] as const) {
  test(`picture: ${name}`, async ({ page, request, shop }) => {
    await page.emulateMedia({ colorScheme: ground });
    await withoutNotes(page);
    await openStep(page, await exampleOf(request, shop), step);
    await expect(page.locator('.label.run').first()).toBeVisible();
    await page.getByRole('button', { name: 'primary 2', exact: true }).first().click();
    await page.waitForTimeout(1500);
    await page.screenshot({ path: resolve(`../docs/pictures/${name}.png`) });
  });
}
