/**
 * Guide boards and masks at true size: measured on what pdfjs-dist (Mozilla's PDF renderer) makes of the PDF, at 600 dpi,
 * and compared with the spec's own numbers, written here as literals. A board hole is 0.5 mm wider than its bit, a mask
 * 3 mm wider all round than flange or nut, a bare hole's mask 15 mm all round (common practice, no source).
 */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { afterAll, describe, expect, test } from 'vitest';
import type { Point } from '../../src/plan/plan.ts';
import type { BoardPlan } from '../../src/render/board-draw.ts';
import { windowShift } from '../../src/render/sheet.ts';
import { around, boxOf, circlesOf, findLine, findRing, fine, finePixel, isWithin, mmPerInch, pageSize, pictureOf, printJig, rulersOf, vectorsOf, wordsOf, type Printed } from './measure.ts';

const inch = mmPerInch;
const example = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

const largest = new Map<string, number>();
function expectLength(kind: string, measured: number, wanted: number, within: number = finePixel): void {
  const error = Math.abs(measured - wanted);
  largest.set(kind, Math.max(largest.get(kind) ?? 0, error));
  expect(error, `${kind}: ${measured} mm measured, ${wanted} mm wanted`).toBeLessThanOrEqual(within);
}

afterAll(() => {
  console.info(`largest errors, mm: ${[...largest].map(([kind, error]) => `${kind} ${error.toFixed(5)}`).join(', ')}`);
});

/** Numbers of the pages behind the sheets, by the names of the pages. */
function besidesOf({ jig }: Printed): Map<string, number> {
  const before = jig.front.length + jig.sheets.length;
  return new Map([...jig.board, ...jig.mask].map(({ name }, index) => [name, before + index + 1]));
}

/** The board with a hole, the sheet that shows all of its circle, and where a point of the drilled face is expected on that. */
function sheetOf(print: Printed, hole: string): { board: BoardPlan; page: number; place: (p: Point) => Point; isShown: (p: Point) => boolean } {
  for (const board of print.jig.boards) {
    const own = board.plan.holes.find(({ name }) => name === hole);
    if (!own) continue;
    for (const cell of board.layout.cells) {
      const { left, right, bottom, top } = cell.window;
      const r = own.diameter / 2 + 1;
      if (own.center.x - r < left || own.center.x + r > right || own.center.y - r < bottom || own.center.y + r > top) continue;
      const shift = windowShift(cell, board.layout.format);
      return { board, page: besidesOf(print).get(cell.name) as number, place: ({ x, y }) => ({ x: x + shift.x, y: y + shift.y }), isShown: (p) => isWithin(p, cell.window, 0.2) };
    }
  }
  throw new Error(`no sheet shows the board hole of ${hole}`);
}

/** Measures a board hole on paper, and its distances from the lines that its board is laid to, where its sheet shows them abreast. */
async function measureBoardHole(print: Printed, hole: string): Promise<{ diameter: number; from: Map<string, number> }> {
  const { board, page, place, isShown } = sheetOf(print, hole);
  const own = board.plan.holes.find(({ name }) => name === hole) as BoardPlan['plan']['holes'][number];
  const expected = place(own.center);
  const ring = findRing(await pictureOf(print, page, fine, around(expected, own.diameter / 2 + 3)), expected, own.diameter / 2);
  if (!ring) throw new Error(`no circle of ${hole}`);
  expect(ring.seen).toBeGreaterThan(0.9);
  const from = new Map<string, number>();
  for (const { line: { name, a, inwards }, kind, side } of board.board.stops) {
    const away = (own.center.x - a.x) * inwards.x + (own.center.y - a.y) * inwards.y - (kind === 'tape' ? side : 0);
    const along = (by: number) => ({ x: own.center.x - inwards.x * away - inwards.y * by, y: own.center.y - inwards.y * away + inwards.x * by });
    const [from0, to0] = [along(-8), along(8)];
    if (!isShown(from0) || !isShown(to0)) continue;
    const [p, q] = [place(from0), place(to0)];
    const box = boxOf([p, q]);
    const found = findLine(await pictureOf(print, page, fine, { left: box.left - 2, right: box.right + 2, bottom: box.bottom - 2, top: box.top + 2 }), p, q);
    if (!found) throw new Error(`no line of ${name} abreast of ${hole}`);
    const length = Math.hypot(q.x - p.x, q.y - p.y);
    const toLeft = (-(q.y - p.y) * (ring.center.x - p.x) + (q.x - p.x) * (ring.center.y - p.y)) / length;
    from.set(name, Math.abs(toLeft - found.offset));
  }
  return { diameter: ring.diameter, from };
}

interface BoardCase {
  readonly name: string;
  readonly spec: string;
  readonly holes: readonly { readonly name: string; readonly board: number; readonly from: Readonly<Record<string, number>> }[];
}

