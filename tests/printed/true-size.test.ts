/**
 * The printed jig at true size. Everything is measured on what pdfjs-dist (Mozilla's PDF renderer) makes of the PDF,
 * at 600 dpi, and compared with the spec's own numbers, written here as literals.
 */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, test } from 'vitest';
import type { Point, Rect } from '../../src/plan/plan.ts';
import type { Cell } from '../../src/render/layout.ts';
import {
  areJoined, around, boxOf, circlesOf, expectedOn, findLine, findRing, fine, finePixel, isWithin, mmPerInch, onCurve, pageOf, pageSize, pictureOf, printJig, rulersOf,
  strokesAlong, vectorsOf, windowOf, wordsOf, type Printed, type VectorRuler,
} from './measure.ts';

const inch = mmPerInch;

/** A straight line that a distance is measured to: one of the four sides, or the slanted edge of an outline. */
type LineName = 'left' | 'right' | 'top' | 'bottom' | 'slant';

interface HoleCase {
  readonly name: string;
  /** mm. */
  readonly diameter: number;
  /** Distances of the centre from lines, mm, as the spec gives them. */
  readonly from: Partial<Record<LineName, number>>;
  /** Number of sheets that show at least a quarter of its circle. */
  readonly sheets: number;
}

interface Case {
  readonly name: string;
  readonly spec: string;
  /** Width and height of the page as it lies, mm. */
  readonly page: readonly [number, number];
  readonly holes: readonly HoleCase[];
}

