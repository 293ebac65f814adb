/**
 * How long whole commands take, as ratios to a yardstick measured in the same run: plain Node for the example, and for a
 * large jig a bare pdf-lib script that draws as many marks of each kind on as many pages with pdf-lib's own drawing
 * functions. Wall time of whole processes; the runs of all commands take turns, so that a slow moment hits them all.
 *
 * Usage: npm run bench [-- ROUNDS]
 */
import { build } from 'esbuild';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const main = join(root, 'dist/cli/main.js');
const example = join(root, 'templates-spec/quarantine-end-panel.yaml');
const rounds = Number(process.argv[2] ?? 11);
const folder = mkdtempSync(join(tmpdir(), 'panejig-bench-'));

/** 200 holes, ten in a row, on a panel that takes 5 x 8 sheets of A4; each a diameter and more from all else. */
function largeSpec() {
  const holes = Array.from({ length: 200 }, (_, index) => {
    const [column, row] = [index % 10, Math.floor(index / 10)];
    return `  - {name: frag ${index + 1}, fitting: cup, from-left: ${39.5 + 79 * column}, from-top: ${45 + 90 * row}}`;
  });
  return `title: Frag room, cup wall
units: mm
panel: {material: annealed glass, width: 790, height: 1800, thickness: 6}
fittings: {cup: {hole: 20, flange: 32}}
holes:
${holes.join('\n')}
sheets: {paper: A4}
`;
}

/** Per page of the large jig: its size in points, the number of marks of each kind that it shows, and its texts. */
async function marksPerPage(spec) {
  const core = await import(pathToFileURL(join(root, 'dist/core/index.js')).href);
  const setter = core.latinTypesetter(JSON.parse(readFileSync(join(root, 'dist/fonts/latin.json'), 'utf8')));
  const { plan } = core.readPlan(spec);
  const report = core.checkPlan(plan);
  if (report.verdict === 'refused') throw new Error('the large panel must not be refused');
  const jig = core.makeJig(plan, report, setter);
  if (jig.sheets.length !== 40) throw new Error(`the large panel takes ${jig.sheets.length} sheets, not 40`);
  return [...jig.front, ...jig.sheets].map(({ width, height, groups }) => {
    const marks = groups.flatMap((group) => group.marks);
    const count = (kind) => marks.filter((mark) => mark.kind === kind).length;
    const texts = marks.filter((mark) => mark.kind === 'text').map((mark) => mark.text.replace(/[^\x20-\x7E]/g, '-'));
    return { width: (width * 72) / 25.4, height: (height * 72) / 25.4, lines: count('line'), circles: count('circle'), paths: count('path'), texts };
  });
}

/** The yardstick: what a script needs that only draws, with pdf-lib's functions and a standard font. */
function bareScript(pages, output) {
  return `import { PDFDocument, StandardFonts, rgb } from 'pdf-lib';
import { writeFileSync } from 'node:fs';
const pages = ${JSON.stringify(pages)};
const document = await PDFDocument.create();
const font = await document.embedFont(StandardFonts.Helvetica);
const color = rgb(0, 0, 0);
for (const { width, height, lines, circles, paths, texts } of pages) {
  const page = document.addPage([width, height]);
  const place = (index) => ({ x: 30 + (index * 37) % (width - 60), y: 30 + (index * 53) % (height - 60) });
  for (let i = 0; i < lines; i += 1) page.drawLine({ start: place(i), end: place(i + 1), thickness: 0.5, color });
  for (let i = 0; i < circles; i += 1) page.drawCircle({ ...place(i), size: 28, borderWidth: 0.5, borderColor: color });
  for (let i = 0; i < paths; i += 1) page.drawSvgPath('M 0 0 L 20 0 L 20 20 L 0 20 Z', { ...place(i), borderWidth: 0.5, borderColor: color });
  texts.forEach((text, i) => page.drawText(text, { ...place(i), size: 8, font, color }));
}
writeFileSync(${JSON.stringify(output)}, await document.save());
`;
}

/** Bundles the yardstick as the command is bundled, so that both load one small file. */
async function writeBareScript(pages) {
  const [source, bundle] = [join(folder, 'bare-source.mjs'), join(folder, 'bare.mjs')];
  writeFileSync(source, bareScript(pages, join(folder, 'bare.pdf')));
  await build({
    entryPoints: [source],
    outfile: bundle,
    bundle: true,
    minify: true,
    platform: 'node',
    format: 'esm',
    target: 'es2022',
    nodePaths: [join(root, 'node_modules')],
    banner: { js: "import{createRequire as bareRequire}from'node:module';const require=bareRequire(import.meta.url);" },
    logLevel: 'error',
  });
  return bundle;
}

/** Wall time of a whole process, ms. */
function time(args) {
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, args, { cwd: folder, encoding: 'utf8' });
  const took = performance.now() - start;
  if (status !== 0) throw new Error(`node ${args.join(' ')} ended with ${status}: ${stderr}`);
  return took;
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

function printTable(rows) {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  for (const row of rows) console.log(row.map((cell, column) => (column === 0 ? cell.padEnd(widths[column]) : cell.padStart(widths[column]))).join('  '));
}

try {
  const large = join(folder, 'large.yaml');
  writeFileSync(large, largeSpec());
  const pages = await marksPerPage(largeSpec());
  const bare = await writeBareScript(pages);
  const commands = [
    { name: 'node -e 0', args: ['-e', '0'] },
    { name: 'panejig check, the example', args: [main, 'check', example], yardstick: 0, aim: 2 },
    { name: 'panejig template, the example', args: [main, 'template', example, '-o', join(folder, 'example.pdf')], yardstick: 0, aim: 4 },
    { name: 'bare pdf-lib script, as many marks', args: [bare] },
    { name: 'panejig template, 200 holes, 40 sheets', args: [main, 'template', large, '-o', join(folder, 'large.pdf')], yardstick: 3, aim: 1.5 },
  ];
  const times = commands.map(() => []);
  commands.forEach(({ args }) => time(args));
  for (let round = 0; round < rounds; round += 1) commands.forEach(({ args }, index) => times[index].push(time(args)));

  const medians = times.map(median);
  const total = (kind) => pages.reduce((sum, page) => sum + (Array.isArray(page[kind]) ? page[kind].length : page[kind]), 0);
  console.log(`${rounds} runs each, taking turns; ${process.version}; large jig: ${pages.length} pages, ${total('lines')} lines, ${total('circles')} circles, ${total('paths')} paths, ${total('texts')} texts`);
  printTable([
    ['command', 'median ms', 'least ms', 'ratio', 'to', 'aim', ''],
    ...commands.map(({ name, yardstick, aim }, index) => {
      const ratio = yardstick === undefined ? undefined : medians[index] / medians[yardstick];
      const yard = yardstick === 0 ? 'node' : yardstick === 3 ? 'bare script' : '';
      return [name, medians[index].toFixed(1), Math.min(...times[index]).toFixed(1), ratio?.toFixed(2) ?? '', yard, aim === undefined ? '' : `<= ${aim}`, ratio === undefined ? '' : ratio <= aim ? 'met' : 'MISSED'];
    }),
  ]);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
