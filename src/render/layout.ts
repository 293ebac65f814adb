import type { Plan, Point, Rect } from '../plan/plan.ts';
import type { Paper } from '../trade/papers.ts';
import { plainNumber } from '../trade/units.ts';
import { boxOf, clipSegment, grown, sharedArea } from './mark.ts';

export type Orientation = 'portrait' | 'landscape';

/** The paper as it lies, and the parts of it. Lengths in mm. */
export interface SheetFormat {
  readonly paper: Paper;
  readonly orientation: Orientation;
  readonly width: number;
  readonly height: number;
  readonly margin: number;
  readonly overlap: number;
  /** Size of the window that shows the panel. */
  readonly window: { readonly width: number; readonly height: number };
}

/** One place in the division of the panel into sheets. */
export interface Cell {
  /** Row letter and column number: A1 is top left. */
  readonly name: string;
  readonly row: number;
  readonly column: number;
  /** What the sheet shows of the panel: the core and half the overlap beyond each seam. */
  readonly window: Rect;
  /** What the sheet alone answers for, between its seam lines. */
  readonly core: Rect;
  /** False where there is nothing to align or drill. */
  readonly isKept: boolean;
}

export interface Layout {
  readonly format: SheetFormat;
  readonly rows: number;
  readonly columns: number;
  /** Row by row from the top, each from the left. */
  readonly cells: readonly Cell[];
}

/** Strip on the right of every sheet for the ruler down, mm. */
export const rightStrip = 13;
/** Strip at the bottom of every sheet for the ruler across and the title block, mm. */
export const bottomStrip = 30;
/** Paper shown beyond the panel's edges, mm. */
const bleed = 8;
/** Most sheets of one jig. */
export const mostSheets = 2000;

/** What must be on paper: lines to lay the paper to, and holes with their ticks, in the coordinates of the drilled face. */
export interface Content {
  readonly bounds: Rect;
  readonly lines: readonly (readonly [Point, Point])[];
  readonly holes: readonly Rect[];
}

export function sheetFormat(paper: Paper, orientation: Orientation, margin: number, overlap: number): SheetFormat {
  const [width, height] = orientation === 'portrait' ? [paper.width, paper.height] : [paper.height, paper.width];
  return { paper, orientation, width, height, margin, overlap, window: { width: width - 2 * margin - rightStrip, height: height - 2 * margin - bottomStrip } };
}

/** Why no jig can be laid out on the paper, and what to change. */
export interface LayoutTrouble {
  readonly problem: string;
  readonly fix: string;
}

/** The layout with the fewest sheets among the orientations allowed; portrait where both need as many. */
export function chooseLayout(content: Content, sheets: Plan['sheets']): Layout | LayoutTrouble {
  const orientations: readonly Orientation[] = sheets.orientation ? [sheets.orientation] : ['portrait', 'landscape'];
  const formats = orientations.map((orientation) => sheetFormat(sheets.paper, orientation, sheets.margin, sheets.overlap));
  const roomy = formats.filter(({ window }) => Math.min(window.width, window.height) >= 3 * sheets.overlap);
  if (roomy.length === 0) {
    return { problem: `${sheets.paper.name} with a margin of ${plainNumber(sheets.margin, 1)} mm leaves no room for a drawing between overlaps of ${plainNumber(sheets.overlap, 1)} mm`, fix: 'choose a larger paper, or a smaller margin or overlap' };
  }
  const few = roomy.filter((format) => gridOf(content, format).rows * gridOf(content, format).columns <= mostSheets);
  if (few.length === 0) return { problem: `the panel would need more than ${mostSheets} sheets of ${sheets.paper.name}`, fix: 'choose a larger paper, and check the panel\'s size and units' };
  const layouts = few.map((format) => divide(content, format));
  return layouts.reduce((best, layout) => (keptCount(layout) < keptCount(best) ? layout : best));
}

export function keptCount(layout: Layout): number {
  return layout.cells.filter((cell) => cell.isKept).length;
}

/** Rows and columns of a plain grid that covers the panel and a little paper around it. */
function gridOf({ bounds }: Content, { window, overlap }: SheetFormat): { rows: number; columns: number } {
  const count = (length: number, side: number) => Math.max(1, Math.ceil((length + 2 * bleed - overlap) / (side - overlap) - 1e-9));
  return { columns: count(bounds.right - bounds.left, window.width), rows: count(bounds.top - bounds.bottom, window.height) };
}

/** Divides the panel by a plain grid from its top left corner, and leaves out cells with nothing to align or drill. */
export function divide(content: Content, format: SheetFormat): Layout {
  const { window, overlap } = format;
  const { rows, columns } = gridOf(content, format);
  const [stepX, stepY] = [window.width - overlap, window.height - overlap];
  const [startX, startY] = [content.bounds.left - bleed, content.bounds.top + bleed];
  const cells: Cell[] = [];
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const left = startX + column * stepX;
      const top = startY - row * stepY;
      const seen = { left, right: left + window.width, top, bottom: top - window.height };
      const core = {
        left: column === 0 ? seen.left : seen.left + overlap / 2,
        right: column === columns - 1 ? seen.right : seen.right - overlap / 2,
        top: row === 0 ? seen.top : seen.top - overlap / 2,
        bottom: row === rows - 1 ? seen.bottom : seen.bottom + overlap / 2,
      };
      cells.push({ name: cellName(row, column), row, column, window: seen, core, isKept: false });
    }
  }
  const kept = keptCells(content, cells, rows, columns);
  return { format, rows, columns, cells: cells.map((cell, index) => ({ ...cell, isKept: kept[index] ?? false })) };
}

/** A1, A2, … B1 … Z9, AA1. */
export function cellName(row: number, column: number): string {
  let letters = '';
  for (let rest = row; rest >= 0; rest = Math.floor(rest / 26) - 1) letters = String.fromCharCode(65 + (rest % 26)) + letters;
  return `${letters}${column + 1}`;
}

/** Cells with a line or a hole, and where a hole would else stand alone, the cells on the shortest straight way to a line. */
function keptCells(content: Content, cells: readonly Cell[], rows: number, columns: number): boolean[] {
  const kept = cells.map(({ core }) => content.lines.some(([a, b]) => clipSegment(a, b, core) !== undefined));
  const reached = [...kept];
  for (const [index, cell] of cells.entries()) {
    if (!content.holes.some((box) => sharedArea(box, cell.core) > 0)) continue;
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

/** Ticks outside the drilling circle: gap and length, mm. */
export const tick = { gap: 1.5, length: 6 } as const;

/** The radius that a hole's marks take up on paper. */
export function markedRadius(hole: Plan['holes'][number]): number {
  return Math.max(hole.diameter / 2 + tick.gap + tick.length, (hole.flange ?? 0) / 2, (hole.nut ?? 0) / 2);
}

export function contentOf(plan: Plan): Content {
  const toFace = faceTransform(plan);
  const ring = (points: readonly Point[]) => points.map((point, index) => [toFace(point), toFace(points[(index + 1) % points.length] as Point)] as const);
  const lines = [...ring(plan.panel.outline), ...ring(plan.rimLine ?? [])];
  return { bounds: boxOf(lines.flat()), lines, holes: plan.holes.map((hole) => grown(boxOf([toFace(hole.center)]), markedRadius(hole))) };
}