/** Paper sizes: ISO 216 (A4 210 x 297 mm, A3 297 x 420 mm); ANSI/ASME Y14.1 (A 8.5 x 11 in, B 11 x 17 in); Legal 8.5 x 14 in. */
const cases: readonly Case[] = [
  {
    name: 'the example on A4, measured from the rim',
    spec: readFileSync(new URL('../../templates-spec/quarantine-end-panel.yaml', import.meta.url), 'utf8'),
    page: [297, 210],
    holes: [
      { name: 'drain', diameter: 45, from: { left: 100, top: 75 }, sheets: 1 },
      { name: 'spare drain', diameter: 45, from: { top: 75 }, sheets: 1 },
      { name: 'return', diameter: 36, from: { right: 3.5 * inch, top: 70 }, sheets: 1 },
    ],
  },
  {
    name: 'Letter landscape, inches, a hole higher than a sheet',
    spec: `
title: Frag shelf, back wall
units: in
panel: {material: acrylic, width: 20, height: 14, thickness: 1/4}
holes:
  - {name: return, diameter: 1-3/8, from-left: 3, from-bottom: 2 1/2}
  - {name: overflow, diameter: 2, from-right: 2 1/2, from-top: 3}
  - {name: siphon, diameter: 6, from-left: 11, from-top: 6 1/2}
sheets: {paper: Letter, orientation: landscape, overlap: 16 mm, margin: 10 mm}`,
    page: [11 * inch, 8.5 * inch],
    holes: [
      { name: 'return', diameter: 1.375 * inch, from: { left: 3 * inch, bottom: 2.5 * inch }, sheets: 1 },
      { name: 'overflow', diameter: 2 * inch, from: { right: 2.5 * inch, top: 3 * inch }, sheets: 1 },
      { name: 'siphon', diameter: 6 * inch, from: { top: 6.5 * inch }, sheets: 2 },
    ],
  },
  {
    name: 'Legal portrait, from inside, a hole larger than a sheet',
    spec: `
title: Quarantine room, divider
units: mm
panel: {material: acrylic, width: 1000, height: 900, thickness: 10, drilled-from: inside}
holes:
  - {name: low, diameter: 60, from-right: 90, from-bottom: 100}
  - {name: high, diameter: 45, from-left: 100, from-top: 110}
  - {name: middle, diameter: 310, from-left: 494.2, from-top: 451.6}
sheets: {paper: Legal, orientation: portrait, overlap: 16, margin: 10}`,
    page: [8.5 * inch, 14 * inch],
    holes: [
      { name: 'low', diameter: 60, from: { right: 90, bottom: 100 }, sheets: 1 },
      { name: 'high', diameter: 45, from: { left: 100, top: 110 }, sheets: 1 },
      { name: 'middle', diameter: 310, from: {}, sheets: 2 },
    ],
  },
  {
    name: 'A3 landscape, an outline with a slanted edge',
    spec: `
title: Corner tank, back panel
units: mm
panel: {material: annealed glass, outline: [[0, 0], [600, 0], [600, 300], [520, 380], [0, 380]], thickness: 8}
holes:
  - {name: return, diameter: 36.5, from-right: 100, from-top: 130}
  - {name: drain, diameter: 54, from-left: 80, from-top: 90}
sheets: {paper: A3, orientation: landscape}`,
    page: [420, 297],
    // The slanted edge lies on x + y = 900; the centre of "return" at (500, 250) is (900 - 750) / sqrt 2 from it.
    holes: [
      { name: 'return', diameter: 36.5, from: { right: 100, top: 130, slant: 150 / Math.SQRT2 }, sheets: 1 },
      { name: 'drain', diameter: 54, from: { left: 80, top: 90 }, sheets: 1 },
    ],
  },
  {
    name: 'ANSI B portrait, inches, from inside, measured from the rim',
    spec: `
title: Pump cabinet, sump wall
units: in
panel:
  material: annealed glass
  width: 18
  height: 14
  thickness: 3/8
  drilled-from: inside
  measured-from: rim
  rim: {top: 1, bottom: 1, left: 1/2, right: 1/2}
holes:
  - {name: inlet, diameter: 1 3/4, from-left: 3, from-top: 2 1/2}
  - {name: outlet, diameter: 2, from-right: 4, from-bottom: 3}
sheets: {paper: ansi b, orientation: portrait}`,
    page: [11 * inch, 17 * inch],
    holes: [
      { name: 'inlet', diameter: 1.75 * inch, from: { left: 3 * inch, top: 2.5 * inch }, sheets: 1 },
      { name: 'outlet', diameter: 2 * inch, from: { right: 4 * inch, bottom: 3 * inch }, sheets: 1 },
    ],
  },
  {
    name: 'a plotter sheet of 24 x 36 in, landscape',
    spec: `
title: Frag room, viewing wall
units: mm
panel: {material: acrylic, width: 1500, height: 850, thickness: 20}
holes:
  - {name: left drain, diameter: 100, from-left: 200, from-top: 150}
  - {name: right drain, diameter: 76.2, from-right: 300, from-bottom: 200}
  - {name: weir, diameter: 200, from-left: 867.4, from-top: 250}
sheets: {paper: 24 x 36 in, orientation: landscape, overlap: 16, margin: 10}`,
    page: [36 * inch, 24 * inch],
    holes: [
      { name: 'left drain', diameter: 100, from: { left: 200, top: 150 }, sheets: 1 },
      { name: 'right drain', diameter: 76.2, from: { right: 300, bottom: 200 }, sheets: 1 },
      { name: 'weir', diameter: 200, from: { top: 250 }, sheets: 1 },
    ],
  },
];

/** Largest error met by kind, mm; told at the end. */
const largest = new Map<string, number>();

/** Asserts that a length is what it should be, and remembers the error. */
function expectLength(kind: string, measured: number, wanted: number, within: number): void {
  const error = Math.abs(measured - wanted);
  largest.set(kind, Math.max(largest.get(kind) ?? 0, error));
  expect(error, `${kind}: ${measured} mm measured, ${wanted} mm wanted`).toBeLessThanOrEqual(within);
}

afterAll(() => {
  console.info(`largest errors, mm: ${[...largest].map(([kind, error]) => `${kind} ${error.toFixed(5)}`).join(', ')}`);
});

const printedCases = new Map<string, Promise<Printed>>();

function printed({ name, spec }: Case): Promise<Printed> {
  const found = printedCases.get(name) ?? printJig(spec);
  printedCases.set(name, found);
  return found;
}

/** Share of a circle that lies inside a box. */
function shareWithin(center: Point, radius: number, box: Rect): number {
  const points = Array.from({ length: 360 }, (_, degree) => ({ x: center.x + radius * Math.cos((degree * Math.PI) / 180), y: center.y + radius * Math.sin((degree * Math.PI) / 180) }));
  return points.filter((p) => isWithin(p, box, 0.5)).length / points.length;
}

