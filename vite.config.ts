/** Builds the pages into dist/web, where the service finds them; while developing it hands /api to a service that runs. */
import preact from '@preact/preset-vite'
import { defineConfig } from 'vite'

export default defineConfig({
  root: 'web',
  plugins: [preact()],
  build: { outDir: '../dist/web', emptyOutDir: true, target: 'es2022', assetsInlineLimit: 0 },
  server: { proxy: { '/api': 'http://127.0.0.1:8484' } },
})
