import { clearanceToSegment, edgesOf, isInside, segmentsTouch, type Segment } from '../geometry/shape.ts';
import type { Plan, Point, Rect } from '../plan/plan.ts';
import { formatLength, formatThirtySeconds, plainNumber } from '../trade/units.ts';
import { boxIndex, boxOnFace, boxOutlines, faceTransform, markedRadius, seamsAway, type Cell, type Layout } from './layout.ts';
import { laidLines, laidOutline, reading, type PanelLine } from './lines.ts';
import { boxOf, clipSegment, grown, isWithin, line, markBounds, middleOf, path, sharedArea, sharedBox, text, type Mark, type Path, type Pen, type Text } from './mark.ts';
import type { Typesetter } from './type.ts';

/** Marks by which a person proves that the jig is true and lies on the right face. */

export interface TieEnd {
  /** In the coordinates of the drilled face, mm. */
  readonly at: Point;
  readonly sheet: string;
  /** Whether its words stand on the right of it, and whether below: away from where the tie line goes. */
  readonly isWordsRight: boolean;
  readonly isWordsBelow: boolean;
}

/** A straight distance between marks on two sheets; it proves the seams between them. */
export interface TieLine {
  readonly number: number;
  readonly ends: readonly [TieEnd, TieEnd];
  /** mm; a whole millimetre, or sixteenth of an inch where the spec is in inches. */
  readonly length: number;
  /** What it may be off, mm: the root of the sum of squares of the reading and of one error for each seam between. */
  readonly allowed: number;
}

/** What a person misreads on a tape, and what one taped seam is off, mm (common practice, no source). */
const [readingError, seamError] = [0.5, 0.5];
const tiePen = { width: 0.15, gray: 0 } as const satisfies Pen;
const stubPen = { ...tiePen, dashes: [2, 1] } as const satisfies Pen;
/** Arms of a tie line's cross and the room its words take up beside it, mm. */
const tieArm = 5;
const tieWords = { width: 48, height: 7.5 } as const;
/** Room beside and above or below a hole that its label may need, mm. */
const labelRoom = { width: 52, height: 20 } as const;

/** How far the nearest 1/32 in is from a length, mm. */
const offThirtySecond = (mm: number) => Math.abs(mm - Math.round((mm * 32) / 25.4) * (25.4 / 32));

/**
 * Of some lengths (mm) the first whose nearest 1/32 in is as good as itself (to 0.06 mm), else the one that comes
 * nearest to that: a tape with either scale then sets out the same.
 */
export function tapeLength(lengths: readonly number[]): number | undefined {
  return lengths.find((mm) => offThirtySecond(mm) < 0.06) ?? lengths.reduce<number | undefined>((best, mm) => (best === undefined || offThirtySecond(mm) < offThirtySecond(best) ? mm : best), undefined);
}

/** What a tape can set out: whole millimetres, or sixteenths of an inch where the spec is in inches, mm. */
export const tapeStep = (plan: Plan) => (plan.units === 'in' ? 25.4 / 16 : 1);

/** "812 mm (31-31/32 in)", or "32 in (812.8 mm)": to set out or to read with a tape of either scale. */
export function tapeWords(mm: number, plan: Plan): string {
  const [metric, inches] = [`${plainNumber(mm, 2)} mm`, formatThirtySeconds(mm)];
  return plan.units === 'in' ? `${inches} (${metric})` : `${metric} (${inches})`;
}

/**
 * Both diagonals of a jig of two or more sheets, between free places as far apart as can be.
 * @param names words along lines, which the tie lines' own words keep clear of
 */
