/**
 * Where a hole may be, against distances and limits written out again in `oracle.ts`, with their sources: on random panels no
 * centre in the area told breaks a rule, and none that keeps all rules lies outside it.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allowedPlaces } from '../../src/geometry/allowed.ts';
import { check } from '../../src/geometry/check.ts';
import { levels, placeRules, type Level } from '../../src/geometry/obstacles.ts';
import type { Hole } from '../../src/geometry/panel.ts';
import type { Point } from '../../src/geometry/shape.ts';
import { anyWork, areaNeedsOf, besideBoundary, isWithin, needsOf, panelOf, partsOf, plainWork, spareOf, toRect, toSegment, windingOf, type Work } from './oracle.ts';
import { flatPoint, flatPolygon, flatSegment, ringOf } from './polygons.ts';

const at = (x: number, y: number): Point => ({ x, y });
const rectangle = (width: number, height: number) => [at(0, 0), at(width, 0), at(width, height), at(0, height)];
const holesAt = (places: readonly Point[], diameter: number): Hole[] => places.map((center, index) => ({ name: `hole ${index}`, center, diameter }));

/** Places spread evenly over a panel of up to 600 mm (steps of the golden ratio and of the square root of 2). */
const spread = (count: number, from = 0): Point[] => Array.from({ length: count }, (_, index) => at(((index + from) * 370.8203932) % 600, ((index + from) * 248.5281374) % 600));

const shares = fc.array(fc.double({ min: 0.0001, max: 0.9999, noNaN: true }), { minLength: 2, maxLength: 2 });

/** Places are checked by the hole moved there, all else as it is; other rules than those of place are not asked. */
function checkedAt(work: Work, index: number, p: Point): 'clear' | 'tight' | 'refused' {
  const holes = work.holes.map((hole, other) => (other === index ? { ...hole, center: p } : hole));
  const found = check(panelOf(work), holes).filter(({ hole, rule }) => hole === holes[index]?.name && placeRules.has(rule));
  return found.some(({ verdict }) => verdict === 'refused') ? 'refused' : found.some(({ verdict }) => verdict === 'tight') ? 'tight' : 'clear';
}

describe('the oracle itself', () => {
  it('measures as @flatten-js/core does', () => {
    fc.assert(
      fc.property(anyWork(1), ({ outline, keepClear }) => {
        for (const p of spread(20, 1)) {
          for (const edge of ringOf(outline)) expect(toSegment(p, edge.a, edge.b)).toBeCloseTo(flatPoint(p).distanceTo(flatSegment(edge))[0], 7);
          expect(isWithin(p, outline)).toBe(flatPolygon(outline).contains(flatPoint(p)) || Math.min(...ringOf(outline).map(({ a, b }) => toSegment(p, a, b))) < 1e-9);
          for (const { left, right, bottom, top } of keepClear) {
            const box = flatPolygon([at(left, bottom), at(right, bottom), at(right, top), at(left, top)]);
            const away = flatPoint(p).distanceTo(box)[0];
            if (!box.contains(flatPoint(p))) expect(toRect(p, { left, right, bottom, top })).toBeCloseTo(away, 7);
          }
        }
      }),
      { numRuns: 40, endOnFailure: true },
    );
  });
});

