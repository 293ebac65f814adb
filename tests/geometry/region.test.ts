/**
 * The region that is left of a panel: its size and its parts against jsts, a general-purpose geometry library that knows
 * circles only as polygons; areas worked out by hand; and boundaries that must close whatever meets in a point.
 */
import fc from 'fast-check';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import GeoJSONReader from 'jsts/org/locationtech/jts/io/GeoJSONReader.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import OverlayOp from 'jsts/org/locationtech/jts/operation/overlay/OverlayOp.js';
import { describe, expect, it } from 'vitest';
import type { Core } from '../../src/geometry/obstacles.ts';
import { makeRegion, type Forbidden, type Region } from '../../src/geometry/region.ts';
import type { Point, Rect } from '../../src/geometry/shape.ts';
import { anyOutline, besideBoundary, isWithin, partsOf, sizeOfLoop, toRect, toSegment, windingOf } from './oracle.ts';
import { ringOf } from './polygons.ts';

const at = (x: number, y: number): Point => ({ x, y });
const rectangle = (width: number, height: number) => [at(0, 0), at(width, 0), at(width, height), at(0, height)];
const hole = (x: number, y: number, radius: number): Forbidden => ({ core: { kind: 'point', at: at(x, y) }, radius });
const area = (left: number, bottom: number, right: number, top: number, radius: number): Forbidden => ({ core: { kind: 'rect', rect: { left, bottom, right, top } }, radius });
const edgesOf = (outline: readonly Point[], radius: number): Forbidden[] => ringOf(outline).map(({ a, b }) => ({ core: { kind: 'segment', a, b }, radius }));

const distanceTo = (p: Point, core: Core) => (core.kind === 'point' ? Math.hypot(p.x - core.at.x, p.y - core.at.y) : core.kind === 'segment' ? toSegment(p, core.a, core.b) : toRect(p, core.rect));

/** How much farther a point is from what is forbidden than it must be; less than nothing off the outline. */
const spareAt = (outline: readonly Point[], forbidden: readonly Forbidden[], p: Point) => (isWithin(p, outline) ? Math.min(...forbidden.map(({ core, radius }) => distanceTo(p, core) - radius)) : -Infinity);

/** What lies within boundaries is what keeps all distances, at many places and beside every piece; so is what the region has. */
function expectTrue(region: Region, outline: readonly Point[], forbidden: readonly Forbidden[], places: readonly Point[]): void {
  const parts = partsOf(region.loops);
  const faults = places.flatMap((p) => {
    const spare = spareAt(outline, forbidden, p);
    const winding = windingOf(parts, p);
    const isTrue = winding === 1 ? spare > -1e-6 : winding === 0 && spare < 1e-9;
    const isHeld = Math.abs(spare + 1e-6) < 1e-8 || region.has(p) === spare > -1e-6;
    return isTrue && isHeld ? [] : [{ ...p, spare, winding, has: region.has(p) }];
  });
  expect(faults).toEqual([]);
}

interface Geometry {
  getArea(): number;
  getNumGeometries(): number;
  getGeometryN(index: number): Geometry;
}

const reader = new GeoJSONReader(new GeometryFactory());
const polygonOf = (points: readonly Point[]) => reader.read({ type: 'Polygon', coordinates: [[...points, points[0] as Point].map(({ x, y }) => [x, y])] }) as Geometry;
const cornersOf = ({ left, right, bottom, top }: Rect) => [at(left, bottom), at(right, bottom), at(right, top), at(left, top)];
const shapeOf = (core: Core): Geometry => {
  if (core.kind === 'rect') return polygonOf(cornersOf(core.rect));
  return (core.kind === 'point' ? reader.read({ type: 'Point', coordinates: [core.at.x, core.at.y] }) : reader.read({ type: 'LineString', coordinates: [core.a, core.b].map(({ x, y }) => [x, y]) })) as Geometry;
};

/** Pieces of a quarter circle: jsts draws circles as polygons in them. */
const quarterPieces = 64;
/** By how much the circle round such a polygon is larger than the one in it. */
const roundIt = 1 / Math.cos(Math.PI / (4 * quarterPieces));

