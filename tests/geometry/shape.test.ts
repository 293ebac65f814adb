/** Plane geometry against the independent library @flatten-js/core and against brute force. */
import Flatten from '@flatten-js/core';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makePanel, rectangle, rectangleNames, sidesOf } from '../../src/geometry/panel.ts';
import {
  boundsOf,
  clearanceToPoint,
  clearanceToRect,
  clearanceToSegment,
  convexHull,
  direction,
  distanceBetween,
  edgesOf,
  insetLine,
  interiorAngles,
  isInside,
  leftNormal,
  narrowestWidth,
  nearestOnSegment,
  selfContact,
  signedArea,
  type Point,
  type Rect,
} from '../../src/geometry/shape.ts';
import { anyPoint, convexPolygon, coordinate, flatPoint, flatPolygon, flatSegment, ringOf, starPolygon } from './polygons.ts';

const at = (x: number, y: number): Point => ({ x, y });
const anySegment = fc.record({ a: anyPoint, b: anyPoint });
const realSegment = anySegment.filter(({ a, b }) => distanceBetween(a, b) > 0);
const anyRect: fc.Arbitrary<Rect> = fc
  .record({ left: coordinate(-300, 300), bottom: coordinate(-300, 300), width: coordinate(1, 300), height: coordinate(1, 300) })
  .map(({ left, bottom, width, height }) => ({ left, bottom, right: left + width, top: bottom + height }));

/** An L: 200 wide, 200 high, with its upper left quarter cut out. */
const cornerL = [at(0, 0), at(200, 0), at(200, 200), at(100, 200), at(100, 100), at(0, 100)];

describe('distance from a point to a segment', () => {
  it('is what @flatten-js/core measures', () => {
    fc.assert(
      fc.property(anyPoint, realSegment, (p, segment) => {
        expect(clearanceToSegment(p, segment).distance).toBeCloseTo(flatPoint(p).distanceTo(flatSegment(segment))[0], 7);
      }),
    );
  });

  it('grows by a step in the direction told by just that step', () => {
    fc.assert(
      fc.property(anyPoint, realSegment, fc.integer({ min: 1, max: 50 }), (p, segment, step) => {
        const { distance, away } = clearanceToSegment(p, segment);
        expect(Math.hypot(away.x, away.y)).toBeCloseTo(1, 9);
        const moved = at(p.x + step * away.x, p.y + step * away.y);
        expect(flatPoint(moved).distanceTo(flatSegment(segment))[0]).toBeCloseTo(distance + step, 6);
      }),
    );
  });

  it('is 0 on the segment, which leads to its left', () => {
    expect(clearanceToSegment(at(5, 0), { a: at(0, 0), b: at(10, 0) })).toEqual({ distance: 0, away: at(-0, 1) });
    expect(clearanceToSegment(at(0, 0), { a: at(0, 0), b: at(0, 10) }).away).toEqual(at(-1, 0));
  });

  it('to a segment without length is the distance to its point', () => {
    expect(clearanceToSegment(at(3, 4), { a: at(0, 0), b: at(0, 0) }).distance).toBe(5);
    expect(clearanceToSegment(at(0, 0), { a: at(0, 0), b: at(0, 0) }).distance).toBe(0);
    expect(nearestOnSegment(at(3, 4), { a: at(1, 1), b: at(1, 1) })).toEqual(at(1, 1));
  });

  it('beyond an end is the distance to that end', () => {
    expect(clearanceToSegment(at(13, 4), { a: at(0, 0), b: at(10, 0) }).distance).toBe(5);
  });
});

describe('distance from a point to a point', () => {
  it('is what @flatten-js/core measures', () => {
    fc.assert(
      fc.property(anyPoint, anyPoint, (p, q) => {
        expect(clearanceToPoint(p, q).distance).toBeCloseTo(flatPoint(p).distanceTo(flatPoint(q))[0], 9);
      }),
    );
  });

  it('is 0 for coinciding points, which have no direction but are led to the right', () => {
    expect(clearanceToPoint(at(7, 7), at(7, 7))).toEqual({ distance: 0, away: at(1, 0) });
    expect(direction(at(7, 7), at(7, 7))).toBeUndefined();
  });
});

