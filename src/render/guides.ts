import { edgesOf, isInside, nearestOnSegment } from '../geometry/shape.ts';
import type { Plan, Point, Rect } from '../plan/plan.ts';
import { formatBoth, formatLength } from '../trade/units.ts';
import { boxIndex, faceTransform, markedRadius, seamsOf, type Cell, type Layout } from './layout.ts';
import { boxOf, grown, line, path, text, type Mark, type Path, type Pen } from './mark.ts';
import type { Typesetter } from './type.ts';

/** Marks by which a person proves that the jig is true and lies on the right face. */

export interface TieEnd {
  /** In the coordinates of the drilled face, mm. */
  readonly at: Point;
  readonly sheet: string;
  /** Whether its words stand on the right of it. */
  readonly isWordsRight: boolean;
}

/** A straight distance between marks on two sheets; it proves the seams between them. */
export interface TieLine {
  readonly number: number;
  readonly ends: readonly [TieEnd, TieEnd];
  /** mm; a whole millimetre, or sixteenth of an inch where the spec is in inches. */
  readonly length: number;
  /** What it may be off, mm. */
  readonly allowed: number;
}

/** What a person misreads on a tape, and what one taped seam is off, mm (common practice, no source). */
const [readingError, seamError] = [0.5, 0.5];
const tiePen = { width: 0.15, gray: 0 } as const satisfies Pen;
/** Arms of a tie line's cross and the room its words take up beside it, mm. */
const tieArm = 5;
const tieWords = { width: 48, height: 8.5 } as const;

/** Both diagonals of a jig of two or more sheets, between free places as far apart as can be. */
export function tieLines(plan: Plan, layout: Layout): TieLine[] {
  if (layout.cells.length < 2) return [];
  const free = freePlaces(plan, layout);
  return [[-1, -1], [-1, 1]].flatMap(([x = 0, y = 0], index) => {
    const from = free({ x, y }, undefined);
    const far = from && free({ x: -x, y: -y }, from.sheet);
    if (!from || !far) return [];
    const step = plan.units === 'in' ? 25.4 / 16 : 1;
    const exact = Math.hypot(far.at.x - from.at.x, far.at.y - from.at.y);
    const length = Math.max(1, Math.floor(exact / step + 1e-9)) * step;
    const share = length / exact;
    const to = { ...far, at: { x: from.at.x + (far.at.x - from.at.x) * share, y: from.at.y + (far.at.y - from.at.y) * share } };
    const seams = seamsOf(layout).filter((seam) => doCross(from.at, to.at, seam)).length;
    return [{ number: index + 1, ends: [from, to] as const, length, allowed: Math.ceil(10 * Math.hypot(readingError, seamError * Math.sqrt(seams))) / 10 }];
  });
}

