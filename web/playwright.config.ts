import { defineConfig } from '@playwright/test';
import { IN_A_LOOK, LOOKS, testsOf } from './tests/looks';

// Drives the program as cargo has built it; CHROMIUM names another browser than Debian's.
export default defineConfig({
  testDir: 'tests',
  globalSetup: './tests/prepare.ts',
  timeout: 90_000,
  expect: { timeout: 20_000 },
  workers: 2,
  // Chromium draws in software on both cores: a press that comes late is given one more chance, and is listed as flaky.
  retries: 1,
  reporter: [['list']],
  outputDir: 'test-results',
  projects: [
    ...LOOKS.map((look) => ({ name: look.name, grep: testsOf(look), use: { viewport: { width: look.width, height: 900 }, colorScheme: look.ground } })),
    { name: 'plain', grepInvert: IN_A_LOOK, use: { viewport: { width: 1440, height: 900 } } },
  ],
  use: {
    actionTimeout: 20_000,
    trace: 'on-first-retry',
    launchOptions: {
      executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
      // Everything is drawn in software: the page itself by the quicker of two ways, and nothing is drawn four times to smooth edges.
      args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-gpu-rasterization', '--disable_chromium_framebuffer_multisample'],
    },
  },
});
