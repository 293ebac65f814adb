/** Random polygons and the independent library that they are measured with: @flatten-js/core. */
import Flatten from '@flatten-js/core';
import fc from 'fast-check';
import type { Point, Segment } from '../../src/geometry/shape.ts';

export const flatPoint = ({ x, y }: Point) => new Flatten.Point(x, y);
export const flatSegment = ({ a, b }: Segment) => new Flatten.Segment(flatPoint(a), flatPoint(b));
export const flatCircle = (center: Point, radius: number) => new Flatten.Circle(flatPoint(center), radius);
export const flatPolygon = (points: readonly Point[]) => new Flatten.Polygon(points.map(flatPoint));

/** Segments from each point to the next and from the last to the first. */
export function ringOf(points: readonly Point[]): Segment[] {
  return points.map((a, index) => ({ a, b: points[(index + 1) % points.length] as Point }));
}

/** Multiples of 1/8 mm: what people set out, and exact in binary. */
export const coordinate = (least: number, most: number) => fc.integer({ min: least * 8, max: most * 8 }).map((count) => count / 8);

export const anyPoint = fc.record({ x: coordinate(-500, 500), y: coordinate(-500, 500) });

/** Simple polygons, counter-clockwise, seen whole from (300, 300): concave ones among them. */
export const starPolygon = fc
  .array(fc.record({ share: fc.double({ min: 0.25, max: 0.75, noNaN: true }), reach: fc.integer({ min: 60, max: 300 }) }), { minLength: 4, maxLength: 12 })
  .map((spokes) => spokes.map(({ share, reach }, index) => spoke(((index + share) / spokes.length) * 2 * Math.PI, reach)));

/** Convex polygons, counter-clockwise: points of a circle round (300, 300). */
export const convexPolygon = fc
  .tuple(fc.array(fc.double({ min: 0.25, max: 0.75, noNaN: true }), { minLength: 3, maxLength: 10 }), fc.integer({ min: 100, max: 300 }))
  .map(([shares, reach]) => shares.map((share, index) => spoke(((index + share) / shares.length) * 2 * Math.PI, reach)));

function spoke(angle: number, reach: number): Point {
  return { x: 300 + reach * Math.cos(angle), y: 300 + reach * Math.sin(angle) };
}
