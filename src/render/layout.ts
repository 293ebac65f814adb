import Flatbush from 'flatbush';
import { cornersOf, edgesOf } from '../geometry/shape.ts';
import { partWidth, type Plan, type Point, type Rect } from '../plan/plan.ts';
import { prescale } from '../plan/printer.ts';
import type { Paper } from '../trade/papers.ts';
import { plainNumber } from '../trade/units.ts';
import { boxOf, clipSegment, grown, sharedArea } from './mark.ts';
import { bestDivision, costNumber, type Span } from './search.ts';

export type Orientation = 'portrait' | 'landscape';

/** The paper as it lies, and the parts of it. Lengths in mm, as the printer makes them. */
export interface SheetFormat {
  readonly paper: Paper;
  readonly orientation: Orientation;
  readonly width: number;
  readonly height: number;
  readonly margin: number;
  readonly overlap: number;
  /** What undoes the printer's own error across and up. */
  readonly scale: { readonly x: number; readonly y: number };
  /** Size of the window that shows the panel. */
  readonly window: { readonly width: number; readonly height: number };
}

/** One sheet's share of the panel, in the coordinates of the drilled face. */
export interface Cell {
  /** Row letter and column number: A1 is top left. Patches are P1, P2. */
  readonly name: string;
  /** What the sheet shows of the panel: the core and half an overlap around it. */
  readonly window: Rect;
  /** What the sheet alone answers for, up to its seam lines. */
  readonly core: Rect;
}

/** A division into sheets. */
export interface Layout {
  readonly format: SheetFormat;
  /** Sheets are joined along rows, then row to row; or along columns, then column to column. */
  readonly runs: 'rows' | 'columns';
  /** Run by run, from the top left. */
  readonly cells: readonly Cell[];
  /** Which holes a seam crosses, by their place in the content. */
  readonly cut: readonly number[];
  /** Most seams between a hole's sheet and the nearest sheet with an edge or rim line to lay it to. */
  readonly longestChain: number;
  /** What a plain grid from the top left corner would need. */
  readonly plain: { readonly sheets: number; readonly cut: number };
}

/** Strip on the right of every sheet for the ruler down, mm. */
export const rightStrip = 13;
/** Strip at the bottom of every sheet for the ruler across and the title block, mm. */
export const bottomStrip = 30;
/** Paper shown beyond the panel's edges, mm. */
export const bleed = 8;
/** Smallest side of what a sheet shows of the panel, mm. */
const smallestWindow = 60;
/** Most sheets of one jig. */
export const mostSheets = 2000;

/** What must be on paper: lines to lay the paper to, and holes with their ticks, in the coordinates of the drilled face. */
export interface Content {
  readonly bounds: Rect;
  readonly lines: readonly (readonly [Point, Point])[];
  /** Lines that must be on paper too, but that nothing is laid to: outlines of boxes. */
  readonly besides?: readonly (readonly [Point, Point])[];
  readonly holes: readonly Rect[];
}

/** All lines that must be on paper. */
const shownLines = ({ lines, besides = [] }: Content) => [...lines, ...besides];

/** The paper one way round. A printer that shrinks leaves less of it, and its margin then takes more. */
export function sheetFormat({ paper, margin: given, overlap, printer }: Plan['sheets'], orientation: Orientation): SheetFormat {
  const scale = printer ? prescale(printer, orientation) : { x: 1, y: 1 };
  const [short, long] = [paper.width, paper.height];
  const [width, height] = orientation === 'portrait' ? [short / scale.x, long / scale.y] : [long / scale.x, short / scale.y];
  const margin = given / Math.min(scale.x, scale.y);
  return { paper, orientation, width, height, margin, overlap, scale, window: { width: width - 2 * margin - rightStrip, height: height - 2 * margin - bottomStrip } };
}

/** Why no jig can be laid out on the paper, and what to change. */
export interface LayoutTrouble {
  /** What of the sheets stands in the way; the paper if left out. */
  readonly key?: 'margin' | 'overlap';
  readonly problem: string;
  readonly fix: string;
}

/**
 * The best layout among rows and columns of sheets, upright and lying: the fewest holes cut, then the fewest sheets, then
 * the shortest chains of sheets from a hole to an edge ({@link bestDivision}); never worse in these than a plain grid.
 * Of equal ones rows before columns, portrait before landscape.
 */