export function tieLines(plan: Plan, layout: Layout, names: readonly Text[] = []): TieLine[] {
  if (layout.cells.length < 2) return [];
  const free = freePlaces(plan, layout, names);
  const step = tapeStep(plan);
  return [[-1, -1], [-1, 1]].flatMap(([x = 0, y = 0], index) => {
    const from = free({ x, y }, undefined, (at) => at);
    const far = from && free({ x: -x, y: -y }, from, (at) => {
      const exact = Math.hypot(at.x - from.at.x, at.y - from.at.y);
      const most = Math.floor(exact / step + 1e-9);
      const length = tapeLength(Array.from({ length: Math.min(most, 14) }, (_, back) => (most - back) * step)) ?? 0;
      return { x: from.at.x + ((at.x - from.at.x) * length) / exact, y: from.at.y + ((at.y - from.at.y) * length) / exact };
    });
    if (!from || !far) return [];
    const length = Math.round(Math.hypot(far.at.x - from.at.x, far.at.y - from.at.y) / step) * step;
    const allowed = Math.ceil(10 * Math.hypot(readingError, seamError * Math.sqrt(seamsBetween(layout, from.sheet, far.sheet))) - 1e-9) / 10;
    return [{ number: index + 1, ends: [from, far] as const, length, allowed }];
  });
}

/**
 * The fewest seams on the way from sheet to sheet. Where sheets are left out, the straight line between two crosses goes
 * over nothing, and its length hangs on the seams round the gap.
 */
function seamsBetween({ cells }: Layout, from: string, to: string): number {
  const named = (name: string) => cells.filter((cell) => cell.name === name);
  const steps = seamsAway(cells, named(from));
  return steps.get(named(to)[0] as Cell) ?? steps.size;
}

/**
 * Finds the furthest free place for a tie line's end in a direction, on another sheet than a given end's; places that were
 * found before are taken.
 */
