import type { Plan, Point, Rect } from '../plan/plan.ts';
import { papers } from '../trade/papers.ts';
import type { Layout } from './layout.ts';
import { line, rectPath, text, type Mark, type Pen } from './mark.ts';
import type { Page, SheetWords } from './sheet.ts';
import { wrap, type Typesetter, type Weight } from './type.ts';

/** Pages of words: set one below the other, on a new page where the last is full. Lengths in mm. */

export interface FlowPaper {
  readonly width: number;
  readonly height: number;
  readonly margin: number;
}

/** Pages of words use the sheets' own paper, or a common office paper where that is a plotter's size. */
export function flowPaper({ units }: Pick<Plan, 'units'>, { format: { paper, margin } }: { readonly format: Pick<Layout['format'], 'paper' | 'margin'> }): FlowPaper {
  const isOffice = paper.width >= 200 && paper.height <= 432;
  const common = papers.find(({ name }) => name === (units === 'in' ? 'Letter' : 'A4')) ?? paper;
  const { width, height } = isOffice ? paper : common;
  return { width, height, margin: Math.max(12, margin) };
}

interface WordsStyle {
  readonly size: number;
  readonly weight?: Weight;
  /** Most lines; the rest is cut. */
  readonly most?: number;
  readonly indent?: number;
}

/** What a table's cell holds: words, boxes to tick, or lines to write on. */
export type FlowCell = string | { readonly boxes: number } | { readonly lines: number };

/** Something to do and to tick when it is done. */
export interface Step {
  readonly words: string;
  /** What is to be written down: words, each with a line after it. */
  readonly blanks?: readonly string[];
}

const pens = {
  heading: { width: 0.2, gray: 0.3 },
  titles: { width: 0.1, gray: 0.2 },
  row: { width: 0.1, gray: 0.75 },
  box: { width: 0.25, gray: 0 },
  write: { width: 0.15, gray: 0.25 },
} as const satisfies Record<string, Pen>;

const [listSize, listIndent, listGap] = [2.8, 6, 0.9];
/** Space after what is said of a name, and after a step. */
const [namedGap, stepGap] = [0.6, 0.7];
/** A box to tick and what is left free beside it; a line to write on, shorter where several stand side by side. */
const [boxSize, boxGap, lineGap] = [3.5, 1.2, 2];
const boxesWidth = (count: number) => count * (boxSize + boxGap) - boxGap;
const linesWidth = (count: number) => (count === 1 ? 17 : count * 14.5 - lineGap);
/** Height that handwriting takes. */
const handwriting = 5;
/** Space before a line to write on and its words, and the least width of the words of a step beside it. */
const [besideGap, leastWords] = [4, 40];
/** Space between columns of a table. */
const columnGap = 3;

/**
 * @param name of the pages, before their number
 * @param foot what stands at the lower right of a page, by its number and how many there are
 */
