/**
 * Neighbouring sheets fit each other. First on the PDF as pdfjs-dist (Mozilla's PDF renderer) reads it: one sheet is
 * laid on the other by one alignment mark, and all else must meet. Then over random panels, papers and overlaps, against
 * plain geometry written here.
 */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { drawJig } from '../../src/render/draw.ts';
import { cellName, chooseLayout, contentOf, type Layout } from '../../src/render/layout.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import {
  areJoined, around, boxOf, circlesOf, expectedOn, findLine, fine, finePixel, isWithin, pageOf, pictureOf, planOf, printJig, seamBetween, vectorsOf, windowOf, wordsOf, type Printed, type VectorPath,
} from './measure.ts';

/** Sheets laid over each other by their marks must agree to this, mm. */
const close = 0.01;

interface Case {
  readonly name: string;
  readonly spec: string;
  /** Lengths of the outline's edges, mm, by the spec. */
  readonly edges: readonly number[];
  /** Places of the holes' centres on the assembled paper, from the left and bottom of the panel's outline as it lies, mm. */
  readonly holes: readonly { readonly diameter: number; readonly x: number; readonly y: number }[];
}

const cases: readonly Case[] = [
  {
    name: 'the example on A4',
    spec: readFileSync(new URL('../../templates-spec/quarantine-end-panel.yaml', import.meta.url), 'utf8'),
    edges: [450, 400, 450, 400],
    // Measured from the rim: 20 mm at the top, none at the sides; the panel is 450 x 400 mm.
    holes: [
      { diameter: 45, x: 100, y: 400 - 20 - 75 },
      { diameter: 45, x: 210, y: 400 - 20 - 75 },
      { diameter: 36, x: 450 - 3.5 * 25.4, y: 400 - 20 - 70 },
    ],
  },
  {
    name: 'an outline on Letter, from inside, in inches, with the least overlap',
    spec: `
title: Pump cabinet, cut-off wall
units: in
panel: {material: acrylic, outline: [[0, 0], [40, 0], [40, 20], [32, 26], [0, 26]], thickness: 1/2, drilled-from: inside}
holes:
  - {name: drain, diameter: 3, from-left: 7, from-top: 6}
  - {name: return, diameter: 1 1/2, from-right: 6, from-bottom: 5}
  - {name: middle, diameter: 4, from-left: 20, from-bottom: 12}
sheets: {paper: Letter, overlap: 8 mm, margin: 7 mm}`,
    edges: [40 * 25.4, 20 * 25.4, 10 * 25.4, 32 * 25.4, 26 * 25.4],
    // Mirrored left to right: x runs from the right edge of the panel as seen from outside.
    holes: [
      { diameter: 3 * 25.4, x: 33 * 25.4, y: 20 * 25.4 },
      { diameter: 1.5 * 25.4, x: 6 * 25.4, y: 5 * 25.4 },
      { diameter: 4 * 25.4, x: 20 * 25.4, y: 12 * 25.4 },
    ],
  },
  {
    name: 'a wide panel on Legal with a wide overlap',
    spec: `
title: Frag room, long wall
units: cm
panel: {material: acrylic, width: 260, height: 70, thickness: 1.5}
holes:
  - {name: one, diameter: 60 mm, from-left: 30, from-top: 20}
  - {name: two, diameter: 90 mm, from-right: 80, from-bottom: 35}
sheets: {paper: Legal, overlap: 35 mm}`,
    edges: [2600, 700, 2600, 700],
    holes: [
      { diameter: 60, x: 300, y: 500 },
      { diameter: 90, x: 1800, y: 350 },
    ],
  },
];

/** An alignment mark: a closed chain of four straight pieces that stands on its tip. */
interface Tilted {
  readonly center: Point;
  /** Half its height, mm. */
  readonly half: number;
  readonly clip: Rect | null;
}

