/**
 * The place with the most room: worked values of geometry, the general-purpose library polylabel (pole of inaccessibility of a
 * polygon), and a search over a grid with the oracle of `oracle.ts`.
 */
import fc from 'fast-check';
import polylabel from 'polylabel';
import { describe, expect, it } from 'vitest';
import { forbiddenBy } from '../../src/geometry/allowed.ts';
import { bestPlace, whyNoRoom } from '../../src/geometry/best.ts';
import { obstaclesOfOther, standingObstacles, type Level } from '../../src/geometry/obstacles.ts';
import type { Hole } from '../../src/geometry/panel.ts';
import { cutsOfBox, makeRegion } from '../../src/geometry/region.ts';
import type { Point, Rect } from '../../src/geometry/shape.ts';
import { anyWork, needsOf, noStrips, panelOf, plainWork, spareOf, toSegment, type Work } from './oracle.ts';
import { convexPolygon, ringOf, starPolygon } from './polygons.ts';

const at = (x: number, y: number): Point => ({ x, y });
const rectangle = (width: number, height: number) => [at(0, 0), at(width, 0), at(width, height), at(0, height)];
const boundsOf = (points: readonly Point[]): Rect => ({ left: Math.min(...points.map(({ x }) => x)), right: Math.max(...points.map(({ x }) => x)), bottom: Math.min(...points.map(({ y }) => y)), top: Math.max(...points.map(({ y }) => y)) });
const bestOf = (work: Work, within: Rect = boundsOf(work.outline)) => bestPlace(panelOf(work), work.holes[0] as Hole, work.holes.slice(1), within);
const whyOf = (work: Work, level: Level, within?: Rect) => whyNoRoom(panelOf(work), work.holes[0] as Hole, work.holes.slice(1), level, within);
const holeOf = (diameter: number, more: Partial<Hole> = {}): Hole => ({ name: 'drain', center: at(0, 0), diameter, ...more });

/** The most spare room at a level that a search finds, a lower bound of what there is: a grid, then ever smaller steps from its best places. */
function searched(work: Work, level: Level, within: Rect, across = 40): { spare: number; at: Point } {
  const needs = needsOf(work, 0, level);
  const spare = (p: Point) => (p.x < within.left || p.x > within.right || p.y < within.bottom || p.y > within.top ? -Infinity : spareOf(needs, work.outline, p));
  const [width, height] = [within.right - within.left, within.top - within.bottom];
  const grid = Array.from({ length: (across + 1) ** 2 }, (_, index) => at(within.left + (width * (index % (across + 1))) / across, within.bottom + (height * Math.floor(index / (across + 1))) / across));
  const starts = grid.map((p) => ({ at: p, spare: spare(p) })).sort((a, b) => b.spare - a.spare).slice(0, 5);
  return starts
    .map((start) => {
      let best = start;
      for (let step = Math.max(width, height) / across; step > 1e-8; ) {
        const around = Array.from({ length: 24 }, (_, turn) => at(best.at.x + step * Math.cos((turn * Math.PI) / 12), best.at.y + step * Math.sin((turn * Math.PI) / 12)));
        const next = around.map((p) => ({ at: p, spare: spare(p) })).reduce((a, b) => (b.spare > a.spare ? b : a));
        // Ever the same gain but for rounding would lead along a level ridge without end.
        if (next.spare > best.spare + step * 1e-3) best = next;
        else step /= 2;
      }
      return best;
    })
    .reduce((a, b) => (b.spare > a.spare ? b : a));
}