export function pageFlow(paper: FlowPaper, name: string, foot: (page: number, pages: number) => string, words: Pick<SheetWords, 'title' | 'fingerprint' | 'isDraft'>, setter: Typesetter) {
  const { width, height, margin } = paper;
  const [left, right, top, bottom] = [margin, width - margin, height - margin, margin + 7];
  const pages: Mark[][] = [[]];
  let y = top;

  const put = (...marks: Mark[]) => pages[pages.length - 1]?.push(...marks);
  /** Whether a new page had to be begun. */
  const need = (room: number): boolean => {
    if (y - room >= bottom || y === top) return false;
    pages.push([]);
    y = top;
    return true;
  };
  const setLines = (lines: readonly string[], x: number, { size, weight = 'regular' }: WordsStyle) => {
    for (const words of lines) {
      need(size * 1.35);
      y -= size * 1.35;
      put(text(setter, 'sheet', { x, y: y + size * 0.3 }, words, { size, weight, most: right - x }));
    }
  };
  const wrapped = (words: string, x: number, { size, weight = 'regular', most = 40 }: WordsStyle, end = right) => wrap(setter, words, weight, (end - x) / size).slice(0, most);
  const boxes = (x: number, top: number, count: number) =>
    put(...Array.from({ length: count }, (_, index) => {
      const start = x + index * (boxSize + boxGap);
      return rectPath('sheet', { left: start, right: start + boxSize, top, bottom: top - boxSize }, pens.box);
    }));
  const writeLines = (x: number, y: number, count: number) =>
    put(...Array.from({ length: count }, (_, index) => {
      const each = (linesWidth(count) + lineGap) / count;
      return line('sheet', { x: x + index * each, y }, { x: x + (index + 1) * each - lineGap, y }, pens.write);
    }));

  return {
    roomOfPage: () => top - bottom,
    /** What is left of the page. */
    roomLeft: () => y - bottom,
    widthOfPage: () => right - left,
    /** What comes next and is no higher than that stands on one page. */
    keep(room: number) {
      need(room);
    },
    /** Height that words take. */
    wordsHeight: (words: string, style: WordsStyle) => wrapped(words, left + (style.indent ?? 0), style).length * style.size * 1.35 + style.size * 0.35,
    words(words: string, style: WordsStyle) {
      const x = left + (style.indent ?? 0);
      setLines(wrapped(words, x, style), x, style);
      y -= style.size * 0.35;
    },
    /** @param follows room for what must stand on the same page */
    heading(words: string, follows = 14, size = 4) {
      need(follows + 3 * size);
      y -= size * 0.75;
      setLines([words], left, { size, weight: 'bold' });
      put(line('sheet', { x: left, y }, { x: right, y }, pens.heading));
      y -= 1.5;
    },
    /** Numbered, or with the sign given. */
    list(items: readonly string[], sign?: string, size: number = listSize) {
      for (const [index, item] of items.entries()) {
        const lines = wrapped(item, left + listIndent, { size });
        need(lines.length * size * 1.35);
        put(text(setter, 'sheet', { x: left + 1, y: y - size * 1.05 }, sign ?? `${index + 1}.`, { size, weight: 'bold' }));
        setLines(lines, left + listIndent, { size });
        y -= listGap;
      }
    },
    /** Room that {@link named} takes. */
    namedHeight: (rows: readonly (readonly [string, string])[], size: number) => {
      const start = left + namesWidth(setter, rows, size);
      return 1.2 + rows.reduce((sum, [, words]) => sum + wrapped(words, start, { size }).length * size * 1.35 + namedGap, 0);
    },
    /** What is meant in bold, what is said of it beside. */
    named(rows: readonly (readonly [string, string])[], size: number) {
      const start = left + namesWidth(setter, rows, size);
      for (const [name, words] of rows) {
        const lines = wrapped(words, start, { size });
        need(lines.length * size * 1.35);
        put(text(setter, 'sheet', { x: left, y: y - size * 1.05 }, name, { size, weight: 'bold' }));
        setLines(lines, start, { size });
        y -= namedGap;
      }
      y -= 1.2;
    },
    /** Each with boxes to tick before it, and its lines to write on at the right: in a row where that leaves room for words, else one below the other. */
    steps(items: readonly Step[], count: number, size: number) {
      const x = left + boxesWidth(count) + 2.5;
      const widthOf = (blank: string) => setter.width(blank) * size + 1.5 + linesWidth(1);
      const isRow = (blanks: readonly string[]) => right - x - rowWidth(blanks) >= leastWords;
      const rowWidth = (blanks: readonly string[]) => blanks.reduce((sum, blank) => sum + widthOf(blank) + besideGap, 0);
      const stackWidth = Math.max(0, ...items.flatMap(({ blanks = [] }) => (isRow(blanks) ? [] : blanks.map(widthOf)))) + besideGap;
      for (const { words, blanks = [] } of items) {
        const rows = blanks.length > 0 && isRow(blanks) ? [blanks] : blanks.map((blank) => [blank]);
        const lines = wrapped(words, x, { size }, blanks.length === 0 ? right : right - (isRow(blanks) ? rowWidth(blanks) : stackWidth));
        // Words stand a little lower beside a line to write on, so that the hand has room over it.
        const sink = blanks.length > 0 ? 1.2 : 0;
        const rowsHeight = rows.length === 0 ? 0 : sink + size * 1.05 + 0.8 + (rows.length - 1) * handwriting;
        need(Math.max(lines.length * size * 1.35 + sink, rowsHeight, boxSize));
        const start = y;
        boxes(left, start - sink - size * 1.05 + size * 0.36 + boxSize / 2, count);
        for (const [index, row] of rows.entries()) {
          const base = start - sink - size * 1.05 - index * handwriting;
          let from = right + besideGap - (isRow(blanks) ? rowWidth(row) : stackWidth);
          for (const blank of row) {
            put(text(setter, 'sheet', { x: from, y: base }, blank, { size }));
            from = isRow(blanks) ? from + widthOf(blank) : right;
            writeLines(from - linesWidth(1), base - 0.6, 1);
            from += besideGap;
          }
        }
        y -= sink;
        setLines(lines, x, { size });
        y = Math.min(y, start - rowsHeight, start - boxSize) - stepGap - (blanks.length > 0 ? 0.5 : 0);
      }
    },
    figure(room: number, draw: (box: Rect) => Mark[]) {
      need(room);
      put(...draw({ left, right, top: y, bottom: y - room }));
      y -= room + 2;
    },
    /**
     * The first row holds the titles. They stand again on a page that the table goes on. Columns for the pen come last, at
     * the right margin, but for boxes in the first.
     * @param notes what is said below the words of a row, by the row's number; empty for nothing
     */
    table(rows: readonly (readonly FlowCell[])[], size = 2.6, notes: readonly string[] = []) {
      const [titles = []] = rows;
      const weightOf = (row: number) => (row === 0 ? 'bold' : 'regular');
      const least = titles.map((_, column) => Math.max(0, ...rows.map((row) => penWidth(row[column] ?? ''))));
      const natural = least.map((pen, column) => Math.max(pen, ...rows.map((row, index) => wordsWidth(setter, row[column] ?? '', weightOf(index)) * size + columnGap)));
      const fit = fitted(natural, least, right - left);
      const firstPen = least.findIndex((width, column) => column > 0 && width > 0);
      const spare = firstPen > 0 ? right - left + columnGap - fit.reduce((sum, width) => sum + width, 0) : 0;
      const widths = fit.map((width, column) => (column === firstPen - 1 ? width + Math.max(0, spare) : width));
      const noteSize = size * 0.92;
      const noteStart = left + (least[0] ?? 0);
      const noteEnd = left + widths.slice(0, firstPen > 0 ? firstPen : widths.length).reduce((sum, width) => sum + width, 0) - columnGap;
      const setRow = (index: number) => {
        const row = rows[index] ?? [];
        const cells = row.map((cell, column) => (typeof cell === 'string' ? wrap(setter, cell, weightOf(index), ((widths[column] ?? 0) - columnGap) / size).slice(0, 4) : []));
        const noted = notes[index] ? wrapped(notes[index] ?? '', noteStart, { size: noteSize }, noteEnd) : [];
        const wordsHigh = Math.max(1, ...cells.map((cell) => cell.length)) * size * 1.3;
        const high = Math.max(wordsHigh + noted.length * noteSize * 1.3, row.some((cell) => typeof cell !== 'string') ? handwriting + 0.8 : 0);
        const isNewPage = need(high + 1.2);
        if (isNewPage && index > 0) setRow(0);
        let x = left;
        for (const [column, cell] of row.entries()) {
          if (typeof cell === 'string') for (const [at, words] of (cells[column] ?? []).entries()) put(text(setter, 'sheet', { x, y: y - size * (1 + 1.3 * at) }, words, { size, weight: weightOf(index), most: (widths[column] ?? 0) - 1 }));
          else if ('boxes' in cell) boxes(x, y - 0.6, cell.boxes);
          else writeLines(x, y - high + 0.6, cell.lines);
          x += widths[column] ?? 0;
        }
        for (const [at, words] of noted.entries()) put(text(setter, 'sheet', { x: noteStart, y: y - wordsHigh - noteSize * (0.95 + 1.3 * at) }, words, { size: noteSize, gray: 0.2 }));
        y -= high + 1.2;
        put(line('sheet', { x: left, y: y + 0.6 }, { x: right, y: y + 0.6 }, index === 0 ? pens.titles : pens.row));
      };
      for (const index of rows.keys()) setRow(index);
      y -= 1.5;
    },
    /** Lines to write on, as many as the page has room for, up to six; nothing where that is fewer than two. */
    writing(words: string, size: number) {
      const pitch = 8;
      if (y - 3 - 2 * pitch < bottom) return;
      y -= 3;
      put(text(setter, 'sheet', { x: left, y: y - size * 1.05 }, words, { size }));
      for (let count = 0; count < 6 && y - pitch >= bottom; count += 1) {
        y -= pitch;
        put(line('sheet', { x: left, y }, { x: right, y }, pens.write));
      }
    },
    pages: (): Page[] =>
      pages.map((marks, index) => {
        const work = `fingerprint ${words.fingerprint} · ${words.title}`;
        const draft: Mark[] = words.isDraft ? [text(setter, 'draft', { x: right, y: height - margin + 1.5 }, 'DRAFT, DO NOT DRILL', { size: 3.6, weight: 'bold', align: 'right', gray: 0.2 })] : [];
        const footer = [text(setter, 'sheet', { x: left, y: margin + 1 }, work, { size: 2.3, gray: 0.3, most: (right - left) * 0.7 }), text(setter, 'sheet', { x: right, y: margin + 1 }, foot(index + 1, pages.length), { size: 2.3, gray: 0.3, align: 'right' })];
        return { name: `${name} ${index + 1}`, width, height, groups: [{ marks: [...marks, ...footer, ...draft], shift: { x: 0, y: 0 } satisfies Point }] };
      }),
  };
}

