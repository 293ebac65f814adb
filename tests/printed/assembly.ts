/**
 * Puts the sheets of a jig together as one does on the panel: by their alignment marks, found in the pixels of one
 * renderer. What is measured on different sheets can then be compared on one panel. Lengths in mm; page coordinates from
 * the lower left corner, panel coordinates as seen from outside.
 */
import type { Point, Rect } from '../../src/plan/plan.ts';
import { around, boxOf, expectedOn, findLine, findRing, fine, isWithin, pageOf, seamHints, strokesAlong, windowOf, type Picture, type Printed, type Ring } from './measure.ts';
import type { Reading, Renderer } from './renderers.ts';

const readings = new Map<Printed, Map<Renderer, Promise<Reading>>>();

/** A renderer's reading of a jig, opened once. */
export function readingOf(printed: Printed, renderer: Renderer): Promise<Reading> {
  const opened = readings.get(printed) ?? new Map<Renderer, Promise<Reading>>();
  readings.set(printed, opened);
  const reading = opened.get(renderer) ?? renderer.open(printed.bytes);
  opened.set(renderer, reading);
  return reading;
}

/** Frees all that was opened. */
export async function closeReadings(): Promise<void> {
  for (const reading of [...readings.values()].flatMap((opened) => [...opened.values()])) await (await reading).close();
  readings.clear();
}

/** Part of a sheet's page at 600 dpi. */
export async function finePicture(printed: Printed, renderer: Renderer, sheet: string, box: Rect): Promise<Picture> {
  return (await readingOf(printed, renderer)).picture(pageOf(printed, sheet), fine, box);
}

export function sheetNames({ jig }: Printed): string[] {
  return jig.sheets.map(({ name }) => name);
}

export const apart = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);
export const plus = (p: Point, q: Point) => ({ x: p.x + q.x, y: p.y + q.y });
export const minus = (p: Point, q: Point) => ({ x: p.x - q.x, y: p.y - q.y });
const between = (a: Point, b: Point, share: number) => ({ x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) });
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

// ---------------------------------------------------------------- alignment marks

/** An alignment mark, a square on its tip with a cross through it: its middle, and half the square's height. */
export interface FoundMark {
  readonly center: Point;
  readonly half: number;
}

/** How far beside the seam the first looks for marks are cast, mm: through the square, one twice as far as the other. */
const looks = [0.6, 1.2] as const;
/** How far the square and the cross may be off their shape to be tried as a mark, mm. */
const loose = 0.3;

/**
 * Alignment marks whose middle lies on the way from a to b: on a look beside it, their square shows two strokes with the
 * cross' arm halfway; the look twice as far out shows them nearer together by as much as it is further out.
 */