export function chooseLayout(content: Content, sheets: Plan['sheets']): Layout | LayoutTrouble {
  const formats = roomyFormats(content, sheets);
  if ('problem' in formats) return formats;
  const plain = formats.map((format) => plainGrid(content, format));
  const found = formats.flatMap((format) => (['rows', 'columns'] as const).map((runs) => divide(content, format, runs)));
  const { format, runs, cells } = least([...found, ...plain], ({ cost }) => cost);
  const usual = least(plain, ({ cells }) => cells.length);
  return {
    format,
    runs,
    cells,
    cut: cutHoles(content, cells),
    longestChain: longestChain(content, cells),
    plain: { sheets: usual.cells.length, cut: cutHoles(content, usual.cells).length },
  };
}

/** What was achieved: "6 sheets, no hole on a seam; a plain grid needs 9 and cuts 2 holes". */
export function divisionWords({ cells, cut, plain, longestChain }: Layout): string {
  const count = (number: number, what: string) => `${number} ${what}${number === 1 ? '' : 's'}`;
  if (cells.length === 1) return '1 sheet, no seam';
  const achieved = `${count(cells.length, 'sheet')}, ${cut.length === 0 ? 'no hole' : count(cut.length, 'hole')} on a seam`;
  const grid = plain.sheets === cells.length && plain.cut === cut.length ? 'a plain grid does as well' : `a plain grid needs ${plain.sheets} and cuts ${plain.cut === 0 ? 'no hole' : count(plain.cut, 'hole')}`;
  return `${achieved}; ${grid}${longestChain > 0 ? `; at most ${count(longestChain, 'seam')} between a hole's sheet and an edge` : ''}`;
}

/** The first of those with the least value. */
function least<T>(choices: readonly T[], value: (choice: T) => number): T {
  return choices.reduce((best, choice) => (value(choice) < value(best) ? choice : best));
}

/** The formats on which the panel can be drawn: with room between the overlaps, and not on thousands of sheets. */
export function roomyFormats(content: Content, sheets: Plan['sheets']): readonly SheetFormat[] | LayoutTrouble {
  const orientations: readonly Orientation[] = sheets.orientation ? [sheets.orientation] : ['portrait', 'landscape'];
  const formats = orientations.map((orientation) => sheetFormat(sheets, orientation));
  const { paper, margin, overlap } = sheets;
  const most = (format: SheetFormat) => Math.min(format.window.width, format.window.height);
  if (formats.every((format) => most(format) < smallestWindow)) {
    return { key: 'margin', problem: `${paper.name} with a margin of ${plainNumber(margin, 1)} mm all round leaves no room for a drawing beside the rulers`, fix: 'choose a larger paper or a smaller margin' };
  }
  const roomy = formats.filter((format) => most(format) >= 3 * overlap);
  if (roomy.length === 0) {
    return { key: 'overlap', problem: `an overlap of ${plainNumber(overlap, 1)} mm takes more than a third of what ${paper.name} with a margin of ${plainNumber(margin, 1)} mm can show (${plainNumber(Math.max(...formats.map(most)), 1)} mm)`, fix: `choose a larger paper, or an overlap of at most ${plainNumber(Math.floor(Math.max(...formats.map(most)) / 3), 1)} mm` };
  }
  const few = roomy.filter((format) => gridOf(content, format).rows * gridOf(content, format).columns <= mostSheets);
  if (few.length === 0) return { problem: `the panel would need more than ${mostSheets} sheets of ${paper.name}`, fix: 'choose a larger paper, and check the panel\'s size and units' };
  return few;
}

/** A division that may be chosen, and what it costs. */
interface Choice extends Pick<Layout, 'format' | 'runs' | 'cells'> {
  readonly cost: number;
}

