/**
 * Makes jigs in memory and measures them on paper, by means that know nothing of how panejig draws: pdfjs-dist
 * (Mozilla's PDF renderer) gives the pixels, the vectors and the words of a page; the functions here look for rings and
 * strokes in them, and in the pixels of any other renderer (renderers.ts). All lengths in mm, page coordinates from the
 * lower left corner, y upwards.
 */
import { readFileSync } from 'node:fs';
import { DOMMatrix, Path2D, createCanvas } from '@napi-rs/canvas';
import type { Canvas } from '@napi-rs/canvas';
import * as pdfjs from 'pdfjs-dist/legacy/build/pdf.mjs';
import { jigPdf, makeJig, specWords, type Jig, type JigOptions } from '../../src/jig.ts';
import { readBuild, type Build } from '../../src/plan/build.ts';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { seamsOf } from '../../src/render/layout.ts';
import { checkPlan, type Report } from '../../src/report.ts';
import { loadWide } from '../fonts.ts';

Object.assign(globalThis, { DOMMatrix, Path2D });

/** NIST SP 811, appendix B: 1 in = 25.4 mm. ISO 32000-1:2008, 8.3.2.3: 72 units of default user space to the inch. */
export const mmPerInch = 25.4;
export const mmPerPoint = mmPerInch / 72;

/** Resolution for measuring, and what one pixel of it is in mm. */
export const fine = 600;
export const finePixel = mmPerInch / fine;

/** A jig as a PDF, and pdf.js' reading of it. */
export interface Printed {
  readonly plan: Plan;
  readonly report: Report;
  readonly jig: Jig;
  readonly bytes: Uint8Array;
  readonly pdf: pdfjs.PDFDocumentProxy;
}

/** What a spec describes that must be free of errors; what it includes stands with the examples. */
export function buildOf(spec: string): Build {
  const reading = readBuild(spec, (name) => ({ text: readFileSync(new URL(`../../templates-spec/${name}`, import.meta.url), 'utf8'), file: name }));
  if ('problems' in reading) throw new Error(`the test's own spec is wrong: ${JSON.stringify(reading.problems)}`);
  return reading.build;
}

export function plansOf(spec: string): readonly Plan[] {
  return buildOf(spec).panels;
}

/** The plan of such a spec's only panel, or of the part of that name. */
export function planOf(spec: string, part = ''): Plan {
  const plan = plansOf(spec).find((one) => one.part === part);
  if (!plan) throw new Error(`the test's own spec has no ${part || 'panel alone'}`);
  return plan;
}

/** Prints the jig of a spec into memory, with other sheets where given; `alter` may spoil it on the way, to see whether that is noticed. */
export async function printJig(spec: string, options: JigOptions & { readonly sheets?: Partial<Plan['sheets']>; readonly part?: string | undefined } = {}, alter: (jig: Jig) => Jig = (jig) => jig): Promise<Printed> {
  const read = planOf(spec, options.part);
  const plan = { ...read, sheets: { ...read.sheets, ...options.sheets } };
  const report = checkPlan(plan);
  const setter = await loadWide(specWords(plan));
  const made = makeJig(plan, report, setter, options);
  if ('problem' in made) throw new Error(`no layout: ${made.problem}`);
  const jig = alter(made);
  const bytes = await jigPdf(plan, report, jig, setter);
  return { plan, report, jig, bytes, pdf: await openPdf(bytes) };
}

export function openPdf(bytes: Uint8Array): Promise<pdfjs.PDFDocumentProxy> {
  return pdfjs.getDocument({ data: bytes.slice(), disableFontFace: true, useSystemFonts: false, verbosity: 0 }).promise;
}

/** Number of the page, from 1, on which a sheet is printed: the sheets follow the front pages. */
export function pageOf({ jig }: Printed, sheet: string): number {
  const index = jig.sheets.findIndex(({ name }) => name === sheet);
  if (index < 0) throw new Error(`there is no sheet ${sheet}`);
  return jig.front.length + index + 1;
}