const boards: readonly BoardCase[] = [
  {
    name: 'the example on A4: a rim above, free edges at the sides',
    spec: example('quarantine-end-panel'),
    holes: [
      { name: 'drain', board: 45.5, from: { 'left edge': 100, 'rim line (top edge)': 75 } },
      { name: 'spare drain', board: 45.5, from: { 'rim line (top edge)': 75 } },
      { name: 'return', board: 36.5, from: { 'right edge': 3.5 * inch, 'rim line (top edge)': 70 } },
    ],
  },
  {
    name: 'the example on Letter in inches, drilled from inside between neighbouring panels',
    spec: example('pump-cabinet-sump'),
    holes: [
      { name: 'pump inlet', board: 2.125 * inch + 0.5, from: { 'inner face at the right edge': 4.5 * inch, 'inner face at the bottom edge': 5 * inch } },
      { name: 'refill', board: 1.375 * inch + 0.5, from: { 'inner face at the left edge': 3 * inch, 'top edge': 3.25 * inch } },
    ],
  },
  {
    name: 'an L on A4',
    spec: `
title: Snail hatchery, L-shaped back
units: mm
panel: {material: acrylic, thickness: 10, outline: [[0, 0], [900, 0], [900, 360], [450, 360], [450, 800], [0, 800]]}
holes:
  - {name: return, diameter: 36, from-right: 90, from-bottom: 280}
  - {name: drain, diameter: 36, from-left: 380, from-top: 60}`,
    holes: [
      { name: 'return', board: 36.5, from: { 'edge 2-3': 90, 'edge 3-4': 80 } },
      { name: 'drain', board: 36.5, from: { 'edge 4-5': 70, 'edge 5-6': 60 } },
    ],
  },
  {
    name: 'no corner within reach: the board\'s end, 929 mm from the left edge, is 71 mm from the hole',
    spec: `
title: Coral nursery, long wall
units: mm
panel: {material: acrylic, width: 2400, height: 1500, thickness: 15}
holes: [{name: weir, diameter: 60, from-left: 1000, from-top: 90}]`,
    holes: [{ name: 'weir', board: 60.5, from: { 'top edge': 90, 'left edge': 71 } }],
  },
];

describe.each(boards)('guide boards: $name', ({ spec, holes }) => {
  test.each(holes)('board hole "$name": diameter and distances from the fences to the pixel', async ({ name, board, from }) => {
    const print = await printJig(spec, { isBoard: true });
    const { diameter, from: measured } = await measureBoardHole(print, name);
    expectLength('board hole', diameter, board);
    for (const [line, mm] of Object.entries(from)) {
      expect([...measured.keys()]).toContain(line);
      expectLength('distance from a fence', measured.get(line) as number, mm);
    }
    await print.pdf.loadingTask.destroy();
  });
});

test('random rectangles: every board hole and its distances to the pixel', async () => {
  const tenths = (least: number, most: number) => fc.integer({ min: least * 10, max: most * 10 }).map((value) => value / 10);
  const panel = fc.record({ width: tenths(320, 700), height: tenths(320, 700), face: fc.constantFrom('outside', 'inside'), paper: fc.constantFrom('A4', 'Letter', 'A3'), diameter: tenths(20, 60), across: tenths(70, 110), up: tenths(70, 110), sides: fc.constantFrom(['left', 'top'], ['left', 'bottom'], ['right', 'top'], ['right', 'bottom']) });
  let distances = 0;
  await fc.assert(fc.asyncProperty(panel, async ({ width, height, face, paper, diameter, across, up, sides: [side, end] }) => {
    const print = await printJig(`
title: Random
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: 6, drilled-from: ${face}}
holes: [{name: hole, diameter: ${diameter}, from-${side}: ${across}, from-${end}: ${up}}]
sheets: {paper: ${paper}}`, { isBoard: true });
    const { diameter: measured, from } = await measureBoardHole(print, 'hole');
    expectLength('board hole', measured, diameter + 0.5);
    for (const [name, mm] of from) {
      distances += 1;
      expectLength('distance from a fence', mm, name === `${side} edge` ? across : up);
      expect([`${side} edge`, `${end} edge`]).toContain(name);
    }
    await print.pdf.loadingTask.destroy();
  }), { numRuns: 12 });
  expect(distances).toBeGreaterThan(12);
});

test('the plans tell how a board is made and used', async () => {
  const print = await printJig(example('quarantine-end-panel'), { isBoard: true });
  const besides = besidesOf(print);
  const how = (await wordsOf(print, besides.get('guide boards 1') as number)).replace(/\s+/g, ' ');
  for (const words of ['18 mm plywood', 'common practice, without a source', 'the same bit or with a hole saw', "must not stand on the tank's sealant", 'No clamp, screw or weight may load an edge of the glass', 'Check with the bit in your hand', 'Lift the bit often']) expect(how).toContain(words);
  const plan = (await wordsOf(print, besides.get('G2') as number)).replace(/\s+/g, ' ');
  for (const words of ['guide board 2 of 2', 'board hole 36.5 mm for bit 36 mm', '100 %', print.report.fingerprint, 'the OUTSIDE face lies under it']) expect(plan).toContain(words);
  const first = (await wordsOf(print, besides.get('G1-A1') as number)).replace(/\s+/g, ' ');
  expect(first).toMatch(/tie line 1: \d+ mm/);
});