/** What jsts leaves of a panel, every radius that many times as large. */
function leftByLibrary(outline: readonly Point[], forbidden: readonly Forbidden[], larger: number): Geometry {
  return forbidden.reduce((rest, { core, radius }) => OverlayOp.difference(rest, BufferOp.bufferOp(shapeOf(core), radius * larger, quarterPieces)) as Geometry, polygonOf(outline));
}

/** How many parts there are over a size, mm². */
const partsOver = (geometry: Geometry, size: number) => Array.from({ length: geometry.getNumGeometries() }, (_, index) => geometry.getGeometryN(index).getArea()).filter((one) => one > size).length;

const radius = fc.oneof(fc.constantFrom(10, 20, 25, 50), fc.integer({ min: 20, max: 120 }).map((half) => half / 2));
const round = fc.integer({ min: 0, max: 24 }).map((count) => count * 25);
const place = fc.oneof(fc.record({ x: round, y: round }), fc.record({ x: fc.double({ min: 0, max: 600, noNaN: true }), y: fc.double({ min: 0, max: 600, noNaN: true }) }));
const anyForbidden: fc.Arbitrary<Forbidden> = fc.oneof(
  fc.record({ at: place, radius }).map(({ at, radius }) => ({ core: { kind: 'point', at } as const, radius })),
  fc.record({ at: place, width: round, height: round, radius: fc.oneof(radius, fc.constant(0)) }).map(({ at: { x, y }, width, height, radius }) => area(x, y, x + width / 4 + 5, y + height / 4 + 5, radius)),
);
const anyCase = fc.record({ outline: anyOutline, margin: radius, others: fc.array(anyForbidden, { maxLength: 14 }) }).map(({ outline, margin, others }) => ({ outline, forbidden: [...edgesOf(outline, margin), ...others] }));

describe('the region that is left of a panel', () => {
  it('has the size and the parts that jsts finds with circles in and round its polygons', () => {
    let compared = 0;
    fc.assert(
      fc.property(anyCase, ({ outline, forbidden }) => {
        const [most, least] = [leftByLibrary(outline, forbidden, 1), leftByLibrary(outline, forbidden, roundIt)];
        const { size, loops } = makeRegion(outline, forbidden);
        // Drawn within a millionth of a millimetre along the whole boundary.
        const slack = 0.01;
        expect(size).toBeLessThanOrEqual(most.getArea() + slack);
        expect(size).toBeGreaterThanOrEqual(least.getArea() - slack);
        // What is torn apart or lost by the error of the polygons is not counted.
        if (partsOver(most, 0.5) !== partsOver(least, 0.5) || partsOver(least, 0.5) !== partsOver(least, 5)) return;
        compared += 1;
        const parts = loops.filter((loop) => sizeOfLoop(loop) > 1).length;
        // A way without width joins two parts, as every centre on it is exactly at its limits: jsts sees it with a little less asked.
        if (parts !== partsOver(least, 0.5)) expect(parts).toBe(partsOver(leftByLibrary(outline, forbidden, 1 - 1e-5), 0.5));
      }),
      { numRuns: 200, endOnFailure: true },
    );
    expect(compared).toBeGreaterThan(150);
  });

  it('is bounded by lines and arcs on whose one side all distances are kept and on whose other they are not', () => {
    fc.assert(
      fc.property(anyCase, fc.array(place, { minLength: 30, maxLength: 30 }), ({ outline, forbidden }, places) => {
        const region = makeRegion(outline, forbidden);
        expectTrue(region, outline, forbidden, [...places, ...besideBoundary(region.loops, 2e-6, [0.001, 0.3, 0.8])]);
      }),
      { numRuns: 500 },
    );
  });

  it('has no point nearer than the nearest, and that one keeps all distances', () => {
    fc.assert(
      fc.property(anyCase, place, ({ outline, forbidden }, p) => {
        const region = makeRegion(outline, forbidden);
        const nearest = region.nearest(p);
        if (!nearest) {
          expect(region.loops).toEqual([]);
          return;
        }
        expect(spareAt(outline, forbidden, nearest)).toBeGreaterThan(-1e-6);
        const least = Math.min(...besideBoundary(region.loops, 0, Array.from({ length: 40 }, (_, index) => index / 39)).map((q) => Math.hypot(p.x - q.x, p.y - q.y)));
        expect(Math.hypot(p.x - nearest.x, p.y - nearest.y)).toBeLessThanOrEqual(least + 1e-9);
        if (spareAt(outline, forbidden, p) > 0) expect(nearest).toEqual(p);
      }),
      { numRuns: 300 },
    );
  });
});

