import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The server serves what lies in its package folder, under the path `/`.
export default defineConfig({
  root: 'planner',
  base: './',
  plugins: [svelte()],
  resolve: process.env.VITEST ? { conditions: ['browser'] } : {},
  build: {
    outDir: '../../src/aanplant/server/pages',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0, // the content policy wants files, not data addresses
    modulePreload: { polyfill: false },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8000' } },
  test: { environment: 'jsdom', include: ['**/*.test.ts'] },
});