describe('masks', () => {
  test.each([
    // 66 + 2 x 3; 3/4 in bulkhead flange 54 (from memory) + 2 x 3.
    { name: 'the example on A4', spec: example('quarantine-end-panel'), diameters: [72, 72, 72, 72, 60, 60], drilled: [45, 45, 45, 45, 36, 36] },
    // 1-1/4 in bulkhead flange 78 (from memory) + 2 x 3; bare holes of 1-3/8 and 5/8 in + 2 x 15.
    { name: 'the example on Letter', spec: example('pump-cabinet-sump'), diameters: [84, 84, 34.925 + 30, 34.925 + 30, 15.875 + 30, 15.875 + 30], drilled: [53.975, 53.975, 34.925, 34.925, 15.875, 15.875] },
  ])('$name: every disc to the pixel', async ({ spec, diameters, drilled }) => {
    const print = await printJig(spec, { isMask: true });
    const page = besidesOf(print).get('M1') as number;
    const circles = circlesOf(await vectorsOf(print, page)).sort((a, b) => b.radius - a.radius);
    const discs = circles.filter(({ path }) => !path.isDashed);
    expect(discs).toHaveLength(diameters.length);
    for (const [index, { center, radius }] of discs.entries()) {
      const ring = findRing(await pictureOf(print, page, fine, around(center, radius + 1)), center, radius);
      expect(ring?.seen).toBeGreaterThan(0.9);
      expectLength('mask', ring?.diameter ?? NaN, diameters[index] as number);
      expectLength('mask off its cross', Math.hypot((ring?.center.x ?? NaN) - center.x, (ring?.center.y ?? NaN) - center.y), 0);
      const within = circles.filter(({ path, center: other }) => path.isDashed && Math.hypot(other.x - center.x, other.y - center.y) < 0.001);
      expect(within.map((one) => Math.round(2 * one.radius * 1000) / 1000)).toEqual([drilled[index]]);
    }
    const rulers = rulersOf(await vectorsOf(print, page));
    for (const { millimetres } of [rulers.across, rulers.up]) millimetres.forEach((mm, index) => expectLength('ruler', mm - (millimetres[0] as number), index, 0.001));
    await print.pdf.loadingTask.destroy();
  });

  test('for a printer that draws 1 % short across and 1 % long down, discs are drawn as much too wide and too flat', async () => {
    const printer = { kind: 'panejig printer profile', version: 1, name: 'office', paper: { name: 'A4', width: 210, height: 297 }, across: { nominal: 180, measured: 178.2 }, down: { nominal: 240, measured: 242.4 } } as const;
    const print = await printJig(example('quarantine-end-panel'), { isMask: true, isBoard: true, sheets: { printer } });
    const page = besidesOf(print).get('M1') as number;
    const { width, height } = await pageSize(print, page);
    const isUpright = height > width;
    expect([width, height].map((mm) => Math.round(mm * 100) / 100).sort()).toEqual([210, 297]);
    const [widest] = circlesOf(await vectorsOf(print, page)).sort((a, b) => b.radius - a.radius);
    const box = boxOf(widest?.path.points ?? []);
    expectLength('prescaled mask', box.right - box.left, 72 * (isUpright ? 180 / 178.2 : 240 / 242.4), 0.001);
    expectLength('prescaled mask', box.top - box.bottom, 72 * (isUpright ? 240 / 242.4 : 180 / 178.2), 0.001);
    const sheet = print.jig.board.find(({ name }) => name === 'G2');
    expect(sheet?.scale).toBeDefined();
  });
});

test('a draft is struck on every page of both', async () => {
  const print = await printJig(`
title: Frag shelf, first plan
units: mm
panel: {material: annealed glass, width: 300, height: 350, thickness: 8}
holes: [{name: sound, diameter: 40, from-left: 200, from-top: 120}, {name: at edge, diameter: 30, from-left: 25, from-top: 150}]`, { isDraft: true, isBoard: true, isMask: true });
  const besides = [...besidesOf(print).values()];
  expect(besides.length).toBeGreaterThan(2);
  for (const page of besides) expect(await wordsOf(print, page)).toContain('DRAFT, DO NOT DRILL');
  expect(print.jig.boards.flatMap(({ board }) => board.holes.map(({ name }) => name))).toEqual(['sound']);
});

test('nothing of both is printed in the margin that printers cannot reach', async () => {
  for (const name of ['quarantine-end-panel', 'pump-cabinet-sump']) {
    const print = await printJig(example(name), { isBoard: true, isMask: true });
    const { margin } = print.plan.sheets;
    for (const page of besidesOf(print).values()) {
      const { width, height } = await pageSize(print, page);
      const { gray, width: columns, pixel, corner } = await pictureOf(print, page, 100);
      const least = gray.reduce((nearest, value, at) => {
        const [x, y] = [corner.x + ((at % columns) + 0.5) * pixel, corner.y - (Math.floor(at / columns) + 0.5) * pixel];
        return value < 255 ? Math.min(nearest, x, y, width - x, height - y) : nearest;
      }, Infinity);
      expect(least).toBeGreaterThan(margin - pixel);
      expect(least).toBeLessThan(margin + 10);
    }
  }
});
