import { defineConfig } from 'vite';

// Everything the browser gets comes from here as plain files; the host serves them under a strict content policy, so nothing is inlined.
export default defineConfig({
  root: import.meta.dirname,
  base: '/',
  build: { outDir: 'dist', emptyOutDir: true, assetsInlineLimit: 0, modulePreload: { polyfill: false } },
});
