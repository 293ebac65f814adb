/**
 * Whatever the build: every hole, box and mask coincides across all its jigs. Looked at on the pages as they are printed
 * (circles and lines with their places on paper), and put together by the geometry of a box that is held against a panel,
 * written here anew; nothing is taken from the plan but names and which face is which.
 */
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { makeJig, type Jig } from '../src/jig.ts';
import { readBuild } from '../src/plan/build.ts';
import type { Plan, Point } from '../src/plan/plan.ts';
import type { Page } from '../src/render/sheet.ts';
import type { Typesetter } from '../src/render/type.ts';
import { checkPlan } from '../src/report.ts';
import { loadWide } from './fonts.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide([]);
});

interface Drawn {
  readonly plan: Plan;
  readonly jig: Jig;
}

/** A random box, written once, and a tank that it stands on twice; glass, with sizes at which some panels divide into many sheets. */
const anyBuild = fc
  .record({
    length: fc.integer({ min: 500, max: 1100 }),
    width: fc.integer({ min: 250, max: 500 }),
    height: fc.integer({ min: 300, max: 600 }),
    bottom: fc.constantFrom('under walls', 'between walls'),
    ends: fc.constantFrom('between front and back', 'over front and back'),
    quantity: fc.integer({ min: 1, max: 2 }),
    panelFace: fc.constantFrom('outside', 'inside'),
    boxFace: fc.constantFrom('outside', 'inside'),
    stands: fc.constantFrom('outside', 'inside'),
    measured: fc.constantFrom('edges', 'inside'),
    box: fc.record({ width: fc.integer({ min: 120, max: 220 }), height: fc.integer({ min: 120, max: 220 }), wall: fc.integer({ min: 4, max: 10 }) }),
    at: fc.record({ x: fc.double({ min: 0, max: 1, noNaN: true }), y: fc.double({ min: 0, max: 1, noNaN: true }) }),
    holes: fc.array(fc.record({ x: fc.double({ min: 0.2, max: 0.8, noNaN: true }), y: fc.double({ min: 0.2, max: 0.8, noNaN: true }), diameter: fc.integer({ min: 12, max: 40 }), across: fc.constantFrom('from-left', 'from-right', 'from-center-x'), up: fc.constantFrom('from-bottom', 'from-top', 'from-center-y') }), { minLength: 1, maxLength: 3 }),
  })
  .map(({ box, holes, at, ...of }) => ({
    ...of,
    spec: JSON.stringify({
      title: 'Snail hatchery',
      units: 'mm',
      boxes: {
        sieve: {
          ...box,
          stands: of.stands,
          'drilled-from': of.boxFace,
          'measured-from': of.measured,
          holes: holes.map(({ x, y, diameter, across, up }, index) => ({
            name: `hole ${index + 1}`,
            fitting: { hole: diameter, flange: diameter + 14 },
            [across]: (across === 'from-center-x' ? x - 0.5 : x) * (box.width - 2 * box.wall),
            [up]: (up === 'from-center-y' ? y - 0.5 : y) * (box.height - 2 * box.wall),
          })),
        },
      },
      tanks: {
        hatchery: {
          quantity: of.quantity,
          material: 'annealed glass',
          length: of.length,
          width: of.width,
          height: of.height,
          thickness: 8,
          bottom: of.bottom,
          ends: of.ends,
          panels: {
            back: {
              'drilled-from': of.panelFace,
              boxes: [
                { box: 'sieve', name: 'first', 'from-left': 15 + at.x * (of.length / 2 - 20 - box.width > 0 ? of.length / 2 - 20 - box.width : 1), 'from-top': 10 + at.y * 40 },
                { box: 'sieve', name: 'second', 'from-right': 20, 'from-bottom': 12 },
              ],
            },
          },
        },
      },
    }),
  }));

/** All jigs of a build, as drafts, so that whatever the check says of a random place is drawn; only refused holes have no circle. */
function drawnOf(spec: string): Drawn[] {
  const reading = readBuild(spec);
  if ('problems' in reading) throw new Error(`the test's own spec is wrong: ${JSON.stringify(reading.problems)}`);
  return reading.build.panels.map((plan) => {
    const report = checkPlan(plan);
    // What is asked here is where holes are, not whether they may be: all are drawn.
    const jig = makeJig(plan, { ...report, verdict: 'clear', byHole: new Map([...report.byHole].map(([name]) => [name, 'clear'])) }, setter, { isBoard: true, isMask: true });
    if ('problem' in jig) throw new Error(jig.problem);
    return { plan, jig };
  });
}

interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

const key = ({ x, y, radius }: Circle) => [x, y, radius].map((mm) => mm.toFixed(5)).join(' ');

/** The circles of a layer on pages, where they lie on the drilled face, each once though several sheets show it. */
function circlesOn(pages: readonly Page[], layer: string): Circle[] {
  const all = pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'circle' && mark.layer === layer ? [{ ...mark.center, radius: mark.radius }] : []))));
  return [...new Map(all.map((circle) => [key(circle), circle])).values()];
}

/** Corners of the boxes drawn on the sheets: each box's four sides are lines of their layer, in the order in which boxes are drawn. */
function boxesOn(pages: readonly Page[]): { left: number; right: number; bottom: number; top: number }[] {
  const lines = pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'line' && mark.layer === 'box' ? [mark] : []))));
  const sides = [...new Map(lines.map((line) => [JSON.stringify([line.a, line.b]), line])).values()];
  const boxes: { left: number; right: number; bottom: number; top: number }[] = [];
  const isEnd = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y) < 1e-6;
  for (const side of sides.filter(({ a, b }) => Math.abs(a.y - b.y) < 1e-9)) {
    const upright = sides.filter((other) => Math.abs(other.a.x - other.b.x) < 1e-9 && [other.a, other.b].some((p) => isEnd(p, side.a) || isEnd(p, side.b)));
    const [ys, xs] = [upright.flatMap(({ a, b }) => [a.y, b.y]), [side.a.x, side.b.x]];
    if (upright.length !== 2 || side.a.y !== Math.min(...ys)) continue;
    boxes.push({ left: Math.min(...xs), right: Math.max(...xs), bottom: Math.min(...ys), top: Math.max(...ys) });
  }
  return boxes;
}

