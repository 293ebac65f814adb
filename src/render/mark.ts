import type { Point, Rect } from '../plan/plan.ts';
import { outermost, type Loop } from './arc.ts';
import { fit, type Typesetter, type Weight } from './type.ts';

/** What a mark belongs to; writers that know layers keep them apart. */
export type Layer = 'area' | 'panel' | 'rim' | 'joint' | 'keep-clear' | 'box' | 'hole' | 'center' | 'part' | 'label' | 'orientation' | 'tie' | 'align' | 'seam' | 'sheet' | 'ruler' | 'draft';

/** Pens by what they are for; width in mm, gray from 0 (black) to 1 (white), dashes in mm. */
export interface Pen {
  readonly width: number;
  readonly gray: number;
  readonly dashes?: readonly number[];
}

export interface Line {
  readonly kind: 'line';
  readonly layer: Layer;
  readonly a: Point;
  readonly b: Point;
  readonly pen: Pen;
}

export interface Circle {
  readonly kind: 'circle';
  readonly layer: Layer;
  readonly center: Point;
  readonly radius: number;
  readonly pen: Pen;
}

/** A chain of straight pieces. */
export interface Path {
  readonly kind: 'path';
  readonly layer: Layer;
  readonly points: readonly Point[];
  readonly isClosed: boolean;
  readonly pen: Pen | null;
  /** Gray of the inside; null leaves it empty. */
  readonly fill: number | null;
}

/** Areas bounded by lines and arcs, with islands left out of them. */
export interface Area {
  readonly kind: 'area';
  readonly layer: Layer;
  readonly loops: readonly Loop[];
  /** Of their outline, but for the pieces where another hole's area goes on. */
  readonly pen: Pen | null;
  /** Gray of the inside; null leaves it empty. */
  readonly fill: number | null;
}

/** One line of text; `at` is on the baseline, at its left end, middle or right end. */
export interface Text {
  readonly kind: 'text';
  readonly layer: Layer;
  readonly at: Point;
  readonly text: string;
  /** Font size (1 em), mm. */
  readonly size: number;
  readonly weight: Weight;
  readonly align: 'left' | 'center' | 'right';
  /** Degrees, counter-clockwise. */
  readonly angle: number;
  readonly gray: number;
  /** mm, as set. */
  readonly width: number;
}

/** Everything that is drawn is a list of these plain objects, in mm. */
export type Mark = Line | Circle | Path | Area | Text;

export function line(layer: Layer, a: Point, b: Point, pen: Pen): Line {
  return { kind: 'line', layer, a, b, pen };
}

export function circle(layer: Layer, center: Point, radius: number, pen: Pen): Circle {
  return { kind: 'circle', layer, center, radius, pen };
}

export function path(layer: Layer, points: readonly Point[], pen: Pen | null, fill: number | null = null, isClosed = true): Path {
  return { kind: 'path', layer, points, isClosed, pen, fill };
}

export function area(layer: Layer, loops: readonly Loop[], pen: Pen | null, fill: number | null = null): Area {
  return { kind: 'area', layer, loops, pen, fill };
}

/**
 * Areas that are filled one after the other with one gray become one mark. Filled at once, they show no seam where they
 * meet; each by itself, both would cover their shares of the pixels there, and some white would stay between them.
 */
export function joinedAreas(marks: readonly Mark[]): readonly Mark[] {
  const joined: Mark[] = [];
  for (let index = 0; index < marks.length; ) {
    const mark = marks[index] as Mark;
    const isAlike = (other: Mark | undefined): other is Area => other?.kind === 'area' && mark.kind === 'area' && other.layer === mark.layer && other.fill === mark.fill && other.pen === null && mark.pen === null;
    let end = index + 1;
    while (isAlike(marks[end])) end += 1;
    joined.push(mark.kind === 'area' && end > index + 1 ? { ...mark, loops: marks.slice(index, end).flatMap((one) => (one as Area).loops) } : mark);
    index = end;
  }
  return joined;
}

export function rectPath(layer: Layer, { left, bottom, right, top }: Rect, pen: Pen | null, fill: number | null = null): Path {
  return path(layer, [{ x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }, { x: left, y: top }], pen, fill);
}

