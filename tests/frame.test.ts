/** The frame of the repository: which folder may import from which, and what lies at its top. */
import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { ESLint } from 'eslint';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const eslint = new ESLint({ cwd: root, overrideConfigFile: '.config/eslint.config.js' });

/** Errors that the project's lint rules find in a file of that path and text. */
async function errorsIn(filePath: string, code: string): Promise<string[]> {
  const results = await eslint.lintText(code, { filePath: `${root}${filePath}` });
  return results.flatMap((result) => result.messages.filter((message) => message.severity === 2).map((message) => `${message.ruleId}: ${message.message}`));
}

/** Folders in src and what each may import from, besides itself. */
const mayImport: Readonly<Record<string, readonly string[]>> = {
  trade: [],
  geometry: ['trade'],
  water: ['geometry', 'trade'],
  spec: ['trade'],
  plan: ['spec', 'geometry', 'water', 'trade'],
  render: ['spec', 'plan', 'trade'],
};
const everyFolder = [...Object.keys(mayImport), 'cli'];

const forbidden = Object.entries(mayImport).flatMap(([from, allowed]) => everyFolder.filter((to) => to !== from && !allowed.includes(to)).map((to) => [from, to] as const));
const permitted = Object.entries(mayImport).flatMap(([from, allowed]) => [...allowed, from].map((to) => [from, to] as const));

describe('imports go one way', () => {
  it.each(forbidden)('src/%s may not import from src/%s', async (from, to) => {
    expect(await errorsIn(`src/${from}/x.ts`, `import { y } from '../${to}/y.ts';\nexport const x = y;\n`)).toHaveLength(1);
    expect(await errorsIn(`src/${from}/x.ts`, `import type { Y } from '../${to}/y.ts';\nexport type X = Y;\n`)).toHaveLength(1);
    expect(await errorsIn(`src/${from}/x.ts`, `export { y } from '../${to}/y.ts';\n`)).toHaveLength(1);
  });

  it.each(permitted)('src/%s may import from src/%s', async (from, to) => {
    const path = from === to ? './y.ts' : `../${to}/y.ts`;
    expect(await errorsIn(`src/${from}/x.ts`, `import { y } from '${path}';\nexport const x = y;\n`)).toEqual([]);
  });

  it.each(Object.keys(mayImport))('src/%s may not reach another folder by a dynamic import either', async (from) => {
    expect(await errorsIn(`src/${from}/x.ts`, `export const x = () => import('../cli/y.ts');\n`)).toHaveLength(1);
  });

  it.each(Object.keys(mayImport))('src/%s may not import the report, which stands above every folder but cli', async (from) => {
    expect(await errorsIn(`src/${from}/x.ts`, `import { checkPlan } from '../report.ts';\nexport const x = checkPlan;\n`)).toHaveLength(1);
  });

  it.each(['src/index.ts', 'src/report.ts'])('%s may not import from cli', async (file) => {
    expect(await errorsIn(file, `export { y } from './cli/y.ts';\n`)).toHaveLength(1);
  });

  it('src/cli may import from every folder and touch files and the process', async () => {
    const imports = everyFolder.filter((folder) => folder !== 'cli').map((folder) => `export * from '../${folder}/y.ts';\n`);
    expect(await errorsIn('src/cli/x.ts', `${imports.join('')}import { readFileSync } from 'node:fs';\nexport const x = readFileSync(process.argv[2] ?? '');\n`)).toEqual([]);
  });
});

describe.each(Object.keys(mayImport))('src/%s is pure: it touches no files, process, clock, chance or network', (from) => {
  it.each([
    ['node:fs', `import { readFileSync } from 'node:fs';\nexport const x = readFileSync;\n`],
    ['fs', `import { readFileSync } from 'fs';\nexport const x = readFileSync;\n`],
    ['fs/promises', `import { readFile } from 'fs/promises';\nexport const x = readFile;\n`],
    ['node:path', `import { join } from 'node:path';\nexport const x = join;\n`],
    ['node:process', `import process from 'node:process';\nexport const x = process.argv;\n`],
    ['child_process', `import { exec } from 'child_process';\nexport const x = exec;\n`],
    ['process', `export const x = process.argv;\n`],
    ['Buffer', `export const x = Buffer.from('a');\n`],
    ['Math.random', `export const x = Math.random();\n`],
    ['Date.now', `export const x = Date.now();\n`],
    ['new Date', `export const x = new Date();\n`],
    ['fetch', `export const x = fetch('http://localhost');\n`],
    ['console', `export const x = () => console.log('a');\n`],
  ])('%s is an error', async (_what, code) => {
    expect(await errorsIn(`src/${from}/x.ts`, code)).not.toEqual([]);
  });

  it('ordinary code is none', async () => {
    expect(await errorsIn(`src/${from}/x.ts`, 'export const x = Math.max(1, 2);\n')).toEqual([]);
  });
});

describe('only src/render knows of PDF', () => {
  const code = (library: string) => `import * as y from '${library}';\nexport const x = y;\n`;
  it.each(['pdf-lib', 'fontkit'])('%s', async (library) => {
    expect(await errorsIn('src/render/x.ts', code(library))).toEqual([]);
    for (const folder of ['trade', 'geometry', 'spec', 'plan']) expect(await errorsIn(`src/${folder}/x.ts`, code(library))).toHaveLength(1);
  });
});

describe('the code as it stands', () => {
  it('keeps its own lint rules', async () => {
    const results = await eslint.lintFiles(['src']);
    expect(results.flatMap((result) => result.messages.map((message) => `${result.filePath}:${message.line} ${message.message}`))).toEqual([]);
  });
});

describe('the top of the repository', () => {
  const allowed = ['README.md', 'DEVELOPERS.md', 'LICENSE', 'package.json', 'package-lock.json', 'tsconfig.json', 'src', 'templates-spec', 'tests', 'out'];
  it('holds nothing but the agreed files and folders, and dotfiles', () => {
    const tracked = execFileSync('git', ['ls-files'], { cwd: root, encoding: 'utf8' }).trim().split('\n');
    const top = [...new Set(tracked.map((path) => path.split('/')[0] as string))];
    expect(top).toContain('package.json');
    expect(top.filter((entry) => !entry.startsWith('.') && !allowed.includes(entry))).toEqual([]);
  });
});
