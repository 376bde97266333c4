/** A shop for all tests: the program's first start routes and cuts its example once, and each worker begins with a copy. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from '@playwright/test';
import { serve } from './program';

export default async function prepare(): Promise<(() => void) | void> {
  if (process.env.TUBEWRIGHT_SHOP) return;
  const data = mkdtempSync(join(tmpdir(), 'tubewright-shop-'));
  const away = () => rmSync(data, { recursive: true, force: true });
  try {
    await fill(data);
  } catch (error) {
    away();
    throw error;
  }
  process.env.TUBEWRIGHT_SHOP = data;
  return away;
}

/** Runs the program on an empty folder until its example is cut. */
async function fill(data: string): Promise<void> {
  const served = await serve(data);
  const cut = expect(async () => {
    const { jobs } = (await (await fetch(`${served.address}/api/jobs`)).json()) as { jobs: { state: string }[] };
    expect(jobs.some((job) => job.state === 'cut')).toBe(true);
  }).toPass({ timeout: 120_000 });
  await cut.finally(() => served.stop());
}