function alignmentMarks(paths: readonly VectorPath[]): Tilted[] {
  return paths.flatMap(({ points, curves, isClosed, isStroked, clip }) => {
    if (points.length !== 4 || curves.length > 0 || !isClosed || !isStroked) return [];
    const [p, q, r, s] = points as unknown as readonly [Point, Point, Point, Point];
    const isOnTip = Math.abs(p.y - r.y) < close && Math.abs(q.x - s.x) < close && Math.abs(Math.abs(p.x - r.x) - Math.abs(q.y - s.y)) < close;
    const half = Math.abs(p.x - r.x) / 2;
    if (!isOnTip || half < 0.5 || half > 10) return [];
    const mark = { center: { x: (p.x + r.x) / 2, y: (q.y + s.y) / 2 }, half, clip };
    return clip && !isWithin(mark.center, clip, half) ? [] : [mark];
  });
}

/** The panel's outline on a page: the closed path whose sides have the lengths of the spec, in either direction. */
function outlineOf(paths: readonly VectorPath[], edges: readonly number[]): readonly Point[] {
  const found = paths.filter(({ points, curves, isClosed, isDashed }) => {
    if (!isClosed || isDashed || curves.length > 0 || points.length !== edges.length) return false;
    const sides = points.map((p, index) => {
      const next = points[(index + 1) % points.length] as Point;
      return Math.hypot(next.x - p.x, next.y - p.y);
    });
    const sorted = (lengths: readonly number[]) => [...lengths].sort((a, b) => a - b);
    return sorted(sides).every((side, index) => Math.abs(side - (sorted(edges)[index] as number)) < close);
  });
  expect(found, 'the outline of the panel').toHaveLength(1);
  return (found[0] as VectorPath).points;
}

interface Sheet {
  readonly name: string;
  readonly paths: readonly VectorPath[];
  readonly marks: readonly Tilted[];
  readonly outline: readonly Point[];
  /** Names of the sheets that it says it joins. */
  readonly joins: readonly string[];
}

async function sheetsOf(print: Printed, edges: readonly number[]): Promise<Map<string, Sheet>> {
  const sheets = new Map<string, Sheet>();
  for (const { name } of print.jig.sheets) {
    const paths = await vectorsOf(print, pageOf(print, name));
    const words = await wordsOf(print, pageOf(print, name));
    const joins = /joins ([A-Z]+\d+(?:,\s+[A-Z]+\d+)*)/.exec(words)?.[1]?.split(/,\s+/) ?? [];
    sheets.set(name, { name, paths, marks: alignmentMarks(paths), outline: outlineOf(paths, edges), joins });
  }
  return sheets;
}

const apart = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);
const plus = (p: Point, q: Point) => ({ x: p.x + q.x, y: p.y + q.y });
const minus = (p: Point, q: Point) => ({ x: p.x - q.x, y: p.y - q.y });

/** Dashed straight lines that a mark stands on. */
function seamLines({ paths, marks }: Sheet): (readonly [Point, Point])[] {
  return paths.flatMap(({ points, curves, isDashed }) => {
    const [a, b] = points;
    if (!a || !b || points.length !== 2 || curves.length > 0 || !isDashed) return [];
    return marks.some(({ center }) => apart(a, center) + apart(center, b) - apart(a, b) < close) ? [[a, b] as const] : [];
  });
}

/** A1 is row 1, place 1; AA3 is row 27, place 3. */
function nameParts(name: string): { row: number; place: number } {
  return { row: [...name.replace(/\d+/, '')].reduce((sum, letter) => sum * 26 + letter.charCodeAt(0) - 64, 0), place: Number(name.replace(/\D+/, '')) };
}

/** Which way a neighbour lies, by the rule that rows are lettered from the top and columns numbered from the left. */
function wayTo(from: string, to: string, runs: Layout['runs']): Point {
  const [start, end] = [nameParts(from), nameParts(to)];
  const [right, up] = [end.place - start.place, start.row - end.row];
  // Sheets of one row (or column) lie side by side; those of the next have seams of their own.
  if (runs === 'rows') return up === 0 ? { x: right, y: 0 } : { x: 0, y: up };
  return right === 0 ? { x: 0, y: up } : { x: right, y: 0 };
}

/**
 * What moves the neighbour's page onto the sheet's page so that most marks meet: tried from every pair of marks that
 * brings the neighbour's window so far over the sheet's as the spec says neighbours overlap, and a seam line of the
 * neighbour, both ends of it, onto one of the sheet.
 */