/** Direction on the panel, seen from outside, from a hole to a line. */
const towards: Readonly<Record<LineName, Point>> = {
  left: { x: -1, y: 0 },
  right: { x: 1, y: 0 },
  top: { x: 0, y: 1 },
  bottom: { x: 0, y: -1 },
  slant: { x: Math.SQRT1_2, y: Math.SQRT1_2 },
};

/**
 * Distance on paper of a measured centre from a line, mm; undefined where the sheet does not show the line abreast of
 * the hole.
 */
async function distanceOnPaper(print: Printed, sheet: string, center: Point, onPanel: Point, lineName: LineName, expected: number): Promise<number | undefined> {
  const to = towards[lineName];
  const along = (by: number) => expectedOn(print, sheet, { x: onPanel.x + expected * to.x - by * to.y, y: onPanel.y + expected * to.y + by * to.x });
  const [a, b] = [along(-6), along(6)];
  const shown = windowOf(print, sheet);
  if (!isWithin(a, shown, 1.5) || !isWithin(b, shown, 1.5)) return undefined;
  if (runsAlongSeam(print, sheet, a, b)) return undefined;
  const box = boxOf([a, b]);
  const picture = await pictureOf(print, pageOf(print, sheet), fine, { left: box.left - 2, right: box.right + 2, bottom: box.bottom - 2, top: box.top + 2 });
  const line = findLine(picture, a, b);
  expect(line, `the ${lineName} line on ${sheet}`).toBeDefined();
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const toLeft = (-(b.y - a.y) * (center.x - a.x) + (b.x - a.x) * (center.y - a.y)) / length;
  return Math.abs(toLeft - (line?.offset ?? Infinity));
}

/** Whether a straight line lies under a seam line, where no eye can tell the two strokes apart. */
function runsAlongSeam(print: Printed, sheet: string, a: Point, b: Point): boolean {
  const cell = print.jig.layout.cells.find(({ name }) => name === sheet);
  if (!cell) return false;
  const shift = { x: windowOf(print, sheet).left - cell.window.left, y: windowOf(print, sheet).top - cell.window.top };
  const near = (p: number, q: number, seam: number) => Math.max(Math.abs(p - seam), Math.abs(q - seam)) < 0.7;
  const { core } = cell;
  return [core.left, core.right].some((x) => near(a.x, b.x, x + shift.x)) || [core.top, core.bottom].some((y) => near(a.y, b.y, y + shift.y));
}

/** Measures one hole on every sheet that shows enough of it. Returns the number of sheets and of distances measured. */
async function measureHole(print: Printed, hole: HoleCase): Promise<{ sheets: number; lines: Set<LineName> }> {
  const planned = print.plan.holes.find(({ name }) => name === hole.name);
  if (!planned) throw new Error(`no hole ${hole.name}`);
  const lines = new Set<LineName>();
  let sheets = 0;
  for (const { name: sheet } of print.jig.sheets) {
    const expected = expectedOn(print, sheet, planned.center);
    const share = shareWithin(expected, hole.diameter / 2, windowOf(print, sheet));
    if (share < 0.25) continue;
    sheets += 1;
    const picture = await pictureOf(print, pageOf(print, sheet), fine, around(expected, hole.diameter / 2 + 3));
    const ring = findRing(picture, expected, hole.diameter / 2);
    expect(ring, `the circle of ${hole.name} on ${sheet}`).toBeDefined();
    if (!ring) continue;
    expect(ring.seen).toBeGreaterThan(0.8 * share);
    expectLength('diameter', ring.diameter, hole.diameter, finePixel);
    expectLength('out of round', ring.unround, 0, finePixel);
    for (const [lineName, mm] of Object.entries(hole.from) as [LineName, number][]) {
      const distance = await distanceOnPaper(print, sheet, ring.center, planned.center, lineName, mm);
      if (distance === undefined) continue;
      lines.add(lineName);
      expectLength('distance', distance, mm, finePixel);
    }
  }
  return { sheets, lines };
}

