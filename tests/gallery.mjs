/**
 * Makes the jigs of all examples and a picture of each page, for looking at: npm run gallery. Pages are drawn by PDFium;
 * everything goes to out/gallery, with an index.html over all.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PDFiumLibrary } from '@hyzyla/pdfium';
import { PNG } from 'pngjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const folder = join(root, 'out/gallery');
/** Pixels to the inch: enough to read every word. */
const resolution = 110;

/** What each example shows; a refused one is drawn as a draft. */
const examples = [
  { spec: 'quarantine-end-panel', about: 'A single panel: two drains and a return in the end of a framed tank.', flags: ['--board', '--mask'] },
  { spec: 'nursery-twins', about: 'Twin tanks with overflow boxes: one hole pattern for panel and box, fittings and bits from a drawer.', flags: ['--mask'] },
  { spec: 'jelly-cube', about: 'An acrylic cube in inches: drilled in the back and, from the inside, in the bottom.', flags: ['--board'] },
  { spec: 'pump-cabinet-sump', about: 'An acrylic wall in inches, drilled and measured from the inside.', flags: [] },
  { spec: 'hatchery-manifold', about: 'A manifold laid out by a row, repeats and twins, with one hole where it has the most room.', flags: [] },
  { spec: 'fern-terrace', about: 'Two tiers over a sump with their water: pump, returns, drains and weirs, and bulkheads of the size that it takes.', flags: [] },
  { spec: 'too-close', about: 'A refused panel as a draft: what is wrong, and what to change.', flags: ['--draft'] },
];

rmSync(folder, { recursive: true, force: true });
const library = await PDFiumLibrary.init();
const sections = [];
for (const { spec, about, flags } of examples) {
  const own = join(folder, spec);
  mkdirSync(own, { recursive: true });
  const args = ['template', join('templates-spec', `${spec}.yaml`), '-o', join('out/gallery', spec, `${spec}.pdf`), ...flags];
  const said = run(args);
  const pages = await pictures(join(own, `${spec}.pdf`), own);
  console.log(`${spec}: ${pages.length} pages`);
  sections.push(`<h2>${escaped(spec)}</h2>\n<p>${escaped(about)} <a href="${spec}/${spec}.pdf">PDF</a></p>\n<pre>panejig ${escaped(args.join(' '))}\n${escaped(said)}</pre>\n<div>${pages.map((page, index) => `<a href="${spec}/${page}"><img src="${spec}/${page}" alt="page ${index + 1}" loading="lazy"></a>`).join('\n')}</div>`);
}
library.destroy();
writeFileSync(
  join(folder, 'index.html'),
  `<!doctype html>\n<html lang="en"><meta charset="utf-8"><title>panejig gallery</title>\n<style>body{font:16px sans-serif;margin:2em}img{width:220px;border:1px solid #bbb;margin:4px;vertical-align:top}pre{background:#f4f4f4;padding:1em;white-space:pre-wrap}</style>\n<h1>Jigs of the examples</h1>\n${sections.join('\n')}\n</html>\n`,
);
console.log(`${join('out/gallery', 'index.html')}: ${readdirSync(folder).length - 1} examples`);

/** What the command says; a draft of a refused spec ends with 1. */
function run(args) {
  try {
    return execFileSync(process.execPath, ['dist/cli/main.js', ...args], { cwd: root, encoding: 'utf8' });
  } catch (error) {
    if (error.status === 1) return error.stdout;
    throw error;
  }
}

/** A PNG of each page, and their names. */
async function pictures(pdf, into) {
  const document = await library.loadDocument(readFileSync(pdf));
  const names = [];
  for (const page of document.pages()) {
    const name = `page-${String(names.length + 1).padStart(2, '0')}.png`;
    const { width, height, data } = await page.render({ scale: resolution / 72, render: 'bitmap' });
    const png = new PNG({ width, height });
    png.data = Buffer.from(data);
    writeFileSync(join(into, name), PNG.sync.write(png));
    names.push(name);
  }
  document.destroy();
  return names;
}

function escaped(text) {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
}