/** Whether the way from p to q crosses an upright or level seam. */
function doCross(p: Point, q: Point, { a, b }: { a: Point; b: Point }): boolean {
  const side = (r: Point) => (b.x - a.x) * (r.y - a.y) - (b.y - a.y) * (r.x - a.x);
  const other = (r: Point) => (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
  return side(p) * side(q) < 0 && other(a) * other(b) <= 0;
}

/** Finds the furthest free place for a tie line's end in a direction, on another sheet than a given one. */
function freePlaces(plan: Plan, layout: Layout): (way: Point, not: string | undefined) => TieEnd | undefined {
  const toFace = faceTransform(plan);
  const outline = (plan.rimLine ?? plan.panel.outline).map(toFace);
  const bounds = boxOf(outline);
  const edges = [outline, (plan.jointLine ?? []).map(toFace)].flatMap(edgesOf);
  const { at: tip } = orientationOf(plan, layout);
  const obstacles = [
    ...plan.holes.map((hole) => grown(boxOf([toFace(hole.center)]), markedRadius(hole))),
    ...plan.panel.keepClear.map(({ rect }) => boxOf([toFace({ x: rect.left, y: rect.bottom }), toFace({ x: rect.right, y: rect.top })])),
    grown(boxOf([tip]), 12),
  ];
  const find = boxIndex(obstacles);
  const isClearOfLines = (box: Rect, room: number) => {
    const middle = { x: (box.left + box.right) / 2, y: (box.bottom + box.top) / 2 };
    return isInside(middle, outline) && edges.every((edge) => {
      const near = nearestOnSegment(middle, edge);
      const wide = grown(box, room);
      return near.x < wide.left || near.x > wide.right || near.y < wide.bottom || near.y > wide.top;
    });
  };
  return (way, not) => {
    const reach = (p: Point) => p.x * way.x + p.y * way.y;
    const shown = (cell: Cell) => ({ left: Math.max(cell.core.left, bounds.left), right: Math.min(cell.core.right, bounds.right), bottom: Math.max(cell.core.bottom, bounds.bottom), top: Math.min(cell.core.top, bounds.top) });
    const furthest = (cell: Cell) => {
      const box = shown(cell);
      return reach({ x: way.x > 0 ? box.right : box.left, y: way.y > 0 ? box.top : box.bottom });
    };
    const cells = layout.cells.filter(({ name }) => name !== not).sort((a, b) => furthest(b) - furthest(a)).slice(0, 8);
    const isWordsRight = way.x < 0;
    const boxAt = ({ x, y }: Point, hasWords: boolean): Rect => {
      const beside = hasWords ? tieArm + 1 + tieWords.width : tieArm + 1;
      return { left: x - (isWordsRight ? tieArm + 1 : beside), right: x + (isWordsRight ? beside : tieArm + 1), bottom: y - tieArm - 1, top: y + tieArm + 1 };
    };
    // With its words and room to all lines; else nearer to them; else the cross alone.
    for (const [hasWords, room] of [[true, 5], [true, 1], [false, 1], [false, -tieArm]] as const) {
      for (const cell of cells) {
        const points = lattice(grown(shown(cell), -2), 4).sort((p, q) => reach(q) - reach(p));
        const core = grown(cell.core, room > 0 ? -5 : 0);
        const at = points.find((p) => {
          const box = boxAt(p, hasWords);
          const isInCore = box.left >= core.left && box.right <= core.right && box.bottom >= core.bottom && box.top <= core.top;
          return isInCore && isClearOfLines(box, room) && (room < 0 || find(box).length === 0);
        });
        if (at) return { at, sheet: cell.name, isWordsRight };
      }
    }
    return undefined;
  };
}

/** Points on whole steps inside a box. */
function lattice(box: Rect, step: number): Point[] {
  const points: Point[] = [];
  for (let x = Math.ceil(box.left / step) * step; x <= box.right; x += step) {
    for (let y = Math.ceil(box.bottom / step) * step; y <= box.top; y += step) points.push({ x, y });
  }
  return points;
}

/** A cross at each end, a stub towards the other end, and what must be measured. */
export function tieMarks(ties: readonly TieLine[], plan: Plan, setter: Typesetter): Mark[] {
  return ties.flatMap(({ number, ends, length }) =>
    ends.flatMap((end, index): Mark[] => {
      const other = ends[1 - index] as TieEnd;
      const { x, y } = end.at;
      const share = (mm: number) => ({ x: x + ((other.at.x - x) * mm) / length, y: y + ((other.at.y - y) * mm) / length });
      const align = end.isWordsRight ? 'left' : 'right';
      const start = x + (end.isWordsRight ? 1 : -1) * (tieArm + 1.5);
      return [
        line('tie', { x: x - tieArm, y }, { x: x + tieArm, y }, tiePen),
        line('tie', { x, y: y - tieArm }, { x, y: y + tieArm }, tiePen),
        ...(length > 40 ? [line('tie', share(tieArm + 1), share(14), { ...tiePen, dashes: [2, 1] })] : []),
        text(setter, 'tie', { x: start, y: y + 1 }, `tie line ${number}: ${formatBoth(length, plan.units)}`, { size: 2.6, weight: 'bold', align, most: tieWords.width }),
        text(setter, 'tie', { x: start, y: y - 3 }, `from this cross to the one on ${other.sheet}`, { size: 2.4, align, most: tieWords.width }),
      ];
    }),
  );
}

/** The box of a tie line's end with its words. */
export function tieBox({ at: { x, y }, isWordsRight }: TieEnd): Rect {
  const beside = tieArm + 2 + tieWords.width;
  return { left: x - (isWordsRight ? tieArm : beside), right: x + (isWordsRight ? beside : tieArm), bottom: y - tieArm, top: y + tieArm };
}

/** First row: titles; then what to measure, from where to where, and how far it may be off. */
export function tieRows(ties: readonly TieLine[], plan: Plan): string[][] {
  const rows = ties.map(({ number, ends, length, allowed }) => [`${number}`, `cross on ${ends[0].sheet}`, `cross on ${ends[1].sheet}`, formatBoth(length, plan.units), `${formatLength(allowed)} more or less`]);
  return [['tie line', 'from', 'to', 'must measure', 'may be off'], ...rows];
}

export interface Orientation {
  /** Where the triangle's tip touches the edge or rim line, in the coordinates of the drilled face. */
  readonly at: Point;
  /** Into the panel, length 1. */
  readonly inwards: Point;
  /** Name of the edge. */
  readonly edge: string;
  /** Which end of it, as seen from outside. */
  readonly end: 'left' | 'upper';
}

/** Height and half the width of the orientation mark, mm. */
const triangle = { height: 8, half: 3.2 } as const;

/** The orientation mark: near the left end, seen from outside, of the top edge, or of the edge that comes nearest to one. */
export function orientationOf(plan: Plan, layout: Layout): Orientation {
  const toFace = faceTransform(plan);
  const edges = plan.panel.edges;
  const rise = ({ a, b }: { a: Point; b: Point }) => (a.y + b.y) / 2 + Math.min(Math.abs(a.x - b.x), 200) - Math.abs(a.y - b.y);
  const named = edges.findIndex(({ name }) => name === 'top edge');
  const index = named >= 0 ? named : edges.reduce((best, edge, at) => (rise(edge) > rise(edges[best] as typeof edge) ? at : best), 0);
  const ring = plan.rimLine ?? plan.panel.outline;
  const [a, b] = [ring[index] as Point, ring[(index + 1) % ring.length] as Point];
  const isUpright = Math.abs(a.x - b.x) < Math.abs(a.y - b.y);
  const [start, end] = (isUpright ? a.y > b.y : a.x < b.x) ? [a, b] : [b, a];
  const length = Math.hypot(end.x - start.x, end.y - start.y);
  const tipAt = (mm: number) => toFace({ x: start.x + ((end.x - start.x) * mm) / length, y: start.y + ((end.y - start.y) * mm) / length });
  const isFree = (tip: Point) =>
    layout.cells.some(({ core }) => tip.x > core.left + 8 && tip.x < core.right - 8 && tip.y > core.bottom + 4 && tip.y < core.top - 4) &&
    plan.holes.every((hole) => {
      const center = toFace(hole.center);
      return Math.hypot(center.x - tip.x, center.y - tip.y) > markedRadius(hole) + triangle.height;
    });
  const tries = [24, 30, 36, 42, 48, 54, 60, 18, 14].filter((mm) => mm < length / 2);
  const at = tries.map(tipAt).find(isFree) ?? tipAt(Math.min(24, length / 4));
  const [p, q] = [toFace(a), toFace(b)];
  // The outline runs counter-clockwise seen from outside, so inside the panel is on its left, mirrored on its right.
  const turn = plan.face === 'outside' ? 1 : -1;
  const inwards = { x: (-(q.y - p.y) / length) * turn, y: ((q.x - p.x) / length) * turn };
  return { at, inwards, edge: (edges[index] as { name: string }).name, end: isUpright ? 'upper' : 'left' };
}

/** A solid triangle that points at its edge. */
export function triangleMark({ at, inwards }: Pick<Orientation, 'at' | 'inwards'>, size = 1): Path {
  const [height, half] = [triangle.height * size, triangle.half * size];
  const base = { x: at.x + inwards.x * height, y: at.y + inwards.y * height };
  return path('orientation', [at, { x: base.x - inwards.y * half, y: base.y + inwards.x * half }, { x: base.x + inwards.y * half, y: base.y - inwards.x * half }], null, 0);
}

export function orientationMarks(orientation: Orientation, plan: Plan, setter: Typesetter): Mark[] {
  const { at, inwards, edge, end } = orientation;
  const words = `orientation mark: ${edge}, ${end} end as seen from outside`;
  const isLevel = Math.abs(inwards.y) > 0.7;
  if (!isLevel) return [triangleMark(orientation)];
  // Towards the middle of the panel.
  const isRight = at.x < (plan.bounds.left + plan.bounds.right) / 2;
  const depth = triangle.height - 1.6;
  return [
    triangleMark(orientation),
    text(setter, 'orientation', { x: at.x + (isRight ? 1 : -1) * (triangle.half + 1.5), y: at.y + inwards.y * depth - (inwards.y < 0 ? 0.9 : 0.9) }, words, { size: 2.4, align: isRight ? 'left' : 'right', gray: 0.2 }),
  ];
}

/** On which face the sheets lie, how they are read, and where the orientation mark then stands. */
export function faceWords(plan: Plan, { edge, end }: Pick<Orientation, 'edge' | 'end'>): string {
  const [drilled, far] = plan.face === 'outside' ? ['OUTSIDE', 'INSIDE'] : ['INSIDE', 'OUTSIDE'];
  const seen = end === 'left' && plan.face === 'inside' ? 'right' : end;
  const lies = plan.sheets.isOnFarFace ? `Lies on the ${far} face, print against the glass; read it through the panel from the ${drilled} face` : `Lies on the ${drilled} face, print towards you`;
  return `${lies}. Triangle: ${edge}, at its ${seen} end as you look.`;
}