function freePlaces(plan: Plan, layout: Layout, names: readonly Text[]): (way: Point, other: TieEnd | undefined, moved: (at: Point) => Point) => TieEnd | undefined {
  const toFace = faceTransform(plan);
  const outline = laidOutline(plan);
  const bounds = boxOf(outline);
  const edges = [outline, (plan.jointLine ?? []).map(toFace), ...boxOutlines(plan)].flatMap(edgesOf);
  const holes = plan.holes.map((hole) => grown(boxOf([toFace(hole.center)]), markedRadius(hole)));
  const findHoles = boxIndex(holes);
  const findLabelled = boxIndex(holes.map(({ left, right, bottom, top }) => ({ left: left - labelRoom.width, right: right + labelRoom.width, bottom: bottom - labelRoom.height, top: top + labelRoom.height })));
  const find = boxIndex([
    ...holes,
    ...plan.panel.keepClear.map(({ rect }) => boxOnFace(plan)(rect)),
    orientationBox(orientationOf(plan, layout)),
  ]);
  const findNames = boxIndex(names.map(markBounds));
  const isOnName = (box: Rect) =>
    findNames(box).some((at) => {
      const { a, b, half } = middleOf(names[at] as Text);
      return clipSegment(a, b, grown(box, half)) !== undefined;
    });
  const taken: Rect[] = [];
  const findEdges = boxIndex(edges.map(({ a, b }) => boxOf([a, b])));
  const isClear = (box: Rect, room: number) => {
    const wide = grown(box, room);
    return findEdges(wide).every((at) => !clipSegment((edges[at] as Segment).a, (edges[at] as Segment).b, wide));
  };
  return (way, other, moved) => {
    const reach = (p: Point) => p.x * way.x + p.y * way.y;
    const shown = (cell: Cell) => sharedBox(cell.core, bounds);
    const furthest = (cell: Cell) => {
      const box = shown(cell);
      return reach({ x: way.x > 0 ? box.right : box.left, y: way.y > 0 ? box.top : box.bottom });
    };
    const cells = layout.cells.filter(({ name }) => name !== other?.sheet).sort((a, b) => furthest(b) - furthest(a));
    const known = new Map<Cell, readonly Point[]>();
    /** Places on a cell, the furthest first. */
    const places = (cell: Cell) => {
      const found = known.get(cell) ?? lattice(grown(shown(cell), -2), 4).sort((p, q) => reach(q) - reach(p));
      known.set(cell, found);
      return found;
    };
    const [isWordsRight, isWordsBelow] = [way.x < 0, way.y < 0];
    const boxAt = ({ x, y }: Point, hasWords: boolean): Rect => {
      const beside = hasWords ? tieArm + 2 + tieWords.width : tieArm + 1;
      return { left: x - (isWordsRight ? tieArm + 1 : beside), right: x + (isWordsRight ? beside : tieArm + 1), bottom: y - (hasWords && isWordsBelow ? tieWords.height : tieArm + 1), top: y + (hasWords && !isWordsBelow ? tieWords.height : tieArm + 1) };
    };
    // With its words, and room to all lines and for labels; else nearer; else its words may lie over lines and marks; at last the cross too.
    const demands: readonly Demand[] = [{ near: 8, ofCross: 5, ofWords: 5, hasLabels: true }, { near: 8, ofCross: 5, ofWords: 5 }, { near: 8, ofCross: 1, ofWords: 1 }, { near: Infinity, ofCross: 5, ofWords: 5 }, { near: Infinity, ofCross: 1, ofWords: 1 }, { near: Infinity, ofCross: 1, ofWords: undefined }, { near: Infinity, ofCross: -tieArm, ofWords: undefined }];
    // Seen from its other end it lies the way it is wanted: a tie line must not turn into the other diagonal.
    const isThatWay = ({ x, y }: Point) => !other || ((x - other.at.x) * way.x > 0 && (y - other.at.y) * way.y > 0);
    const search = ({ near, ofCross, ofWords, hasLabels = false }: Demand, isStrict: boolean) => {
      for (const cell of cells.slice(0, near)) {
        const core = grown(cell.core, ofCross > 0 ? -5 : 0);
        for (const place of places(cell)) {
          const at = moved(place);
          if (isStrict && !isThatWay(at)) continue;
          const [cross, words] = [boxAt(at, false), boxAt(at, true)];
          const box = ofWords === undefined ? cross : words;
          if (!isWithin(box, core) || !isClear(box, ofWords ?? ofCross) || (hasLabels && findLabelled(box).length > 0)) continue;
          if (ofWords !== undefined && isOnName(box)) continue;
          if (ofCross > 0 ? find(box).length > 0 || taken.some((one) => sharedArea(one, box) > 0) : findHoles(boxOf([at])).length > 0) continue;
          if (!isInside({ x: box.left, y: box.bottom }, outline)) continue;
          return { words, end: { at, sheet: cell.name, isWordsRight, isWordsBelow } };
        }
      }
      return undefined;
    };
    const strict = other ? demands.filter(({ ofWords }) => ofWords !== undefined).map((demand) => ({ demand, isStrict: true })) : [];
    for (const { demand, isStrict } of [...strict, ...demands.map((demand) => ({ demand, isStrict: false }))]) {
      const found = search(demand, isStrict);
      if (!found) continue;
      // Room for labels is not worth a line much shorter.
      const further = demand.hasLabels ? search({ ...demand, hasLabels: false }, isStrict) : undefined;
      const best = further && reach(further.end.at) - reach(found.end.at) > worthwhile ? further : found;
      taken.push(best.words);
      return best.end;
    }
    return undefined;
  };
}

/** What is asked of a place for a tie line's end: on so many of the furthest sheets, with room round the cross and the words, mm. */
interface Demand {
  readonly near: number;
  readonly ofCross: number;
  /** Undefined where the words may lie over anything. */
  readonly ofWords: number | undefined;
  readonly hasLabels?: boolean;
}

/** How much further away, across and up together, a place is worth another without room for labels, mm (our choice). */
const worthwhile = 40;

/** Points on whole steps inside a box. */
export function lattice(box: Rect, step: number): Point[] {
  const points: Point[] = [];
  for (let x = Math.ceil(box.left / step) * step; x <= box.right; x += step) {
    for (let y = Math.ceil(box.bottom / step) * step; y <= box.top; y += step) points.push({ x, y });
  }
  return points;
}

/** All marks of the tie lines. */
export function tieMarks(ties: readonly TieLine[], plan: Plan, setter: Typesetter, cells?: readonly Cell[]): Mark[] {
  return tieEndMarks(ties, plan, setter, cells).flat();
}

