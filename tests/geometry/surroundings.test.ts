/**
 * What the check finds by its index against the plainest way to find it: every obstacle of every hole looked at, in order,
 * and the few worst of each rule kept. The two must say the same to the last letter, in the same order.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { check } from '../../src/geometry/check.ts';
import { clearanceFinding, mostTold, nearer, ruleTitles, type Finding, type Rule } from '../../src/geometry/finding.ts';
import { distanceOff, groupThings, leastFew, mostSize, type Thing } from '../../src/geometry/nearest.ts';
import { clearanceToCore, obstaclesOfOther, standingObstacles, type Obstacle } from '../../src/geometry/obstacles.ts';
import { makePanel, rectangle, type Hole, type Panel } from '../../src/geometry/panel.ts';
import type { Point } from '../../src/geometry/shape.ts';
import { coordinate, starPolygon } from './polygons.ts';

/** Rules that are found by the index. */
const searched: readonly Rule[] = ['to-edge', 'to-corner', 'part-to-edge', 'part-to-rim', 'part-to-joint', 'part-to-keep-clear', 'part-to-box', 'between-holes', 'between-parts'];

/** All that one hole is told by those rules, by looking at everything. */
function toldPlainly(panel: Panel, holes: readonly Hole[], hole: Hole): Finding[] {
  const obstacles = [...standingObstacles(panel, hole), ...holes.filter((other) => other !== hole).flatMap((other) => obstaclesOfOther(panel, hole, other))];
  return (Object.keys(ruleTitles) as Rule[]).flatMap((rule) => {
    const all = obstacles.filter((one) => one.rule === rule).map((one: Obstacle, index) => {
      const { clearance } = nearer({ name: one.name, clearance: clearanceToCore(hole.center, one.core) }, one.radius);
      const floor = one.limits.floor?.value ?? 0;
      return { ...one, clearance, index, spare: clearance.distance - floor, isShort: clearance.distance < Math.max(floor, one.limits.good?.value ?? floor) - 1e-6 };
    });
    const short = all.filter(({ isShort }) => isShort).sort((a, b) => a.spare - b.spare || a.index - b.index).slice(0, mostTold);
    const nearest = [...all].sort((a, b) => a.clearance.distance - b.clearance.distance || a.index - b.index).slice(0, 1);
    return (short.length > 0 ? short : nearest).map(({ name, clearance, limits }) => clearanceFinding(hole, rule, name, clearance, limits, 'mm'));
  });
}

function expectSame(panel: Panel, holes: readonly Hole[]): void {
  const told = check(panel, holes).filter(({ rule }) => searched.includes(rule));
  // A fix that another contradicts is told so only after the search.
  const bare = (finding: Finding) => ({ ...finding, fix: finding.fix.replace(/; another rule.*/, '') });
  expect(told.map(bare)).toEqual(holes.flatMap((hole) => toldPlainly(panel, holes, hole)));
}

type Drawn = { readonly diameter: number; readonly flange: number | undefined; readonly x: number; readonly y: number; readonly box: string | null };

const holesOf = (drawn: readonly Drawn[]): Hole[] => drawn.map(({ diameter, flange, x, y, box }, index) => ({ name: `h${index}`, center: { x, y }, diameter, flange: flange === undefined ? undefined : diameter + flange, box }));

/** Few places and sizes make ties, and many holes at one place. */
const crowded = fc.record({
  diameter: fc.constantFrom(10, 12, 20, 45, 90),
  flange: fc.constantFrom(undefined, undefined, 0, 5, 40),
  x: fc.oneof(fc.constantFrom(100, 150, 300), coordinate(0, 600)),
  y: fc.oneof(fc.constantFrom(100, 150, 300), coordinate(0, 400)),
  box: fc.constantFrom(null, null, 'box 0', 'box 1'),
});

const anyRect = fc.record({ x: coordinate(0, 500), y: coordinate(0, 350), w: coordinate(5, 200), h: coordinate(5, 200) }).map(({ x, y, w, h }) => ({ left: x, right: x + w, bottom: y, top: y + h }));

/** Some areas and boxes lie on each other. */
const anyAreas = (most: number) => fc.array(anyRect, { maxLength: most }).chain((rects) => fc.boolean().map((isDoubled) => (isDoubled ? [...rects, ...rects] : rects)));

function panelOf(outline: readonly Point[], more: Partial<Parameters<typeof makePanel>[0]> = {}): Panel {
  return makePanel({ material: 'annealed glass', thickness: 8, outline, names: { edges: outline.map((_, index) => `edge ${index}`), corners: outline.map((_, index) => `corner ${index}`) }, rim: {}, joints: {}, keepClear: [], ...more });
}

const anyMore = fc
  .record({
    material: fc.constantFrom('annealed glass' as const, 'acrylic' as const),
    placement: fc.constantFrom(0, 0, 1.5),
    rim: fc.record({ top: fc.integer({ min: 0, max: 30 }), left: fc.integer({ min: 0, max: 30 }) }),
    joints: fc.record({ bottom: fc.integer({ min: 0, max: 20 }), left: fc.integer({ min: 0, max: 20 }) }),
    areas: anyAreas(20),
    boxes: anyAreas(3),
  })
  .map(({ areas, boxes, ...more }) => ({
    ...more,
    keepClear: areas.map((rect, index) => ({ name: `area ${index}`, rect })),
    boxes: boxes.map((rect, index) => ({ name: `box ${index}`, rect, wall: 6, crest: null, stands: 'inside' as const })),
  }));