describe('worked values', () => {
  it('the middle of a rectangle, of all places on its middle line', () => {
    // One diameter of glass is good practice: 10 + 20 mm of 150 mm.
    expect(bestOf(plainWork(rectangle(400, 300), [holeOf(20)]))).toEqual({ center: at(200, 150), spare: 120, level: 'good practice' });
  });

  it('the middle of a square', () => {
    const best = bestOf(plainWork(rectangle(300, 300), [holeOf(20)]));
    expect(best?.center.x).toBeCloseTo(150, 5);
    expect(best?.center.y).toBeCloseTo(150, 5);
    expect(best?.spare).toBeCloseTo(120, 5);
  });

  it('the published minimum where good practice has no place', () => {
    // 60 mm wide: good practice asks 2 * (10 + 20) + a hair, the minimum 2 * (10 + 12).
    expect(bestOf(plainWork(rectangle(400, 59.9), [holeOf(20)]))).toMatchObject({ level: 'minimum' });
    expect(bestOf(plainWork(rectangle(400, 59.9), [holeOf(20)]))?.spare).toBeCloseTo(59.9 / 2 - 22, 5);
    expect(bestOf(plainWork(rectangle(400, 60), [holeOf(20)]))).toMatchObject({ level: 'good practice', center: at(200, 30) });
    expect(bestOf(plainWork(rectangle(400, 43.9), [holeOf(20)]))).toBeUndefined();
  });

  it.each([[3, 4, 5], [5, 12, 13], [8, 15, 17], [20, 21, 29]])('the incircle of a right triangle of %i, %i, %i: r = (a + b - c) / 2 (after Euclid, Elements IV 4)', (a, b, c) => {
    const unit = 100;
    const r = ((a + b - c) / 2) * unit;
    // Acrylic asks nothing of corners; one diameter is good practice: 5 + 10 mm.
    const best = bestOf(plainWork([at(0, 0), at(a * unit, 0), at(0, b * unit)], [holeOf(10)], { material: 'acrylic' }));
    expect(best?.center.x).toBeCloseTo(r, 5);
    expect(best?.center.y).toBeCloseTo(r, 5);
    expect(Math.abs((best?.spare ?? 0) - (r - 15))).toBeLessThan(1e-6);
  });

  // Descartes' theorem: k4 = k1 + k2 + k3 + 2 sqrt(k1 k2 + k2 k3 + k3 k1). Of curvatures 2, 2, 3 it is 15, of 2, 3, 6 it is 23
  // (the gasket of -1, 2, 2, 3: MathWorld, Apollonian gasket).
  it.each([
    ['2, 2, 3: 15', [2, 2, 3], [at(-300, 0), at(300, 0), at(0, 400)], 15, at(0, 160)],
    ['2, 3, 6: 23', [2, 3, 6], [at(0, 400), at(300, 0), at(0, 0)], 23, at(2100 / 23, 2000 / 23)],
    ['1, 1, 1: 3 + 2 sqrt 3', [1, 1, 1], [at(-600, 0), at(600, 0), at(0, 600 * Math.sqrt(3))], 3 + 2 * Math.sqrt(3), at(0, 200 * Math.sqrt(3))],
  ])('the circle that touches three (Apollonius), of curvatures %s', (_what, curvatures, centers, fourth, touching) => {
    const scale = 600;
    const [d, middle] = [10, 2000];
    // In acrylic two holes keep the larger diameter between them: (d + D) / 2 + D is the radius of the circle round each.
    const others = curvatures.map((k, index): Hole => ({ name: `other ${index}`, diameter: (scale / k - d / 2) / 1.5, center: at((centers[index] as Point).x + middle, (centers[index] as Point).y + middle) }));
    const r = scale / fourth;
    const within = { left: middle + touching.x - r, right: middle + touching.x + r, bottom: middle + touching.y - r, top: middle + touching.y + r };
    const best = bestOf(plainWork(rectangle(2 * middle, 2 * middle), [holeOf(d), ...others], { material: 'acrylic' }), within);
    expect(Math.abs((best?.spare ?? 0) - r)).toBeLessThan(1e-6);
    expect(best?.center.x).toBeCloseTo(middle + touching.x, 5);
    expect(best?.center.y).toBeCloseTo(middle + touching.y, 5);
  });

  it('in a window, and on an axis, the place with the most room there', () => {
    const work = plainWork(rectangle(400, 300), [holeOf(20)]);
    expect(bestOf(work, { left: 0, right: 100, bottom: 0, top: 300 })).toMatchObject({ center: at(100, 150), spare: 70 });
    expect(bestOf(work, { left: 75, right: 75, bottom: 0, top: 300 })).toMatchObject({ center: { x: 75 }, spare: 45 });
    expect(bestOf(work, { left: 0, right: 400, bottom: 60, top: 60 })).toMatchObject({ center: at(200, 60), spare: 30 });
    expect(bestOf(work, { left: 90, right: 90, bottom: 60, top: 60 })).toMatchObject({ center: at(90, 60), spare: 30 });
    expect(bestOf(work, { left: 5, right: 5, bottom: 60, top: 60 })).toBeUndefined();
  });

  it('nowhere in glass that is not drilled', () => {
    const work = plainWork(rectangle(400, 300), [holeOf(20)], { material: 'toughened glass' });
    expect(bestOf(work)).toBeUndefined();
    expect(whyOf(work, 'minimum')).toMatchObject({ short: null, between: [] });
  });
});

