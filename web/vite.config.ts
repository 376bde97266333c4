import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

const server = process.env.TUBEWRIGHT ?? 'http://127.0.0.1:7878';

export default defineConfig({
  plugins: [svelte()],
  build: { target: 'es2022', assetsInlineLimit: 0, cssCodeSplit: false, chunkSizeWarningLimit: 700 },
  // The server answers only to its own name and to calls of its own page.
  server: { proxy: { '/api': { target: server, changeOrigin: true, headers: { origin: server } } } },
  test: { include: ['src/**/*.test.ts'] },
});
