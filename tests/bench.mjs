/**
 * How long whole commands take, as ratios to a yardstick measured in the same run: plain Node for the example, and for a
 * large jig a bare pdf-lib script that draws as many marks of each kind on as many pages with pdf-lib's own drawing
 * functions. Wall time of whole processes; the runs of all commands take turns, so that a slow moment hits them all.
 *
 * Then the same for ten thousand holes, in few rounds: how template and check grow from a thousand, and what memory a
 * command takes at its peak. The check by itself is held against reading the same spec and against a search of all pairs.
 *
 * Usage: npm run bench [-- ROUNDS]
 */
import { build } from 'esbuild';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { manyHoles } from './many-holes.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const main = join(root, 'dist/cli/main.js');
const example = join(root, 'templates-spec/quarantine-end-panel.yaml');
const terrace = join(root, 'templates-spec/fern-terrace.yaml');
const rounds = Number(process.argv[2] ?? 11);
/** Rounds of the commands on thousands of holes, and of the check by itself; the bare script draws those pages once. */
const [largeRounds, checkRounds] = [Math.min(rounds, 3), Math.min(rounds, 7)];
/** Sizes of the panels that growth is told of. */
const [some, many] = [1000, 10_000];
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

/** A wall with a hole on each of the sheets it takes, row by row; A4 upright. */
function wallSpec(columns, rows) {
  const holes = Array.from({ length: columns * rows }, (_, index) => `  - {name: cup ${index + 1}, fitting: cup, from-left: ${75 + 150 * (index % columns)}, from-top: ${110 + 220 * Math.floor(index / columns)}}`);
  return `title: Frag room, cup wall
units: mm
panel: {material: annealed glass, width: ${columns * 150}, height: ${rows * 220}, thickness: 6}
fittings: {cup: {hole: 20, flange: 32}}
holes:
${holes.join('\n')}
sheets: {paper: A4, orientation: portrait}
`;
}

/** 40 holes, no two in line, on a panel of 3 x 1 m. */
function scatteredSpec() {
  const holes = Array.from({ length: 40 }, (_, index) => `  - {name: hole ${index + 1}, diameter: 30, from-left: ${100 + ((index * 733) % 2800)}, from-top: ${100 + ((index * 311) % 800)}}`);
  return `title: Frag room, long wall
units: mm
panel: {material: acrylic, width: 3000, height: 1000, thickness: 10}
holes:
${holes.join('\n')}
sheets: {paper: A4}
`;
}

/** A script that prints how long the search for the division of a spec takes, ms. */
function writeSearchScript(spec) {
  const script = join(folder, 'search.mjs');
  writeFileSync(script, `import { chooseLayout, contentOf, readPlan } from ${JSON.stringify(pathToFileURL(join(root, 'dist/core/index.js')).href)};
const { plan } = readPlan(${JSON.stringify(spec)});
const content = contentOf(plan);
const start = performance.now();
const { cells } = chooseLayout(content, plan.sheets);
console.log(performance.now() - start, cells.length);
`);
  return script;
}

