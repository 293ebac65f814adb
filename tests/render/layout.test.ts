/** The division of a panel into sheets, without PDF: against plain grids and brickwork laid out here, and against literals. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Plan, Point } from '../../src/plan/plan.ts';
import { chooseLayout, contentOf, divisionWords, seamsOf, type Layout } from '../../src/render/layout.ts';
import { planOf, seamBetween } from '../printed/measure.ts';

interface HoleJob {
  readonly diameter: number;
  readonly left: number;
  readonly top: number;
}

interface Job {
  readonly width: number;
  readonly height: number;
  readonly paper?: string;
  readonly orientation?: 'portrait' | 'landscape' | undefined;
  readonly overlap?: number;
  readonly margin?: number;
  readonly holes?: readonly HoleJob[];
  readonly thickness?: number;
}

function jobPlan({ width, height, paper = 'A4', orientation, overlap = 16, margin = 10, holes = [{ diameter: 20, left: 60, top: 60 }], thickness = 5 }: Job): Plan {
  return planOf(`
title: Quarantine rack
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: ${thickness}}
holes: [${holes.map(({ diameter, left, top }, index) => `{name: hole ${index}, diameter: ${diameter}, from-left: ${left}, from-top: ${top}}`).join(', ')}]
sheets: {paper: ${paper}, overlap: ${overlap}, margin: ${margin}${orientation ? `, orientation: ${orientation}` : ''}}`);
}

function layoutOf(job: Job): Layout {
  const plan = jobPlan(job);
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  return layout;
}

/** Radius of what no seam should cut: ticks reach 7.5 mm beyond the circle. */
const markRadius = (diameter: number) => diameter / 2 + 7.5;
/** What a sheet shows of the panel, beside margins, rulers (13 mm on the right) and title block (30 mm at the bottom). */
const windowOn = (width: number, height: number, margin: number) => ({ width: width - 2 * margin - 13, height: height - 2 * margin - 30 });
const isMore = (a: readonly [number, number], b: readonly [number, number]) => a[0] > b[0] || (a[0] === b[0] && a[1] > b[1]);
const costOf = ({ cut, cells }: Layout): [number, number] => [cut.length, cells.length];

/** Sizes from ISO 216 (A4, A3), ANSI/ASME Y14.1 (Letter, ANSI B) and US trade (Legal 8.5 x 14 in), mm. */
const sizes: Readonly<Record<string, readonly [number, number]>> = { A4: [210, 297], A3: [297, 420], Letter: [215.9, 279.4], Legal: [215.9, 355.6], 'ANSI B': [279.4, 431.8] };

const job = fc
  .record({
    width: fc.integer({ min: 100, max: 3000 }),
    height: fc.integer({ min: 100, max: 3000 }),
    paper: fc.constantFrom(...Object.keys(sizes)),
    overlap: fc.integer({ min: 8, max: 30 }),
    margin: fc.integer({ min: 0, max: 20 }),
    places: fc.array(fc.record({ x: fc.double({ min: 0, max: 1, noNaN: true }), y: fc.double({ min: 0, max: 1, noNaN: true }), diameter: fc.integer({ min: 7, max: 110 }) }), { minLength: 1, maxLength: 12 }),
  })
  .map(({ places, ...size }) => ({
    ...size,
    holes: places.map(({ x, y, diameter }) => {
      const d = Math.min(diameter, Math.min(size.width, size.height) * 0.4);
      return { diameter: d, left: d / 2 + 1 + x * (size.width - d - 2), top: d / 2 + 1 + y * (size.height - d - 2) };
    }),
  }));

/**
 * What a plain grid from the top left corner, 8 mm of paper round the panel, needs: holes cut, and sheets, those on an
 * edge or with a hole, and for each hole's sheet the shortest straight way to the edge.
 */
function plainGrid({ width, height, holes, overlap, margin }: Job & { holes: readonly HoleJob[]; overlap: number; margin: number }, paper: readonly [number, number]): [number, number] {
  const shown = windowOn(...paper, margin);
  const [stepX, stepY] = [shown.width - overlap, shown.height - overlap];
  const columns = Math.max(1, Math.ceil((width + 16 - overlap) / stepX - 1e-9));
  const rows = Math.max(1, Math.ceil((height + 16 - overlap) / stepY - 1e-9));
  const seamsX = Array.from({ length: columns - 1 }, (_, index) => -8 + overlap / 2 + (index + 1) * stepX);
  const seamsY = Array.from({ length: rows - 1 }, (_, index) => -8 + overlap / 2 + (index + 1) * stepY);
  const isCut = (seams: readonly number[], at: number, r: number) => seams.some((seam) => Math.abs(seam - at) < r - 1e-6);
  const cut = holes.filter(({ diameter, left, top }) => isCut(seamsX, left, markRadius(diameter)) || isCut(seamsY, top, markRadius(diameter))).length;
  const place = (seams: readonly number[], at: number) => seams.filter((seam) => seam < at).length;
  const ways = new Map<string, number>();
  for (const { diameter, left, top } of holes) {
    const r = markRadius(diameter);
    for (let column = place(seamsX, left - r); column <= place(seamsX, left + r); column += 1) {
      for (let row = place(seamsY, top - r); row <= place(seamsY, top + r); row += 1) ways.set(`${column} ${row}`, Math.min(column, row, columns - 1 - column, rows - 1 - row));
    }
  }
  const rim = rows <= 2 || columns <= 2 ? rows * columns : 2 * (rows + columns) - 4;
  return [cut, rim + [...ways.values()].reduce((sum, steps) => sum + steps, 0)];
}