function layOver(print: Printed, sheet: Sheet, other: Sheet): { shift: Point; met: number } {
  const way = wayTo(sheet.name, other.name, print.jig.layout.runs);
  const { overlap } = print.plan.sheets;
  const [mine, theirs] = [windowOf(print, sheet.name), windowOf(print, other.name)];
  const [ourSeams, theirSeams] = [seamLines(sheet), seamLines(other)];
  let best = { shift: { x: NaN, y: NaN }, met: 0 };
  for (const mark of sheet.marks) {
    for (const { center: twin } of other.marks) {
      const shift = minus(mark.center, twin);
      const shared = way.x > 0 ? mine.right - theirs.left - shift.x : way.x < 0 ? theirs.right + shift.x - mine.left : way.y > 0 ? mine.top - theirs.bottom - shift.y : theirs.top + shift.y - mine.bottom;
      if (Math.abs(shared - overlap) > close) continue;
      if (!theirSeams.some(([a, b]) => ourSeams.some(([p, q]) => apart(p, plus(a, shift)) < close && apart(q, plus(b, shift)) < close))) continue;
      const met = other.marks.filter(({ center }) => sheet.marks.some((own) => apart(own.center, plus(center, shift)) < close)).length;
      if (met > best.met) best = { shift, met };
    }
  }
  return best;
}

describe.each(cases)('$name', ({ spec, edges, holes }) => {
  let print: Printed;
  let sheets: Map<string, Sheet>;
  let pairs: { sheet: Sheet; other: Sheet; shift: Point; met: number }[];

  beforeAll(async () => {
    print = await printJig(spec);
    sheets = await sheetsOf(print, edges);
    pairs = [...sheets.values()].flatMap((sheet) => sheet.joins.map((name) => {
      const other = sheets.get(name) as Sheet;
      return { sheet, other, ...layOver(print, sheet, other) };
    }));
  });

  test('joins are mutual and every sheet has one', () => {
    expect(sheets.size).toBeGreaterThan(1);
    for (const sheet of sheets.values()) {
      expect(sheet.joins.length).toBeGreaterThan(0);
      for (const name of sheet.joins) expect(sheets.get(name)?.joins).toContain(sheet.name);
    }
  });

  test('laid over each other by one mark, all marks of the shared strip meet', () => {
    for (const { sheet, other, shift, met } of pairs) {
      expect(met, `${sheet.name} and ${other.name}`).toBeGreaterThanOrEqual(1);
      const shown = windowOf(print, sheet.name);
      for (const { center, half } of other.marks) {
        const place = plus(center, shift);
        if (!isWithin(place, shown, half)) continue;
        expect(Math.min(...sheet.marks.map((mark) => apart(mark.center, place))), `a mark of ${other.name} on ${sheet.name}`).toBeLessThan(close);
      }
    }
  });

  test('the panel\'s outline goes on across every seam', () => {
    for (const { sheet, other, shift } of pairs) {
      sheet.outline.forEach((corner, index) => expect(apart(corner, plus(other.outline[index] as Point, shift))).toBeLessThan(close));
    }
  });

  test('all sheets put together show every hole where the spec puts it on the panel', () => {
    const first = [...sheets.values()][0] as Sheet;
    const placed = new Map<string, Point>([[first.name, { x: 0, y: 0 }]]);
    for (let isNew = true; isNew; ) {
      isNew = false;
      for (const { sheet, other, shift } of pairs) {
        const start = placed.get(sheet.name);
        if (!start || placed.has(other.name)) continue;
        placed.set(other.name, plus(start, shift));
        isNew = true;
      }
    }
    expect(placed.size).toBe(sheets.size);
    const { left, bottom } = boxOf(first.outline);
    const found = new Set<number>();
    for (const sheet of sheets.values()) {
      for (const { center, radius } of circlesOf(sheet.paths.filter(({ isDashed }) => !isDashed))) {
        if (!isWithin(center, windowOf(print, sheet.name))) continue;
        const place = minus(plus(center, placed.get(sheet.name) as Point), { x: left, y: bottom });
        const index = holes.findIndex((hole) => apart(hole, place) < 2 * close && Math.abs(hole.diameter / 2 - radius) < close);
        expect(index, `the hole at ${place.x}, ${place.y} of diameter ${2 * radius}`).toBeGreaterThanOrEqual(0);
        found.add(index);
      }
    }
    expect(found.size).toBe(holes.length);
  });
});

