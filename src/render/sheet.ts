import type { Plan, Point, Rect } from '../plan/plan.ts';
import { printWords } from '../trade/cautions.ts';
import { formatLength } from '../trade/units.ts';
import { markedPiece, markShares, markSize } from './draw.ts';
import { draftMarks, ruler } from './furniture.ts';
import { triangleMark, type Orientation } from './guides.ts';
import { bottomStrip, boxIndex, seamsOf, type Cell, type Layout, type Seam, type SheetFormat } from './layout.ts';
import { boxOf, clipSegment, grown, line, markBounds, path, rectPath, sharedArea, text, type Mark, type Pen, type Text } from './mark.ts';
import { wrap, type Typesetter } from './type.ts';

/** Marks that are drawn together: moved by `shift`, and cut at `clip` (in page mm) where given. */
export interface Group {
  readonly marks: readonly Mark[];
  readonly shift: Point;
  readonly clip?: Rect;
}

/** One page, in mm as they shall be on paper, origin at its lower left corner. */
export interface Page {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly groups: readonly Group[];
  /** What the page's marks are multiplied by in the file, to undo a printer's own error; 1 if left out. */
  readonly scale?: Scale;
}

/** Factors across and up a page. */
export interface Scale {
  readonly x: number;
  readonly y: number;
}

const noShift = { x: 0, y: 0 };

/** What every sheet says of the work. */
export interface SheetWords {
  readonly title: string;
  readonly face: Plan['face'];
  /** On which face the sheets lie, and how to tell. */
  readonly lies: string;
  /** Where the orientation mark stands. */
  readonly orientation: Orientation;
  /** The box of the lines that the paper is laid to. */
  readonly visible: Rect;
  /** The panel's outline, to be shown on maps where sheets do not cover it; null where they do. */
  readonly outline: readonly Point[] | null;
  /** The printer profile in words; empty where there is none. */
  readonly printer: string;
  /** Size, material and thickness in words. */
  readonly panel: string;
  readonly fingerprint: string;
  readonly isDraft: boolean;
  /** Pages that are not parts of one drawing: no map, no neighbours. */
  readonly isLoose?: boolean;
  /** What shaded areas mean; empty or left out where there are none. */
  readonly areas?: string;
  /** Height of a sheet's name, mm; 9 if left out. */
  readonly nameSize?: number;
}

const pens = {
  frame: { width: 0.1, gray: 0.75 },
  seam: { width: 0.15, gray: 0.3, dashes: [6, 1.5, 1, 1.5] },
  map: { width: 0.1, gray: 0.3 },
  mapOutline: { width: 0.15, gray: 0.5 },
} as const satisfies Record<string, Pen>;

/**
 * The pages of all sheets, run by run: windows on the jig, with rulers, title block and seams.
 * @param shown the marks that a sheet shows, in the coordinates of the drilled face
 */
export function sheetPages(shown: (cell: Cell) => readonly Mark[], layout: Layout, words: SheetWords, setter: Typesetter): Page[] {
  const { format } = layout;
  const map = mapPlaces(layout, words.outline, blockParts(format).map);
  const common: Group = { marks: [...rulerAcross(format, setter), ...rulerDown(format, setter), ...(words.isLoose ? [] : mapFrame(layout, map, words)), ...commonWords(layout, words, setter)], shift: noShift };
  const seams = seamsByCell(layout);
  return layout.cells.map((cell, index) => {
    const shift = windowShift(cell, format);
    const frame = windowOnPaper(cell, format);
    const own = seams.get(cell) ?? [];
    const drawn = shown(cell);
    // Notes stand on strips that the neighbour covers or the scissors take: what they hide there is shown by the neighbour.
    // But no sheet shows a circle with a piece missing: it is drawn over a note that finds no place clear of it.
    const [above, areas, below] = [drawn.filter(isNeverHidden), drawn.filter(isArea), drawn.filter((mark) => !isNeverHidden(mark) && !isArea(mark))];
    const notes = own.flatMap((seam) => seamNote(cell, seam, layout, words, above, setter));
    const seamLines = own.map(({ a, b }) => line('seam', a, b, pens.seam));
    const panel: Group = { marks: [...seamLines, ...below, ...notes, ...above], shift, clip: frame };
    const block: Group = { marks: [rectPath('sheet', grown(frame, -pens.frame.width / 2), pens.frame), ...titleBlock(cell, index, own, layout, map, words, setter)], shift: noShift };
    const draft: Group[] = words.isDraft ? [{ marks: draftMarks(frame, setter), shift: noShift, clip: frame }] : [];
    const under: Group[] = areas.length > 0 ? [{ marks: areas, shift, clip: frame }] : [];
    return { name: cell.name, width: format.width, height: format.height, scale: format.scale, groups: [...under, ...draft, panel, block, common] };
  });
}

