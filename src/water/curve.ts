import type { PumpPoint } from './system.ts';
import { cubicAt, type Sloped } from './root.ts';

/** What a pump gives: its head at a flow, never rising, and where its curve ends. */
export interface PumpCurve {
  /** Head (mm) and its slope at a flow (mm³/s, at least 0). */
  at(flow: number): Sloped;
  /** The largest flow that the spec tells of; beyond it the curve is led on straight, down to no head. */
  readonly known: number;
  /** The flow at which no head is left. */
  readonly end: number;
}

/**
 * A smooth curve through the points that never rises between them: cubics with the slopes of Fritsch and Butland (SIAM J.
 * Sci. Stat. Comput. 5, 1984). Two points alone are joined by a parabola with its top at no flow, the usual shape of a small
 * pump's curve (common practice, no source): it lies over the straight line, so that no more water comes than is told.
 * @param points at least two, from no flow on; flows rise, heads never do, the last is less than the first
 */
export function pumpCurve(points: readonly PumpPoint[]): PumpCurve {
  const last = points[points.length - 1] as PumpPoint;
  const slopes = slopesOf(points);
  // Led on no flatter than the curve falls on the whole, lest a last stretch that is level promise water without end.
  const endSlope = Math.min(slopes[slopes.length - 1] as number, (last.head - (points[0] as PumpPoint).head) / last.flow);
  const end = last.head > 0 ? last.flow - last.head / endSlope : last.flow;
  const at = (flow: number): Sloped => {
    if (flow >= last.flow) return [last.head + endSlope * (flow - last.flow), endSlope];
    const index = Math.max(0, points.findIndex((point) => point.flow > flow) - 1);
    const [from, to] = [points[index] as PumpPoint, points[index + 1] as PumpPoint];
    const width = to.flow - from.flow;
    const [head, fall] = cubicAt((flow - from.flow) / width, [from.head, (slopes[index] as number) * width], [to.head, (slopes[index + 1] as number) * width]);
    return [head, fall / width];
  };
  return { at, known: last.flow, end };
}

/** Slopes at the points: between two falls their harmonic mean, weighted by the widths; at an end what a parabola through the nearest would have. */
function slopesOf(points: readonly PumpPoint[]): number[] {
  const falls = points.slice(1).map((point, index) => (point.head - (points[index] as PumpPoint).head) / (point.flow - (points[index] as PumpPoint).flow));
  const widths = points.slice(1).map((point, index) => point.flow - (points[index] as PumpPoint).flow);
  const [first = 0] = falls;
  if (falls.length === 1) return [0, 2 * first];
  /** No steeper than three times the fall beside it, and never rising, so that the cubic falls all the way. */
  const atEnd = (near: number, far: number, width: number, next: number) => Math.max(3 * near, Math.min(0, near + ((near - far) * width) / (width + next)));
  const inner = falls.slice(1).map((after, index) => {
    const before = falls[index] as number;
    if (before === 0 || after === 0) return 0;
    const [w, v] = [widths[index] as number, widths[index + 1] as number];
    const share = (w + 2 * v) / (3 * (w + v));
    return 1 / (share / before + (1 - share) / after);
  });
  const [lastFall, lastWidth] = [falls.length - 1, widths.length - 1];
  return [
    atEnd(first, falls[1] as number, widths[0] as number, widths[1] as number),
    ...inner,
    atEnd(falls[lastFall] as number, falls[lastFall - 1] as number, widths[lastWidth] as number, widths[lastWidth - 1] as number),
  ];
}