describe.each(cases)('$name', (example) => {
  test.each(example.holes)('hole "$name": diameter and distances to the pixel', async (hole) => {
    const { sheets, lines } = await measureHole(await printed(example), hole);
    expect(sheets).toBe(hole.sheets);
    expect([...lines].sort()).toEqual(Object.keys(hole.from).sort());
  });

  test('every page has the size of the paper', async () => {
    const print = await printed(example);
    const { front, sheets } = print.jig;
    for (let page = front.length + 1; page <= front.length + sheets.length; page += 1) {
      const { width, height } = await pageSize(print, page);
      expectLength('page size', width, example.page[0], 0.001);
      expectLength('page size', height, example.page[1], 0.001);
    }
  });

  test('the rulers of every sheet measure what the sheet says, as vectors', async () => {
    const print = await printed(example);
    for (const { name } of print.jig.sheets) {
      const page = pageOf(print, name);
      const told = await toldLengths(print, page);
      const { across, up } = rulersOf(await vectorsOf(print, page));
      checkRuler(across, told.across);
      checkRuler(up, told.up);
    }
  });

  test('the rulers measure the same in pixels', async () => {
    const print = await printed(example);
    const page = pageOf(print, print.jig.sheets[0]?.name ?? '');
    const told = await toldLengths(print, page);
    const { across, up } = rulersOf(await vectorsOf(print, page));
    await checkRulerPixels(print, page, across, told.across, (along, out) => ({ x: along, y: out }));
    await checkRulerPixels(print, page, up, told.up, (along, out) => ({ x: out, y: along }));
  });

  test('nothing is printed in the margin that printers cannot reach', async () => {
    const print = await printed(example);
    const { margin } = print.plan.sheets;
    for (let page = 1; page <= print.pdf.numPages; page += 1) {
      const { width, height } = await pageSize(print, page);
      const strips: Rect[] = [
        { left: 0, right: margin, bottom: 0, top: height },
        { left: width - margin, right: width, bottom: 0, top: height },
        { left: 0, right: width, bottom: 0, top: margin },
        { left: 0, right: width, bottom: height - margin, top: height },
      ];
      for (const strip of strips) expect(await darkPixels(print, page, strip), `page ${page}`).toBe(0);
    }
  });

  test('every sheet says what and where it is', async () => {
    const print = await printed(example);
    const names = print.jig.sheets.map(({ name }) => name);
    for (const name of names) {
      const words = await wordsOf(print, pageOf(print, name));
      const lines = words.split('\n');
      expect(lines).toContain(name);
      expect(lines).toContain(print.plan.title);
      expect(words).toContain('100 %');
      expect(words).toContain(print.report.fingerprint);
      expect(words).not.toContain('DRAFT');
      const joins = /joins ([A-Z]+\d+(?:,\s+[A-Z]+\d+)*)/.exec(words)?.[1]?.split(/,\s+/).sort() ?? [];
      const { cells } = print.jig.layout;
      const cell = cells.find((found) => found.name === name) as Cell;
      expect(joins).toEqual(cells.filter((other) => areJoined(cell, other)).map((other) => other.name).sort());
    }
  });
});

/** The ruler lengths that a sheet's words promise, mm. */
async function toldLengths(print: Printed, page: number): Promise<{ across: number; up: number }> {
  const words = (await wordsOf(print, page)).replace(/\s+/g, ' ');
  const found = /across (\d+) ?mm, down (\d+) ?mm/.exec(words);
  if (!found) throw new Error(`the sheet does not say how long its rulers are: ${words}`);
  return { across: Number(found[1]), up: Number(found[2]) };
}

/** Ticks each millimetre and each sixteenth of an inch, over the whole length, to 0.001 mm. */
function checkRuler({ millimetres, inches }: VectorRuler, length: number): void {
  expect(length).toBeGreaterThanOrEqual(100);
  const [start = NaN] = millimetres;
  expect(millimetres).toHaveLength(length + 1);
  millimetres.forEach((place, index) => expectLength('ruler, vectors', place - start, index, 0.001));
  expect(inches).toHaveLength(Math.floor((length / inch) * 16 + 1e-9) + 1);
  inches.forEach((place, index) => expectLength('ruler, vectors', place - start, (index * inch) / 16, 0.001));
}