describe('in pixels', () => {
  test('each mark of the example is whole on both sheets, and at the same place to the pixel', async () => {
    const [{ spec, edges }] = cases as readonly [Case];
    const print = await printJig(spec);
    const sheets = await sheetsOf(print, edges);
    for (const sheet of sheets.values()) {
      for (const mark of sheet.marks) expect(apart(await markInPixels(print, sheet.name, mark), mark.center)).toBeLessThan(finePixel);
      for (const name of sheet.joins) {
        const other = sheets.get(name) as Sheet;
        const { shift } = layOver(print, sheet, other);
        let measured = 0;
        for (const mark of sheet.marks) {
          const twin = other.marks.find(({ center }) => apart(plus(center, shift), mark.center) < close);
          if (!twin) continue;
          const [ours, theirs] = [await markInPixels(print, sheet.name, mark), await markInPixels(print, name, twin)];
          expect(apart(ours, plus(theirs, shift))).toBeLessThan(finePixel);
          measured += 1;
        }
        expect(measured, `marks between ${sheet.name} and ${name}`).toBeGreaterThanOrEqual(1);
      }
    }
  });

  test('edge and rim lines of the example go on across the seams to the pixel', async () => {
    const print = await printJig((cases[0] as Case).spec);
    // The panel is 450 x 400 mm, its rim 20 mm at top and bottom. Names of holes and edges keep off these places.
    const lines: readonly { a: Point; b: Point }[] = [
      ...[0, 20, 380, 400].map((y) => ({ a: { x: 0, y }, b: { x: 450, y } })),
      ...[0, 450].map((x) => ({ a: { x, y: 0 }, b: { x, y: 400 } })),
    ];
    let crossings = 0;
    for (const [index, cell] of print.jig.layout.cells.entries()) {
      for (const other of print.jig.layout.cells.slice(index + 1)) {
        if (!areJoined(cell, other)) continue;
        // The strip that both show, a millimetre less all round.
        const [p, q] = [cell.window, other.window];
        const strip = { left: Math.max(p.left, q.left) + 1, right: Math.min(p.right, q.right) - 1, bottom: Math.max(p.bottom, q.bottom) + 1, top: Math.min(p.top, q.top) - 1 };
        for (const { a, b } of lines) {
          const from = { x: Math.max(a.x, strip.left), y: Math.max(a.y, strip.bottom) };
          const to = { x: Math.min(b.x, strip.right), y: Math.min(b.y, strip.top) };
          // Only lines that cross the strip, not those that run along it.
          if (from.x > to.x || from.y > to.y || Math.abs(apart(from, to) - (print.plan.sheets.overlap - 2)) > close) continue;
          crossings += 1;
          for (const { name } of [cell, other]) {
            const [start, end] = [expectedOn(print, name, from), expectedOn(print, name, to)];
            const box = boxOf([start, end]);
            const picture = await pictureOf(print, pageOf(print, name), fine, { left: box.left - 2, right: box.right + 2, bottom: box.bottom - 2, top: box.top + 2 });
            const line = findLine(picture, start, end);
            expect(line?.seen, `the line from ${from.x}, ${from.y} to ${to.x}, ${to.y} on ${name}`).toBeGreaterThan(0.5);
            expect(Math.abs(line?.offset ?? Infinity)).toBeLessThan(finePixel);
          }
        }
      }
    }
    // No A4 sheet is as long as a side of the panel: each of its six lines crosses a seam.
    expect(crossings).toBeGreaterThanOrEqual(6);
  });
});

/** Where a mark's cross stands in the pixels; all four arms must be there along their length outside the square, but where other ink runs into them. */
async function markInPixels(print: Printed, sheet: string, { center, half }: Tilted): Promise<Point> {
  const picture = await pictureOf(print, pageOf(print, sheet), fine, around(center, half * 2 + 2));
  const [near, far] = [half * 1.15, half * 1.6];
  const arm = (x: number, y: number) => {
    const line = findLine(picture, { x: center.x + near * x, y: center.y + near * y }, { x: center.x + far * x, y: center.y + far * y });
    // Where a hatched area lies under the mark, one of its lines may run into a stroke of the arm.
    expect(line?.seen, `an arm (${x}, ${y}) of the mark at ${center.x}, ${center.y} on ${sheet}`).toBeGreaterThan(0.9);
    return line?.offset ?? NaN;
  };
  // To the left of the way right is up, to the left of the way up is left.
  const [right, left, up, down] = [arm(1, 0), arm(-1, 0), arm(0, 1), arm(0, -1)];
  return { x: center.x + (down - up) / 2, y: center.y + (right - left) / 2 };
}