describe.each(levels)('the area allowed by %s', (level) => {
  it('has no centre that breaks a rule, and lacks none that keeps all', () => {
    fc.assert(
      fc.property(anyWork(), shares, fc.nat(1e6), (work, along, from) => {
        const places = allowedPlaces(panelOf(work), work.holes);
        const needs = areaNeedsOf(work, 0, level);
        const region = places.regionOf(0, level);
        const parts = partsOf(region.loops);
        const faults = [...spread(60, from), ...besideBoundary(region.loops, 2e-6, along)].flatMap((p) => {
          const spare = spareOf(needs, work.outline, p);
          const winding = windingOf(parts, p);
          // The boundary is drawn 0.3e-6 to 0.5e-6 mm outside the limits, where the check still passes.
          const isTrue = winding === 1 ? spare > -0.6e-6 : winding === 0 && spare < -0.2e-6;
          const isHeld = Math.abs(spare + 1e-6) < 1e-8 || (region.has(p) === spare > -1e-6 && places.has(0, level, p) === spare > -1e-6);
          return isTrue && isHeld ? [] : [{ ...p, spare, winding, has: region.has(p) }];
        });
        expect(faults).toEqual([]);
      }),
      { numRuns: 1000, endOnFailure: true },
    );
  });

  it('is where the check itself finds nothing to refuse, or nothing to tell', () => {
    fc.assert(
      fc.property(anyWork(), fc.nat(1e6), (work, from) => {
        const places = allowedPlaces(panelOf(work), work.holes);
        const region = places.regionOf(0, level);
        for (const p of [...spread(6, from), ...besideBoundary(region.loops.slice(0, 2), 2e-6, [0.4])]) {
          if (!isWithin(p, work.outline)) continue;
          const box = work.holes[0]?.box === 'box 0' ? work.boxes[0] : undefined;
          // The check has no rule that a box's hole is within the box.
          if (box && toRect(p, box) > 1e-6) {
            expect(places.has(0, level, p)).toBe(false);
            continue;
          }
          const verdict = checkedAt(work, 0, p);
          expect(places.has(0, level, p)).toBe(level === 'minimum' ? verdict !== 'refused' : verdict === 'clear');
        }
      }),
      { numRuns: 100, endOnFailure: true },
    );
  });

  it('is as large as it is told to be, for every hole', () => {
    fc.assert(
      fc.property(anyWork(12), (work) => {
        const places = allowedPlaces(panelOf(work), work.holes);
        for (const index of work.holes.keys()) {
          const size = places.sizeOf(index, level);
          // Within 1e-6 mm along all of the boundary.
          expect(Math.abs(size - places.regionOf(index, level).size)).toBeLessThan(0.02);
          expect(size).toBeGreaterThanOrEqual(0);
        }
      }),
      { numRuns: 200, endOnFailure: true },
    );
  });

  it('is shared out to the holes that are nearest, without gap or overlap', () => {
    const ring = fc.tuple(fc.integer({ min: 3, max: 24 }), fc.integer({ min: 40, max: 250 })).map(([count, reach]) => Array.from({ length: count }, (_, index) => at(300 + reach * Math.cos((index / count) * 2 * Math.PI), 300 + reach * Math.sin((index / count) * 2 * Math.PI))));
    const grid = fc.tuple(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 1, max: 5 }), fc.double({ min: 30, max: 100, noNaN: true }), fc.constantFrom(0, 0, 0.3, Math.PI / 4)).map(([rows, columns, pitch, turn]) =>
      Array.from({ length: rows * columns }, (_, index) => [(index % columns) * pitch, Math.floor(index / columns) * pitch] as const).map(([x, y]) => at(250 + x * Math.cos(turn) - y * Math.sin(turn), 100 + x * Math.sin(turn) + y * Math.cos(turn))),
    );
    const some = fc.array(fc.record({ x: fc.integer({ min: 0, max: 24 }).map((count) => count * 25), y: fc.integer({ min: 0, max: 24 }).map((count) => count * 25) }), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(anyWork(1), fc.oneof(ring, grid, some), fc.nat(1e6), (panel, centers, from) => {
        const work = { ...panel, boxes: [], holes: holesAt(centers, 12) };
        const places = allowedPlaces(panelOf(work), work.holes);
        const cells = work.holes.map((_, index) => places.nearRegionOf(index, level));
        const bounds = cells.map(({ loops }) => partsOf(loops));
        const faults = [...spread(40, from), ...cells.flatMap(({ loops }) => besideBoundary(loops.slice(0, 1), 1e-4, [0.5]))].flatMap((p) => {
          const away = centers.map((center) => Math.hypot(p.x - center.x, p.y - center.y));
          const nearest = away.indexOf(Math.min(...away));
          // Of holes in one place the first has it all; what is as near to another is either's.
          const isClose = away.some((one, index) => one - (away[nearest] as number) < 2e-6 && Math.hypot((centers[index] as Point).x - (centers[nearest] as Point).x, (centers[index] as Point).y - (centers[nearest] as Point).y) > 0);
          if (isClose) return [];
          const spare = spareOf(areaNeedsOf(work, nearest, level), work.outline, p);
          if (Math.abs(spare) < 2e-6) return [];
          return cells.flatMap((cell, index) => {
            const isOwn = index === nearest && spare > 0;
            const winding = windingOf(bounds[index] as ReturnType<typeof partsOf>, p);
            return winding === Number(isOwn) && cell.has(p) === isOwn ? [] : [{ ...p, index, nearest, winding, spare }];
          });
        });
        expect(faults).toEqual([]);
      }),
      { numRuns: 150, endOnFailure: true },
    );
  });
});

