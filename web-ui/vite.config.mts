import { defineConfig } from 'vite';

// Everything the browser gets comes from here as plain files; the host serves them under a strict content policy, so nothing is inlined.
export default defineConfig({
  root: import.meta.dirname,
  base: '/',
  build: { outDir: 'dist', emptyOutDir: true, assetsInlineLimit: 0, modulePreload: { polyfill: false } },
  // Modules, so that a worker can fetch what it seldom needs (the solver) when it is asked for it.
  worker: {
    format: 'es',
    // The solver's loader asks for it under Node only.
    rolldownOptions: { external: ['node:module'] },
  },
});