/**
 * For each end of each tie line a cross, a stub towards the other end, and what must be measured. Where the words would lie
 * over those of an end before or over another cross, the number stands alone, beside the cross or between its arms.
 * @param cells where given, an end whose words would be cut off there has its number alone
 */
export function tieEndMarks(ties: readonly TieLine[], plan: Plan, setter: Typesetter, cells?: readonly Cell[]): Mark[][] {
  const all = ties.flatMap(({ number, ends, length }) => ends.map((end, index) => ({ number, length, end, other: ends[1 - index] as TieEnd })));
  const taken: Rect[] = [];
  const marks = all.map(({ number, length, end, other }): Mark[] => {
    const { x, y } = end.at;
    const share = (mm: number) => ({ x: x + ((other.at.x - x) * mm) / length, y: y + ((other.at.y - y) * mm) / length });
    const { isWordsRight, isWordsBelow } = end;
    const align = isWordsRight ? 'left' : 'right';
    const beside = (mm: number) => x + (isWordsRight ? mm : -mm);
    const start = beside(tieArm + 1.5);
    const [upper, lower] = isWordsBelow ? [y - 2.8, y - 6.4] : [y + 4.4, y + 0.8];
    const whole = [
      text(setter, 'tie', { x: start, y: upper }, `tie line ${number}: ${tapeWords(length, plan)}`, { size: 2.6, weight: 'bold', align, most: tieWords.width }),
      text(setter, 'tie', { x: start, y: lower }, `from this cross to the one on ${other.sheet}`, { size: 2.4, align, most: tieWords.width }),
    ];
    const alone = [{ x: start, y: upper }, { x: beside(0.8), y: isWordsBelow ? y - 2.7 : y + 0.9 }].map((at) => [text(setter, 'tie', at, `tie ${number}`, { size: 2.4, weight: 'bold', align })]);
    const isCut = cells && !whole.every((mark) => cells.some(({ name, window }) => name === end.sheet && isWithin(markBounds(mark), window)));
    const crosses = all.filter((one) => one.end !== end).map((one) => grown(boxOf([one.end.at]), tieArm));
    const words = (isCut ? alone : [whole, ...alone]).find((form) => form.every((mark) => [...taken, ...crosses].every((box) => sharedArea(markBounds(mark), box) === 0))) ?? [];
    taken.push(...words.map(markBounds));
    return [
      line('tie', { x: x - tieArm, y }, { x: x + tieArm, y }, tiePen),
      line('tie', { x, y: y - tieArm }, { x, y: y + tieArm }, tiePen),
      ...(length > 40 && other.at.y > y === isWordsBelow ? [line('tie', share(tieArm + 1), share(14), stubPen)] : []),
      ...words,
    ];
  });
  // On a small jig the stub of one may point through the words of the other.
  const others = marks.flat();
  return marks.map((end) => withoutStruckStubs(end, others));
}

/** Leaves out the stubs of tie lines that run into words among other marks; a tie line's own words say enough. */
export function withoutStruckStubs(marks: readonly Mark[], others: readonly Mark[]): Mark[] {
  const words = others.filter(({ kind }) => kind === 'text').map(markBounds);
  return marks.filter((mark) => mark.kind !== 'line' || mark.pen !== stubPen || words.every((box) => !clipSegment(mark.a, mark.b, grown(box, 0.5))));
}

/** First row: titles; then what to measure, from where to where, and how far it may be off. */
export function tieRows(ties: readonly TieLine[], plan: Plan): string[][] {
  const rows = ties.map(({ number, ends, length, allowed }) => [`${number}`, `cross on ${ends[0].sheet}`, `cross on ${ends[1].sheet}`, tapeWords(length, plan), `${formatLength(allowed)}${plan.units === 'in' ? ` (${formatThirtySeconds(allowed)})` : ''} more or less`]);
  return [['tie line', 'from', 'to', 'must measure', 'may be off'], ...rows];
}