/** Width and height of a page, mm. */
export async function pageSize({ pdf }: Pick<Printed, 'pdf'>, pageNumber: number): Promise<{ width: number; height: number }> {
  const page = await pdf.getPage(pageNumber);
  const [left = 0, bottom = 0, right = 0, top = 0] = page.view;
  return { width: (right - left) * page.userUnit * mmPerPoint, height: (top - bottom) * page.userUnit * mmPerPoint };
}

/** All words of a page, in the order of the page's content. */
export async function wordsOf({ pdf }: Pick<Printed, 'pdf'>, pageNumber: number): Promise<string> {
  const { items } = await (await pdf.getPage(pageNumber)).getTextContent();
  return items.map((item) => ('str' in item ? item.str : '')).join('\n');
}

// ---------------------------------------------------------------- pixels

/** A part of a page as gray pixels, 0 black to 255 white, row by row from the top. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly gray: Uint8Array;
  /** Place of the picture's upper left corner on the page, mm. */
  readonly corner: Point;
  /** mm. */
  readonly pixel: number;
}

/** Renders a page, or the part of it inside `box` (mm), on a white canvas. */
export async function canvasOf({ pdf }: Pick<Printed, 'pdf'>, pageNumber: number, dpi: number, box?: Rect): Promise<{ canvas: Canvas; left: number; top: number; pageHeight: number }> {
  const page = await pdf.getPage(pageNumber);
  const scale = dpi / 72;
  const whole = page.getViewport({ scale });
  const perMm = dpi / mmPerInch;
  const [left, top] = box ? [Math.floor(box.left * perMm), Math.floor(whole.height - box.top * perMm)] : [0, 0];
  const [right, bottom] = box ? [Math.ceil(box.right * perMm), Math.ceil(whole.height - box.bottom * perMm)] : [Math.ceil(whole.width - 1e-6), Math.ceil(whole.height - 1e-6)];
  const canvas = createCanvas(right - left, bottom - top);
  const viewport = page.getViewport({ scale, offsetX: -left, offsetY: -top });
  await page.render({ canvas: null, canvasContext: canvas.getContext('2d') as never, viewport }).promise;
  return { canvas, left, top, pageHeight: whole.height };
}

export async function pictureOf(printed: Pick<Printed, 'pdf'>, pageNumber: number, dpi: number, box?: Rect): Promise<Picture> {
  const { canvas, left, top, pageHeight } = await canvasOf(printed, pageNumber, dpi, box);
  const { width, height } = canvas;
  const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
  const colors = new Uint32Array(data.buffer, data.byteOffset, width * height);
  const gray = new Uint8Array(width * height);
  for (let i = 0; i < gray.length; i += 1) {
    const color = colors[i] as number;
    gray[i] = ((color & 255) + ((color >> 8) & 255) + ((color >> 16) & 255) + 1) / 3;
  }
  const pixel = mmPerInch / dpi;
  return { width, height, gray, corner: { x: left * pixel, y: (pageHeight - top) * pixel }, pixel };
}

/** Darkness, 0 white to 1 black, at a place in pixels from the picture's upper left corner: bilinear between the middles of pixels. */
function darknessAt({ width, height, gray }: Picture, column: number, row: number): number {
  const left = Math.floor(column - 0.5);
  const top = Math.floor(row - 0.5);
  if (left < 0 || top < 0 || left + 1 >= width || top + 1 >= height) return 0;
  const u = column - 0.5 - left;
  const v = row - 0.5 - top;
  const at = top * width + left;
  const upper = (1 - u) * (gray[at] as number) + u * (gray[at + 1] as number);
  const lower = (1 - u) * (gray[at + width] as number) + u * (gray[at + width + 1] as number);
  return 1 - ((1 - v) * upper + v * lower) / 255;
}

/** A dark stroke met on a scan. */
export interface Stroke {
  /** Distance of its middle from the scan's start, mm. */
  readonly middle: number;
  /** mm. */
  readonly width: number;
}

/** Samples to a pixel on a scan. */
const samplesPerPixel = 4;

/**
 * Dark strokes on the straight way from one point to another. They are found where darkness passes one half. Their edges
 * then come from the ink on either side of the middle: a pixel that an edge crosses is as dark as its covered share, so
 * the sum is the covered length, wherever in the pixel the edge lies. The darkest sample counts as fully covered.
 */