describe('over random panels, papers and overlaps', () => {
  let setter: Typesetter;
  beforeAll(async () => {
    setter = await loadWide(['Random']);
  });

  const whole = (least: number, most: number) => fc.integer({ min: least, max: most });
  const job = fc
    .record({
      width: whole(150, 2400),
      height: whole(150, 2400),
      shape: fc.constantFrom('rectangle', 'cut corner', 'L'),
      face: fc.constantFrom('outside', 'inside'),
      rim: fc.boolean(),
      paper: fc.constantFrom('A4', 'Letter', 'Legal', 'A3', '500 x 700 mm'),
      overlap: whole(8, 45),
      margin: whole(0, 25),
      places: fc.array(fc.record({ x: fc.double({ min: 0, max: 1, noNaN: true }), y: fc.double({ min: 0, max: 1, noNaN: true }), diameter: whole(7, 120) }), { minLength: 1, maxLength: 5 }),
    })
    .map(({ width, height, shape, face, rim, paper, overlap, margin, places }) => {
      // Holes keep a diameter and 8 mm of rim from every edge; the shapes take at most a third of each side away.
      const outlines = {
        rectangle: [[0, 0], [width, 0], [width, height], [0, height]],
        'cut corner': [[0, 0], [width, 0], [width, height * 0.7], [width * 0.7, height], [0, height]],
        L: [[0, 0], [width, 0], [width, height * 0.65], [width * 0.65, height * 0.65], [width * 0.65, height], [0, height]],
      };
      const holes = places.map(({ x, y, diameter }, index) => {
        const size = Math.min(diameter, 0.15 * Math.min(width, height));
        const room = 1.5 * size + 20;
        const [most, highest] = shape === 'rectangle' ? [width, height] : [width * 0.65, height * 0.65];
        return `{name: h${index}, diameter: ${size}, from-left: ${room + x * Math.max(0, most - 2 * room)}, from-bottom: ${room + y * Math.max(0, highest - 2 * room)}}`;
      });
      return `
title: Random
units: mm
panel: {material: acrylic, thickness: 5, drilled-from: ${face}, outline: ${JSON.stringify(outlines[shape as keyof typeof outlines])}${rim ? ', rim: {top: 8, left: 5}' : ''}}
holes: [${holes.join(', ')}]
sheets: {paper: ${paper}, overlap: ${overlap}, margin: ${margin}}`;
    });

  const rounds = 120;

  /** Runs a property on random jigs that can be laid out. */
  function forAllLayouts(property: (plan: Plan, layout: Layout) => void): void {
    fc.assert(
      fc.property(job, (spec) => {
        const plan = planOf(spec);
        const layout = chooseLayout(contentOf(plan), plan.sheets);
        fc.pre(!('problem' in layout));
        if (!('problem' in layout)) property(plan, layout);
      }),
      { numRuns: rounds },
    );
  }

  test('no two cores overlap', () => {
    forAllLayouts((_plan, { cells }) => {
      for (const [index, { core, name }] of cells.entries()) {
        expect(core.right).toBeGreaterThan(core.left);
        expect(core.top).toBeGreaterThan(core.bottom);
        for (const other of cells.slice(index + 1)) {
          const [width, height] = [Math.min(core.right, other.core.right) - Math.max(core.left, other.core.left), Math.min(core.top, other.core.top) - Math.max(core.bottom, other.core.bottom)];
          expect(Math.min(width, height), `${name} and ${other.name}`).toBeLessThan(1e-6);
        }
      }
    });
  });

  test('joined sheets overlap by what the spec says, others of a row or column not at all', () => {
    forAllLayouts(({ sheets: { overlap } }, { cells, runs }) => {
      for (const [index, cell] of cells.entries()) {
        for (const other of cells.slice(index + 1)) {
          const [p, q] = [cell.window, other.window];
          const isUpright = Math.abs(cell.core.right - other.core.left) < 1e-6 || Math.abs(cell.core.left - other.core.right) < 1e-6;
          const [width, height] = [Math.min(p.right, q.right) - Math.max(p.left, q.left), Math.min(p.top, q.top) - Math.max(p.bottom, q.bottom)];
          if (areJoined(cell, other)) expect(isUpright ? width : height).toBeCloseTo(overlap, 6);
          else if (wayTo(cell.name, other.name, runs).y === 0 && runs === 'rows') expect(width, `${cell.name} and ${other.name}`).toBeLessThan(1e-6);
          else if (wayTo(cell.name, other.name, runs).x === 0 && runs === 'columns') expect(height, `${cell.name} and ${other.name}`).toBeLessThan(1e-6);
        }
      }
    });
  });

  test('windows fit the paper', () => {
    forAllLayouts((_plan, { cells, format }) => {
      for (const { window } of cells) {
        expect(window.right - window.left).toBeLessThan(format.window.width + 1e-6);
        expect(window.top - window.bottom).toBeLessThan(format.window.height + 1e-6);
      }
    });
  });

  test('every core lies in its window', () => {
    forAllLayouts((_plan, { cells }) => {
      for (const { core, window } of cells) {
        expect(isWithin({ x: core.left, y: core.bottom }, window, -1e-9)).toBe(true);
        expect(isWithin({ x: core.right, y: core.top }, window, -1e-9)).toBe(true);
      }
    });
  });

  test('every edge and rim line, every circle and its ticks are on the core of some sheet', () => {
    forAllLayouts((plan, { cells }) => {
      const needed = [
        ...linePoints(plan),
        ...plan.holes.flatMap(({ center, diameter }) => [onPaper(plan, center), ...ringAround(onPaper(plan, center), diameter / 2), ...ticksAround(onPaper(plan, center), diameter / 2)]),
      ];
      expect(needed.filter((p) => !cells.some(({ core }) => isWithin(p, core, -1e-6)))).toEqual([]);
    });
  });

  test('every sheet shows a part of an edge or rim line, or of a hole, or joins sheets that do', () => {
    forAllLayouts((plan, { cells }) => {
      const lines = linePoints(plan);
      for (const cell of cells) {
        const hasLine = lines.some((p) => isWithin(p, cell.window));
        const hasHole = plan.holes.some(({ center, diameter }) => [onPaper(plan, center), ...ticksAround(onPaper(plan, center), diameter / 2)].some((p) => isWithin(p, cell.window)));
        expect(hasLine || hasHole || cells.filter((other) => areJoined(cell, other)).length >= 2, cell.name).toBe(true);
      }
    });
  });

  test('every sheet is joined, by seams, to a sheet with an edge line', () => {
    forAllLayouts((plan, { cells, longestChain }) => {
      const points = linePoints(plan);
      const anchored = new Set(cells.filter(({ core }) => points.some((p) => isWithin(p, core))));
      for (let size = -1; size !== anchored.size; ) {
        size = anchored.size;
        for (const cell of cells) if ([...anchored].some((other) => areJoined(cell, other))) anchored.add(cell);
      }
      expect(cells.filter((cell) => !anchored.has(cell)).map(({ name }) => name)).toEqual([]);
      expect(longestChain).toBeLessThan(cells.length);
    });
  });

  /** Checks that joined sheets share whole alignment marks, and returns how many are joined by a seam of 12 mm. */
  function checkMarked(plan: Plan, layout: Layout): number {
    const marks = drawJig(plan, layout, setter, { withoutCircle: new Set() }).flatMap((mark) => (mark.layer === 'align' && mark.kind === 'path' ? [mark.points] : []));
    const joined = layout.cells.flatMap((cell) => layout.cells.filter((other) => areJoined(cell, other)).map((other) => [cell, other] as const));
    for (const [cell, other] of joined) {
      const both = marks.filter((points) => points.every((p) => isWithin(p, cell.window) && isWithin(p, other.window)));
      expect(both.length, `between ${cell.name} and ${other.name}`).toBeGreaterThanOrEqual(1);
    }
    return joined.filter(([cell, other]) => Math.abs(seamBetween(cell, other) - 12) < 1e-6).length;
  }

  test('every seam has an alignment mark that both sheets print whole', () => {
    forAllLayouts((plan, layout) => void checkMarked(plan, layout));
  });

  test('so has the shortest seam, 12 mm to a rounding error, wherever it lies', () => {
    const plan = planOf(`
title: Quarantine tank, weir
units: mm
panel: {material: acrylic, thickness: 5, outline: [[0, 0], [616, 0], [616, 185.25], [400.4, 185.25], [400.4, 285], [0, 285]]}
holes: [{name: h0, diameter: 42.75, from-left: 84.125, from-bottom: 84.125}, {name: h1, diameter: 24, from-left: 56, from-bottom: 56}, {name: h2, diameter: 14, from-left: 41, from-bottom: 41}]
sheets: {paper: Legal, overlap: 22, margin: 21}`);
    // B1 with A2 above it and with C2 below it, each counted from both sides.
    expect(checkMarked(plan, chooseLayout(contentOf(plan), plan.sheets) as Layout)).toBe(4);
  });

  test('sheets have names of their own, by row from the top and by place from the left', () => {
    forAllLayouts((_plan, { cells }) => {
      // Where a plain grid is taken, its first places may lie off the panel.
      expect(cells[0]?.name).toMatch(/^A\d+$/);
      expect(new Set(cells.map(({ name }) => name)).size).toBe(cells.length);
      for (const cell of cells) {
        for (const other of cells) {
          if (!areJoined(cell, other)) continue;
          const [row, place] = [nameParts(other.name).row - nameParts(cell.name).row, nameParts(other.name).place - nameParts(cell.name).place];
          if (Math.abs(cell.core.right - other.core.left) < 1e-6) expect(place > 0, `${other.name} right of ${cell.name}`).toBe(true);
          if (Math.abs(cell.core.bottom - other.core.top) < 1e-6) expect(row > 0, `${other.name} below ${cell.name}`).toBe(true);
        }
      }
    });
  });
});