export interface Orientation {
  /** Where the triangle's tip touches the edge or rim line, in the coordinates of the drilled face. */
  readonly at: Point;
  /** Into the panel, length 1. */
  readonly inwards: Point;
  /** Along the edge to its other end, length 1: where the words stand. */
  readonly along: Point;
  /** Whether there is room for the words, and how much deeper they stand, clear of the name of an inner face, mm. */
  readonly hasWords: boolean;
  readonly sink: number;
  /** Name of the edge. */
  readonly edge: string;
  /** Which end of it, as seen from outside. */
  readonly end: 'left' | 'upper';
}

/** Height and half the width of the orientation mark, mm. */
const triangle = { height: 8, half: 3.2 } as const;
const orientationSize = 2.4;

const orientationWords = ({ edge, end }: Pick<Orientation, 'edge' | 'end'>) => `orientation mark: ${edge}, ${end} end as seen from outside`;

/** The orientation mark: near the left end, seen from outside, of the top edge, or of the edge that comes nearest to one. */
export function orientationOf(plan: Plan, layout: Pick<Layout, 'cells'>): Orientation {
  const toFace = faceTransform(plan);
  const edges = plan.panel.edges;
  const rise = ({ a, b }: { a: Point; b: Point }) => (a.y + b.y) / 2 + Math.min(Math.abs(a.x - b.x), 200) - Math.abs(a.y - b.y);
  const named = edges.findIndex(({ name }) => name === 'top edge');
  const index = named >= 0 ? named : edges.reduce((best, edge, at) => (rise(edge) > rise(edges[best] as typeof edge) ? at : best), 0);
  const edge = (edges[index] as { name: string }).name;
  const { a: p, b: q, inwards, sealant: sink } = laidLines(plan)[index] as PanelLine;
  const isUpright = Math.abs(p.x - q.x) < Math.abs(p.y - q.y) - 1e-6;
  const end = isUpright ? 'upper' : 'left';
  // The left end as seen from outside lies on the right of the inside face.
  const turn = plan.face === 'outside' ? 1 : -1;
  const [start, stop] = (isUpright ? p.y > q.y : turn * p.x < turn * q.x) ? [p, q] : [q, p];
  const length = Math.hypot(stop.x - start.x, stop.y - start.y);
  const along = { x: (stop.x - start.x) / length, y: (stop.y - start.y) / length };
  const tipAt = (mm: number) => ({ x: start.x + along.x * mm, y: start.y + along.y * mm });

  const visible = laidOutline(plan);
  const joints = [(plan.jointLine ?? []).map(toFace), ...boxOutlines(plan)].flatMap(edgesOf);
  const holes = plan.holes.map((hole) => ({ center: toFace(hole.center), radius: markedRadius(hole) }));
  const isIn = (box: Rect, { core }: Cell) => box.left > core.left + 4 && box.right < core.right - 4 && box.bottom > core.bottom + 2 && box.top < core.top - 2;
  const findHoles = boxIndex(holes.map(({ center, radius }) => grown(boxOf([center]), radius)));
  const isFree = (tip: Point, hasWords: boolean) => {
    const mark = { at: tip, inwards, along, hasWords, sink, edge, end } as const;
    const shapes = orientationShapes(mark);
    const isOffHoles = (shape: readonly Point[]) => findHoles(boxOf(shape)).map((at) => holes[at] as (typeof holes)[number]).every(({ center, radius }) => distanceToCorners(center, shape) > radius);
    return (
      layout.cells.some((cell) => isIn(orientationBox(mark), cell)) &&
      shapes.every((shape) => isOffHoles(shape) && shape.every((corner) => isInside(corner, visible)) && edgesOf(visible).every((line) => !doMeet(line, shape))) &&
      shapes.slice(1).every((words) => joints.every((line) => !doMeet(line, words)))
    );
  };
  const tries = [24, 30, 36, 42, 48, 54, 60, 18, 14].filter((mm) => mm < length / 2);
  // At last, wherever on its half of the edge there is room.
  const anywhere = Array.from({ length: Math.max(0, Math.ceil(length / 4) - 3) }, (_, step) => 6 + 2 * step).filter((mm) => mm < length / 2);
  const beyond = [...tries, ...[70, 80, 100, 120, 150, 180].filter((mm) => mm < length / 3), ...[10, 7].filter((mm) => mm < length / 2), ...anywhere];
  const [best, bare] = [tries.find((mm) => isFree(tipAt(mm), true)), beyond.find((mm) => isFree(tipAt(mm), false))];
  const at = tipAt(best ?? bare ?? Math.min(24, Math.max(length / 4, Math.min(length * 0.45, triangle.half + 0.3))));
  return { at, inwards, along, hasWords: best !== undefined, sink, edge, end };
}

