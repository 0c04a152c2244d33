// Bundles the page into dist (or the folder named): index.html, page.js, surface.js (three, fetched only where the
// surface is shown), page.css, icon.svg, each also compressed, so that the server never compresses anything.

import {build} from 'esbuild';
import {copyFileSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync} from 'node:fs';
import {dirname, join} from 'node:path';
import {fileURLToPath} from 'node:url';
import {brotliCompressSync, constants, gzipSync} from 'node:zlib';

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2] ?? join(here, 'dist');
mkdirSync(out, {recursive: true});
for (const name of readdirSync(out)) rmSync(join(out, name));

await build({
  absWorkingDir: here,
  entryPoints: {page: 'src/main.js', surface: 'src/surface.js', page_style: 'page.css'},
  outdir: out,
  bundle: true,
  minify: true,
  format: 'esm',
  target: 'es2022',
  external: ['./surface.js'],
  legalComments: 'none',
  logLevel: 'warning',
});
writeFileSync(join(out, 'page.css'), readFileSync(join(out, 'page_style.css')));
rmSync(join(out, 'page_style.css'));
for (const name of ['index.html', 'icon.svg']) copyFileSync(join(here, name), join(out, name));

for (const name of readdirSync(out)) {
  const bytes = readFileSync(join(out, name));
  writeFileSync(join(out, `${name}.gz`), gzipSync(bytes, {level: 9}));
  writeFileSync(join(out, `${name}.br`), brotliCompressSync(bytes, {params: {[constants.BROTLI_PARAM_QUALITY]: 11}}));
}