/** The same with ticks found in the pixels, on a scan at 0.9 mm from the ruler's line. */
async function checkRulerPixels(print: Printed, page: number, ruler: VectorRuler, length: number, place: (along: number, out: number) => Point): Promise<void> {
  const first = ruler.millimetres[0] ?? NaN;
  const [from, to] = [first - 0.4, first + length + 0.4];
  for (const scale of [{ out: 0.9 * ruler.side, step: 1 }, { out: -0.9 * ruler.side, step: inch / 16 }]) {
    const [a, b] = [place(from, ruler.baseline + scale.out), place(to, ruler.baseline + scale.out)];
    const picture = await pictureOf(print, page, fine, boxOf([a, b, place(from - 1, ruler.baseline + scale.out - 0.3), place(to + 1, ruler.baseline + scale.out + 0.3)]));
    const ticks = strokesAlong(picture, a, b).map(({ middle }) => middle);
    expect(ticks).toHaveLength(Math.floor(length / scale.step + 1e-9) + 1);
    ticks.forEach((tick, index) => expectLength('ruler, pixels', tick - (ticks[0] ?? NaN), index * scale.step, finePixel));
  }
}

/** Number of pixels that are not white and lie wholly inside a box, at 300 dpi. */
async function darkPixels(print: Printed, page: number, box: Rect): Promise<number> {
  const picture = await pictureOf(print, page, 300, box);
  const { width, height, gray, corner, pixel } = picture;
  let dark = 0;
  for (let row = 0; row < height; row += 1) {
    for (let column = 0; column < width; column += 1) {
      if (gray[row * width + column] === 255) continue;
      const [left, top] = [corner.x + column * pixel, corner.y - row * pixel];
      const slack = 1e-6;
      if (left >= box.left - slack && left + pixel <= box.right + slack && top <= box.top + slack && top - pixel >= box.bottom - slack) dark += 1;
    }
  }
  return dark;
}

test('random panels on random papers: every circle and distance to the pixel', async () => {
  const tenths = (least: number, most: number) => fc.integer({ min: least * 10, max: most * 10 }).map((value) => value / 10);
  const panel = fc.record({
    width: tenths(320, 700),
    height: tenths(320, 700),
    face: fc.constantFrom('outside', 'inside'),
    paper: fc.constantFrom('A4', 'Letter', 'Legal', 'A3'),
    orientation: fc.constantFrom('portrait', 'landscape'),
    overlap: tenths(8, 30),
    margin: tenths(5, 15),
    diameter: tenths(20, 60),
    across: tenths(70, 130),
    up: tenths(70, 130),
    sides: fc.constantFrom(['left', 'top'], ['left', 'bottom'], ['right', 'top'], ['right', 'bottom']) as fc.Arbitrary<['left' | 'right', 'top' | 'bottom']>,
  });
  let distances = 0;
  await fc.assert(
    fc.asyncProperty(panel, async ({ width, height, face, paper, orientation, overlap, margin, diameter, across, up, sides: [side, end] }) => {
      const print = await printJig(`
title: Random
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: 6, drilled-from: ${face}}
holes: [{name: hole, diameter: ${diameter}, from-${side}: ${across}, from-${end}: ${up}}]
sheets: {paper: ${paper}, orientation: ${orientation}, overlap: ${overlap}, margin: ${margin}}`);
      const { sheets, lines } = await measureHole(print, { name: 'hole', diameter, from: { [side]: across, [end]: up }, sheets: 1 });
      distances += lines.size;
      expect(sheets).toBeGreaterThanOrEqual(1);
      await print.pdf.loadingTask.destroy();
    }),
    { numRuns: 15 },
  );
  expect(distances).toBeGreaterThan(10);
});