describe('the nearest place', () => {
  /** Places near to a hole and far from it, denser the nearer, and beside the boundary of the whole panel's parts. */
  const around = (center: Point, count: number, seed: number) =>
    Array.from({ length: count }, (_, index) => {
      const [angle, reach] = [(index + seed) * 2.399963, 600 * ((((index + seed) * 0.7548777) % 1) ** 3)];
      return at(center.x + reach * Math.cos(angle), center.y + reach * Math.sin(angle));
    });

  it.each(levels)('is allowed, and none of 10,000 others that are is nearer; %s', (level) => {
    fc.assert(
      fc.property(anyWork(), fc.nat(1e6), (work, seed) => {
        const { center } = work.holes[0] as Hole;
        const found = allowedPlaces(panelOf(work), work.holes).nearest(0, level);
        const needs = areaNeedsOf(work, 0, level);
        const distance = found ? Math.hypot(found.x - center.x, found.y - center.y) : Infinity;
        if (found) {
          expect(spareOf(needs, work.outline, found)).toBeGreaterThan(-1e-6);
          const verdict = checkedAt(work, 0, found);
          expect(level === 'minimum' ? verdict !== 'refused' : verdict === 'clear').toBe(true);
        }
        // Half of them lie where they would be just nearer.
        const near = Number.isFinite(distance) ? Array.from({ length: 5000 }, (_, index) => at(center.x + distance * (1 - ((index * 0.618) % 1) ** 4 * 0.3) * Math.cos(index * 2.399963), center.y + distance * (1 - ((index * 0.618) % 1) ** 4 * 0.3) * Math.sin(index * 2.399963))) : around(center, 5000, seed + 5000);
        const better = [...around(center, 5000, seed), ...near].filter((p) => Math.hypot(p.x - center.x, p.y - center.y) < distance - 1e-6 && spareOf(needs, work.outline, p) >= 0);
        expect(better).toEqual([]);
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });

  it('is the hole itself where that is allowed', () => {
    const work = plainWork(rectangle(400, 300), holesAt([at(200, 150)], 20));
    expect(allowedPlaces(panelOf(work), work.holes).nearest(0, 'minimum')).toEqual(at(200, 150));
  });

  it('is square off an edge, and in glass round a corner on its circle', () => {
    // 6 mm glass, 20 mm hole: 10 + 12 = 22 mm off the edge; 10 + 6.5 * 6 = 49 mm off the corner.
    const places = (x: number, y: number) => {
      const work = plainWork(rectangle(400, 300), holesAt([at(x, y)], 20));
      return allowedPlaces(panelOf(work), work.holes).nearest(0, 'minimum');
    };
    expect(places(10, 150)?.x).toBeCloseTo(22, 6);
    expect(places(10, 150)?.y).toBeCloseTo(150, 6);
    expect(places(30, 30)?.x).toBeCloseTo(49 / Math.SQRT2, 6);
    expect(places(30, 30)?.y).toBeCloseTo(49 / Math.SQRT2, 6);
    // Nearer to an edge than to the middle of the corner: where the circle ends at the line.
    expect(places(10, 12)?.x).toBeCloseTo(Math.min(49 * (10 / Math.hypot(10, 12)), Math.sqrt(49 ** 2 - 22 ** 2)), 6);
  });
});

describe('degenerate cases', () => {
  it('a hole exactly at its limits is allowed, and stays', () => {
    // 6 mm glass, 20 mm hole: 22 mm off two edges is 49 mm off no corner; on the corner's circle at 0.6 and 0.8.
    for (const [x, y] of [[22, 150], [200, 22], [200, 278], [49 * 0.6, 49 * 0.8], [400 - 49 * 0.8, 300 - 49 * 0.6]] as const) {
      const work = plainWork(rectangle(400, 300), holesAt([at(x, y)], 20));
      const places = allowedPlaces(panelOf(work), work.holes);
      expect(checkedAt(work, 0, at(x, y))).not.toBe('refused');
      expect(places.has(0, 'minimum', at(x, y))).toBe(true);
      expect(places.nearest(0, 'minimum')).toEqual(at(x, y));
    }
  });

  it('two equal holes in one place: each is led off by the same distance, and the first has the area that is nearest to both', () => {
    const work = plainWork(rectangle(400, 300), holesAt([at(200, 150), at(200, 150)], 20));
    const places = allowedPlaces(panelOf(work), work.holes);
    for (const index of [0, 1]) {
      const { x, y } = places.nearest(index, 'minimum') as Point;
      // 20 mm between centres where they touch, and 12 mm of glass.
      expect(Math.hypot(x - 200, y - 150)).toBeCloseTo(32, 6);
      expect(places.sizeOf(index, 'minimum')).toBeCloseTo(places.regionOf(1 - index, 'minimum').size, 2);
    }
    expect(places.nearRegionOf(0, 'minimum').size).toBeCloseTo(places.regionOf(0, 'minimum').size, 2);
    expect(places.nearRegionOf(1, 'minimum').loops).toEqual([]);
  });

  it('a panel exactly as wide as two distances to its edges', () => {
    const work = plainWork(rectangle(400, 44), holesAt([at(200, 10)], 20));
    const places = allowedPlaces(panelOf(work), work.holes);
    expect(places.sizeOf(0, 'minimum')).toBeLessThan(0.001);
    expect(places.nearest(0, 'minimum')?.x).toBeCloseTo(200, 6);
    expect(places.nearest(0, 'minimum')?.y).toBeCloseTo(22, 6);
    expect(checkedAt(work, 0, places.nearest(0, 'minimum') as Point)).toBe('tight');
    expect(places.nearest(0, 'good practice')).toBeUndefined();
  });

  it('a panel that a keep-clear area parts in two: the nearer part counts', () => {
    const work = plainWork(rectangle(600, 300), holesAt([at(310, 150)], 20), { keepClear: [{ left: 200, right: 400, bottom: 0, top: 300 }] });
    const places = allowedPlaces(panelOf(work), work.holes);
    expect(places.regionOf(0, 'minimum').loops).toHaveLength(2);
    expect(places.nearest(0, 'minimum')?.x).toBeCloseTo(410, 6);
  });

  it.each([
    ['a row', Array.from({ length: 9 }, (_, index) => at(100 + (index * 400) / 9, 150 + index / 3))],
    ['a column that rounding does not leave quite straight', Array.from({ length: 9 }, (_, index) => at(300 + (index % 2) * 5e-14, 60 + index * 40))],
    ['a circle', Array.from({ length: 16 }, (_, index) => at(300 + 180 * Math.cos((index * Math.PI) / 8), 200 + 130 * Math.sin((index * Math.PI) / 8)))],
    ['holes nearly in one place', [at(300, 200), at(300 + 1e-7, 200), at(300, 200 + 1e-9), at(100, 100)]],
  ])('%s shares the panel out: the parts are together as large as what all of them leave', (_what, centers) => {
    const work = plainWork(rectangle(600, 400), holesAt(centers, 8), { material: 'acrylic', t: 3 });
    const places = allowedPlaces(panelOf(work), work.holes);
    const parts = centers.map((_, index) => places.nearRegionOf(index, 'minimum'));
    // Each keeps 8 + 4 mm from the others. Its own part holds its own circle, so of what a hole of all others leaves nothing is lost.
    const free = spread(4000, 1).filter((p) => p.x < 600 && p.y < 400).filter((p) => {
      const nearest = centers.map((center) => Math.hypot(p.x - center.x, p.y - center.y)).reduce((best, away, index, all) => (away < (all[best] as number) ? index : best), 0);
      return spareOf(areaNeedsOf(work, nearest, 'minimum'), work.outline, p) >= 0;
    });
    for (const p of free) expect(parts.some((part) => part.has(p))).toBe(true);
    const sum = parts.reduce((total, { size }) => total + size, 0);
    // 4000 places on 600 x 600 mm: two in a hundred either way.
    expect(sum / ((free.length / 4000) * 600 * 600)).toBeGreaterThan(0.98);
    expect(sum / ((free.length / 4000) * 600 * 600)).toBeLessThan(1.02);
  });
});

/** The worst verdict of one hole by the oracle: on where it is, and on its own size. */
function verdictOf(work: Work, index: number): 'clear' | 'tight' | 'refused' {
  const { diameter: d, flange, gasket, center } = work.holes[index] as Hole;
  const spare = (level: Level) => Math.min(...needsOf(work, index, level).map((need) => need(center)));
  const widths = ringOf(work.outline).map(({ a, b }) => work.outline.map((p) => ((p.x - a.x) * (a.y - b.y) + (p.y - a.y) * (b.x - a.x)) / Math.hypot(b.x - a.x, b.y - a.y)));
  // The least width lies square to a line through two corners of the hull; of all pairs the least is that.
  const pairs = work.outline.flatMap((a, at) => work.outline.slice(at + 1).map((b) => work.outline.map((p) => ((p.x - a.x) * (a.y - b.y) + (p.y - a.y) * (b.x - a.x)) / Math.hypot(b.x - a.x, b.y - a.y))));
  const narrowest = Math.min(...[...widths, ...pairs].map((along) => Math.max(...along) - Math.min(...along)));
  const isGlass = work.material === 'annealed glass';
  // EN: t; US: t + 1.6 mm, never under 6.4 mm; at most a third of the narrowest dimension.
  if (isGlass && (d < Math.max(work.t + 1.6, 6.4) - 1e-6 || d > narrowest / 3 + 1e-6)) return 'refused';
  // A bit cuts 0.5 mm over its size, and 3 mm of seal all round is good practice (common practice, no source).
  const cover = Math.min(...[flange, gasket].map((wide) => (wide === undefined ? Infinity : (wide - d - 0.5) / 2)));
  if (spare('minimum') < -1e-6 || cover < -1e-6) return 'refused';
  return spare('good practice') < -1e-6 || cover < 3 - 1e-6 ? 'tight' : 'clear';
}

describe('the verdict', () => {
  it('looks past a small hole that is clear to a large one that may be drilled nearer', () => {
    // Good practice is 80 mm to the large hole, of whose 81 mm the two placements take 3.
    const holes: Hole[] = [{ name: 'small', center: at(500, 500), diameter: 10 }, { name: 'clear', center: at(440, 500), diameter: 10 }, { name: 'large', center: at(626, 500), diameter: 80 }];
    const work = plainWork(rectangle(1000, 1000), holes, { t: 4, placement: 1.5 });
    expect(checkedAt(work, 0, at(500, 500))).toBe('tight');
    expect(verdictOf(work, 0)).toBe('tight');
  });

  it('is that of the oracle on 10,000 random panels, and never milder', () => {
    const counts = { clear: 0, tight: 0, refused: 0 };
    fc.assert(
      fc.property(anyWork(5), (work) => {
        const findings = check(panelOf(work), work.holes);
        const faults = work.holes.flatMap(({ name }, index) => {
          const expected = verdictOf(work, index);
          counts[expected] += 1;
          const own = findings.filter(({ hole }) => hole === name);
          const told = own.some(({ verdict }) => verdict === 'refused') ? 'refused' : own.some(({ verdict }) => verdict === 'tight') ? 'tight' : 'clear';
          return told === expected ? [] : [{ name, told, expected }];
        });
        expect(faults).toEqual([]);
      }),
      { numRuns: 10_000, endOnFailure: true },
    );
    for (const count of Object.values(counts)) expect(count).toBeGreaterThan(500);
  });
});