describe('the index finds what looking at everything finds', () => {
  it('on rectangles with rims, joints, areas and boxes, for holes of few sizes at few places', () => {
    fc.assert(
      fc.property(anyMore, fc.array(crowded, { minLength: 1, maxLength: 60 }), (more, drawn) => expectSame(panelOf(rectangle(600, 400), more), holesOf(drawn))),
      { numRuns: 300 },
    );
  });

  it('on outlines of many corners, for holes of any size', () => {
    const anyOutline = fc.array(fc.integer({ min: 100, max: 300 }), { minLength: 3, maxLength: 80 }).map((reaches) => reaches.map((reach, index) => ({ x: 300 + reach * Math.cos((2 * Math.PI * index) / reaches.length), y: 300 + reach * Math.sin((2 * Math.PI * index) / reaches.length) })));
    const loose = fc.record({ diameter: fc.double({ min: 5, max: 120, noNaN: true }), flange: fc.option(fc.double({ min: 0, max: 50, noNaN: true }), { nil: undefined }), x: coordinate(0, 600), y: coordinate(0, 600), box: fc.constant(null) });
    fc.assert(
      fc.property(fc.oneof(anyOutline, starPolygon), anyMore, fc.array(loose, { minLength: 1, maxLength: 50 }), (outline, more, drawn) => expectSame(panelOf(outline, more), holesOf(drawn))),
      { numRuns: 200 },
    );
  });

  it('for 225 holes on a grid, where many are equally near', () => {
    const holes = Array.from({ length: 225 }, (_, index): Hole => ({ name: `h${index}`, center: { x: 50 + 40 * (index % 15), y: 50 + 40 * Math.floor(index / 15) }, diameter: index % 7 === 0 ? 30 : 20, flange: index % 3 === 0 ? 34 : undefined }));
    expectSame(panelOf(rectangle(660, 660)), holes);
  });

  it('for 150 holes of three sizes at one place: those that come first are told', () => {
    const holes = Array.from({ length: 150 }, (_, index): Hole => ({ name: `h${index}`, center: { x: 0.1 + 0.2, y: 200 }, diameter: [20, 30, 30][index % 3] as number, flange: index % 2 ? 60 : undefined }));
    expectSame(panelOf(rectangle(600, 400)), holes);
  });
});

describe('groups of things', () => {
  const anyThing: fc.Arbitrary<Thing> = fc.record({ x: fc.integer({ min: 0, max: 20 }), y: fc.integer({ min: 0, max: 20 }), size: fc.integer({ min: 0, max: 3 }) }).map(({ x, y, size }) => ({ box: { left: x, right: x, bottom: y, top: y }, sizes: [size] }));

  it('give the least few, of equal ones those that come first, whatever is passed over', () => {
    fc.assert(
      fc.property(fc.array(anyThing, { minLength: 1, maxLength: 200 }), fc.integer({ min: 1, max: 12 }), fc.integer({ min: 0, max: 5 }), (things, count, skipped) => {
        const at = { x: 10, y: 10 };
        const groups = groupThings(things);
        const valueOf = (thing: number) => {
          const { box, sizes } = things[thing] ?? expect.fail();
          return Math.hypot(box.left - at.x, box.top - at.y) - (sizes[0] ?? 0);
        };
        const found = leastFew(groups, count, (group) => distanceOff(at, groups, group) - mostSize(groups, group, 0), valueOf, (thing) => thing % 6 === skipped);
        const all = [...things.keys()].filter((thing) => thing % 6 !== skipped).sort((a, b) => valueOf(a) - valueOf(b) || a - b);
        expect(found).toEqual(all.slice(0, count));
      }),
      { numRuns: 500 },
    );
  });

  it('halve things whose places are neighbouring numbers', () => {
    const next = 1 + Number.EPSILON;
    const things = Array.from({ length: 40 }, (_, index): Thing => ({ box: { left: index % 2 ? 1 : next, right: index % 2 ? 1 : next, bottom: 0, top: 0 }, sizes: [] }));
    expect(leastFew(groupThings(things), 3, () => 0, (thing) => thing % 2, () => false)).toEqual([0, 2, 4]);
  });

  /** How many groups and things are looked at to find the 8 with the least distance less size. */
  function looksFor(things: readonly Thing[], at: Point): number {
    let looks = 0;
    const groups = groupThings(things);
    const found = leastFew(
      groups,
      8,
      (group) => {
        looks += 1;
        return distanceOff(at, groups, group) - mostSize(groups, group, 0);
      },
      (thing) => {
        looks += 1;
        const { box, sizes } = things[thing] ?? expect.fail();
        return Math.hypot(box.left - at.x, box.top - at.y) - (sizes[0] ?? 0);
      },
      () => false,
    );
    expect(found).toHaveLength(8);
    return looks;
  }

  it.each<[string, (index: number) => readonly [x: number, y: number, size: number]]>([
    ['far apart', (index) => [150 * (index % 200), 150 * Math.floor(index / 200), 20]],
    ['all at one place and alike', () => [300, 300, 30]],
    ['all at one place, each of its own size', (index) => [300, 300, 10 + (index * 7919) % 20_000 / 200]],
    ['at one place, of three sizes', (index) => [300, 300, 10 * (index % 3)]],
  ])('20,000 things %s: fewer than 400 are looked at', (_what, thingAt) => {
    const things = Array.from({ length: 20_000 }, (_, index): Thing => {
      const [x, y, size] = thingAt(index);
      return { box: { left: x, right: x, bottom: y, top: y }, sizes: [size] };
    });
    for (const at of [{ x: 300, y: 300 }, { x: 14_990, y: 7_010 }]) expect(looksFor(things, at)).toBeLessThan(400);
  });
});
