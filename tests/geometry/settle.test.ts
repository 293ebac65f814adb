/** Moves of several holes at once, against every arrangement of points of a fine grid: the independent oracle is brute force. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distanceOf, nearestPlace, totalOf, type Held, type Mover } from '../../src/geometry/movers.ts';
import { makeRegion } from '../../src/geometry/region.ts';
import { rectangle } from '../../src/geometry/panel.ts';
import { settle } from '../../src/geometry/settle.ts';
import { distanceBetween, edgesOf, type Point } from '../../src/geometry/shape.ts';
import { onSteps } from '../../src/geometry/steps.ts';
import { moversOf, roomAt, type Simple } from './simple-movers.ts';

const mm = (least: number, most: number) => fc.integer({ min: least, max: most });

/** Small crowded panels with holes that stand in each other's way, at the edges and on things that stand fast. */
const crowded = (count: number) =>
  fc.tuple(mm(60, 120), mm(50, 90)).chain(([width, height]) => {
    const at = fc.record({ x: mm(1, width - 1), y: mm(1, height - 1) });
    return fc.record({
      width: fc.constant(width),
      height: fc.constant(height),
      holes: fc.array(fc.record({ at, edge: mm(8, 20), own: mm(6, 15) }), { minLength: count, maxLength: count }),
      fixed: fc.array(fc.record({ at, own: mm(2, 16) }), { maxLength: 4 }),
    });
  });

interface GridPoint extends Point {
  readonly way: number;
}

/** The least total that points of a grid of that pitch reach; Infinity where no arrangement of them is allowed. */
function leastOnGrid(simple: Simple, pitch: number): number {
  const { width, height, holes } = simple;
  const lists = holes.map(({ at }, index) => {
    const list: GridPoint[] = [];
    for (let x = 0; x <= width; x += pitch) for (let y = 0; y <= height; y += pitch) if (roomAt(simple, index, { x, y }) >= 0) list.push({ x, y, way: distanceBetween(at, { x, y }) });
    return list.sort((a, b) => a.way - b.way);
  });
  const leasts = lists.map((list) => list[0]?.way ?? Infinity);
  const chosen: GridPoint[] = [];
  let best = Infinity;
  const go = (index: number, sum: number): void => {
    if (index === lists.length) {
      best = Math.min(best, sum);
      return;
    }
    const rest = leasts.slice(index + 1).reduce((total, way) => total + way, 0);
    for (const point of lists[index] as GridPoint[]) {
      if (sum + point.way + rest >= best) return;
      if (chosen.slice(0, index).some((other, at) => distanceBetween(point, other) < (holes[index]?.own ?? 0) + (holes[at]?.own ?? 0))) continue;
      chosen[index] = point;
      go(index + 1, sum + point.way);
    }
  };
  go(0, 0);
  return best;
}

const placesOf = ({ holes }: Simple, held: readonly Held[]) => held.map(({ place }, index) => ({ x: (holes[index]?.at.x ?? 0) + place.x, y: (holes[index]?.at.y ?? 0) + place.y }));

function expectAllowed(simple: Simple, held: readonly Held[]): void {
  const places = placesOf(simple, held);
  for (const [index, place] of places.entries()) {
    expect(roomAt(simple, index, place)).toBeGreaterThanOrEqual(-1e-6);
    for (const [other, there] of places.slice(0, index).entries()) expect(distanceBetween(place, there)).toBeGreaterThanOrEqual((simple.holes[index]?.own ?? 0) + (simple.holes[other]?.own ?? 0) - 1e-6);
  }
}

const toMinimum = (simple: Simple) => settle(moversOf(simple), simple.holes.map(() => 'minimum' as const));