/** The best division into runs of one kind on one format. */
function divide(content: Content, format: SheetFormat, runs: Layout['runs']): Choice {
  const { window, overlap } = format;
  const isRows = runs === 'rows';
  // Reading goes right and down; y grows upwards.
  const turned = ({ x, y }: Point) => (isRows ? { u: x, v: -y } : { u: -y, v: x });
  const spans = ({ left, right, bottom, top }: Rect) => {
    const [x, y] = [{ lo: left, hi: right }, { lo: -top, hi: -bottom }];
    return isRows ? { u: x, v: y } : { u: y, v: x };
  };
  const field = { lines: shownLines(content).map(([a, b]) => ({ from: turned(a), to: turned(b) })), holes: content.holes.map(spans) };
  const [along, across] = isRows ? [window.width, window.height] : [window.height, window.width];
  const room = { along: along - overlap, across: across - overlap, least: overlap, inset: overlap / 2 - bleed };
  const { runs: found, cost } = bestDivision(field, room);
  const half = overlap / 2;
  const longest = Math.max(...found.map(({ cells }) => cells.length));
  const cells = found.flatMap(({ v, cells: parts }, run) => {
    // Behind a gap, sheets are named from the end of the longest run, so that names go on across the runs.
    const gap = parts.findIndex((part, index) => index > 0 && part.lo > (parts[index - 1] as Span).hi + 1e-6);
    return parts.map((u, place): Cell => {
      // Where no sheet follows, the core goes on to the end of what the sheet shows.
      const isFirst = place === 0 || (parts[place - 1] as Span).hi < u.lo - 1e-6;
      const isLast = place === parts.length - 1 || (parts[place + 1] as Span).lo > u.hi + 1e-6;
      const core = { u: { lo: u.lo - (isFirst ? half : 0), hi: u.hi + (isLast ? half : 0) }, v: { lo: v.lo - (run === 0 ? half : 0), hi: v.hi + (run === found.length - 1 ? half : 0) } };
      const rect = (box: { u: Span; v: Span }): Rect => {
        const [x, y] = isRows ? [box.u, box.v] : [box.v, box.u];
        return { left: x.lo, right: x.hi, top: -y.lo, bottom: -y.hi };
      };
      const shown = { u: { lo: u.lo - half, hi: u.hi + half }, v: { lo: v.lo - half, hi: v.hi + half } };
      const number = gap > 0 && place >= gap ? place + longest - parts.length : place;
      return { name: isRows ? cellName(run, number) : cellName(number, run), window: rect(shown), core: rect(core) };
    });
  });
  return { format, runs, cells, cost: costNumber({ ...cost, cuts: cutHoles(content, cells).length }) };
}

/** Borders of neighbouring cores agree to this, mm. */
const near = 1e-6;

/** Seams between sheets: the line that two cores share. */
export interface Seam {
  /** The sheet that lies underneath, and the one on top, whose edge is cut along the seam. */
  readonly under: Cell;
  readonly over: Cell;
  readonly a: Point;
  readonly b: Point;
}

/** A seam shorter than 12 mm has no room for an alignment mark: its sheets are joined by their others. */
const shortestSeam = 12 - near;

/** All seams, upwards or to the right, no shorter than a length (mm). The sheet on the right or below lies on top. */
export function seamsOf({ cells }: Pick<Layout, 'cells'>, least: number = shortestSeam): Seam[] {
  const index = boxIndex(cells.map(({ core }) => core));
  return cells.flatMap((under): Seam[] => {
    const { left, right, bottom, top } = under.core;
    const beside = index(grown({ left: right, right, bottom, top }, near)).map((at) => cells[at] as Cell).filter((cell) => Math.abs(cell.core.left - right) < near);
    const below = index(grown({ left, right, bottom, top: bottom }, near)).map((at) => cells[at] as Cell).filter((cell) => Math.abs(cell.core.top - bottom) < near);
    return [
      ...beside.map((over) => ({ under, over, a: { x: right, y: Math.max(bottom, over.core.bottom) }, b: { x: right, y: Math.min(top, over.core.top) } })),
      ...below.map((over) => ({ under, over, a: { x: Math.max(left, over.core.left), y: bottom }, b: { x: Math.min(right, over.core.right), y: bottom } })),
    ].filter(({ a, b }) => b.x - a.x + b.y - a.y >= least);
  });
}

/** Which holes a seam crosses. */
function cutHoles({ holes }: Content, cells: readonly Cell[]): number[] {
  const index = boxIndex(holes);
  const crossed = seamsOf({ cells }, near).flatMap(({ a, b }) =>
    index({ left: a.x, right: b.x, bottom: a.y, top: b.y }).filter((at) => {
      const hole = holes[at] as Rect;
      return a.x === b.x ? hole.left < a.x - 1e-6 && hole.right > a.x + 1e-6 : hole.bottom < a.y - 1e-6 && hole.top > a.y + 1e-6;
    }),
  );
  return [...new Set(crossed)].sort((a, b) => a - b);
}