/** Width of the names before what is said of them. */
function namesWidth(setter: Typesetter, rows: readonly (readonly [string, string])[], size: number): number {
  return Math.max(0, ...rows.map(([name]) => setter.width(name, 'bold'))) * size + columnGap;
}

/** Width of a cell's words in em. */
function wordsWidth(setter: Typesetter, cell: FlowCell, weight: Weight): number {
  return typeof cell === 'string' ? setter.width(cell, weight) : 0;
}

/** Width of a cell that holds boxes or lines, which gives way to nothing; 0 for words. */
function penWidth(cell: FlowCell): number {
  if (typeof cell === 'string') return 0;
  return ('boxes' in cell ? boxesWidth(cell.boxes) : linesWidth(cell.lines)) + columnGap;
}

/** Column widths that fill no more than the room: the widest columns give way first, none below its least width. */
function fitted(natural: readonly number[], least: readonly number[], room: number): number[] {
  const capped = (cap: number) => natural.map((width, column) => Math.max(least[column] ?? 0, Math.min(width, cap)));
  const total = (cap: number) => capped(cap).reduce((sum, width) => sum + width, 0);
  let [low, high] = [0, Math.max(...natural)];
  if (total(high) <= room) return [...natural];
  for (let step = 0; step < 40; step += 1) {
    const cap = (low + high) / 2;
    if (total(cap) <= room) low = cap;
    else high = cap;
  }
  return capped(low);
}
