/** Builds the pages into dist/web, where the service finds them; while developing it hands /api to a service that runs. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliCompressSync, constants, gzipSync } from 'node:zlib'
import preact from '@preact/preset-vite'
import { defineConfig, type Plugin } from 'vite'

/** Packed once and as small as can be, which takes too long to be done at every visit. */
const packed = (): Plugin => ({
  name: 'packed',
  apply: 'build',
  writeBundle({ dir }) {
    for (const name of readdirSync(dir!, { recursive: true, encoding: 'utf8' })) {
      if (!/\.(js|css|html|svg)$/.test(name)) continue
      const path = join(dir!, name)
      const bytes = readFileSync(path)
      const params = { [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length }
      writeFileSync(`${path}.br`, brotliCompressSync(bytes, { params }))
      writeFileSync(`${path}.gz`, gzipSync(bytes, { level: constants.Z_BEST_COMPRESSION }))
    }
  },
})

export default defineConfig({
  root: 'web',
  plugins: [preact(), packed()],
  build: { outDir: '../dist/web', emptyOutDir: true, target: 'es2022', assetsInlineLimit: 0 },
  server: { proxy: { '/api': 'http://127.0.0.1:8484' } },
})