describe('against polylabel', () => {
  it('in random polygons no place is farther from the edges', () => {
    fc.assert(
      fc.property(fc.oneof(convexPolygon, starPolygon), (outline) => {
        const pole = polylabel([[...outline, outline[0] as Point].map(({ x, y }): [number, number] => [x, y])], 0.01);
        // One diameter of 10 mm between hole and edge.
        const best = bestOf(plainWork(outline, [holeOf(10)], { material: 'acrylic', t: 3 }));
        fc.pre(pole.distance > 15);
        expect(best?.spare).toBeGreaterThan(pole.distance - 15 - 1e-6);
        expect(best?.spare).toBeLessThan(pole.distance - 15 + 0.011);
        expect(Math.min(...ringOf(outline).map(({ a, b }) => toSegment(best?.center as Point, a, b)))).toBeCloseTo((best?.spare ?? 0) + 15, 9);
      }),
      { numRuns: 120 },
    );
  });
});

/** Windows on a panel: all of it, a part, or a line. */
const anyWindow = fc.tuple(fc.integer({ min: 0, max: 5 }), fc.integer({ min: 0, max: 5 }), fc.constantFrom(0, 1, 3, 6, 12), fc.constantFrom(0, 1, 3, 6, 12));
const windowOf = ({ left, right, bottom, top }: Rect, [x, y, w, h]: readonly [number, number, number, number]): Rect => {
  const [dx, dy] = [(right - left) / 6, (top - bottom) / 6];
  const [from, low] = [w === 12 ? left : left + x * dx, h === 12 ? bottom : bottom + y * dy];
  return { left: from, right: w === 12 ? right : Math.min(right, from + w * dx), bottom: low, top: h === 12 ? top : Math.min(top, low + h * dy) };
};

describe('against a search', () => {
  it('no place in the window has more room, and where there is one a place is found', () => {
    let found = 0;
    fc.assert(
      fc.property(anyWork(6), anyWindow, (work, share) => {
        const within = windowOf(boundsOf(work.outline), share);
        const best = bestOf(work, within);
        for (const level of ['good practice', 'minimum'] as const) {
          const { spare } = searched(work, level, within);
          if (best?.level !== level) {
            // Good practice has no place, or nothing has.
            if (!best || level === 'good practice') expect(spare).toBeLessThan(0);
            continue;
          }
          found += 1;
          expect(best.spare).toBeGreaterThan(spare - 1e-6);
          expect(Math.abs(spareOf(needsOf(work, 0, level), work.outline, best.center) - best.spare)).toBeLessThan(1e-9);
          expect(best.center.x).toBeGreaterThanOrEqual(within.left);
          expect(best.center.x).toBeLessThanOrEqual(within.right);
          expect(best.center.y).toBeGreaterThanOrEqual(within.bottom);
          expect(best.center.y).toBeLessThanOrEqual(within.top);
        }
      }),
      { numRuns: 80, endOnFailure: true },
    );
    expect(found).toBeGreaterThan(40);
  });
});