export function strokesAlong(picture: Picture, from: Point, to: Point): Stroke[] {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const steps = Math.ceil((length / picture.pixel) * samplesPerPixel);
  const step = length / steps;
  const { corner, pixel } = picture;
  const [column, row] = [(from.x - corner.x) / pixel, (corner.y - from.y) / pixel];
  const [right, down] = [(to.x - from.x) / pixel / steps, (from.y - to.y) / pixel / steps];
  const dark = new Float64Array(steps + 1);
  for (let index = 0; index <= steps; index += 1) dark[index] = darknessAt(picture, column + index * right, row + index * down);
  const strokes: Stroke[] = [];
  let start: number | undefined;
  for (let index = 1; index <= steps; index += 1) {
    const [last, here] = [dark[index - 1] as number, dark[index] as number];
    const crossing = index - (here - 0.5) / (here - last);
    if (here >= 0.5 && last < 0.5) start = crossing;
    if (here < 0.5 && last >= 0.5 && start !== undefined) {
      const [before, behind] = edgesByInk(dark, start, crossing);
      strokes.push({ middle: ((before + behind) / 2) * step, width: (behind - before) * step });
      start = undefined;
    }
  }
  return strokes;
}

/** The edges of a stroke between two crossings of one half; all in samples. */
function edgesByInk(dark: Float64Array, start: number, end: number): [number, number] {
  const middle = (start + end) / 2;
  // Beyond the crossing, the edge's pixel and the interpolation to the next one end within a pixel and a half; other ink may begin before.
  const room = 1.5 * samplesPerPixel;
  let first = Math.floor(start);
  while (first > 0 && start - first < room && (dark[first - 1] as number) <= (dark[first] as number)) first -= 1;
  let last = Math.ceil(end);
  while (last < dark.length - 1 && last - end < room && (dark[last + 1] as number) <= (dark[last] as number)) last += 1;
  let darkest = 0;
  for (let place = Math.ceil(start); place <= end; place += 1) darkest = Math.max(darkest, dark[place] as number);
  return [middle - inkBetween(dark, first, middle) / darkest, middle + inkBetween(dark, middle, last) / darkest];
}

/** The sum of darkness between two places, in samples, straight between samples. */
function inkBetween(dark: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let index = Math.floor(from); index < to; index += 1) {
    const [a, b] = [Math.max(from - index, 0), Math.min(to - index, 1)];
    const [left, right] = [dark[index] as number, dark[Math.min(index + 1, dark.length - 1)] as number];
    sum += (b - a) * (left + ((a + b) / 2) * (right - left));
  }
  return sum;
}