/** Where a point of the panel, seen from outside, lies as seen on the drilled face: mirrored for the inside. */
function onPaper(plan: Plan, { x, y }: Point): Point {
  const width = Math.max(...plan.panel.outline.map((p) => p.x));
  return plan.face === 'inside' ? { x: width - x, y } : { x, y };
}

function ringAround({ x, y }: Point, radius: number): Point[] {
  return Array.from({ length: 72 }, (_, step) => ({ x: x + radius * Math.cos((step * Math.PI) / 36), y: y + radius * Math.sin((step * Math.PI) / 36) }));
}

/** Far ends of the four ticks, which reach 7.5 mm beyond the circle. */
function ticksAround({ x, y }: Point, radius: number): Point[] {
  const far = radius + 7.5;
  return [{ x: x + far, y }, { x: x - far, y }, { x, y: y + far }, { x, y: y - far }];
}

/** Points every half millimetre or closer along the outline and the rim line. */
function linePoints(plan: Plan): Point[] {
  return [plan.panel.outline, plan.rimLine ?? []].flatMap((ring) =>
    ring.flatMap((from, index) => {
      const a = onPaper(plan, from);
      const b = onPaper(plan, ring[(index + 1) % ring.length] as Point);
      const steps = Math.ceil(apart(a, b) * 2) + 1;
      return Array.from({ length: steps + 1 }, (_, step) => ({ x: a.x + (step / steps) * (b.x - a.x), y: a.y + (step / steps) * (b.y - a.y) }));
    }),
  );
}

test('rows are lettered as spreadsheets letter their columns: A to Z, then AA', () => {
  const letters: readonly [number, string][] = [[0, 'A'], [25, 'Z'], [26, 'AA'], [51, 'AZ'], [52, 'BA'], [701, 'ZZ'], [702, 'AAA']];
  for (const [row, name] of letters) expect(cellName(row, 2)).toBe(`${name}3`);
});

test('a panel of more than 26 rows goes on with AA', () => {
  const plan = planOf(`
title: Very tall
units: mm
panel: {material: acrylic, width: 150, height: 7500, thickness: 5}
holes: [{name: hole, diameter: 20, from-left: 75, from-top: 75}]
sheets: {paper: A4, orientation: portrait}`);
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  expect(layout.cells.map(({ name }) => name).slice(24, 28)).toEqual(['Y1', 'Z1', 'AA1', 'AB1']);
});