/** Where the cell's window lies on the paper: in the upper left corner of what may be printed, mm. */
export function windowOnPaper({ window }: Cell, { height, margin }: SheetFormat): Rect {
  return { left: margin, right: margin + window.right - window.left, top: height - margin, bottom: height - margin - (window.top - window.bottom) };
}

/** What moves a point of the drilled face to its place on the cell's paper. */
export function windowShift(cell: Cell, format: SheetFormat): Point {
  return { x: format.margin - cell.window.left, y: format.height - format.margin - cell.window.top };
}

/** Finds the marks that a sheet's window shows, in drawing order. */
export function windowSearch(marks: readonly Mark[]): (cell: Cell) => Mark[] {
  const find = boxIndex(marks.map(markBounds));
  return ({ window }) => find(window).sort((a, b) => a - b).map((at) => marks[at] as Mark);
}

function seamsByCell(layout: Layout): Map<Cell, Seam[]> {
  const result = new Map<Cell, Seam[]>();
  for (const seam of seamsOf(layout)) {
    for (const cell of [seam.under, seam.over]) result.set(cell, [...(result.get(cell) ?? []), seam]);
  }
  return result;
}

/** What is drilled or aligned by. */
const isNeverHidden = ({ layer }: Mark) => layer === 'hole' || layer === 'center' || layer === 'part' || layer === 'align';

/** What lies under everything else, the strokes of a draft too. */
const isArea = ({ layer }: Mark) => layer === 'area';

/** Whether a line or the line of a circle runs through a box. */
function isStruck(box: Rect, mark: Mark): boolean {
  if (mark.kind === 'line') return clipSegment(mark.a, mark.b, box) !== undefined;
  if (mark.kind !== 'circle') return sharedArea(box, markBounds(mark)) > 0;
  const { center: { x, y }, radius } = mark;
  const nearest = Math.hypot(Math.max(box.left - x, x - box.right, 0), Math.max(box.bottom - y, y - box.top, 0));
  const furthest = Math.hypot(Math.max(x - box.left, box.right - x), Math.max(y - box.bottom, box.top - y));
  return nearest < radius && radius < furthest;
}

/**
 * What to do at a seam, written on the strip that the neighbour covers or the scissors take.
 * @param above marks that the words keep clear of where they can
 */