/** Size within the width that the boundary is drawn wider, 0.5e-6 mm along it. */
const expectSize = (region: Region, size: number, boundary: number) => {
  expect(region.size).toBeGreaterThanOrEqual(size - 1e-9 * size);
  expect(region.size - size).toBeLessThanOrEqual(1e-6 * boundary + 1e-9 * size);
};

/** Area of a circle that another cuts off, by the usual formula (MathWorld, circle-circle intersection). */
const lens = (r: number, s: number, d: number) =>
  r * r * Math.acos((d * d + r * r - s * s) / (2 * d * r)) + s * s * Math.acos((d * d + s * s - r * r) / (2 * d * s)) - Math.sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s)) / 2;

describe('sizes worked out by hand', () => {
  it.each([['of 20 m', 20_000], ['of 600 mm', 600], ['of 30 mm', 30]])('a panel %s: a frame, and a circle in the middle', (_what, width) => {
    const [outline, m] = [rectangle(width, width / 2), width / 20];
    expectSize(makeRegion(outline, edgesOf(outline, m)), (width - 2 * m) * (width / 2 - 2 * m), 3 * width);
    expectSize(makeRegion(outline, [...edgesOf(outline, m), hole(width / 2, width / 4, 2 * m)]), (width - 2 * m) * (width / 2 - 2 * m) - Math.PI * 4 * m * m, 4 * width);
  });

  it('two circles that overlap', () => {
    const outline = rectangle(600, 400);
    expectSize(makeRegion(outline, [...edgesOf(outline, 20), hole(200, 200, 90), hole(300, 200, 60)]), 560 * 360 - Math.PI * (90 ** 2 + 60 ** 2) + lens(90, 60, 100), 3000);
  });

  it('keep-clear areas that touch each other and the edges', () => {
    const outline = rectangle(600, 400);
    // A band of 100 mm across, grown by 10 mm, from the bottom to the top frame: two rooms are left.
    const region = makeRegion(outline, [...edgesOf(outline, 10), area(200, 0, 300, 200, 10), area(200, 200, 300, 400, 10)]);
    expectSize(region, (190 - 10 + 590 - 310) * 380, 3000);
    expect(region.loops).toHaveLength(2);
  });

  it('a keep-clear area that may be entered up to a depth', () => {
    const outline = rectangle(600, 400);
    expectSize(makeRegion(outline, [...edgesOf(outline, 10), area(200, 100, 300, 200, -20)]), 580 * 380 - 60 * 60, 3000);
  });

  it('an L, whose reflex corner is kept off in a quarter circle', () => {
    const outline = [at(0, 0), at(600, 0), at(600, 300), at(300, 300), at(300, 600), at(0, 600)];
    expectSize(makeRegion(outline, edgesOf(outline, 40)), 520 ** 2 - (300 ** 2 - 40 ** 2 * (1 - Math.PI / 4)), 3000);
  });

  it('a corner under 30 degrees: a triangle shrinks to one like it (Euclid, Elements VI 4 and 19)', () => {
    const outline = [at(0, 0), at(600, 0), at(600, 150)];
    const [whole, inradius] = [600 * 75, (600 + 150 - Math.hypot(600, 150)) / 2];
    expectSize(makeRegion(outline, edgesOf(outline, 25)), whole * ((inradius - 25) / inradius) ** 2, 2000);
  });

  it('an outline that imitates an arc by 200 short pieces', () => {
    const [count, reach] = [200, 300];
    const outline = Array.from({ length: count }, (_, index) => at(300 + reach * Math.cos((index / count) * 2 * Math.PI), 300 + reach * Math.sin((index / count) * 2 * Math.PI)));
    const apothem = reach * Math.cos(Math.PI / count);
    expectSize(makeRegion(outline, edgesOf(outline, 30)), count * (apothem - 30) ** 2 * Math.tan(Math.PI / count), 3000);
  });

  it('points in the middle of straight edges change nothing', () => {
    const outline = [...Array.from({ length: 30 }, (_, index) => at(index * 20, 0)), at(600, 0), ...Array.from({ length: 7 }, (_, index) => at(600, (index + 1) * (400 / 7))), ...Array.from({ length: 3 }, (_, index) => at(600 - (index + 1) * 200, 400))];
    expectSize(makeRegion(outline, edgesOf(outline, 30)), 540 * 340, 3000);
  });

  it('two holes in one place count as the larger', () => {
    const outline = rectangle(600, 400);
    for (const others of [[hole(300, 200, 50), hole(300, 200, 50)], [hole(300, 200, 50), hole(300, 200, 40)], [hole(300, 200, 50), hole(300 + 1e-9, 200, 50)], [hole(300, 200, 50), hole(300, 200 + 1e-7, 50)]])
      expectSize(makeRegion(outline, [...edgesOf(outline, 30), ...others]), 540 * 340 - Math.PI * 2500, 3000);
  });
});

