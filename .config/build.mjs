// Bundles the command and the core into dist, and prepares the typefaces they print with.
import { build } from 'esbuild';
import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { prepareFonts } from './fonts.mjs';

const root = new URL('..', import.meta.url).pathname;
rmSync(`${root}dist`, { recursive: true, force: true });

const common = {
  absWorkingDir: root,
  bundle: true,
  minify: true,
  format: 'esm',
  target: 'es2022',
  splitting: true,
  legalComments: 'linked',
  logLevel: 'warning',
};

await build({
  ...common,
  entryPoints: ['src/cli/main.ts'],
  outdir: 'dist/cli',
  platform: 'node',
  // ES module builds: a bundler can leave out what is not used, and the rest starts faster.
  mainFields: ['module', 'main'],
  alias: { yaml: './node_modules/yaml/browser/index.js' },
  banner: { js: "#!/usr/bin/env node\nimport{createRequire as panejigRequire}from'node:module';const require=panejigRequire(import.meta.url);" },
});
await build({ ...common, entryPoints: ['src/index.ts'], outdir: 'dist/core', platform: 'browser' });
await prepareFonts(`${root}dist/fonts`);
copyRenderer(`${root}node_modules/@resvg/resvg-wasm`, `${root}dist/resvg`);

/** The picture renderer's WebAssembly module, with the notice that its licence asks for (MPL-2.0, section 3.2). */
function copyRenderer(from, to) {
  mkdirSync(to, { recursive: true });
  copyFileSync(`${from}/index_bg.wasm`, `${to}/index_bg.wasm`);
  const { name, version, license, repository } = JSON.parse(readFileSync(`${from}/package.json`, 'utf8'));
  writeFileSync(`${to}/NOTICE.txt`, `index_bg.wasm and the code that calls it come from ${name} ${version}, under ${license} (https://mozilla.org/MPL/2.0/).\nSource: ${repository.url ?? repository}\n`);
}