export function median(values: readonly number[]): number {
  if (values.length === 0) return NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? (sorted[half] as number) : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

/** A circle found on paper, mm. */
export interface Ring {
  readonly center: Point;
  readonly diameter: number;
  /** Share of the rays that met it. */
  readonly seen: number;
  /** Largest distance of a point of the ring from the fitted circle. */
  readonly unround: number;
}

/** How far from where it is expected a ring or line may lie and still be found, mm. Small against any distance on a jig. */
const reach = 1.2;
const rays = 720;

/**
 * Looks outward from a centre along many rays for a thin dark ring near an expected radius, and fits a circle to the
 * middles of its stroke. Rays on which a tick, a label or the edge of the sheet hides the ring are outvoted.
 * @returns undefined where fewer than a tenth of the rays meet a stroke
 */
export function findRing(picture: Picture, expected: Point, radius: number): Ring | undefined {
  const start = Math.max(0, radius - reach);
  const met: { at: Point; width: number }[] = [];
  for (let ray = 0; ray < rays; ray += 1) {
    const angle = (2 * Math.PI * (ray + 0.5)) / rays;
    const at = (r: number) => ({ x: expected.x + r * Math.cos(angle), y: expected.y + r * Math.sin(angle) });
    const strokes = strokesAlong(picture, at(start), at(radius + reach));
    const [nearest] = strokes.sort((a, b) => Math.abs(start + a.middle - radius) - Math.abs(start + b.middle - radius));
    if (nearest) met.push({ at: at(start + nearest.middle), width: nearest.width });
  }
  const points = ofOneStroke(met).map((stroke) => stroke.at);
  if (points.length < rays / 10) return undefined;
  const off = (circle: { center: Point; radius: number }, p: Point) => Math.abs(Math.hypot(p.x - circle.center.x, p.y - circle.center.y) - circle.radius);
  let sound = points;
  let fitted = fitCircle(points);
  for (let round = 0; round < 4; round += 1) {
    const usual = median(points.map((p) => off(fitted, p)));
    sound = points.filter((p) => off(fitted, p) <= 3 * usual + picture.pixel / 10);
    fitted = fitCircle(sound);
  }
  return { center: fitted.center, diameter: 2 * fitted.radius, seen: sound.length / rays, unround: Math.max(...sound.map((p) => off(fitted, p))) };
}

/** Leaves out strokes of another width than most: there another line or a letter runs into the stroke. */
function ofOneStroke<T extends { readonly width: number }>(strokes: readonly T[]): T[] {
  const usual = median(strokes.map(({ width }) => width));
  return strokes.filter(({ width }) => Math.abs(width - usual) <= usual / 5);
}

/** Least squares for x² + y² = 2ax + 2by + c: centre (a, b). */
function fitCircle(points: readonly Point[]): { center: Point; radius: number } {
  const origin = points[0] as Point;
  const rows = points.map((p) => [p.x - origin.x, p.y - origin.y] as const);
  const sums = [0, 0, 0, 0, 0, 0, 0, 0] as [number, number, number, number, number, number, number, number];
  for (const [x, y] of rows) {
    const square = x * x + y * y;
    [x, y, x * x, x * y, y * y, square, x * square, y * square].forEach((term, index) => (sums[index] = (sums[index] as number) + term));
  }
  const [x, y, xx, xy, yy, s, xs, ys] = sums;
  const [a, b, c] = solveThree([[2 * xx, 2 * xy, x], [2 * xy, 2 * yy, y], [2 * x, 2 * y, rows.length]], [xs, ys, s]);
  return { center: { x: origin.x + a, y: origin.y + b }, radius: Math.sqrt(c + a * a + b * b) };
}

type Three = readonly [number, number, number];

/** Cramer's rule. */
function solveThree(m: readonly [Three, Three, Three], right: Three): Three {
  const det = ([a, b, c]: readonly [Three, Three, Three]) => a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  const whole = det(m);
  const swapped = (column: number) => m.map((row, index) => row.map((value, at) => (at === column ? right[index] : value))) as unknown as [Three, Three, Three];
  return [det(swapped(0)) / whole, det(swapped(1)) / whole, det(swapped(2)) / whole];
}

/**
 * Where a straight dark line really lies: scans across it at many places between `a` and `b`, where it is expected.
 * @returns how far to the left of the way from a to b it lies (median), and the share of scans that met it
 */
export function findLine(picture: Picture, a: Point, b: Point): { offset: number; seen: number } | undefined {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const left = { x: -(b.y - a.y) / length, y: (b.x - a.x) / length };
  const scans = 80;
  const met: Stroke[] = [];
  for (let scan = 0; scan < scans; scan += 1) {
    const share = (scan + 0.5) / scans;
    const on = { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) };
    const at = (out: number) => ({ x: on.x + out * left.x, y: on.y + out * left.y });
    const [nearest] = strokesAlong(picture, at(-reach), at(reach)).sort((p, q) => Math.abs(p.middle - reach) - Math.abs(q.middle - reach));
    if (nearest) met.push(nearest);
  }
  const found = ofOneStroke(met).map(({ middle }) => middle - reach);
  return found.length < scans / 4 ? undefined : { offset: median(found), seen: found.length / scans };
}

// ---------------------------------------------------------------- vectors

/** Four points of a cubic Bézier curve, mm. */
export type Curve = readonly [Point, Point, Point, Point];

