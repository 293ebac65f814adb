/** The command, its typefaces and its picture renderer are tested as built: they are built before all tests where they are not there. */
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));
export const main = join(root, 'dist/cli/main.js');

/** Called by vitest, once. */
export function setup(): void {
  if (!existsSync(main)) execFileSync(process.execPath, [join(root, '.config/build.mjs')]);
}
