import { defineConfig } from 'vite';
import solid from 'vite-plugin-solid';

// The built page is committed inside the crate that embeds it, so its file names are fixed and two builds of the
// same sources give the same bytes: no hashes, no inlined assets, three.js in a chunk of its own (it rarely changes).
export default defineConfig(({ command }) => ({
  root: import.meta.dirname,
  base: command === 'build' ? './' : '/',
  publicDir: false,
  plugins: [solid()],
  build: {
    outDir: '../crates/app/page',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    modulePreload: { polyfill: false },
    sourcemap: false,
    reportCompressedSize: false,
    chunkSizeWarningLimit: 900,
    rolldownOptions: {
      output: {
        entryFileNames: 'app.js',
        chunkFileNames: '[name].js',
        assetFileNames: (asset) => (asset.names.some((name) => name.endsWith('.css')) ? 'app.css' : '[name][extname]'),
        codeSplitting: { groups: [{ name: 'three', test: /node_modules[\\/]three[\\/]/ }] },
      },
    },
  },
  worker: {
    format: 'es',
    rolldownOptions: { output: { entryFileNames: '[name].js', chunkFileNames: '[name].js' } },
  },
  server: {
    port: 5173,
    strictPort: false,
    // `npm run dev` against a running machine: the page's socket goes there.
    proxy: { '/live': { target: 'ws://127.0.0.1:7411', ws: true }, '/ears': { target: 'ws://127.0.0.1:7411', ws: true }, '/score': 'http://127.0.0.1:7411' },
  },
}));
