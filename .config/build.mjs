// Bundles the command and the core into dist, and prepares the typefaces they print with.
import { build } from 'esbuild';
import { rmSync } from 'node:fs';
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