/** One subpath of a page's content as pdf.js reads it, every transform applied, mm. */
export interface VectorPath {
  /** Ends of its straight and curved pieces, in order. */
  readonly points: readonly Point[];
  readonly curves: readonly Curve[];
  readonly isClosed: boolean;
  readonly isStroked: boolean;
  readonly isFilled: boolean;
  readonly isDashed: boolean;
  /** mm. */
  readonly lineWidth: number;
  /** Box that clips it; null where the page alone does. */
  readonly clip: Rect | null;
}

type Matrix = readonly [number, number, number, number, number, number];

/** ISO 32000-1:2008, 8.3.4: the product that applies `inner` first. */
function product(outer: Matrix, inner: Matrix): Matrix {
  const [a, b, c, d, e, f] = outer;
  const [g, h, i, j, k, l] = inner;
  return [a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f];
}

interface GraphicsState {
  matrix: Matrix;
  lineWidth: number;
  isDashed: boolean;
  clip: Rect | null;
}

const stroking = new Set<number>([pdfjs.OPS.stroke, pdfjs.OPS.closeStroke, pdfjs.OPS.fillStroke, pdfjs.OPS.eoFillStroke, pdfjs.OPS.closeFillStroke]);
const filling = new Set<number>([pdfjs.OPS.fill, pdfjs.OPS.eoFill, pdfjs.OPS.fillStroke, pdfjs.OPS.eoFillStroke, pdfjs.OPS.closeFillStroke]);

/** Every subpath of a page in drawing order, forms included. */
export async function vectorsOf({ pdf }: Printed, pageNumber: number): Promise<VectorPath[]> {
  const list = await (await pdf.getPage(pageNumber)).getOperatorList();
  const paths: VectorPath[] = [];
  const stack: GraphicsState[] = [];
  let state: GraphicsState = { matrix: [mmPerPoint, 0, 0, mmPerPoint, 0, 0], lineWidth: mmPerPoint, isDashed: false, clip: null };
  let isClipNext = false;
  list.fnArray.forEach((operator, index) => {
    const args = (list.argsArray[index] ?? []) as unknown[];
    switch (operator) {
      case pdfjs.OPS.save:
        stack.push({ ...state });
        break;
      case pdfjs.OPS.paintFormXObjectBegin:
        stack.push({ ...state });
        if (args[0]) state.matrix = product(state.matrix, Array.from(args[0] as ArrayLike<number>) as unknown as Matrix);
        break;
      case pdfjs.OPS.restore:
      case pdfjs.OPS.paintFormXObjectEnd:
        state = stack.pop() as GraphicsState;
        break;
      case pdfjs.OPS.transform:
        state.matrix = product(state.matrix, args as unknown as Matrix);
        break;
      case pdfjs.OPS.setLineWidth:
        state.lineWidth = (args[0] as number) * mmPerPoint;
        break;
      case pdfjs.OPS.setDash:
        state.isDashed = (args[0] as ArrayLike<number>).length > 0;
        break;
      case pdfjs.OPS.clip:
      case pdfjs.OPS.eoClip:
        isClipNext = true;
        break;
      case pdfjs.OPS.constructPath: {
        const [paint, [data]] = args as [number, [ArrayLike<number> | null]];
        const shapes = subpaths(data ?? [], state.matrix);
        if (isClipNext) state.clip = shared(state.clip, boxOf(shapes.flatMap(({ points }) => points)));
        isClipNext = false;
        const { lineWidth, isDashed, clip } = state;
        for (const shape of shapes) paths.push({ ...shape, isStroked: stroking.has(paint), isFilled: filling.has(paint), isDashed, lineWidth, clip });
        break;
      }
      default:
    }
  });
  return paths.filter(({ isStroked, isFilled }) => isStroked || isFilled);
}

/** Codes of pdf.js' path data. */
const pathCode = { moveTo: 0, lineTo: 1, curveTo: 2, quadraticCurveTo: 3, closePath: 4 } as const;