/** Corners of the triangle (first), and of the box along the edge that holds its words, a little inside the edge. */
function orientationShapes(mark: Orientation): Point[][] {
  const { at, inwards, along, hasWords, sink } = mark;
  const corner = (far: number, deep: number) => ({ x: at.x + along.x * far + inwards.x * deep, y: at.y + along.y * far + inwards.y * deep });
  const { height, half } = triangle;
  // Half an em is more than the letters of these words are wide on the average.
  const [start, end] = [half + 1, half + 2 + orientationWords(mark).length * orientationSize * 0.5];
  return [[corner(0, 0.01), corner(half, height), corner(-half, height)], ...(hasWords ? [[corner(start, 4.8 + sink), corner(end, 4.8 + sink), corner(end, height + 0.2 + sink), corner(start, height + 0.2 + sink)]] : [])];
}

/** The box round the orientation mark and its words, mm. */
export function orientationBox(mark: Orientation): Rect {
  return boxOf(orientationShapes(mark).flat());
}

/** Distance from a point to a convex polygon, 0 inside it. */
function distanceToCorners(p: Point, corners: readonly Point[]): number {
  return isInside(p, corners) ? 0 : Math.min(...edgesOf(corners).map((edge) => clearanceToSegment(p, edge).distance));
}

/** Whether a segment crosses the border of a polygon. */
function doMeet(segment: Segment, corners: readonly Point[]): boolean {
  return edgesOf(corners).some((side) => segmentsTouch(segment, side));
}

/** A solid triangle that points at its edge. */
export function triangleMark({ at, inwards }: Pick<Orientation, 'at' | 'inwards'>, size = 1): Path {
  const [height, half] = [triangle.height * size, triangle.half * size];
  const base = { x: at.x + inwards.x * height, y: at.y + inwards.y * height };
  return path('orientation', [at, { x: base.x - inwards.y * half, y: base.y + inwards.x * half }, { x: base.x + inwards.y * half, y: base.y - inwards.x * half }], null, 0);
}

export function orientationMarks(orientation: Orientation, setter: Typesetter): Mark[] {
  const { at, inwards, along, hasWords, sink } = orientation;
  if (!hasWords) return [triangleMark(orientation)];
  const { isForward, angle, up } = reading(along);
  const isUpInwards = up.x * inwards.x + up.y * inwards.y > 0;
  const [far, deep] = [triangle.half + 1.5, triangle.height - 1.6 + sink + (isUpInwards ? -0.9 : 0.9)];
  const start = { x: at.x + along.x * far + inwards.x * deep, y: at.y + along.y * far + inwards.y * deep };
  return [
    triangleMark(orientation),
    text(setter, 'orientation', start, orientationWords(orientation), { size: orientationSize, align: isForward ? 'left' : 'right', angle, gray: 0.2 }),
  ];
}

/** On which face the sheets lie, how they are read, and where the orientation mark then stands. */
export function faceWords(plan: Plan, { edge, end }: Pick<Orientation, 'edge' | 'end'>): string {
  const [drilled, far] = plan.face === 'outside' ? ['OUTSIDE', 'INSIDE'] : ['INSIDE', 'OUTSIDE'];
  const seen = end === 'left' && plan.face === 'inside' ? 'right' : end;
  const lies = plan.sheets.isOnFarFace ? `Lies on the ${far} face, print against the glass; read it through the panel from the ${drilled} face` : `Lies on the ${drilled} face, print towards you`;
  return `${lies}. Triangle: ${edge}, at its ${seen} end as you look.`;
}
