import { cornersOf, distanceBetween, nearestOnSegment } from '../geometry/shape.ts';
import type { Point, Rect } from '../plan/plan.ts';
import { plainNumber } from '../trade/units.ts';
import { boxOf, circle, clipSegment, grown, line, markBounds, path, rectPath, sharedArea, text, type Mark, type Pen } from './mark.ts';
import { wrap, type Typesetter } from './type.ts';

/** What the pump gives against what the pipes ask for, over the flow. Lengths on paper in mm. */

export interface PumpPlot {
  /** Titles of the axes with their units, such as "flow, L/h" and "head, m"; points are in those units already. */
  readonly flowTitle: string;
  readonly headTitle: string;
  readonly curves: readonly { readonly name: string; readonly kind: 'pump' | 'throttled' | 'system'; readonly points: readonly FlowPoint[] }[];
  /** Points of the pump's curve as the spec gives them. */
  readonly given: readonly FlowPoint[];
  /** Where the water settles. */
  readonly meets: FlowPoint & { readonly words: string };
}

interface FlowPoint {
  readonly flow: number;
  readonly head: number;
}

/** Round steps from the least to the most that is shown, 0 among them. */
export interface Axis {
  readonly low: number;
  readonly high: number;
  readonly step: number;
}

/** Height of the plot with its titles. */
export const plotHeight = 88;

const pens = {
  axis: { width: 0.35, gray: 0 },
  tick: { width: 0.2, gray: 0 },
  grid: { width: 0.1, gray: 0.75 },
  given: { width: 0.25, gray: 0 },
  meets: { width: 0.5, gray: 0 },
  meetsLine: { width: 0.18, gray: 0.35, dashes: [0.8, 0.8] },
} as const satisfies Record<string, Pen>;

const strokes = {
  pump: { width: 0.5, gray: 0 },
  throttled: { width: 0.4, gray: 0, dashes: [2.4, 1.2] },
  system: { width: 0.5, gray: 0, dashes: [0.5, 0.9] },
} as const satisfies Record<PumpPlot['curves'][number]['kind'], Pen>;

const strokeNames = { pump: 'Solid', throttled: 'Dashed', system: 'Dotted' } as const satisfies Record<keyof typeof strokes, string>;

const [numberSize, titleSize, nameSize] = [2.3, 2.4, 2.5] as const;
/** Room for numbers and titles beside and below the plot, and over its top. */
const beside = { left: 14, bottom: 10, top: 6, right: 6 } as const;
/** The largest width of the plot itself: wider, its curves are no easier to read. */
const mostWide = 150;
const [givenRadius, crossArm] = [0.9, 1.6] as const;
/** The least and the most room between a curve and its name. */
const [leastGap, mostGap] = [0.8, 9] as const;
const mostNameWide = 46;

/** The axis in the smallest round step, 1, 2 or 5 of a power of ten, that makes no more than so many intervals; the ends are whole steps. */
export function axisOf(values: readonly number[], intervals: number): Axis {
  const [low, high] = [Math.min(0, ...values), Math.max(0, ...values)];
  const range = high > low ? high - low : 1;
  const power = 10 ** Math.floor(Math.log10(range / intervals));
  for (const factor of [1, 2, 5, 10, 20]) {
    const step = factor * power;
    // Slack for what decimals do to a division; the ends still lie beyond all values.
    const [first, last] = [Math.floor(low / step + 1e-9), Math.max(1, Math.ceil((low + range) / step - 1e-9))];
    if (last - first <= intervals) return { low: Math.min(low, first * step), high: Math.max(low + range, last * step), step };
  }
  return { low, high: low + range, step: range };
}

/** The numbers on an axis, by their values. */
function ticksOf({ low, high, step }: Axis): { value: number; words: string }[] {
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const first = Math.round(low / step);
  return Array.from({ length: Math.round(high / step) - first + 1 }, (_, index) => ({ value: (first + index) * step, words: plainNumber((first + index) * step, Math.min(digits, 20)) }));
}