describe('why there is no room', () => {
  it('a strip that is narrower than two distances to its edges is short by half of what it lacks', () => {
    // 6 mm glass, 20 mm hole: 2 * (10 + 12) of 30 mm.
    const why = whyOf(plainWork(rectangle(600, 30), [holeOf(20)]), 'minimum');
    expect(why?.short).toBeCloseTo(7, 5);
    expect(why?.between.map(({ rule, name }) => `${rule}: ${name}`).sort()).toEqual(['to-edge: edge 0', 'to-edge: edge 2']);
  });

  it('an area over the whole panel is in the way as an edge is, with the flange that does not reach as far as the ligament', () => {
    // At a distance e from an edge: 22 - s of the edge, and not deeper than s - 15 in the area: s = 18.5.
    const work = plainWork(rectangle(400, 300), [holeOf(20, { flange: 30 })], { keepClear: [{ left: 0, right: 400, bottom: 0, top: 300 }] });
    expect(whyOf(work, 'minimum')?.short).toBeCloseTo(18.5, 5);
    expect(whyOf(work, 'minimum')?.between.map(({ rule }) => rule)).toContain('part-to-keep-clear');
  });

  it('two areas that touch part when there is nothing left between the hole and them', () => {
    const work = plainWork(rectangle(400, 300), [holeOf(20)], { keepClear: [{ left: 0, right: 150, bottom: 0, top: 300 }, { left: 150, right: 400, bottom: 0, top: 300 }] });
    const why = whyOf(work, 'minimum');
    expect(why?.short).toBeCloseTo(10, 5);
    expect(why?.between.map(({ name }) => name)).toEqual(['area 0', 'area 1']);
  });

  it('less distance helps nothing where the window is off the panel', () => {
    expect(whyOf(plainWork(rectangle(400, 300), [holeOf(20)]), 'minimum', { left: 500, right: 600, bottom: 0, top: 300 })).toMatchObject({ short: null });
  });

  it.each(['minimum', 'good practice'] as const)('that much less leaves room, a little less than that does not; %s', (level) => {
    let found = 0;
    fc.assert(
      fc.property(anyWork(8), anyWindow, fc.integer({ min: 30, max: 160 }), (drawn, share, width) => {
        // Crowded on purpose: a large hole on a panel shrunk to a few widths of it.
        const factor = width / 300;
        const work = { ...drawn, t: drawn.t, rim: noStrips, outline: drawn.outline.map(({ x, y }) => at(x * factor, y * factor)), holes: drawn.holes.map((hole) => ({ ...hole, center: at(hole.center.x * factor, hole.center.y * factor) })) };
        const within = windowOf(boundsOf(work.outline), share);
        const why = whyOf(work, level, within);
        const { spare } = searched(work, level, within);
        if (!why) expect(bestOf(work, within)).toBeDefined();
        else expect(spare).toBeLessThan(0);
        if (!why || why.short === null) return;
        found += 1;
        // No place is short by less, and there is one that is short by no more: any that the region still has within 1e-6 mm of it, judged by the oracle.
        expect(-why.short).toBeGreaterThan(spare - 1e-6);
        const [panel, own] = [panelOf(work), work.holes[0] as Hole];
        const obstacles = [...standingObstacles(panel, own), ...work.holes.slice(1).flatMap((other) => obstaclesOfOther(panel, own, other))];
        const place = makeRegion(work.outline, forbiddenBy(obstacles, level, -why.short - 1e-6), cutsOfBox(within)).loops[0]?.[0]?.from as Point;
        expect(spareOf(needsOf(work, 0, level), work.outline, place)).toBeGreaterThan(-why.short - 2e-6);
        expect(Math.max(within.left - place.x, place.x - within.right, within.bottom - place.y, place.y - within.top)).toBeLessThan(1e-6);
        expect(why.between.length).toBeGreaterThan(0);
      }),
      { numRuns: 80, endOnFailure: true },
    );
    expect(found).toBeGreaterThan(15);
  });
});