export function marksAlong(picture: Picture, a: Point, b: Point): FoundMark[] {
  const length = apart(a, b);
  const along = { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
  const at = (t: number, out: number) => ({ x: a.x + t * along.x - out * along.y, y: a.y + t * along.y + out * along.x });
  const cast = (out: number) => strokesAlong(picture, at(0, out), at(length, out)).map(({ middle }) => middle);
  const [near, far] = looks;
  const casts = [-far, -near, near, far].map((out) => ({ out: Math.abs(out), strokes: cast(out) }));
  const has = (strokes: readonly number[], place: number) => strokes.some((stroke) => Math.abs(stroke - place) < loose);
  const marks: FoundMark[] = [];
  for (const { middle, gap } of triples(casts[3]?.strokes ?? [])) {
    const half = gap + far;
    if (!casts.every(({ out, strokes }) => [-1, 0, 1].every((side) => has(strokes, middle + side * (half - out))))) continue;
    const mark = markAt(picture, at(middle, 0), half);
    if (mark && !marks.some(({ center }) => apart(center, mark.center) < 1)) marks.push(mark);
  }
  return marks;
}

/** Strokes with two others at the same distance, 0.4 to 5 mm, before and behind. */
function triples(strokes: readonly number[]): { middle: number; gap: number }[] {
  return strokes.flatMap((middle) =>
    strokes.flatMap((before) => {
      const gap = middle - before;
      return gap > 0.4 && gap < 5 && strokes.some((behind) => Math.abs(behind - middle - gap) < loose) ? [{ middle, gap }] : [];
    }));
}

/**
 * Where exactly a mark stands, by the four sides of its square: the cross' arms may lie on the seam line. Undefined unless
 * all sides are there, and all arms go on outside the square.
 */
function markAt(picture: Picture, center: Point, half: number): FoundMark | undefined {
  const line = (a: Point, b: Point, from: number, to: number) => findLine(picture, plus(center, between(a, b, from)), plus(center, between(a, b, to)));
  const tips = [{ x: half, y: 0 }, { x: 0, y: half }, { x: -half, y: 0 }, { x: 0, y: -half }];
  const arms = tips.map((tip) => line({ x: 0, y: 0 }, tip, 1.1, 1.5));
  const sides = tips.map((tip, index) => line(tip, tips[(index + 1) % 4] as Point, 0.2, 0.8));
  if ([...arms, ...sides].some((found) => !found || found.seen < 0.7)) return undefined;
  // Sides of the upper right, upper left, lower left and lower right, each by how far it lies inwards.
  const [ur, ul, ll, lr] = sides.map((side) => (side as { offset: number }).offset * Math.SQRT2) as [number, number, number, number];
  return { center: plus(center, { x: (ul + ll - ur - lr) / 4, y: (ll + lr - ur - ul) / 4 }), half: half - (ur + ul + ll + lr) / 4 };
}

// ---------------------------------------------------------------- sheets put together

/** A seam: its marks as both sheets show them, in pairs, and those that only one of them shows. */
export interface Joint {
  readonly under: string;
  readonly over: string;
  readonly pairs: readonly (readonly [FoundMark, FoundMark])[];
  readonly lonely: readonly FoundMark[];
  /** What moves the page of the sheet on top to its place on the page of the one underneath. */
  readonly shift: Point;
}

export async function jointsOf(printed: Printed, renderer: Renderer): Promise<Joint[]> {
  const joints: Joint[] = [];
  for (const { under, over, a, b } of seamHints(printed)) {
    const ends = [under, over].map((sheet) => [expectedOn(printed, sheet, a), expectedOn(printed, sheet, b)] as const);
    const [mine, theirs] = [await marksOnSeam(printed, renderer, under, ...(ends[0] as [Point, Point])), await marksOnSeam(printed, renderer, over, ...(ends[1] as [Point, Point]))];
    const away = minus((ends[0] as [Point, Point])[0], (ends[1] as [Point, Point])[0]);
    const twin = (mark: FoundMark) => theirs.find(({ center }) => apart(plus(center, away), mark.center) < 1);
    const pairs = mine.flatMap((mark) => {
      const found = twin(mark);
      return found ? [[mark, found] as const] : [];
    });
    const lonely = [...mine.filter((mark) => !twin(mark)), ...theirs.filter((mark) => !pairs.some(([, paired]) => paired === mark))];
    const shifts = pairs.map(([p, q]) => minus(p.center, q.center));
    joints.push({ under, over, pairs, lonely, shift: { x: mean(shifts.map(({ x }) => x)), y: mean(shifts.map(({ y }) => y)) } });
  }
  return joints;
}

/** Half the width of the strip along a seam in which a mark is whole, mm. */
const markRoom = 8;

async function marksOnSeam(printed: Printed, renderer: Renderer, sheet: string, a: Point, b: Point): Promise<FoundMark[]> {
  const { left, right, bottom, top } = boxOf([a, b]);
  return marksAlong(await finePicture(printed, renderer, sheet, { left: left - markRoom, right: right + markRoom, bottom: bottom - markRoom, top: top + markRoom }), a, b);
}

/** Where sheets lie when taped together: what moves each page to its place on the page of the first. */
export type Assembly = ReadonlyMap<string, Point>;

/** Sheets taped together by their seams, in as many pieces as they make. */
export function assemble(printed: Printed, joints: readonly Joint[]): Assembly[] {
  const pieces: Map<string, Point>[] = [];
  for (const name of sheetNames(printed)) {
    if (pieces.some((piece) => piece.has(name))) continue;
    const piece = new Map([[name, { x: 0, y: 0 }]]);
    for (const [sheet, place] of piece) {
      for (const { under, over, pairs, shift } of joints) {
        if (pairs.length === 0) continue;
        if (under === sheet && !piece.has(over)) piece.set(over, plus(place, shift));
        if (over === sheet && !piece.has(under)) piece.set(under, minus(place, shift));
      }
    }
    pieces.push(piece);
  }
  return pieces;
}

// ---------------------------------------------------------------- what sheets show of the panel

/** Share of a circle that must be in a sheet's window for its ring to be measured. */
const leastShare = 0.3;

/** A drilling circle as found on a sheet's page; undefined where the sheet shows too little of it. */
export async function ringOn(printed: Printed, renderer: Renderer, sheet: string, center: Point, diameter: number): Promise<Ring | undefined> {
  const expected = expectedOn(printed, sheet, center);
  const window = windowOf(printed, sheet);
  const turns = Array.from({ length: 180 }, (_, step) => (step * Math.PI) / 90);
  const shown = turns.filter((turn) => isWithin(plus(expected, { x: (diameter / 2) * Math.cos(turn), y: (diameter / 2) * Math.sin(turn) }), window, 0.5)).length / turns.length;
  if (shown < leastShare) return undefined;
  const ring = findRing(await finePicture(printed, renderer, sheet, around(expected, diameter / 2 + 2)), expected, diameter / 2);
  if (!ring || ring.seen < 0.8 * shown) throw new Error(`${renderer.name} shows no circle of ${diameter} mm on ${sheet} at ${expected.x}, ${expected.y}`);
  return ring;
}

/** Length of a stretch on which a line is looked for, and how far from the window's border it stays, mm. */
const stretch = 8;
const inset = 4;

/** Points of a straight line of the panel, from a to b, as found on a sheet's page: at both ends and in the middle of what it shows. */
export async function linePointsOn(printed: Printed, renderer: Renderer, sheet: string, a: Point, b: Point): Promise<Point[]> {
  const [from, to] = [expectedOn(printed, sheet, a), expectedOn(printed, sheet, b)];
  const window = windowOf(printed, sheet);
  const steps = Math.ceil(apart(from, to) / 2);
  const shares = Array.from({ length: steps + 1 }, (_, step) => step / steps).filter((share) => isWithin(between(from, to, share), window, inset));
  const [first = 1, last = 0] = [shares[0], shares[shares.length - 1]];
  const wide = stretch / apart(from, to);
  if (last - first < 3 * wide) return [];
  const points: Point[] = [];
  for (const start of [first, (first + last - wide) / 2, last - wide]) {
    const [p, q] = [between(from, to, start), between(from, to, start + wide)];
    const { left, right, bottom, top } = boxOf([p, q]);
    const line = findLine(await finePicture(printed, renderer, sheet, { left: left - 2, right: right + 2, bottom: bottom - 2, top: top + 2 }), p, q);
    if (!line) continue;
    const along = { x: (q.x - p.x) / apart(p, q), y: (q.y - p.y) / apart(p, q) };
    points.push(plus(between(p, q, 0.5), { x: -line.offset * along.y, y: line.offset * along.x }));
  }
  return points;
}

/** A straight line: a point on it, its direction of length 1, and the largest distance of a point from it. */
export interface FittedLine {
  readonly point: Point;
  readonly along: Point;
  readonly uneven: number;
}

/** The straight line with the least squared distances to points, at least two. */
export function fitLine(points: readonly Point[]): FittedLine {
  const point = { x: mean(points.map(({ x }) => x)), y: mean(points.map(({ y }) => y)) };
  const away = points.map((p) => minus(p, point));
  const [xx, xy, yy] = [away.map(({ x }) => x * x), away.map(({ x, y }) => x * y), away.map(({ y }) => y * y)].map(mean) as [number, number, number];
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  const along = { x: Math.cos(angle), y: Math.sin(angle) };
  return { point, along, uneven: Math.max(...away.map(({ x, y }) => Math.abs(along.x * y - along.y * x))) };
}

export function distanceToLine({ x, y }: Point, { point, along }: FittedLine): number {
  return Math.abs(along.x * (y - point.y) - along.y * (x - point.x));
}

/** Where two lines that are not parallel meet. */
export function meetingOf(p: FittedLine, q: FittedLine): Point {
  const across = p.along.x * q.along.y - p.along.y * q.along.x;
  const t = ((q.point.x - p.point.x) * q.along.y - (q.point.y - p.point.y) * q.along.x) / across;
  return { x: p.point.x + t * p.along.x, y: p.point.y + t * p.along.y };
}

/** Twice the area of a triangle: positive where its corners go round counter-clockwise. */
export function turnOf(p: Point, q: Point, r: Point): number {
  return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
}