export interface TextStyle {
  readonly size: number;
  readonly weight?: Weight;
  readonly align?: 'left' | 'center' | 'right';
  readonly angle?: number;
  readonly gray?: number;
  /** Longer text is cut with an ellipsis, mm. */
  readonly most?: number;
}

export function text(setter: Typesetter, layer: Layer, at: Point, words: string, style: TextStyle): Text {
  const { size, weight = 'regular', align = 'left', angle = 0, gray = 0, most } = style;
  const fitted = most === undefined ? words : fit(setter, words, weight, most / size);
  return { kind: 'text', layer, at, text: fitted, size, weight, align, angle, gray, width: setter.width(fitted, weight) * size };
}

/** The box round a mark with its line widths, mm. */
export function markBounds(mark: Mark): Rect {
  switch (mark.kind) {
    case 'line':
      return grown(boxOf([mark.a, mark.b]), mark.pen.width / 2);
    case 'circle':
      return grown(boxOf([mark.center]), mark.radius + mark.pen.width / 2);
    case 'path':
      return grown(boxOf(mark.points), mark.pen ? mark.pen.width : 0);
    case 'area':
      return grown(boxOf(outermost(mark.loops)), mark.pen ? mark.pen.width : 0);
    case 'text': {
      const start = { left: 0, center: -mark.width / 2, right: -mark.width }[mark.align];
      const [cos, sin] = [Math.cos((mark.angle * Math.PI) / 180), Math.sin((mark.angle * Math.PI) / 180)];
      const corner = (x: number, y: number) => ({ x: mark.at.x + x * cos - y * sin, y: mark.at.y + x * sin + y * cos });
      const [low, high] = [-0.3 * mark.size, mark.size];
      return boxOf([corner(start, low), corner(start + mark.width, low), corner(start, high), corner(start + mark.width, high)]);
    }
  }
}

/** The line through the middle of a text's height, and half that height, mm: what it covers at any angle. */
export function middleOf({ at, size, align, angle, width }: Text): { a: Point; b: Point; half: number } {
  const start = { left: 0, center: -width / 2, right: -width }[align];
  const [cos, sin] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  const [low, high] = [-0.3 * size, size];
  const place = (x: number) => ({ x: at.x + x * cos - ((low + high) / 2) * sin, y: at.y + x * sin + ((low + high) / 2) * cos });
  return { a: place(start), b: place(start + width), half: (high - low) / 2 };
}

export function boxOf(points: readonly Point[]): Rect {
  let [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { x, y } of points) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    bottom = Math.min(bottom, y);
    top = Math.max(top, y);
  }
  return { left, bottom, right, top };
}

export function grown({ left, bottom, right, top }: Rect, by: number): Rect {
  return { left: left - by, bottom: bottom - by, right: right + by, top: top + by };
}

/** What two boxes share; turned inside out where they lie apart. */
export function sharedBox(a: Rect, b: Rect): Rect {
  return { left: Math.max(a.left, b.left), right: Math.min(a.right, b.right), bottom: Math.max(a.bottom, b.bottom), top: Math.min(a.top, b.top) };
}

/** Area that two boxes share, mm²; 0 where they only touch. */
export function sharedArea(a: Rect, b: Rect): number {
  const { left, right, bottom, top } = sharedBox(a, b);
  return right > left && top > bottom ? (right - left) * (top - bottom) : 0;
}

export function isWithin(inner: Rect, outer: Rect): boolean {
  return inner.left >= outer.left && inner.right <= outer.right && inner.bottom >= outer.bottom && inner.top <= outer.top;
}

/** The part of a segment inside a box (Liang-Barsky clipping); undefined if there is none. */
export function clipSegment(a: Point, b: Point, box: Rect): readonly [Point, Point] | undefined {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  let [enter, leave] = [0, 1];
  for (const [step, room] of [[-dx, a.x - box.left], [dx, box.right - a.x], [-dy, a.y - box.bottom], [dy, box.top - a.y]] as const) {
    if (step === 0) {
      if (room < 0) return undefined;
    } else if (step < 0) enter = Math.max(enter, room / step);
    else leave = Math.min(leave, room / step);
  }
  if (enter > leave) return undefined;
  const at = (t: number) => ({ x: a.x + t * dx, y: a.y + t * dy });
  return [at(enter), at(leave)];
}