/** The plot, and in sentences the names for which it has no place. */
export function pumpPlot(plot: PumpPlot, box: Rect, setter: Typesetter): { marks: Mark[]; unplaced: string[] } {
  const { curves, given, meets } = plot;
  const points = [...curves.flatMap((curve) => curve.points), ...given, meets];
  const frame = { left: box.left + beside.left, right: Math.min(box.right - beside.right, box.left + beside.left + mostWide), bottom: box.bottom + beside.bottom, top: box.top - beside.top };
  const heads = axisOf(points.map(({ head }) => head), 7);
  const flows = flowAxis(points.map(({ flow }) => flow), frame.right - frame.left, setter);
  const place = ({ flow, head }: FlowPoint): Point => ({
    x: frame.left + ((flow - flows.low) / (flows.high - flows.low)) * (frame.right - frame.left),
    y: frame.bottom + ((head - heads.low) / (heads.high - heads.low)) * (frame.top - frame.bottom),
  });
  const settled = place(meets);
  const foot = { x: settled.x, y: frame.bottom };
  const side = { x: frame.left, y: settled.y };
  const drawnCurves = curves.map(({ kind, name, points }) => ({ name, pen: strokes[kind], stroke: strokeNames[kind], points: points.map(place) }));
  const circles = given.map((point) => circle('sheet', place(point), givenRadius, pens.given));
  const names = placeNames(drawnCurves, meets.words, { settled, frame, busy: [...circles.map(markBounds)], rays: [[settled, foot], [settled, side]] }, setter);
  const marks = [
    ...axes(plot, flows, heads, frame, place, setter),
    line('sheet', settled, foot, pens.meetsLine),
    line('sheet', settled, side, pens.meetsLine),
    ...drawnCurves.filter(({ points }) => points.length > 0).map(({ points, pen }) => path('sheet', points, pen, null, false)),
    ...circles,
    line('sheet', { x: settled.x - crossArm, y: settled.y - crossArm }, { x: settled.x + crossArm, y: settled.y + crossArm }, pens.meets),
    line('sheet', { x: settled.x - crossArm, y: settled.y + crossArm }, { x: settled.x + crossArm, y: settled.y - crossArm }, pens.meets),
    ...names.marks,
  ];
  return { marks, unplaced: names.unplaced };
}

/** The axis of flows, with numbers so far apart that they can be told from each other. */
function flowAxis(values: readonly number[], wide: number, setter: Typesetter): Axis {
  for (let intervals = 10; intervals > 1; intervals -= 1) {
    const axis = axisOf(values, intervals);
    const ticks = ticksOf(axis);
    const widest = Math.max(...ticks.map(({ words }) => setter.width(words) * numberSize));
    if (widest + 3 <= wide / (ticks.length - 1)) return axis;
  }
  return axisOf(values, 1);
}

/** Light grid, axes, numbers and titles. */
function axes({ flowTitle, headTitle }: PumpPlot, flows: Axis, heads: Axis, frame: Rect, place: (point: FlowPoint) => Point, setter: Typesetter): Mark[] {
  const across = ticksOf(flows).map(({ value, words }) => ({ x: place({ flow: value, head: heads.low }).x, words }));
  const up = ticksOf(heads).map(({ value, words }) => ({ y: place({ flow: flows.low, head: value }).y, words }));
  return [
    ...across.map(({ x }) => line('sheet', { x, y: frame.bottom }, { x, y: frame.top }, pens.grid)),
    ...up.map(({ y }) => line('sheet', { x: frame.left, y }, { x: frame.right, y }, pens.grid)),
    ...across.flatMap(({ x, words }) => [line('sheet', { x, y: frame.bottom }, { x, y: frame.bottom - 1.2 }, pens.tick), text(setter, 'sheet', { x, y: frame.bottom - 1.8 - numberSize }, words, { size: numberSize, align: 'center' })]),
    ...up.flatMap(({ y, words }) => [line('sheet', { x: frame.left, y }, { x: frame.left - 1.2, y }, pens.tick), text(setter, 'sheet', { x: frame.left - 2, y: y - numberSize * 0.35 }, words, { size: numberSize, align: 'right', most: beside.left - 2 })]),
    line('sheet', { x: frame.left, y: frame.bottom }, { x: frame.right, y: frame.bottom }, pens.axis),
    line('sheet', { x: frame.left, y: frame.bottom }, { x: frame.left, y: frame.top }, pens.axis),
    text(setter, 'sheet', { x: frame.left - 2, y: frame.top + 2.6 }, headTitle, { size: titleSize, weight: 'bold', most: frame.right - frame.left }),
    text(setter, 'sheet', { x: frame.right, y: frame.bottom - 8.6 }, flowTitle, { size: titleSize, weight: 'bold', align: 'right', most: frame.right - frame.left }),
  ];
}

