/** The division of a panel into sheets, without PDF: against plain counting written here, and against literals. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Plan, Point } from '../../src/plan/plan.ts';
import { chooseLayout, contentOf, keptCount, type Layout } from '../../src/render/layout.ts';
import { planOf } from '../printed/measure.ts';

interface Job {
  readonly width: number;
  readonly height: number;
  readonly paper?: string;
  readonly orientation?: 'portrait' | 'landscape' | undefined;
  readonly overlap?: number;
  readonly margin?: number;
  readonly hole?: { readonly diameter: number; readonly left: number; readonly top: number };
  readonly thickness?: number;
}

function jobPlan({ width, height, paper = 'A4', orientation, overlap = 16, margin = 10, hole = { diameter: 20, left: 60, top: 60 }, thickness = 5 }: Job): Plan {
  return planOf(`
title: Quarantine rack
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: ${thickness}}
holes: [{name: hole, diameter: ${hole.diameter}, from-left: ${hole.left}, from-top: ${hole.top}}]
sheets: {paper: ${paper}, overlap: ${overlap}, margin: ${margin}${orientation ? `, orientation: ${orientation}` : ''}}`);
}

function layoutOf(job: Job): Layout {
  const plan = jobPlan(job);
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  return layout;
}

describe('the orientation', () => {
  const job = fc.record({
    width: fc.integer({ min: 100, max: 3000 }),
    height: fc.integer({ min: 100, max: 3000 }),
    paper: fc.constantFrom('A4', 'A3', 'Letter', 'Legal', 'ANSI B'),
    overlap: fc.integer({ min: 8, max: 30 }),
    margin: fc.integer({ min: 0, max: 20 }),
  });

  test('is the one with fewer sheets; portrait where both need as many', () => {
    fc.assert(
      fc.property(job, (size) => {
        const counts = { portrait: keptCount(layoutOf({ ...size, orientation: 'portrait' })), landscape: keptCount(layoutOf({ ...size, orientation: 'landscape' })) };
        const chosen = layoutOf(size);
        expect(keptCount(chosen)).toBe(Math.min(counts.portrait, counts.landscape));
        expect(chosen.format.orientation).toBe(counts.landscape < counts.portrait ? 'landscape' : 'portrait');
      }),
    );
  });

  test('is the one asked for', () => {
    expect(layoutOf({ width: 500, height: 100, orientation: 'portrait' }).format).toMatchObject({ width: 210, height: 297 });
    expect(layoutOf({ width: 100, height: 500, orientation: 'landscape' }).format).toMatchObject({ width: 297, height: 210 });
  });

  test('windows cover the panel, and one row or column less would not', () => {
    fc.assert(
      fc.property(job, (size) => {
        const { cells, format, rows, columns } = layoutOf(size);
        const [first, last] = [cells[0]?.window, cells[cells.length - 1]?.window];
        if (!first || !last) throw new Error('a layout with no cell');
        expect(first.left).toBeLessThan(0);
        expect(first.top).toBeGreaterThan(size.height);
        expect(last.right).toBeGreaterThan(size.width);
        expect(last.bottom).toBeLessThan(0);
        // One fewer would end a step earlier: within the panel, or in the strip of at most 10 mm of paper shown round it.
        if (columns > 1) expect(last.right - (format.window.width - format.overlap)).toBeLessThan(size.width + 10);
        if (rows > 1) expect(last.bottom + (format.window.height - format.overlap)).toBeGreaterThan(-10);
      }),
    );
  });
});

describe('sheets in the middle of a large panel', () => {
  /** Rows times columns of cells that touch no side of the grid. */
  const inner = ({ rows, columns }: Layout) => (rows - 2) * (columns - 2);

  test('are left out where no hole is near', () => {
    const layout = layoutOf({ width: 2000, height: 1500 });
    expect(inner(layout)).toBeGreaterThan(20);
    expect(layout.cells.length - keptCount(layout)).toBe(inner(layout));
  });

  test('are kept on the shortest straight way from a hole to an edge', () => {
    const layout = layoutOf({ width: 2000, height: 1500, orientation: 'portrait' });
    const cell = layout.cells.find(({ row, column }) => row === 2 && column === 4);
    if (!cell) throw new Error('no such cell');
    const { core } = cell;
    const hole = { diameter: 20, left: (core.left + core.right) / 2, top: 1500 - (core.bottom + core.top) / 2 };
    const withHole = layoutOf({ width: 2000, height: 1500, orientation: 'portrait', hole });
    // Row 2 is one row below row 1, which is one below the top row: the way up takes two sheets, any other more.
    const more = withHole.cells.filter(({ isKept }, index) => isKept && !layout.cells[index]?.isKept).map(({ row, column }) => [row, column]);
    expect(more).toEqual([[1, 4], [2, 4]]);
  });
});

test('the ticks of a hole as near to the edge as acrylic allows are on paper', () => {
  // Ticks reach 7.5 mm beyond the circle; acrylic of 1 mm may be drilled 1 mm from its edge (half a diameter of 2 mm).
  const plan = jobPlan({ width: 200, height: 150, thickness: 1, hole: { diameter: 2, left: 2, top: 2 } });
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  const [hole] = plan.holes as unknown as [{ center: Point }];
  const far = 1 + 7.5;
  for (const [x, y] of [[hole.center.x - far, hole.center.y], [hole.center.x, hole.center.y + far]] as const) {
    expect(layout.cells.some(({ window, isKept }) => isKept && x >= window.left && y <= window.top), `the tick's end at ${x}, ${y}`).toBe(true);
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