describe('distance from a point to a rectangle', () => {
  const box = (rect: Rect) => flatPolygon([at(rect.left, rect.bottom), at(rect.right, rect.bottom), at(rect.right, rect.top), at(rect.left, rect.top)]);

  it('is what @flatten-js/core measures: positive outside, the negative distance to the outline inside', () => {
    fc.assert(
      fc.property(anyPoint, anyRect, (p, rect) => {
        const polygon = box(rect);
        const toOutline = Math.min(...[...polygon.edges].map((edge) => flatPoint(p).distanceTo((edge as Flatten.Edge).shape)[0]));
        const expected = polygon.contains(flatPoint(p)) ? -toOutline : toOutline;
        expect(clearanceToRect(p, rect).distance).toBeCloseTo(expected, 7);
      }),
    );
  });

  it('grows by a step in the direction told by just that step, out of the inside too', () => {
    fc.assert(
      fc.property(anyPoint, anyRect, fc.integer({ min: 1, max: 900 }), (p, rect, step) => {
        const { distance, away } = clearanceToRect(p, rect);
        expect(clearanceToRect(at(p.x + step * away.x, p.y + step * away.y), rect).distance).toBeCloseTo(distance + step, 6);
      }),
    );
  });

  it.each([
    [at(1, 5), -1, at(-1, 0)],
    [at(19, 5), -1, at(1, 0)],
    [at(10, 1), -1, at(0, -1)],
    [at(10, 9), -1, at(0, 1)],
    [at(0, 5), 0, at(-1, 0)],
    [at(23, 14), 5, at(0.6, 0.8)],
  ])('from %j to a rectangle of 20 by 10', (p, distance, away) => {
    const found = clearanceToRect(p, { left: 0, bottom: 0, right: 20, top: 10 });
    expect(found.distance).toBeCloseTo(distance, 12);
    expect(found.away.x).toBeCloseTo(away.x, 12);
    expect(found.away.y).toBeCloseTo(away.y, 12);
  });
});

describe('inside a polygon', () => {
  it('is what @flatten-js/core says, away from the outline', () => {
    fc.assert(
      fc.property(starPolygon, fc.record({ x: coordinate(0, 600), y: coordinate(0, 600) }), (points, p) => {
        const nearest = Math.min(...ringOf(points).map((edge) => flatPoint(p).distanceTo(flatSegment(edge))[0]));
        fc.pre(nearest > 1e-6);
        expect(isInside(p, points)).toBe(flatPolygon(points).contains(flatPoint(p)));
      }),
      { numRuns: 500 },
    );
  });

  it.each([
    [at(150, 150), true],
    [at(50, 50), true],
    [at(50, 150), false],
    [at(100, 150), true],
    [at(100, 100), true],
    [at(0, 0), true],
    [at(200, 200), true],
    [at(50, 100), true],
    [at(-1, 100), false],
    [at(201, 100), false],
    [at(100, 201), false],
  ])('an L: %j is inside or on its edge: %s', (p, expected) => {
    expect(isInside(p, cornerL)).toBe(expected);
  });
});

describe('area', () => {
  it('is what @flatten-js/core says, positive counter-clockwise and negative clockwise', () => {
    fc.assert(
      fc.property(starPolygon, (points) => {
        expect(signedArea(points)).toBeCloseTo(flatPolygon(points).area(), 5);
        expect(signedArea([...points].reverse())).toBeCloseTo(-flatPolygon(points).area(), 5);
      }),
    );
  });

  it('of an L is 30,000 mm²', () => {
    expect(signedArea(cornerL)).toBe(30_000);
  });
});

describe('bounds', () => {
  it('are those of @flatten-js/core', () => {
    fc.assert(
      fc.property(starPolygon, (points) => {
        const { xmin, ymin, xmax, ymax } = flatPolygon(points).box;
        expect(boundsOf(points)).toEqual({ left: xmin, bottom: ymin, right: xmax, top: ymax });
      }),
    );
  });
});