function seamNote(cell: Cell, { under, over, a, b }: Seam, { format }: Layout, { visible }: SheetWords, above: readonly Mark[], setter: Typesetter): Mark[] {
  const isOver = cell === over;
  const isUpright = a.x === b.x;
  const strip = isUpright ? Math.abs((isOver ? cell.window.left : cell.window.right) - a.x) : Math.abs((isOver ? cell.window.top : cell.window.bottom) - a.y);
  const forms = isOver ? [`cut along this line; ${cell.name} lies on ${under.name}`, `cut; lies on ${under.name}`] : [`${over.name} lies on here, its cut edge along this line`, `${over.name} lies on here`];
  const size = Math.min(2.4, strip * 0.4);
  // Between two alignment marks, in the middle if nothing is there.
  const [first = 0, second = 0, third] = markShares(Math.hypot(b.x - a.x, b.y - a.y));
  const [from, to] = markedPiece(a, b, visible, markSize(format));
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const room = length * (second - first) - 12;
  const shares = [[first, second], ...(third === undefined ? [] : [[second, third]])].map(([low = 0, high = 0]) => (low + high) / 2);
  // Over: the strip left of or above the line. Under: right of or below it. Text hugs the far side of the strip.
  const noteAt = ({ words, share, by }: { words: string; share: number; by: number }) => {
    const middle = { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) };
    const at = isUpright
      ? { x: isOver ? a.x - strip * 0.6 + size * 0.35 : a.x + strip * 0.6 + size * 0.35, y: middle.y + by }
      : { x: middle.x + by, y: isOver ? a.y + strip * 0.6 - size * 0.35 : a.y - strip * 0.6 - size * 0.35 };
    return text(setter, 'seam', at, words, { size, align: 'center', angle: isUpright ? 90 : 0, gray: 0.3 });
  };
  const places = forms.flatMap((words) => {
    const spare = (room - setter.width(words) * size) / 2;
    return spare < 0 ? [] : shares.flatMap((share) => [0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1, -1].map((part) => ({ words, share, by: part * spare })));
  });
  let best: Text | undefined;
  let least = Infinity;
  for (const place of places) {
    const note = noteAt(place);
    const box = grown(markBounds(note), 0.5);
    const struck = above.filter((mark) => isStruck(box, mark)).length;
    if (struck < least) [best, least] = [note, struck];
    if (least === 0) break;
  }
  return best ? [rectPath('seam', markBounds(best), null, 1), best] : [];
}

/** A ruler along the bottom: millimetres above its line, inches below. */
function rulerAcross(format: SheetFormat, setter: Typesetter): Mark[] {
  const start = { x: format.margin + 2, y: format.margin + bottomStrip - 8 };
  return ruler('sheet', rulerLengths(format).across, setter, (along, out) => ({ x: start.x + along, y: start.y + out }), 0);
}

/** A ruler up the right side: millimetres left of its line, inches right. */
function rulerDown(format: SheetFormat, setter: Typesetter): Mark[] {
  const start = { x: format.width - format.margin - 5.2, y: format.margin + bottomStrip + 2 };
  return ruler('sheet', rulerLengths(format).down, setter, (along, out) => ({ x: start.x - out, y: start.y + along }), 90);
}

/** Lengths of the rulers of a sheet, mm, across and down: whole centimetres, as long as fits. */
export function rulerLengths({ width, height, margin }: SheetFormat): { across: number; down: number } {
  const wholeCentimetres = (room: number) => Math.floor(room / 10) * 10;
  return { across: wholeCentimetres(width - 2 * margin - 6), down: wholeCentimetres(height - 2 * margin - bottomStrip - 6) };
}

/** Where the title block's parts lie, page mm. */
function blockParts(format: SheetFormat) {
  const bottom = format.margin;
  const top = format.margin + bottomStrip - 14.5;
  const [left, right] = [format.margin + 0.5, format.width - format.margin];
  const mapWidth = Math.min(34, (right - left) * 0.22);
  return { bottom, top, left, words: left + 24, map: { left: right - mapWidth, right: right - 1.5, bottom: bottom + 0.5, top }, wordsRight: right - mapWidth - 3 };
}

/** Words that are the same on all sheets: title, panel, and how to print. */
function commonWords(layout: Layout, words: SheetWords, setter: Typesetter): Mark[] {
  const { format } = layout;
  const { top, words: left, wordsRight } = blockParts(format);
  const most = wordsRight - left;
  const { across, down } = rulerLengths(format);
  const print = `${printWords}: across ${formatLength(across)}, down ${formatLength(down)}.`;
  const facts = [`fingerprint ${words.fingerprint}`, format.paper.name, words.panel, ...(words.printer ? [words.printer] : [])].join(' · ');
  const size = most < 110 ? 1.9 : 2.2;
  const lines = [
    ...wrap(setter, words.lies, 'bold', most / size).slice(0, 2).map((words) => ({ words, weight: 'bold' as const })),
    ...wrap(setter, facts, 'regular', most / size).slice(0, 2).map((words) => ({ words, weight: 'regular' as const })),
    ...(words.areas ? wrap(setter, words.areas, 'regular', most / size).slice(0, 2).map((words) => ({ words, weight: 'regular' as const })) : []),
    ...wrap(setter, print, 'bold', most / size).slice(0, 3).map((words) => ({ words, weight: 'bold' as const })),
  ];
  const step = Math.min(size * 1.25, (top - format.margin - 4) / lines.length);
  return [
    text(setter, 'sheet', { x: left, y: top - 3 }, words.title, { size: 3.2, weight: 'bold', most }),
    ...lines.map((line, row) => text(setter, 'sheet', { x: left, y: top - 3.4 - (row + 1) * step }, line.words, { size: Math.min(size, step * 0.88), weight: line.weight, most })),
  ];
}