/** Seams on the shortest way from the nearest of some sheets to each that can be reached. */
export function seamsAway(cells: readonly Cell[], from: readonly Cell[]): Map<Cell, number> {
  const beside = new Map<Cell, Cell[]>();
  for (const { under, over } of seamsOf({ cells })) {
    for (const [a, b] of [[under, over], [over, under]] as const) beside.set(a, [...(beside.get(a) ?? []), b]);
  }
  const steps = new Map(from.map((cell) => [cell, 0]));
  for (const [cell, count] of steps) {
    for (const next of beside.get(cell) ?? []) if (!steps.has(next)) steps.set(next, count + 1);
  }
  return steps;
}

/** Most seams between a sheet with a hole's centre and the nearest sheet with a line; infinite where none can be reached. */
function longestChain({ lines, holes }: Content, cells: readonly Cell[]): number {
  const meetsLine = lineSearch(lines);
  const steps = seamsAway(cells, cells.filter(({ core }) => meetsLine(core)));
  const find = cellFinder(cells);
  return holes.reduce((most, hole) => Math.max(most, steps.get(find(hole) as Cell) ?? Infinity), 0);
}

/** Finds the cell whose core holds a box's middle. */
export function cellFinder(cells: readonly Cell[]): (box: Rect) => Cell | undefined {
  const index = boxIndex(cells.map(({ core }) => core));
  return (box) => {
    const [x, y] = [(box.left + box.right) / 2, (box.bottom + box.top) / 2];
    return cells[index({ left: x, right: x, bottom: y, top: y }).sort((a, b) => a - b)[0] ?? -1];
  };
}

/** Rows and columns of a plain grid that covers the panel and a little paper around it. */
function gridOf({ bounds }: Content, { window, overlap }: SheetFormat): { rows: number; columns: number } {
  const count = (length: number, side: number) => Math.max(1, Math.ceil((length + 2 * bleed - overlap) / (side - overlap) - 1e-9));
  return { columns: count(bounds.right - bounds.left, window.width), rows: count(bounds.top - bounds.bottom, window.height) };
}

/** A plain grid of full sheets from the panel's top left corner, without those that show nothing: the yardstick. */
function plainGrid(content: Content, format: SheetFormat): Choice {
  const { window, overlap } = format;
  const { rows, columns } = gridOf(content, format);
  const [stepX, stepY] = [window.width - overlap, window.height - overlap];
  const [startX, startY] = [content.bounds.left - bleed, content.bounds.top + bleed];
  const places = Array.from({ length: rows * columns }, (_, index): Cell & Place => {
    const [row, column] = [Math.floor(index / columns), index % columns];
    const [left, top] = [startX + column * stepX, startY - row * stepY];
    const shown = { left, right: left + window.width, top, bottom: top - window.height };
    const core = {
      left: column === 0 ? shown.left : shown.left + overlap / 2,
      right: column === columns - 1 ? shown.right : shown.right - overlap / 2,
      top: row === 0 ? shown.top : shown.top - overlap / 2,
      bottom: row === rows - 1 ? shown.bottom : shown.bottom + overlap / 2,
    };
    return { name: cellName(row, column), row, column, window: shown, core };
  });
  const kept = keptPlaces(content, places, rows, columns);
  const cells = places.filter((_, index) => kept[index]).map(({ name, window, core }) => ({ name, window, core }));
  // It serves where it cuts fewer holes or needs fewer sheets; what else it costs is not weighed.
  return { format, runs: 'rows', cells, cost: costNumber({ cuts: cutHoles(content, cells).length, sheets: cells.length, lines: 999, chain: 0 }) };
}

interface Place {
  readonly row: number;
  readonly column: number;
}

/** A1, A2, … B1 … Z9, AA1. */
export function cellName(row: number, column: number): string {
  let letters = '';
  for (let rest = row; rest >= 0; rest = Math.floor(rest / 26) - 1) letters = String.fromCharCode(65 + (rest % 26)) + letters;
  return `${letters}${column + 1}`;
}