describe('words on the strip that another sheet covers or the scissors take', () => {
  test('make room for a circle that begins there', async () => {
    const print = await printJig(`
title: Quarantine tank, lid
units: mm
panel: {material: acrylic, width: 326.8, height: 320, thickness: 6, drilled-from: inside}
holes: [{name: hole, diameter: 20.1, from-left: 129.8, from-bottom: 70}]
sheets: {paper: A4, orientation: portrait, overlap: 29.3, margin: 5.5}`);
    const { sheets } = await measureHole(print, { name: 'hole', diameter: 20.1, from: { left: 129.8, bottom: 70 }, sheets: 2 });
    expect(sheets).toBe(2);
    expect(await wordsOf(print, pageOf(print, 'B2'))).toContain('B3 lies on here, its cut edge along this line');
  });

  test('hide no circle where a whole column of them leaves no room', async () => {
    const bottoms = [28, 53, 78, 103, 128];
    const print = await printJig(`
title: Snail hatchery, divider
units: mm
panel: {material: acrylic, width: 420, height: 150, thickness: 5}
holes: [${bottoms.map((bottom) => `{name: from ${bottom}, diameter: 16, from-left: 147, from-bottom: ${bottom}}`).join(', ')}]
sheets: {paper: A4, orientation: portrait, overlap: 29, margin: 6}`);
    for (const bottom of bottoms) {
      const { sheets } = await measureHole(print, { name: `from ${bottom}`, diameter: 16, from: { left: 147, bottom }, sheets: 2 });
      expect(sheets).toBe(2);
    }
  });
});

test('the measuring finds a wrong scale: a jig at 99.9 % fails', async () => {
  const print = await printed(cases[0] as Case);
  const expected = expectedOn(print, 'A1', (print.plan.holes[0] as { center: Point }).center);
  const picture = await pictureOf(print, pageOf(print, 'A1'), fine, around(expected, 26));
  const ring = findRing({ ...picture, pixel: picture.pixel * 0.999 }, { x: picture.corner.x + (expected.x - picture.corner.x) * 0.999, y: picture.corner.y + (expected.y - picture.corner.y) * 0.999 }, 22.5);
  expect(Math.abs((ring?.diameter ?? 0) - 45)).toBeGreaterThan(finePixel);
});

test('viewers are asked to print at true size, one-sided, on paper of the page\'s size (ISO 32000-1:2008, 12.2, table 150)', async () => {
  const { pdf } = await printed(cases[0] as Case);
  expect(await pdf.getViewerPreferences()).toMatchObject({ PrintScaling: 'None', Duplex: 'Simplex', PickTrayByPDFSize: true });
});

test('drilling circles as vectors are round to 0.001 mm', async () => {
  const diameters = [6.4, 35, 76.2, 300, 1000];
  const print = await printJig(`
title: Circles of many sizes
units: mm
panel: {material: acrylic, width: 3600, height: 2000, thickness: 6}
holes:
  - {name: a, diameter: 6.4, from-left: 3200, from-top: 1200}
  - {name: b, diameter: 35, from-left: 3200, from-top: 800}
  - {name: c, diameter: 76.2, from-left: 3200, from-top: 400}
  - {name: d, diameter: 300, from-left: 2200, from-top: 1000}
  - {name: e, diameter: 1000, from-left: 1000, from-top: 1000}
sheets: {paper: 2100 x 4000 mm, orientation: landscape}`);
  const circles = circlesOf(await vectorsOf(print, pageOf(print, 'A1')));
  for (const diameter of diameters) {
    const found = circles.filter(({ radius }) => Math.abs(2 * radius - diameter) < 0.01);
    expect(found, `circles of ${diameter} mm`).toHaveLength(1);
    const [{ center, path }] = found as unknown as [(typeof circles)[number]];
    for (const curve of path.curves) {
      for (let t = 0; t <= 1; t += 1 / 64) {
        const p = onCurve(curve, t);
        expectLength('circle, vectors', Math.hypot(p.x - center.x, p.y - center.y), diameter / 2, 0.001);
      }
    }
  }
});