/** The sheet's name and number, its neighbours, and itself on the map. */
function titleBlock(cell: Cell, index: number, seams: readonly Seam[], layout: Layout, map: MapPlaces, words: SheetWords, setter: Typesetter): Mark[] {
  const { top, left } = blockParts(layout.format);
  const square = map.cell(cell);
  const joins = words.isLoose ? [] : wrap(setter, neighbourWords(cell, seams), 'regular', 23 / 2.1).slice(0, 2);
  return [
    text(setter, 'sheet', { x: left, y: top - 7 }, cell.name, { size: Math.min(words.nameSize ?? 9, 22 / setter.width(cell.name, 'bold')), weight: 'bold', most: 22 }),
    text(setter, 'sheet', { x: left, y: top - 10.2 }, `sheet ${index + 1} of ${layout.cells.length}`, { size: 2.3, most: 23 }),
    ...joins.map((words, row) => text(setter, 'sheet', { x: left, y: top - 12.6 - 2.4 * row }, words, { size: 2.1, most: 23 })),
    ...(words.isLoose ? [] : [rectPath('sheet', square, pens.map, 0), ...mapTriangle(map, words)]),
  ];
}

function neighbourWords(cell: Cell, seams: readonly Seam[]): string {
  const names = [...new Set(seams.map((seam) => (seam.under === cell ? seam.over : seam.under).name))];
  return names.length > 0 ? `joins ${names.join(', ')}` : 'lies by itself';
}

/** The map of all sheets. */
function mapFrame({ cells }: Layout, map: MapPlaces, { outline }: SheetWords): Mark[] {
  return [...(outline ? [path('sheet', outline.map(map.point), pens.mapOutline)] : []), ...cells.map((cell) => rectPath('sheet', map.cell(cell), pens.map))];
}

/** The orientation mark on the map, white-edged so that it shows on the black square of the sheet itself. */
function mapTriangle({ point }: MapPlaces, { orientation: { at, inwards } }: SheetWords): Mark[] {
  const place = { at: point(at), inwards };
  const { points } = triangleMark(place, 0.28);
  return [path('orientation', points, { width: 0.5, gray: 1 }, 0), path('orientation', points, null, 0)];
}

/** Where points and sheets of the layout stand on a map. */
interface MapPlaces {
  point(p: Point): Point;
  cell(cell: Cell): Rect;
}

/** Places on a map of the layout that fits a box, its right upper corner kept. */
export function mapPlaces({ cells }: Layout, outline: readonly Point[] | null, box: Rect): MapPlaces {
  const all = mapExtent(cells, outline);
  const scale = Math.min((box.right - box.left) / (all.right - all.left), (box.top - box.bottom) / (all.top - all.bottom));
  const point = ({ x, y }: Point) => ({ x: box.right + (x - all.right) * scale, y: box.top + (y - all.top) * scale });
  return {
    point,
    cell: ({ core }) => grown(boxOf([point({ x: core.left, y: core.bottom }), point({ x: core.right, y: core.top })]), -Math.min(0.3, (core.right - core.left) * scale * 0.08)),
  };
}

/** What a map must show, mm. */
export function mapExtent(cells: readonly Cell[], outline: readonly Point[] | null): Rect {
  return boxOf([...cells.flatMap(({ core }) => [{ x: core.left, y: core.bottom }, { x: core.right, y: core.top }]), ...(outline ?? [])]);
}