describe('a polygon that touches itself', () => {
  /** Whether two edges that are no neighbours meet, by @flatten-js/core. Neighbours that fold back are not looked at. */
  function distantEdgesMeet(points: readonly Point[]): boolean {
    const edges = ringOf(points);
    return edges.some((first, i) => edges.some((second, j) => j > i + 1 && !(i === 0 && j === edges.length - 1) && flatSegment(first).distanceTo(flatSegment(second))[0] < 1e-9));
  }

  it('is found where @flatten-js/core finds edges that meet', () => {
    const few = fc.uniqueArray(fc.record({ x: fc.integer({ min: 0, max: 40 }), y: fc.integer({ min: 0, max: 40 }) }), { minLength: 4, maxLength: 8, selector: ({ x, y }) => `${x},${y}` });
    fc.assert(
      fc.property(few, (points) => {
        const folds = interiorAngles(points).some((angle) => angle < 0.01 || angle > 359.99);
        fc.pre(!folds);
        expect(selfContact(points) !== undefined).toBe(distantEdgesMeet(points));
      }),
      { numRuns: 3000 },
    );
  });

  it('is never one that is simple by its making', () => {
    fc.assert(
      fc.property(fc.oneof(starPolygon, convexPolygon), (points) => {
        expect(selfContact(points)).toBeUndefined();
      }),
    );
  });

  it.each([
    ['a bow tie', [at(0, 0), at(10, 10), at(10, 0), at(0, 10)]],
    ['a corner on a far edge', [at(0, 0), at(10, 0), at(10, 10), at(5, 0), at(0, 10)]],
    ['an edge that folds back', [at(0, 0), at(10, 0), at(4, 0), at(4, 10)]],
    ['a fold at the last corner', [at(4, 0), at(4, 10), at(0, 0), at(10, 0)]],
    ['a line', [at(0, 0), at(5, 0), at(10, 0)]],
  ] as const)('%s', (_what, points) => {
    expect(selfContact(points)).toBeDefined();
  });

  it('is told by the two edges that meet', () => {
    expect(selfContact([at(0, 0), at(10, 10), at(10, 0), at(0, 10)])).toEqual([0, 2]);
    expect(selfContact([at(0, 0), at(10, 0), at(4, 0), at(4, 10)])).toEqual([0, 1]);
  });

  it.each([
    ['a triangle', [at(0, 0), at(10, 0), at(0, 10)]],
    ['an L', cornerL],
    ['a point on a straight edge', [at(0, 0), at(5, 0), at(10, 0), at(10, 10), at(0, 10)]],
  ])('is not %s', (_what, points) => {
    expect(selfContact(points)).toBeUndefined();
  });
});

describe('angles', () => {
  it('of an L: five square corners and one reflex', () => {
    expect(interiorAngles(cornerL).map((angle) => Math.round(angle * 1e9) / 1e9)).toEqual([90, 90, 90, 90, 270, 90]);
  });

  it('of any simple polygon of n corners sum to (n - 2) x 180°', () => {
    fc.assert(
      fc.property(starPolygon, (points) => {
        const sum = interiorAngles(points).reduce((total, angle) => total + angle, 0);
        expect(sum).toBeCloseTo((points.length - 2) * 180, 6);
      }),
    );
  });

  it('under 30° are measured too', () => {
    const sliver = [at(0, 0), at(100, 0), at(100, 100 * Math.tan(Math.PI / 12))];
    expect(interiorAngles(sliver)[0]).toBeCloseTo(15, 9);
  });

  it('a left normal points into a counter-clockwise polygon', () => {
    fc.assert(
      fc.property(starPolygon, (points) => {
        for (const edge of edgesOf(points)) {
          const normal = leftNormal(edge);
          const middle = at((edge.a.x + edge.b.x) / 2, (edge.a.y + edge.b.y) / 2);
          expect(flatPolygon(points).contains(flatPoint(at(middle.x + 1e-4 * normal.x, middle.y + 1e-4 * normal.y)))).toBe(true);
        }
      }),
    );
  });
});

describe('the narrowest width', () => {
  /** Least width over directions 0.01° apart. */
  function widthByTurning(points: readonly Point[]): number {
    let least = Infinity;
    for (let step = 0; step < 18_000; step += 1) {
      const angle = (step * Math.PI) / 18_000;
      const along = points.map((p) => p.x * Math.cos(angle) + p.y * Math.sin(angle));
      least = Math.min(least, Math.max(...along) - Math.min(...along));
    }
    return least;
  }

  it('is what turning the polygon by steps of 0.01° finds: never more, and less by no more than a step can hide', () => {
    fc.assert(
      fc.property(fc.oneof(starPolygon, convexPolygon), (points) => {
        const turned = widthByTurning(points);
        const span = 600 * Math.SQRT2;
        expect(narrowestWidth(points)).toBeLessThanOrEqual(turned + 1e-6);
        expect(narrowestWidth(points)).toBeGreaterThan(turned - (span * 0.005 * Math.PI) / 180);
      }),
      { numRuns: 40 },
    );
  });

  it('of a rectangle is its shorter side, of an L that of its hull', () => {
    expect(narrowestWidth(rectangle(600, 400))).toBe(400);
    expect(narrowestWidth(cornerL)).toBe(200);
  });

  it('of a 3-4-5 triangle is its height on the longest side, 12/5', () => {
    expect(narrowestWidth([at(0, 0), at(4, 0), at(0, 3)])).toBeCloseTo(2.4, 12);
  });
});