describe('a draft', () => {
  const spec = (material: string) => `
title: Frag shelf, first plan
units: mm
panel: {material: ${material}, width: 300, height: 350, thickness: 8}
fittings: {drain: {hole: 45, flange: 66}}
holes:
  - {name: sound, diameter: 40, from-left: 200, from-top: 120}
  - {name: at edge, diameter: 30, from-left: 25, from-top: 150}
  - {name: at top, fitting: drain, from-left: 100, from-top: 35}
sheets: {paper: A4, orientation: portrait}`;

  /** Share of the rays round a hole that meet a ring of that radius, the best over all sheets. */
  async function ringSeen(print: Printed, name: string, radius: number): Promise<number> {
    const hole = print.plan.holes.find((planned) => planned.name === name);
    if (!hole) throw new Error(`no hole ${name}`);
    let best = 0;
    for (const { name: sheet } of print.jig.sheets) {
      const expected = expectedOn(print, sheet, hole.center);
      if (!isWithin(expected, windowOf(print, sheet))) continue;
      const picture = await pictureOf(print, pageOf(print, sheet), fine, around(expected, radius + 3));
      best = Math.max(best, findRing(picture, expected, radius)?.seen ?? 0);
    }
    return best;
  }

  /** Number of circles on all pages. */
  async function circleCount(print: Printed): Promise<number> {
    let count = 0;
    for (let page = 1; page <= print.pdf.numPages; page += 1) count += circlesOf(await vectorsOf(print, page)).length;
    return count;
  }

  test('says so on every page', async () => {
    const print = await printJig(spec('annealed glass'), { isDraft: true });
    for (let page = 1; page <= print.pdf.numPages; page += 1) expect(await wordsOf(print, page)).toContain('DRAFT');
  });

  test('has a circle for the sound hole and none for the refused ones', async () => {
    const print = await printJig(spec('annealed glass'), { isDraft: true });
    expect(print.report.byHole.get('at edge')).toBe('refused');
    expect(await ringSeen(print, 'sound', 20)).toBeGreaterThan(0.9);
    expect(await ringSeen(print, 'at edge', 15)).toBeLessThan(0.3);
    expect(await ringSeen(print, 'at top', 22.5)).toBeLessThan(0.3);
    expect(await ringSeen(print, 'at top', 33)).toBeLessThan(0.3);
  });

  test.each(['toughened glass', 'unknown glass'])('of %s has no circle at all', async (material) => {
    const print = await printJig(spec(material), { isDraft: true });
    expect(await circleCount(print)).toBe(0);
    expect(await circleCount(await printJig(spec('annealed glass'), { isDraft: true }))).toBeGreaterThan(0);
    for (const { name, radius } of [{ name: 'sound', radius: 20 }, { name: 'at edge', radius: 15 }, { name: 'at top', radius: 22.5 }]) {
      expect(await ringSeen(print, name, radius)).toBeLessThan(0.3);
    }
  });
});

test.each(['Quarantäne Becken № 3', '検疫水槽の背面', 'حوض الأسماك', 'Frag tank 🐠 back', 'Ёлка Ωμέγα שלום'])('the title "%s" can be read back from every page', async (title) => {
  const print = await printJig(`
title: "${title}"
units: mm
panel: {material: acrylic, width: 300, height: 300, thickness: 6}
holes: [{name: "${title}", diameter: 35, from-left: 120, from-top: 120}]`);
  expect([...print.jig.unprintable]).toEqual([]);
  for (let page = 1; page <= print.pdf.numPages; page += 1) {
    const words = await wordsOf(print, page);
    for (const word of title.split(' ')) expect(words).toContain(word);
  }
});

test.each(['140 x 200 mm', 'A4', 'ANSI B'])('a title of 200 characters hides neither fingerprint nor print words on %s', async (paper) => {
  const print = await printJig(`
title: ${'Quarantine room rack '.repeat(10).slice(0, 199)}x
units: mm
panel: {material: annealed glass, width: 300, height: 300, thickness: 10.25}
holes: [{name: hole, diameter: 35, from-left: 120, from-top: 120}]
sheets: {paper: ${paper}}`);
  for (let page = 1; page <= print.pdf.numPages; page += 1) {
    expect(await wordsOf(print, page)).toContain(print.report.fingerprint);
    // Front pages give it again at the foot, where sheets are told apart.
    if (page <= print.jig.front.length) expect((await wordsOf(print, page)).split('\n').filter((line) => line.includes(print.report.fingerprint) && !line.includes(' thick')).length, `the foot of page ${page}`).toBeGreaterThan(0);
    else expect(await wordsOf(print, page)).toContain('100 %');
  }
});