describe('the least movement', () => {
  it('of one hole is that to the nearest place, which no point of a fine grid beats', () => {
    fc.assert(
      fc.property(crowded(1), (simple) => {
        const [held] = toMinimum(simple) as [Held];
        const least = leastOnGrid(simple, 0.5);
        if (held.isOut) {
          expect(least).toBe(Infinity);
          return;
        }
        expectAllowed(simple, [held]);
        expect(distanceOf(held.place)).toBeLessThanOrEqual(least + 1e-6);
        // Nothing within it is allowed: a ring of points just nearer has no room.
        const reach = distanceOf(held.place) - 1e-3;
        const { x, y } = simple.holes[0]?.at as Point;
        for (let turn = 0; turn < 720 && reach > 0; turn += 1) expect(roomAt(simple, 0, { x: x + reach * Math.cos(turn * Math.PI / 360), y: y + reach * Math.sin(turn * Math.PI / 360) })).toBeLessThan(0);
      }),
      { numRuns: 60 },
    );
  });

  it.each([[2, 0.5, 40], [3, 1, 15]])('of %i holes is within 1 %% and one step of the best of all arrangements on a grid', (count, pitch, numRuns) => {
    fc.assert(
      fc.property(crowded(count), (simple) => {
        const held = toMinimum(simple);
        const least = leastOnGrid(simple, pitch);
        if (held.some(({ isOut }) => isOut)) {
          expect(least).toBe(Infinity);
          return;
        }
        expectAllowed(simple, held);
        expect(totalOf(held)).toBeLessThanOrEqual(least * 1.01 + pitch);
      }),
      { numRuns },
    );
  });

  it('of two that are too near to each other is just what they lack', () => {
    const simple: Simple = { width: 500, height: 300, holes: [{ at: { x: 200, y: 150 }, edge: 40, own: 40 }, { at: { x: 240, y: 180 }, edge: 40, own: 40 }], fixed: [] };
    expect(totalOf(toMinimum(simple))).toBeCloseTo(80 - 50, 5);
  });

  it('finds the way round another that stands in between', () => {
    // The second can go left under the first, but only if that goes up: found in no order of nearest places.
    const simple: Simple = { width: 95, height: 80, holes: [{ at: { x: 27, y: 61 }, edge: 11, own: 17 }, { at: { x: 12, y: 54 }, edge: 18, own: 14 }, { at: { x: 76, y: 39 }, edge: 18, own: 18 }], fixed: [{ at: { x: 31, y: 17 }, own: 4 }, { at: { x: 19, y: 20 }, own: 13 }, { at: { x: 47, y: 71 }, own: 4 }] };
    expect(totalOf(toMinimum(simple))).toBeLessThan(leastOnGrid(simple, 1));
  });

  it('is the same each time', () => {
    fc.assert(fc.property(crowded(3), (simple) => {
      expect(toMinimum(simple)).toEqual(toMinimum(simple));
    }), { numRuns: 3 });
  });
});

describe('levels', () => {
  const level = (held: readonly Held[]) => held.map(({ level: one, isOut }) => (isOut ? 'out' : one));
  /** Good practice asks twice the minimum. */
  const strip = (length: number): Simple => ({ width: length, height: 60, good: 2, fixed: [], holes: [{ at: { x: 30, y: 30 }, edge: 15, own: 20 }, { at: { x: 35, y: 30 }, edge: 15, own: 20 }] });
  const settled = (length: number) => settle(moversOf(strip(length)), ['good practice', 'good practice']);

  it('all are at good practice where there is room', () => {
    // 30 from either end and 80 between.
    expect(level(settled(141))).toEqual(['good practice', 'good practice']);
  });

  it('as few as possible at the minimum where there is not', () => {
    // 15 and 30 from the ends and 40 between at least.
    expect(level(settled(100)).sort()).toEqual(['good practice', 'minimum']);
    expect(level(settled(71))).toEqual(['minimum', 'minimum']);
  });

  it('one is out where there is no room for both, and the other keeps away from it', () => {
    // From 15 to 45 along a strip there are no two places 40 apart; 45 is 40 from where the first stands.
    const simple: Simple = { width: 60, height: 30.5, fixed: [], holes: [{ at: { x: 5, y: 15 }, edge: 15, own: 20 }, { at: { x: 40, y: 15 }, edge: 15, own: 20 }] };
    const held = settle(moversOf(simple), ['minimum', 'minimum']);
    expect(level(held)).toEqual(['out', 'minimum']);
    expect(held[1]?.place.x).toBeCloseTo(5, 5);
  });
});