describe('the convex hull', () => {
  it('holds every point, turns left at every corner and has corners of the points only', () => {
    fc.assert(
      fc.property(starPolygon, (points) => {
        const hull = convexHull(points);
        expect(interiorAngles(hull).every((angle) => angle < 180)).toBe(true);
        for (const p of points) expect(isInside(p, hull)).toBe(true);
        for (const corner of hull) expect(points).toContainEqual(corner);
      }),
    );
  });
});

describe('a line inset from the edges', () => {
  it('of a rectangle is the rectangle less its strips', () => {
    fc.assert(
      fc.property(coordinate(200, 600), coordinate(200, 600), fc.array(coordinate(0, 50), { minLength: 4, maxLength: 4 }), (width, height, strips) => {
        const [bottom = 0, right = 0, top = 0, left = 0] = strips;
        const expected = [at(left, bottom), at(width - right, bottom), at(width - right, height - top), at(left, height - top)];
        insetLine(rectangle(width, height), strips).forEach((p, index) => {
          expect(p.x).toBeCloseTo(expected[index]?.x as number, 9);
          expect(p.y).toBeCloseTo(expected[index]?.y as number, 9);
        });
      }),
    );
  });

  it('of a convex polygon has each side at its own distance from its edge (@flatten-js/core lines)', () => {
    fc.assert(
      fc.property(convexPolygon, fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 10, maxLength: 10 }), (points, strips) => {
        const inset = insetLine(points, strips);
        ringOf(points).forEach((edge, index) => {
          const line = new Flatten.Line(flatPoint(edge.a), flatPoint(edge.b));
          for (const p of [inset[index], inset[(index + 1) % points.length]] as Point[]) expect(flatPoint(p).distanceTo(line)[0]).toBeCloseTo(strips[index] as number, 6);
        });
      }),
    );
  });

  it('of an L goes round its reflex corner', () => {
    expect(insetLine(cornerL, [10, 10, 10, 10, 10, 10])).toEqual([at(10, 10), at(190, 10), at(190, 190), at(110, 190), at(110, 90), at(10, 90)]);
  });

  it('stays finite where two edges make a straight line', () => {
    const points = [at(0, 0), at(100, 0), at(200, 0), at(200, 100), at(0, 100)];
    expect(insetLine(points, [5, 5, 5, 5, 5])[1]).toEqual(at(100, 5));
    for (const p of insetLine(points, [5, 9, 5, 5, 5])) expect([p.x, p.y].every(Number.isFinite)).toBe(true);
  });
});

describe('the side that an edge belongs to', () => {
  it.each([
    ['left', at(0, 100), at(0, 0), ['left']],
    ['bottom', at(0, 0), at(100, 0), ['bottom']],
    ['right', at(100, 0), at(100, 100), ['right']],
    ['top', at(100, 100), at(0, 100), ['top']],
    ['a slope nearer to upright', at(100, 0), at(60, 100), ['right']],
    ['a slope nearer to level', at(100, 60), at(0, 100), ['top']],
    ['45° at the top right', at(100, 0), at(0, 100), ['right', 'top']],
    ['45° at the bottom left', at(0, 100), at(100, 0), ['left', 'bottom']],
  ] as const)('%s', (_what, a, b, sides) => {
    expect(sidesOf({ a, b })).toEqual(sides);
  });
});

describe('a panel', () => {
  it('has all corners of a rectangle, each named, and none where edges run on nearly straight', () => {
    const of = { material: 'acrylic', thickness: 10, rim: {}, joints: {}, keepClear: [] } as const;
    expect(makePanel({ ...of, outline: rectangle(600, 400), names: rectangleNames }).corners).toEqual([
      { name: 'bottom left corner', at: at(0, 0) },
      { name: 'bottom right corner', at: at(600, 0) },
      { name: 'top right corner', at: at(600, 400) },
      { name: 'top left corner', at: at(0, 400) },
    ]);
    const round = Array.from({ length: 72 }, (_, index) => at(200 + 200 * Math.cos((index * Math.PI) / 36), 200 + 200 * Math.sin((index * Math.PI) / 36)));
    const names = { edges: round.map((_, index) => `e${index}`), corners: round.map((_, index) => `c${index}`) };
    expect(makePanel({ ...of, outline: round, names }).corners).toEqual([]);
  });
});