function subpaths(data: ArrayLike<number>, [a, b, c, d, e, f]: Matrix): { points: Point[]; curves: Curve[]; isClosed: boolean }[] {
  const result: { points: Point[]; curves: Curve[]; isClosed: boolean }[] = [];
  let current: { points: Point[]; curves: Curve[]; isClosed: boolean } | undefined;
  for (let at = 0; at < data.length; ) {
    const code = data[at] as number;
    const point = (offset: number): Point => {
      const [x, y] = [data[at + offset] as number, data[at + offset + 1] as number];
      return { x: a * x + c * y + e, y: b * x + d * y + f };
    };
    if (code === pathCode.moveTo) {
      current = { points: [point(1)], curves: [], isClosed: false };
      result.push(current);
      at += 3;
    } else if (!current) throw new Error('a path that starts with no moveTo');
    else if (code === pathCode.lineTo) {
      current.points.push(point(1));
      at += 3;
    } else if (code === pathCode.curveTo) {
      current.curves.push([current.points[current.points.length - 1] as Point, point(1), point(3), point(5)]);
      current.points.push(point(5));
      at += 7;
    } else if (code === pathCode.closePath) {
      current.isClosed = true;
      at += 1;
    } else throw new Error(`pdf.js' path code ${code} is not known here`);
  }
  return result;
}

export function boxOf(points: readonly Point[]): Rect {
  const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
  return { left: Math.min(...xs), right: Math.max(...xs), bottom: Math.min(...ys), top: Math.max(...ys) };
}

function shared(a: Rect | null, b: Rect): Rect {
  return a ? { left: Math.max(a.left, b.left), right: Math.min(a.right, b.right), bottom: Math.max(a.bottom, b.bottom), top: Math.min(a.top, b.top) } : b;
}

export function isWithin({ x, y }: Point, box: Rect, inset = 0): boolean {
  return x >= box.left + inset && x <= box.right - inset && y >= box.bottom + inset && y <= box.top - inset;
}

/** A circle among the vectors: a closed stroke of nothing but curves. */
export interface VectorCircle {
  readonly center: Point;
  readonly radius: number;
  readonly path: VectorPath;
}

export function circlesOf(paths: readonly VectorPath[]): VectorCircle[] {
  return paths.flatMap((path) => {
    if (!path.isClosed || !path.isStroked || path.curves.length < 4 || path.curves.length !== path.points.length - 1) return [];
    const box = boxOf(path.points);
    return [{ center: { x: (box.left + box.right) / 2, y: (box.bottom + box.top) / 2 }, radius: (box.right - box.left) / 2, path }];
  });
}

/** A point of a cubic Bézier curve at t from 0 to 1. */
export function onCurve([p, q, r, s]: Curve, t: number): Point {
  const [i, j, k, l] = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t ** 3];
  return { x: i * p.x + j * q.x + k * r.x + l * s.x, y: i * p.y + j * q.y + k * r.y + l * s.y };
}

/** A ruler: where its ticks stand along it, mm of the page, and the line they stand on. */
export interface VectorRuler {
  readonly millimetres: readonly number[];
  readonly inches: readonly number[];
  /** y of the baseline of the ruler across, x of the ruler up. */
  readonly baseline: number;
  /** Side of the baseline on which the millimetre ticks stand: 1 towards larger coordinates. */
  readonly side: 1 | -1;
}

/**
 * The rulers among the vectors: the two crowds of at least 50 short straight strokes that stand on one line. The side
 * with ticks nearest to 1 mm apart is the millimetre scale.
 */
export function rulersOf(paths: readonly VectorPath[]): { across: VectorRuler; up: VectorRuler } {
  const ticks = paths.flatMap(({ points, isStroked, curves }) => (isStroked && curves.length === 0 && points.length === 2 ? [points as unknown as readonly [Point, Point]] : []));
  return { across: rulerOf(ticks.map(([a, b]) => [a.x, b.x, a.y, b.y])), up: rulerOf(ticks.map(([a, b]) => [a.y, b.y, a.x, b.x])) };
}