type Segment = readonly [Point, Point];

interface Surroundings {
  /** Where the water settles, and the lines from there to the axes. */
  readonly settled: Point;
  readonly rays: readonly Segment[];
  readonly frame: Rect;
  /** Boxes that no name may touch. */
  readonly busy: readonly Rect[];
}

/** Names stand where nothing is drawn, each nearer to its own curve than to any other; first the words of the cross. */
function placeNames(curves: readonly { readonly name: string; readonly stroke: string; readonly points: readonly Point[] }[], meets: string, { settled, rays, frame, busy }: Surroundings, setter: Typesetter): { marks: Mark[]; unplaced: string[] } {
  const cross = grown(boxOf([settled]), crossArm);
  const segments = curves.map(({ points }) => points.slice(1).map((to, index) => [points[index] as Point, to] as const));
  const taken: Rect[] = [...busy, cross];
  const marks: Mark[] = [];
  const unplaced: string[] = [];
  const all = segments.flat();
  const put = (words: string, isBold: boolean, own: readonly Segment[], others: readonly Segment[]): boolean => {
    const weight = isBold ? 'bold' : 'regular';
    const lines = wrap(setter, words, weight, mostNameWide / nameSize);
    const [wide, high] = [Math.max(0, ...lines.map((one) => setter.width(one, weight))) * nameSize, lines.length * nameSize * 1.3];
    if (lines.length === 0) return true;
    const found = lines.length > 3 ? undefined : bestPlace(wide, high, frame, (spot, least) => {
      const around = grown(spot, leastGap);
      if (taken.some((other) => sharedArea(other, around) > 0)) return Infinity;
      const near = distanceOf(spot, own);
      if (near > Math.min(mostGap, least) || [...rays, ...all].some(([a, b]) => clipSegment(a, b, around))) return Infinity;
      return distanceOf(spot, others) < near + 1.5 ? Infinity : near;
    });
    if (!found) return false;
    taken.push(grown(found, 0.6));
    marks.push(rectPath('sheet', grown(found, 0.3), null, 1), ...lines.map((one, index) => text(setter, 'sheet', { x: found.left, y: found.top - nameSize - index * nameSize * 1.3 }, one, { size: nameSize, weight })));
    return true;
  };
  if (!put(meets, true, [[settled, settled]], [])) unplaced.push(`Cross: ${meets}.`);
  for (const [index, { name, stroke }] of curves.entries()) {
    if (!put(name, false, segments[index] ?? [], [...segments.filter((_, other) => other !== index).flat(), [settled, settled]])) unplaced.push(`${stroke}: ${name}.`);
  }
  return { marks, unplaced };
}

/**
 * The box of that size in the frame with the least cost, first from the right, where curves lie apart; undefined where none
 * has a finite one.
 * @param cost may be infinite where it would be more than `least`
 */
function bestPlace(wide: number, high: number, frame: Rect, cost: (box: Rect, least: number) => number): Rect | undefined {
  let best: { box: Rect; cost: number } | undefined;
  for (let left = frame.right - wide - 0.5; left >= frame.left + 0.5; left -= 2) {
    for (let bottom = frame.bottom + 0.5; bottom + high <= frame.top - 0.5; bottom += 1) {
      const box = { left, right: left + wide, bottom, top: bottom + high };
      const least = (best?.cost ?? Infinity) - 0.25;
      const here = cost(box, least);
      if (here < least) best = { box, cost: here };
    }
  }
  return best?.box;
}

/** The least distance from a box to segments that lie outside of it. */
function distanceOf(box: Rect, segments: readonly Segment[]): number {
  const { left, right, bottom, top } = box;
  const corners = cornersOf(box);
  let least = Infinity;
  for (const [a, b] of segments) {
    for (const { x, y } of [a, b]) least = Math.min(least, Math.hypot(Math.max(left - x, 0, x - right), Math.max(bottom - y, 0, y - top)));
    for (const corner of corners) least = Math.min(least, distanceBetween(corner, nearestOnSegment(corner, { a, b })));
  }
  return least;
}