describe('regions without width or size', () => {
  it('a panel exactly as wide as two distances to its edges leaves the line between them', () => {
    const outline = rectangle(600, 60);
    const region = makeRegion(outline, edgesOf(outline, 30));
    expect(region.size).toBeLessThan(1e-6 * 600);
    expect(region.loops).toHaveLength(1);
    expect(region.has(at(300, 30))).toBe(true);
    expect(region.has(at(300, 30.00001))).toBe(false);
    expect(region.nearest(at(100, 5))?.y).toBeCloseTo(30, 6);
    expect(region.nearest(at(100, 5))?.x).toBeCloseTo(100, 6);
    expectTrue(region, outline, edgesOf(outline, 30), besideBoundary(region.loops, 2e-6, [0.2, 0.7]));
  });

  it('a hair narrower leaves nothing', () => {
    const outline = rectangle(600, 59.99999);
    const region = makeRegion(outline, edgesOf(outline, 30));
    expect([region.size, region.loops, region.nearest(at(300, 30))]).toEqual([0, [], undefined]);
  });

  it('circles of a square grid that meet in its middles leave a point each', () => {
    const outline = rectangle(500, 500);
    const forbidden = [...edgesOf(outline, 20), ...Array.from({ length: 36 }, (_, index) => hole((index % 6) * 100, Math.floor(index / 6) * 100, 50 * Math.SQRT2))];
    const region = makeRegion(outline, forbidden);
    expect(region.loops).toHaveLength(25);
    expect(region.size).toBeLessThan(1e-9);
    for (const y of [50, 150, 250, 350, 450]) for (const x of [50, 150, 250, 350, 450]) expect(region.has(at(x, y))).toBe(true);
    expectTrue(region, outline, forbidden, besideBoundary(region.loops, 2e-6, [0.2, 0.7]));
  });

  it('circles that only touch leave the way between them', () => {
    const outline = rectangle(400, 200);
    const forbidden = [...edgesOf(outline, 10), ...[25, 75, 125, 175].map((y) => hole(200, y, 25))];
    const region = makeRegion(outline, forbidden);
    // The frame cuts off the outer two at 15 mm from their middles.
    const cutOff = 25 ** 2 * Math.acos(15 / 25) - 15 * Math.sqrt(25 ** 2 - 15 ** 2);
    expectSize(region, 380 * 180 - 4 * Math.PI * 25 ** 2 + 2 * cutOff, 3000);
    // One part, whose outer boundary takes the outer two in, and the inner two as holes in it.
    expect(region.loops.map((loop) => Math.sign(sizeOfLoop(loop))).sort()).toEqual([-1, -1, 1]);
    for (const y of [50, 100, 150]) expect(region.has(at(200, y))).toBe(true);
  });
});