/** The panel's edge as drawn: its width and height. */
function edgeOn(pages: readonly Page[]): { width: number; height: number } {
  const [path] = pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'path' && mark.layer === 'panel' ? [mark] : []))));
  const [xs, ys] = [path?.points.map(({ x }) => x) ?? [], path?.points.map(({ y }) => y) ?? []];
  return { width: Math.max(...xs) - Math.min(...xs), height: Math.max(...ys) - Math.min(...ys) };
}

describe('whatever the build', () => {
  it('holes of a box coincide on panel and back wall when the two are held face to face, at the box as drawn', () => {
    fc.assert(
      fc.property(anyBuild, ({ spec, panelFace, boxFace, stands }) => {
        const [panel, wall, ...more] = drawnOf(spec) as [Drawn, Drawn, ...Drawn[]];
        expect(more).toEqual([]);
        const [onPanel, onWall] = [circlesOn(panel.jig.sheets, 'hole'), circlesOn(wall.jig.sheets, 'hole')];
        const { width } = edgeOn(panel.jig.sheets);
        const size = edgeOn(wall.jig.sheets);
        // Seen from outside the tank: a face that is drawn from inside shows left and right exchanged.
        const fromOutside = (x: number) => (panelFace === 'outside' ? x : width - x);
        const boxes = boxesOn(panel.jig.sheets).map(({ left, right, bottom, top }) => {
          const [a, b] = [fromOutside(left), fromOutside(right)];
          return { left: Math.min(a, b), right: Math.max(a, b), bottom, top };
        });
        expect(boxes).toHaveLength(2);
        const expected = boxes.flatMap((box) => {
          expect(box.right - box.left).toBeCloseTo(size.width, 6);
          expect(box.top - box.bottom).toBeCloseTo(size.height, 6);
          return onWall.map(({ x, y, radius }) => {
            // The wall's outside lies on the panel: it is seen from outside the tank where the box stands within, and from behind where it stands without.
            const seen = boxFace === 'outside' ? x : size.width - x;
            return { x: stands === 'inside' ? box.left + seen : box.right - seen, y: box.bottom + y, radius };
          });
        });
        const found = onPanel.map((circle) => ({ ...circle, x: fromOutside(circle.x) }));
        expect(found.length).toBe(expected.length);
        for (const circle of expected) {
          const distances = found.map((other) => Math.hypot(other.x - circle.x, other.y - circle.y) + Math.abs(other.radius - circle.radius));
          expect(Math.min(...distances)).toBeLessThan(1e-6);
        }
      }),
      { numRuns: 25 },
    );
  });

  it("guide boards have their holes where the jig has, wider by the bit's clearance alone", () => {
    fc.assert(
      fc.property(anyBuild, ({ spec }) => {
        for (const { plan, jig } of drawnOf(spec)) {
          const [onJig, onBoards] = [circlesOn(jig.sheets, 'hole'), circlesOn(jig.board, 'hole')];
          // The pages of a board show their holes at true size; the small overview before them is in page coordinates.
          const boards = jig.board.filter(({ name }) => name.startsWith('G'));
          const cut = circlesOn(boards, 'hole');
          expect(onBoards.length).toBeGreaterThanOrEqual(cut.length);
          expect(cut.length, plan.part).toBe(onJig.length);
          for (const hole of onJig) {
            const [nearest] = [...cut].sort((a, b) => Math.hypot(a.x - hole.x, a.y - hole.y) - Math.hypot(b.x - hole.x, b.y - hole.y)) as [Circle];
            expect(Math.hypot(nearest.x - hole.x, nearest.y - hole.y)).toBeLessThan(1e-6);
            // 0.5 mm in diameter (common practice, no source).
            expect(2 * (nearest.radius - hole.radius)).toBeCloseTo(0.5, 6);
          }
        }
      }),
      { numRuns: 15 },
    );
  });

  it('masks have two discs for each hole of each piece, which show the hole as it is drilled and cover its flange', () => {
    fc.assert(
      fc.property(anyBuild, ({ spec }) => {
        for (const { plan, jig } of drawnOf(spec)) {
          const inOrder = (numbers: readonly number[]) => [...numbers].sort((a, b) => a - b);
          const on = (pages: readonly Page[], layer: string) => pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'circle' && mark.layer === layer ? [mark] : []))));
          const drilled = circlesOn(jig.sheets, 'hole');
          const copies = Array.from({ length: 2 * plan.quantity });
          expect(inOrder(on(jig.mask, 'part').map(({ radius }) => radius))).toEqual(inOrder(drilled.flatMap(({ radius }) => copies.map(() => radius))));
          // Each cut line lies round one of them, and covers the flange, 14 mm wider than the hole here.
          for (const disc of on(jig.mask, 'hole')) {
            const inner = on(jig.mask, 'part').find(({ center }) => Math.hypot(center.x - disc.center.x, center.y - disc.center.y) < 1e-6);
            expect(disc.radius).toBeGreaterThanOrEqual((inner?.radius ?? Infinity) + 7 - 1e-9);
          }
        }
      }),
      { numRuns: 15 },
    );
  });
});
