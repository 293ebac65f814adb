/**
 * Pictures of whole pages, rendered by pdfjs-dist (Mozilla's PDF renderer) and compared by pixelmatch with pictures in
 * tests/printed/pictures that a person has looked at. `UPDATE_PICTURES=1` writes them anew; look at them before you keep
 * them. Where a page differs, tests/printed/differences shows it: as it is, and with the differing pixels in red.
 */
import { mkdirSync, readFileSync, existsSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import pixelmatch from 'pixelmatch';
import { PNG } from 'pngjs';
import { expect, test } from 'vitest';
import { checkBuild } from '../../src/report.ts';
import { buildWords, waterPdf } from '../../src/set.ts';
import { checkWater, type WaterReport } from '../../src/water.ts';
import { loadWide } from '../fonts.ts';
import { buildOf, canvasOf, openPdf, pageOf, printJig, type Printed } from './measure.ts';

const folder = (name: string) => fileURLToPath(new URL(`${name}/`, import.meta.url));
const [pictures, differences] = [folder('pictures'), folder('differences')];
const isUpdate = process.env['UPDATE_PICTURES'] === '1';

const dpi = 75;

/** Share of pixels that may differ: the anti-aliasing of single letters on another platform, not a moved line. */
const mostDiffering = 0.0002;

const template = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

const inches = `
title: Frag shelf, back wall
units: in
panel: {material: acrylic, width: 20, height: 12, thickness: 1/4, keep-clear: [{name: light rail, from-left: 8, from-top: 0, width: 5, height: 2}]}
holes:
  - {name: return, fitting: bulkhead 3/4 in, from-left: 3 1/2, from-bottom: 2 1/2}
  - {name: overflow, diameter: 2, from-right: 3, from-top: 4}
sheets: {paper: Letter, orientation: portrait}`;

const refused = `
title: Quarantine rack, first plan
units: mm
panel: {material: annealed glass, width: 300, height: 200, thickness: 8}
holes:
  - {name: sound, diameter: 40, from-left: 110, from-top: 120}
  - {name: at the edge, diameter: 30, from-left: 30, from-top: 60}
sheets: {paper: A4}`;

const fromInside = `
title: Pump cabinet, sump wall
units: mm
panel: {material: acrylic, thickness: 10, drilled-from: inside, measured-from: rim, rim: {top: 15, left: 0, right: 10, bottom: 0}, outline: [[0, 0], [380, 0], [380, 190], [320, 250], [0, 250]]}
fittings: {inlet: {hole: [44, 46], flange: 66, nut: 60}}
holes:
  - {name: inlet, fitting: inlet, from-left: 95, from-top: 95}
  - {name: probe, diameter: 16, from-right: 90, from-bottom: 60}
sheets: {paper: A4, orientation: landscape}`;

const pages: readonly { readonly name: string; readonly spec: string; readonly options?: Parameters<typeof printJig>[1]; readonly page: (printed: Printed) => number }[] = [
  { name: 'example-front', spec: template('quarantine-end-panel'), page: () => 1 },
  { name: 'example-drilling', spec: template('quarantine-end-panel'), page: ({ jig }) => jig.front.length },
  { name: 'example-a2', spec: template('quarantine-end-panel'), page: (printed) => pageOf(printed, 'A2') },
  { name: 'letter-a1', spec: inches, page: (printed) => pageOf(printed, 'A1') },
  { name: 'letter-drilling', spec: inches, page: ({ jig }) => jig.front.length },
  { name: 'draft-front', spec: refused, options: { isDraft: true }, page: () => 1 },
  { name: 'draft-a1', spec: refused, options: { isDraft: true }, page: (printed) => pageOf(printed, 'A1') },
  { name: 'areas-a2', spec: fromInside, options: { isAreas: true }, page: (printed) => pageOf(printed, 'A2') },
  { name: 'inside-a2', spec: fromInside, page: (printed) => pageOf(printed, 'A2') },
  { name: 'nursery-drilling', spec: template('nursery-twins'), options: { part: 'nursery, back' }, page: ({ jig }) => jig.front.length },
  { name: 'nursery-a3', spec: template('nursery-twins'), options: { part: 'nursery, back' }, page: (printed) => pageOf(printed, 'A3') },
  { name: 'nursery-board', spec: template('nursery-twins'), options: { part: 'nursery, right', isBoard: true }, page: ({ jig }) => jig.front.length + jig.sheets.length + jig.board.length },
  { name: 'nursery-mask', spec: template('nursery-twins'), options: { part: 'nursery, back', isMask: true }, page: ({ jig }) => jig.front.length + jig.sheets.length + 1 },
];

async function pictureOfPage({ spec, options, page }: (typeof pages)[number]): Promise<PNG> {
  const printed = await printJig(spec, options);
  return pictureOf(printed, page(printed));
}

async function pictureOf(printed: Pick<Printed, 'pdf'>, page: number): Promise<PNG> {
  const { canvas } = await canvasOf(printed, page, dpi);
  return PNG.sync.read(canvas.toBuffer('image/png'));
}

/** Flow pages of the terrace: diagram and tables, then the curves of pump and pipes. */
async function flowPages(): Promise<Pick<Printed, 'pdf'>> {
  const build = buildOf(template('fern-terrace'));
  const setter = await loadWide(buildWords(build));
  return { pdf: await openPdf(await waterPdf(build, checkBuild(build), checkWater(build) as WaterReport, setter, { width: 210, height: 297, margin: 12 })) };
}

/** Share of the pixels that differ; the pictures of the difference are written where it is too much. */
function differing(name: string, drawn: PNG, kept: PNG): number {
  expect({ width: drawn.width, height: drawn.height }).toEqual({ width: kept.width, height: kept.height });
  const marked = new PNG({ width: kept.width, height: kept.height });
  const share = pixelmatch(kept.data, drawn.data, marked.data, kept.width, kept.height, { threshold: 0.15 }) / (kept.width * kept.height);
  if (share > mostDiffering) {
    mkdirSync(differences, { recursive: true });
    writeFileSync(`${differences}${name}.png`, PNG.sync.write(drawn));
    writeFileSync(`${differences}${name}-marked.png`, PNG.sync.write(marked));
  }
  return share;
}

test.each([
  ...pages.map((one) => ({ name: one.name, draw: () => pictureOfPage(one) })),
  ...['fern-flow', 'fern-pump'].map((name, index) => ({ name, draw: async () => pictureOf(await flowPages(), index + 1) })),
])('$name looks as it did when it was last looked at', async ({ name, draw }) => {
  const drawn = await draw();
  const path = `${pictures}${name}.png`;
  if (isUpdate) {
    mkdirSync(pictures, { recursive: true });
    writeFileSync(path, PNG.sync.write(drawn, { colorType: 0 }));
  }
  expect(existsSync(path), `there is no picture ${path}; write it with UPDATE_PICTURES=1`).toBe(true);
  const share = differing(name, drawn, PNG.sync.read(readFileSync(path)));
  expect(share, `see ${differences}${name}-marked.png; if the new look is meant, run with UPDATE_PICTURES=1`).toBeLessThanOrEqual(mostDiffering);
});

test('the comparison sees a line that has moved by a pixel', () => {
  const drawn = PNG.sync.read(readFileSync(`${pictures}example-a2.png`));
  const moved = new PNG({ width: drawn.width, height: drawn.height });
  drawn.data.copy(moved.data, 4 * drawn.width);
  const share = pixelmatch(drawn.data, moved.data, undefined, drawn.width, drawn.height, { threshold: 0.15 }) / (drawn.width * drawn.height);
  expect(share).toBeGreaterThan(mostDiffering);
});