describe('many holes in each other\'s way', () => {
  it('are all moved apart', () => {
    const holes = Array.from({ length: 12 }, (_, index) => ({ at: { x: 250 + (index % 4) * 12, y: 200 + Math.floor(index / 4) * 12 }, edge: 20, own: 15 }));
    const simple: Simple = { width: 500, height: 400, holes, fixed: [] };
    const held = toMinimum(simple);
    expect(held.every(({ isOut }) => !isOut)).toBe(true);
    expectAllowed(simple, held);
  });

  it('leave those out that no room is left for, and keep away from them', () => {
    const holes = Array.from({ length: 9 }, (_, index) => ({ at: { x: 20 + index * 8, y: 30 }, edge: 10, own: 15 }));
    const simple: Simple = { width: 110, height: 60, holes, fixed: [] };
    const held = toMinimum(simple);
    expect(held.some(({ isOut }) => isOut)).toBe(true);
    const places = placesOf(simple, held);
    for (const [index, { isOut }] of held.entries()) {
      if (isOut) continue;
      for (const [other, place] of places.entries()) if (other !== index) expect(distanceBetween(place, places[index] as Point)).toBeGreaterThanOrEqual(30 - 1e-6);
    }
  });
});

describe('steps', () => {
  /** Distances of whole millimetres from the edges. */
  const whole = (at: number) => ({ origin: -at, step: 1, parts: [1, 2, 10, 1000] });

  it('each stands on lines or where it stood, still allowed, and hardly farther', () => {
    fc.assert(
      fc.property(crowded(2), (simple) => {
        const shifted = { ...simple, holes: simple.holes.map((hole) => ({ ...hole, at: { x: hole.at.x + 0.37, y: hole.at.y + 0.61 } })) };
        const movers = moversOf(shifted, whole);
        const held = settle(movers, ['minimum', 'minimum']);
        fc.pre(held.every(({ isOut }) => !isOut));
        const stepped = onSteps(movers, held);
        expectAllowed(shifted, stepped);
        for (const [index, { place, division }] of stepped.entries()) {
          const { x, y } = placesOf(shifted, stepped)[index] as Point;
          if (division === null) continue;
          const parts = whole(0).parts[division] as number;
          for (const [move, at] of [[place.x, x], [place.y, y]] as const) if (move !== 0) expect(Math.abs(at * parts - Math.round(at * parts))).toBeLessThan(1e-6);
          expect(distanceOf(place)).toBeLessThanOrEqual(distanceOf(held[index]?.place as Point) + 6);
        }
      }),
      { numRuns: 40 },
    );
  });

  it('are divided where no whole one leads into the room', () => {
    // Between 20.2 and 20.4 from the left and from below there is room, and nowhere else.
    const simple: Simple = { width: 40.6, height: 40.6, fixed: [], holes: [{ at: { x: 10, y: 10 }, edge: 20.2, own: 5 }] };
    const movers = moversOf(simple, whole);
    const [stepped] = onSteps(movers, settle(movers, ['minimum']));
    expect(stepped?.division).toBe(2);
    expect(placesOf(simple, [stepped as Held])[0]).toEqual({ x: expect.closeTo(20.2, 6) as number, y: expect.closeTo(20.2, 6) as number });
  });
});

it('a place beside three circles that meet in one point is allowed', () => {
  // The third runs through the corner of the other two but for rounding.
  const outline = rectangle(81, 61).map(({ x, y }) => ({ x: x - 73, y: y - 38 }));
  const discs = [[0, -16, 31], [-18.980157051605588, 3.0000004840565495, 25], [-45.45803740958357, 13.000000484056544, 31]] as const;
  const region = makeRegion(outline, [...edgesOf(outline).map((edge) => ({ core: { kind: 'segment' as const, ...edge }, radius: 19 })), ...discs.map(([x, y, radius]) => ({ core: { kind: 'point' as const, at: { x, y } }, radius }))]);
  expect(region.has(region.nearest({ x: 0, y: 0 }) as Point)).toBe(true);
});

it('the nearest place is found beyond the surroundings that are looked at first', () => {
  const simple: Simple = { width: 2000, height: 500, holes: [{ at: { x: 400, y: 250 }, edge: 10, own: 10 }], fixed: [{ at: { x: 400, y: 250 }, own: 700 }] };
  const place = nearestPlace(moversOf(simple).all[0] as Mover, { x: 0, y: 0 }, 'minimum', () => []) as Point;
  // It stands in the middle of a disc, and every point of its circle is as near.
  expect(distanceOf(place)).toBeCloseTo(710, 4);
});