/** A panel with round numbers everywhere: grids, tangents and common points of many circles are usual, by the seed alone (SplitMix32). */
function roundCase(seed: number, scale: number): { outline: Point[]; forbidden: Forbidden[] } {
  let state = seed;
  const random = () => {
    state = (state + 0x9e3779b9) | 0;
    let mixed = Math.imul(state ^ (state >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return ((mixed ^ (mixed >>> 15)) >>> 0) / 2 ** 32;
  };
  const int = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const mm = (least: number, most: number) => int(least, most) * 10 * scale;
  const [w, h] = [int(2, 15) * 40 * scale, int(2, 15) * 40 * scale];
  const outlines = [
    [[0, 0], [1, 0], [1, 1], [0, 1]],
    [[0, 0], [1, 0], [1, 0.5], [0.5, 0.5], [0.5, 1], [0, 1]],
    [[0, 0], [0.5, 0], [1, 0], [1, 0.5], [1, 1], [0.5, 1], [0, 1], [0, 0.5]],
    [[0, 0], [1, 0], [1, 1]],
    [[0, 0], [1, 0], [0.5, 1]],
    [[0, 0], [1, 0], [1, 1], [0.75, 1], [0.75, 0.25], [0.25, 0.25], [0.25, 1], [0, 1]],
    [[0, 0], [1 / 3, 0], [2 / 3, 0], [1, 0], [2 / 3, 1 / 3], [1 / 3, 2 / 3], [0, 1]],
  ];
  const outline = (outlines[int(0, outlines.length - 1)] as number[][]).map(([x, y]) => at((x as number) * w, (y as number) * h));
  const corner = mm(2, 8);
  const common = mm(1, 8);
  const [pitch, factor] = [mm(2, 8), [0.5, Math.SQRT1_2, 1, Math.SQRT2, 2, Math.sqrt(5) / 2][int(0, 5)] as number];
  return {
    outline,
    forbidden: [
      ...edgesOf(outline, mm(1, 6) / 2),
      ...(random() < 0.6 ? outline.map((p) => hole(p.x, p.y, corner)) : []),
      ...Array.from({ length: int(0, 12) }, () => hole(mm(0, 60), mm(0, 60), random() < 0.5 ? common : mm(1, 8))),
      ...(random() < 0.3 ? Array.from({ length: 36 }, (_, index) => hole((index % 6) * pitch, Math.floor(index / 6) * pitch, pitch * factor)) : []),
      ...Array.from({ length: int(0, 5) }, () => [mm(0, 60), mm(0, 60)] as const).map(([x, y]) => area(x, y, x + mm(1, 20), y + mm(1, 20), [0, common, -10 * scale][int(0, 2)] as number)),
    ],
  };
}

describe('whatever meets in a point, the boundary closes', () => {
  it.each([['millimetres', 1], ['inches', 25.4 / 16], ['thirds', 1 / 3], ['very small', 1 / 20], ['very large', 33]])('round numbers, %s', (_what, scale) => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const { outline, forbidden } = roundCase(seed, scale);
        const region = makeRegion(outline, forbidden);
        for (const loop of region.loops) {
          const gaps = loop.map(({ to }, index) => Math.hypot(to.x - (loop[(index + 1) % loop.length]?.from.x as number), to.y - (loop[(index + 1) % loop.length]?.from.y as number)));
          expect(Math.max(...gaps)).toBeLessThan(1e-6);
        }
        const places = [0.123, 0.345, 0.567, 0.789].map((share) => at(share * 600 * scale, ((share * 7) % 1) * 600 * scale));
        expectTrue(region, outline, forbidden, seed % 8 === 0 ? [...places, ...besideBoundary(region.loops, 2e-6, [0.4])] : places);
      }),
      { numRuns: 600 },
    );
  });

  it('thousands of holes that overlap', () => {
    const outline = rectangle(2000, 1000);
    const forbidden = [...edgesOf(outline, 20), ...Array.from({ length: 4000 }, (_, index) => hole((index * 761.803) % 2000, (index * 569.84) % 1000, 8 + (index % 7)))];
    const region = makeRegion(outline, forbidden);
    const places = Array.from({ length: 300 }, (_, index) => at((index * 617.3) % 2000, (index * 331.7) % 1000));
    for (const p of places) expect(region.has(p)).toBe(spareAt(outline, forbidden, p) > -1e-6);
    expect(region.size).toBeCloseTo(region.loops.reduce((sum, loop) => sum + sizeOfLoop(loop), 0), 3);
    expectTrue(region, outline, forbidden, places.slice(0, 50));
  });
});