describe('the division', () => {
  test('is never worse than a plain grid in holes cut, then in sheets', () => {
    fc.assert(
      fc.property(job, (size) => {
        const [short, long] = sizes[size.paper] as [number, number];
        const layout = costOf(layoutOf(size));
        for (const paper of [[short, long], [long, short]] as const) {
          const shown = windowOn(...paper, size.margin);
          if (Math.min(shown.width, shown.height) < 3 * size.overlap) continue;
          const plain = plainGrid(size, paper);
          expect(isMore(layout, plain), `${layout} against ${plain}`).toBe(false);
        }
      }),
      { numRuns: 200 },
    );
  });

  test('is as good as the better of both orientations', () => {
    fc.assert(
      fc.property(job, (size) => {
        const [upright, lying, chosen] = (['portrait', 'landscape', undefined] as const).map((orientation) => costOf(layoutOf({ ...size, orientation }))) as [[number, number], [number, number], [number, number]];
        expect(chosen).toEqual(isMore(upright, lying) ? lying : upright);
      }),
      { numRuns: 60 },
    );
  });

  test('has the orientation asked for', () => {
    expect(layoutOf({ width: 500, height: 100, orientation: 'portrait' }).format).toMatchObject({ width: 210, height: 297 });
    expect(layoutOf({ width: 100, height: 500, orientation: 'landscape' }).format).toMatchObject({ width: 297, height: 210 });
  });

  test('tells which holes its seams cross', () => {
    fc.assert(
      fc.property(job, (size) => {
        const layout = layoutOf(size);
        const crossed = size.holes.flatMap(({ diameter, left, top }, index) => {
          const r = markRadius(diameter) - 1e-6;
          const [x, y] = [left, size.height - top];
          // Two joined sheets whose shared border, an upright or a level piece, reaches into the square of the marks.
          const isCrossed = layout.cells.some(({ core: a }) => layout.cells.some(({ core: b }) => {
            if (a === b || seamBetween({ core: a }, { core: b }) < 1e-6) return false;
            const [l, rr, d, u] = [Math.max(a.left, b.left), Math.min(a.right, b.right), Math.max(a.bottom, b.bottom), Math.min(a.top, b.top)];
            return l < x + r && rr > x - r && d < y + r && u > y - r;
          }));
          return isCrossed ? [index] : [];
        });
        expect(layout.cut).toEqual(crossed);
      }),
      { numRuns: 100 },
    );
  });

  test('spares a single hole wherever it is, if an overlap more than its ticks fits between two seams', () => {
    const single = job.filter(({ overlap, margin, paper, holes: [first] }) => {
      const [short = 0, long = 0] = sizes[paper] as [number, number];
      const shown = windowOn(short, long, margin);
      return first !== undefined && 2 * markRadius(first.diameter) <= Math.min(shown.width, shown.height) - 2 * overlap;
    });
    fc.assert(
      fc.property(single, (size) => {
        expect(layoutOf({ ...size, holes: size.holes.slice(0, 1) }).cut).toEqual([]);
      }),
    );
  });

  test('cuts no hole of 40 on a panel of 3 x 1 m where there is a brickwork that cuts none, and needs no more sheets', () => {
    // A4 upright: 210 - 20 - 13 - 16 = 161 mm from seam to seam, 297 - 20 - 30 - 16 = 231 mm from row to row.
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    const course = (length: number, most: number) => fc.array(fc.double({ min: 0.7, max: 1, noNaN: true }), { minLength: 40, maxLength: 40 }).map((parts) => {
      // Seams from one edge to the other, at most a core apart; the first core begins at the edge.
      const seams: number[] = [];
      for (let last = 0; length - last > most; last = seams[seams.length - 1] as number) seams.push(Math.min(last + (parts[seams.length] as number) * most, length - 16));
      return [0, ...seams, length];
    });
    const brickwork = course(1000, 231).chain((levels) =>
      fc.record({
        levels: fc.constant(levels),
        rows: fc.tuple(...levels.slice(1).map(() => course(3000, 161))),
        holes: fc.array(fc.record({ row: share, place: share, x: share, y: share, size: share }), { minLength: 40, maxLength: 40 }),
      }),
    );
    fc.assert(
      fc.property(brickwork, ({ levels, rows, holes }) => {
        const placed = holes.flatMap(({ row, place, x, y, size }) => {
          const at = Math.min(rows.length - 1, Math.floor(row * rows.length));
          const seams = rows[at] as number[];
          const index = Math.min(seams.length - 2, Math.floor(place * (seams.length - 1)));
          const [left, right, top, bottom] = [seams[index], seams[index + 1], levels[at], levels[at + 1]] as [number, number, number, number];
          const diameter = 5 + size * (Math.min(right - left, bottom - top) - 25);
          const r = markRadius(diameter);
          return right - left < 40 || bottom - top < 40 ? [] : [{ diameter, left: left + r + x * (right - left - 2 * r), top: top + r + y * (bottom - top - 2 * r) }];
        });
        fc.pre(placed.length > 0);
        const layout = layoutOf({ width: 3000, height: 1000, holes: placed });
        expect(layout.cut).toEqual([]);
        expect(layout.cells.length).toBeLessThanOrEqual(rows.reduce((sum, seams) => sum + seams.length - 1, 0));
      }),
      { numRuns: 40 },
    );
  }, 120_000);

  test('says what it achieved', () => {
    expect(divisionWords(layoutOf({ width: 120, height: 120 }))).toBe('1 sheet, no seam');
    // A4 lying: 297 - 33 = 264 mm; a panel of 300 mm needs two sheets, whose plain seam at 256 mm cuts a hole at 250.
    expect(divisionWords(layoutOf({ width: 300, height: 120, orientation: 'landscape', holes: [{ diameter: 20, left: 250, top: 60 }] }))).toBe('2 sheets, no hole on a seam; a plain grid needs 2 and cuts 1 hole');
  });
});

