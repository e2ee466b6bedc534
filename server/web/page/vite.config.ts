import { defineConfig } from 'vite';

export default defineConfig({
  base: './',
  // The server's policy forbids data: scripts and inline styles: nothing is inlined.
  build: { target: 'es2022', assetsInlineLimit: 0, emptyOutDir: true, chunkSizeWarningLimit: 700 },
});