/** @param ticks positions along (both ends) and out (foot, tip) of each short stroke */
function rulerOf(ticks: readonly (readonly [number, number, number, number])[]): VectorRuler {
  const crowds = new Map<string, { along: number; out: number; tip: number }[]>();
  for (const [along, alongTip, out, tip] of ticks) {
    if (Math.abs(along - alongTip) > 1e-4 || Math.abs(out - tip) > 6) continue;
    const key = out.toFixed(2);
    crowds.set(key, [...(crowds.get(key) ?? []), { along, out, tip }]);
  }
  const [crowd] = [...crowds.values()].sort((a, b) => b.length - a.length);
  if (!crowd || crowd.length < 50) throw new Error('no ruler on the page');
  const sideOf = (side: 1 | -1) => crowd.filter(({ out, tip }) => Math.sign(tip - out) === side).map(({ along }) => along).sort((a, b) => a - b);
  const gap = (places: readonly number[]) => ((places[places.length - 1] ?? 0) - (places[0] ?? 0)) / (places.length - 1);
  const side = Math.abs(gap(sideOf(1)) - 1) < Math.abs(gap(sideOf(-1)) - 1) ? 1 : -1;
  return { millimetres: sideOf(side), inches: sideOf(side === 1 ? -1 : 1), baseline: (crowd[0] as { out: number }).out, side };
}

// ---------------------------------------------------------------- finding the way

/** Where a point of the panel (seen from outside) is expected on a sheet's page: only a hint for the search. */
export function expectedOn({ plan, jig }: Printed, sheet: string, { x, y }: Point): Point {
  const cell = cellOf(jig, sheet);
  const { margin, height } = jig.layout.format;
  const seen = plan.face === 'outside' ? x : plan.bounds.left + plan.bounds.right - x;
  return { x: margin + seen - cell.window.left, y: height - margin - (cell.window.top - y) };
}

function cellOf(jig: Jig, sheet: string | undefined) {
  const cell = jig.layout.cells.find(({ name }) => name === sheet);
  if (!cell) throw new Error(`there is no sheet ${sheet}`);
  return cell;
}

/** The part of a sheet's page that shows the panel; of the first sheet's if none is named. */
export function windowOf({ jig }: Printed, sheet = jig.sheets[0]?.name): Rect {
  const { margin, height } = jig.layout.format;
  const { left, right, bottom, top } = cellOf(jig, sheet).window;
  return { left: margin, right: margin + right - left, top: height - margin, bottom: height - margin - (top - bottom) };
}

/** Seams of the layout, their ends as seen from outside: only a hint for the search. */
export function seamHints({ plan, jig }: Printed): { under: string; over: string; a: Point; b: Point }[] {
  const seen = ({ x, y }: Point) => ({ x: plan.face === 'outside' ? x : plan.bounds.left + plan.bounds.right - x, y });
  return seamsOf(jig.layout).map(({ under, over, a, b }) => ({ under: under.name, over: over.name, a: seen(a), b: seen(b) }));
}

/** Length of the seam that joins two sheets, where their cores share a border, mm; 0 where they do not. */
export function seamBetween({ core: a }: { readonly core: Rect }, { core: b }: { readonly core: Rect }): number {
  const [width, height] = [Math.min(a.right, b.right) - Math.max(a.left, b.left), Math.min(a.top, b.top) - Math.max(a.bottom, b.bottom)];
  return Math.abs(Math.min(width, height)) < 1e-6 ? Math.max(width, height) : 0;
}

/** A border under 12 mm is no seam: a mark has no room on it. */
export function areJoined(a: { readonly core: Rect }, b: { readonly core: Rect }): boolean {
  return seamBetween(a, b) >= 12 - 1e-6;
}

export function around({ x, y }: Point, by: number): Rect {
  return { left: x - by, right: x + by, bottom: y - by, top: y + by };
}

/** Words with the place where they begin on the page, mm. */
export interface PlacedWords {
  readonly text: string;
  readonly at: Point;
}

export async function wordsAt({ pdf }: Printed, pageNumber: number): Promise<PlacedWords[]> {
  const { items } = await (await pdf.getPage(pageNumber)).getTextContent();
  return items.flatMap((item) => ('str' in item && item.str !== '' ? [{ text: item.str, at: { x: (item.transform[4] as number) * mmPerPoint, y: (item.transform[5] as number) * mmPerPoint } }] : []));
}