/** Per page of a jig: its size in points, the number of marks of each kind that it shows, and its texts. */
function marksPerPage(core, spec) {
  const setter = core.latinTypesetter(JSON.parse(readFileSync(join(root, 'dist/fonts/latin.json'), 'utf8')));
  const { plan } = core.readPlan(spec);
  const report = core.checkPlan(plan);
  if (report.verdict === 'refused') throw new Error('the large panel must not be refused');
  const jig = core.makeJig(plan, report, setter);
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
async function writeBareScript(name, pages) {
  const [source, bundle] = [join(folder, `${name}-source.mjs`), join(folder, `${name}.mjs`)];
  writeFileSync(source, bareScript(pages, join(folder, `${name}.pdf`)));
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

/** Wall time of a whole process, ms; or what it measured itself. */
function time({ args, isOwnTime }) {
  const start = performance.now();
  const { status, stdout, stderr } = spawnSync(process.execPath, args, { cwd: folder, encoding: 'utf8' });
  const took = performance.now() - start;
  if (status !== 0) throw new Error(`node ${args.join(' ')} ended with ${status}: ${stderr}`);
  return isOwnTime ? Number.parseFloat(stdout) : took;
}

/** Wall time of a whole process, ms, and the most memory that it had at once, MiB: as it says itself when it ends. */
function timeAndPeak({ args }) {
  const [told, teller] = [join(folder, 'peak.txt'), join(folder, 'peak.cjs')];
  writeFileSync(teller, `process.on('exit', () => require('node:fs').writeFileSync(${JSON.stringify(told)}, String(process.resourceUsage().maxRSS)));`);
  const took = time({ args: ['--require', teller, ...args] });
  return { took, peak: Number(readFileSync(told, 'utf8')) / 1024 };
}

/** For every hole the other with the least room to spare between them and their flanges: all pairs, one after the other. */
function searchAllPairs({ holes, panel: { thickness } }) {
  const [xs, ys] = [holes.map(({ center }) => center.x), holes.map(({ center }) => center.y)];
  const diameters = holes.map(({ diameter }) => diameter);
  const reaches = holes.map(({ diameter, flange = 0 }) => Math.max(diameter, flange) / 2);
  const nearest = [];
  for (let one = 0; one < holes.length; one += 1) {
    let [best, least] = [-1, Infinity];
    for (let other = 0; other < holes.length; other += 1) {
      if (other === one) continue;
      const [dx, dy] = [xs[other] - xs[one], ys[other] - ys[one]];
      const distance = Math.sqrt(dx * dx + dy * dy);
      const ligament = distance - (diameters[one] + diameters[other]) / 2 - Math.max(diameters[one], diameters[other], thickness);
      const room = Math.min(ligament, distance - reaches[one] - reaches[other]);
      if (room < least) [best, least] = [other, room];
    }
    nearest.push(best);
  }
  return nearest;
}

/** Times of reading a spec, of checking it and of the search of all its pairs, ms, in this process; they take turns. */
function timeChecks(core, counts) {
  const jobs = counts.map((count) => ({ count, text: manyHoles(count), parse: [], check: [], pairs: [] }));
  const timed = (list, work) => {
    const start = performance.now();
    const made = work();
    list.push(performance.now() - start);
    return made;
  };
  for (let round = 0; round < checkRounds; round += 1) {
    for (const { text, parse, check, pairs } of jobs) {
      const { build } = timed(parse, () => core.readBuild(text));
      const checked = timed(check, () => core.checkBuild(build));
      if (checked[0].report.verdict !== 'clear') throw new Error('every one of the many holes must be clear');
      timed(pairs, () => searchAllPairs(build.panels[0]));
    }
  }
  return new Map(jobs.map(({ count, parse, check, pairs }) => [count, { parse: median(parse), check: median(check), pairs: median(pairs), leastCheck: Math.min(...check), leastParse: Math.min(...parse), leastPairs: Math.min(...pairs) }]));
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
  const core = await import(pathToFileURL(join(root, 'dist/core/index.js')).href);
  const pages = marksPerPage(core, largeSpec());
  const bare = await writeBareScript('bare', pages);
  const file = (name, text) => {
    const path = join(folder, `${name}.yaml`);
    writeFileSync(path, text);
    return path;
  };
  const template = (name, spec) => ['template', spec, '-o', join(folder, `${name}.pdf`)];
  const scattered = file('scattered', scatteredSpec());
  const walls = [[10, 2, 5], [100, 10, 10], [1000, 25, 40]].map(([sheets, columns, rows]) => ({ sheets, spec: file(`wall-${sheets}`, wallSpec(columns, rows)) }));
  const commands = [
    { name: 'node -e 0', args: ['-e', '0'] },
    { name: 'panejig check, the example', args: [main, 'check', example], yardstick: 'node -e 0', aim: 2 },
    { name: 'panejig flow, two tiers over a sump', args: [main, 'flow', terrace], yardstick: 'panejig check, the example', aim: 1.5 },
    { name: 'panejig template, the example', args: [main, ...template('example', example)], yardstick: 'node -e 0', aim: 4 },
    { name: 'bare pdf-lib script, as many marks', args: [bare] },
    { name: `panejig template, 200 holes, ${pages.length} pages`, args: [main, ...template('large', large)], yardstick: 'bare pdf-lib script, as many marks', aim: 1.5 },
    { name: 'panejig check, 40 holes on 3 x 1 m', args: [main, 'check', scattered] },
    { name: 'search for its sheets alone', args: [writeSearchScript(scatteredSpec())], isOwnTime: true, yardstick: 'panejig check, 40 holes on 3 x 1 m', aim: 4 },
    ...walls.map(({ sheets, spec }) => ({ name: `panejig template, ${sheets} sheets`, args: [main, ...template(`wall-${sheets}`, spec)] })),
  ];
  const ofMany = [some, many].map((count) => ({ count, name: `panejig template, ${count} holes`, args: [main, ...template(`many-${count}`, file(`many-${count}`, manyHoles(count)))] }));
  const manyPages = marksPerPage(core, manyHoles(many));
  const bareMany = { name: 'bare pdf-lib script, as many marks as those', args: [await writeBareScript('bare-many', manyPages)] };
  const checks = timeChecks(core, [some, many]);
  const times = new Map([...commands, ...ofMany, bareMany].map(({ name }) => [name, []]));
  const peaks = new Map(ofMany.map(({ name }) => [name, []]));
  for (let round = 0; round < largeRounds; round += 1) {
    for (const command of ofMany) {
      const { took, peak } = timeAndPeak(command);
      times.get(command.name).push(took);
      peaks.get(command.name).push(peak);
    }
    if (round === 0) times.get(bareMany.name).push(time(bareMany));
  }
  commands.forEach(time);
  for (let round = 0; round < rounds; round += 1) commands.forEach((command) => times.get(command.name).push(time(command)));

  const middle = (name) => median(times.get(name));
  const perSheet = (few, many) => (middle(`panejig template, ${many} sheets`) - middle(`panejig template, ${few} sheets`)) / (many - few);
  const total = (kind, of = pages) => of.reduce((sum, page) => sum + (Array.isArray(page[kind]) ? page[kind].length : page[kind]), 0);
  const verdict = (ratio, aim) => [ratio.toFixed(2), `<= ${aim}`, ratio <= aim ? 'met' : 'MISSED'];
  console.log(`${rounds} runs each, taking turns; ${process.version}; large jig: ${pages.length} pages, ${total('lines')} lines, ${total('circles')} circles, ${total('paths')} paths, ${total('texts')} texts`);
  const rows = commands.map(({ name, yardstick, aim }) => {
    const [ratio, limit, word] = yardstick ? verdict(middle(name) / middle(yardstick), aim) : ['', '', ''];
    return [name, middle(name).toFixed(1), Math.min(...times.get(name)).toFixed(1), ratio, yardstick ?? '', limit, word];
  });
  const compared = (name, value, least, ratio, yardstick, aim) => [name, value.toFixed(1), least.toFixed(1), ...verdict(ratio, aim).toSpliced(1, 0, yardstick)];
  const [low, high] = [perSheet(10, 100), perSheet(100, 1000)];
  const [few, full] = [checks.get(some), checks.get(many)];
  const [ofSome, ofAll] = ofMany;
  const leastOf = ({ name }) => Math.min(...times.get(name));
  const peak = Math.max(...peaks.get(ofAll.name));
  printTable([
    ['command', 'median ms', 'least ms', 'ratio', 'to', 'aim', ''],
    ...rows,
    ['each sheet more, 10 to 100', low.toFixed(2), '', '', '', '', ''],
    ['each sheet more, 100 to 1000', high.toFixed(2), '', ...verdict(high / low, 1.25).toSpliced(1, 0, 'each sheet more, 10 to 100')],
  ]);
  console.log(`\n${some} and ${many} holes: ${largeRounds} runs each of template, 1 of the bare script, ${checkRounds} of the check; ${manyPages.length} pages, ${total('lines', manyPages)} lines, ${total('circles', manyPages)} circles, ${total('paths', manyPages)} paths, ${total('texts', manyPages)} texts`);
  printTable([
    ['command', 'median ms', 'least ms', 'ratio', 'to', 'aim', ''],
    [bareMany.name, middle(bareMany.name).toFixed(1), leastOf(bareMany).toFixed(1), '', '', '', ''],
    [ofSome.name, middle(ofSome.name).toFixed(1), leastOf(ofSome).toFixed(1), '', '', '', ''],
    compared(ofAll.name, middle(ofAll.name), leastOf(ofAll), middle(ofAll.name) / middle(bareMany.name), bareMany.name, 1.5),
    compared('its growth', middle(ofAll.name), leastOf(ofAll), middle(ofAll.name) / middle(ofSome.name), ofSome.name, 12),
    [`its memory at the peak: ${peak.toFixed(0)} MiB`, '', '', ...verdict(peak / 1024, 1).toSpliced(1, 0, '1024 MiB')],
    [`reading ${many} holes, in one process`, full.parse.toFixed(1), full.leastParse.toFixed(1), '', '', '', ''],
    compared('checking them', full.check, full.leastCheck, full.check / full.parse, 'reading them', 10),
    compared('its growth', full.check, full.leastCheck, full.check / few.check, `checking ${some} holes`, 12),
    [`search of all ${many} x ${many} pairs`, full.pairs.toFixed(1), full.leastPairs.toFixed(1), '', '', '', ''],
    compared('checking them', full.check, full.leastCheck, full.check / full.pairs, 'search of all pairs', 1),
  ]);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