describe('sheets in the middle of a large panel', () => {
  const hasLine = ({ core }: Layout['cells'][number]) => core.left <= 0 || core.bottom <= 0 || core.right >= 2000 || core.top >= 1500;

  test('are left out where no hole is near', () => {
    const layout = layoutOf({ width: 2000, height: 1500 });
    expect(layout.cells.filter((cell) => !hasLine(cell))).toEqual([]);
    expect(layout.longestChain).toBe(0);
  });

  test('are kept from a hole to an edge, and no more than on the shortest way along rows or columns', () => {
    const layout = layoutOf({ width: 2000, height: 1500 });
    const withHole = layoutOf({ width: 2000, height: 1500, holes: [{ diameter: 20, left: 1000, top: 700 }] });
    const inner = withHole.cells.filter((cell) => !hasLine(cell));
    // A4 upright, 231 mm from seam to seam down a column: 700 mm take four sheets, the first of them on the edge.
    expect(inner.length).toBe(3);
    expect(withHole.longestChain).toBe(3);
    expect(withHole.cells.length).toBeLessThanOrEqual(layout.cells.length + 3);
    for (const cell of inner) expect(seamsOf(withHole).filter(({ under, over }) => under === cell || over === cell).length).toBeGreaterThanOrEqual(1);
  });
});

test('the ticks of a hole as near to the edge as acrylic allows are on paper', () => {
  // Ticks reach 7.5 mm beyond the circle; acrylic of 1 mm may be drilled 1 mm from its edge (half a diameter of 2 mm).
  const plan = jobPlan({ width: 200, height: 150, thickness: 1, holes: [{ diameter: 2, left: 2, top: 2 }] });
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  const [hole] = plan.holes as unknown as [{ center: Point }];
  const far = 1 + 7.5;
  for (const [x, y] of [[hole.center.x - far, hole.center.y], [hole.center.x, hole.center.y + far]] as const) {
    expect(layout.cells.some(({ window }) => x >= window.left && y <= window.top), `the tick's end at ${x}, ${y}`).toBe(true);
  }
});

describe('paper that does not do', () => {
  const trouble = (job: Job) => {
    const plan = jobPlan(job);
    const layout = chooseLayout(contentOf(plan), plan.sheets);
    if (!('problem' in layout)) throw new Error('a layout, though there is no room');
    return layout;
  };

  test('no room between the overlaps: says so and what to change', () => {
    const { problem, fix } = trouble({ width: 500, height: 500, paper: 'A4', overlap: 100 });
    expect(problem).toContain('A4');
    expect(problem).toContain('100 mm');
    expect(fix).toMatch(/paper|overlap|margin/);
  });

  test('one orientation with room is enough', () => {
    // Landscape A4 leaves 210 - 2 * 25 - 30 = 130 mm of height, under 3 * 45 mm; portrait has more.
    expect(layoutOf({ width: 500, height: 500, overlap: 45, margin: 25, orientation: undefined }).format.orientation).toBe('portrait');
    expect(trouble({ width: 500, height: 500, overlap: 45, margin: 25, orientation: 'landscape' }).fix).not.toBe('');
  });

  test('thousands of sheets: says so and what to change', () => {
    const { problem, fix } = trouble({ width: 20000, height: 20000 });
    expect(problem).toMatch(/\d+ sheets/);
    expect(fix).toContain('larger paper');
  });
});