/** Cells with a line or a hole, and where a hole would else stand alone, the cells on the shortest straight way to a line. */
function keptPlaces(content: Content, cells: readonly (Cell & Place)[], rows: number, columns: number): boolean[] {
  const meetsLine = lineSearch(shownLines(content));
  const findHoles = boxIndex(content.holes);
  const kept = cells.map(({ core }) => meetsLine(core));
  const reached = [...kept];
  for (const [index, cell] of cells.entries()) {
    if (!findHoles(cell.core).some((at) => sharedArea(content.holes[at] as Rect, cell.core) > 0)) continue;
    kept[index] = true;
    const ways = [[0, -1], [0, 1], [-1, 0], [1, 0]].flatMap(([down = 0, right = 0]) => {
      const way: number[] = [];
      for (let { row, column } = cell; row >= 0 && row < rows && column >= 0 && column < columns; row += down, column += right) {
        const at = row * columns + column;
        if (reached[at]) return [way];
        way.push(at);
      }
      return [];
    });
    if (ways.length === 0) continue;
    for (const at of ways.reduce((shortest, way) => (way.length < shortest.length ? way : shortest))) kept[at] = true;
  }
  return kept;
}

/** Turns a point of the plan (seen from outside) into one of the drilled face. */
export function faceTransform(plan: Plan): (point: Point) => Point {
  if (plan.face === 'outside') return (point) => point;
  const sum = plan.bounds.left + plan.bounds.right;
  return ({ x, y }) => ({ x: sum - x, y });
}

/** Turns a box of the plan into one of the drilled face. */
export function boxOnFace(plan: Plan): (rect: Rect) => Rect {
  const toFace = faceTransform(plan);
  return ({ left, right, bottom, top }) => boxOf([toFace({ x: left, y: bottom }), toFace({ x: right, y: top })]);
}

/** Ticks outside the drilling circle: gap and length, mm. */
export const tick = { gap: 1.5, length: 6 } as const;

/** The radius that a hole's marks take up on paper. */
export function markedRadius(hole: Plan['holes'][number]): number {
  return Math.max(hole.diameter / 2 + tick.gap + tick.length, partWidth(hole) / 2);
}

/** Outlines of the boxes on a panel, in the coordinates of the drilled face; they run as the panel's outline does. */
export function boxOutlines(plan: Plan): Point[][] {
  const toFace = faceTransform(plan);
  return plan.panel.boxes.map(({ rect }) => cornersOf(rect).map(toFace));
}

export function contentOf(plan: Plan): Content {
  const toFace = faceTransform(plan);
  const ring = (points: readonly Point[]) => points.map((point, index) => [toFace(point), toFace(points[(index + 1) % points.length] as Point)] as const);
  const lines = [...ring(plan.panel.outline), ...ring(plan.rimLine ?? [])];
  const besides = boxOutlines(plan).flatMap(edgesOf).map(({ a, b }) => [a, b] as const);
  return { bounds: boxOf(lines.flat()), lines, ...(besides.length > 0 ? { besides } : {}), holes: plan.holes.map((hole) => grown(boxOf([toFace(hole.center)]), markedRadius(hole))) };
}

/** One sheet that holds the whole panel and 20 mm round it, for drawings in one piece. */
export function wholeLayout({ bounds }: Content): Layout {
  const window = grown(bounds, 20);
  const size = { width: window.right - window.left, height: window.top - window.bottom };
  const format: SheetFormat = { paper: { name: 'whole', ...size }, orientation: 'portrait', ...size, margin: 0, overlap: 0, scale: { x: 1, y: 1 }, window: size };
  return { format, runs: 'rows', cells: [{ name: 'A1', window, core: window }], cut: [], longestChain: 0, plain: { sheets: 1, cut: 0 } };
}

/** Tells whether any of some lines meets a box. */
function lineSearch(lines: Content['lines']): (box: Rect) => boolean {
  const find = boxIndex(lines.map(boxOf));
  return (box) => find(box).some((at) => {
    const [a, b] = lines[at] as Content['lines'][number];
    return clipSegment(a, b, box) !== undefined;
  });
}

/** Finds boxes by place. */
export function boxIndex(boxes: readonly Rect[]): (box: Rect) => number[] {
  if (boxes.length === 0) return () => [];
  const index = new Flatbush(boxes.length);
  for (const box of boxes) index.add(box.left, box.bottom, box.right, box.top);
  index.finish();
  return ({ left, bottom, right, top }) => index.search(left, bottom, right, top);
}
