import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import type { Point, Rect } from '../plan/plan.ts';
import { prescale, profileWords, quoted, worstReading, type PrinterProfile, type ScaleLengths } from '../plan/printer.ts';
import { usualMargin, type Paper } from '../trade/papers.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { pens, ruler } from './furniture.ts';
import type { LayoutTrouble } from './layout.ts';
import { line, rectPath, text, type Mark } from './mark.ts';
import type { DocumentWords } from './pdf.ts';
import type { Page, Scale } from './sheet.ts';
import { wrap, type Typesetter, type Weight } from './type.ts';

/** Parts of a scale, mm outwards from its line on the millimetre side. */
const scaleParts = {
  /** Below the line: inch ticks and their numerals. */
  inches: 5.4,
  /** Long end marks, clear of the numerals. */
  endMark: { from: 6.2, to: 10 },
  /** The line between the end marks that a rule's edge is laid along. */
  rule: 8,
  /** Baseline of the nominal length, and the height of all words above it. */
  words: 10.6,
  top: 19,
} as const;

/** Half of the last numeral stands over the end of its scale; the first is a single digit, mm. */
const overhang = { start: 1, end: 2.2 } as const;

/** Shortest scales and diagonals worth measuring, mm (our choice). */
const shortest = { scale: 80, diagonal: 40 } as const;

const wholeCentimetres = (room: number) => Math.floor(room / 10 + 1e-9) * 10;
/** Lines to write on, and lines between parts of the page. */
const linePen = { width: 0.1, gray: 0.3 } as const;
const noScale: Scale = { x: 1, y: 1 };

/** The page, mm as it shall be on paper, and the part of it inside the margin. */
interface RulerArea {
  readonly width: number;
  readonly height: number;
  readonly box: Rect;
}

/** A prescaled page is the same paper; the wider margin keeps its ink out of the strip that the printer leaves white. */
function areaOf(paper: Paper, margin: number, scale: Scale): RulerArea {
  const [width, height] = [paper.width / scale.x, paper.height / scale.y];
  const inner = margin / Math.min(scale.x, scale.y);
  return { width, height, box: { left: inner, right: width - inner, bottom: inner, top: height - inner } };
}

/** Where the scale down begins, above the end mark of the scale across, mm. */
function startOfDown({ box }: RulerArea): number {
  return box.bottom + scaleParts.inches + scaleParts.endMark.to + 0.8 + overhang.start;
}

/** Lengths of a ruler page's scales, mm: whole centimetres, as long as fits. Only a page without a profile is measured for one. */
export function rulerPageLengths(paper: Paper, margin: number, profile?: PrinterProfile): ScaleLengths {
  const area = areaOf(paper, margin, profile ? prescale(profile, 'portrait') : noScale);
  const { box } = area;
  return { across: wholeCentimetres(box.right - box.left - 2 * overhang.end), down: wholeCentimetres(box.top - startOfDown(area) - overhang.end) };
}

/** Why no ruler page fits the paper; undefined where one does. */
export function rulerTrouble(paper: Paper, margin: number, profile?: PrinterProfile): LayoutTrouble | undefined {
  const { across, down } = rulerPageLengths(paper, margin, profile);
  return Math.min(across, down) >= shortest.scale ? undefined : noRoom(paper, margin);
}

function noRoom(paper: Paper, margin: number): LayoutTrouble {
  return { problem: `${paper.name} with a margin of ${formatLength(margin)} leaves no room for scales worth measuring`, fix: 'choose a larger paper or a smaller margin' };
}

/** What is told of the page as a document. */
export function rulerDocument(paper: Paper, margin: number, profile?: PrinterProfile): DocumentWords {
  const fingerprint = bytesToHex(sha256(utf8ToBytes(JSON.stringify([paper, margin, profile ?? null])))).slice(0, 32);
  return { title: `Printer ruler, ${paper.name}${profile ? `, ${profile.name}` : ''}`, subject: 'ruler page to measure a printer by', fingerprint };
}

/**
 * One page to measure a printer by: a scale across, a scale down, a square with its diagonals, and what to do with them.
 * @param paper lies upright
 * @param margin strip along the paper that the printer cannot reach, mm
 * @param profile undoes the printer's error, so that the page proves the profile
 */
export function rulerPage(paper: Paper, margin: number, setter: Typesetter, profile?: PrinterProfile): Page | LayoutTrouble {
  const trouble = rulerTrouble(paper, margin, profile);
  if (trouble) return trouble;
  const scale = profile ? prescale(profile, 'portrait') : noScale;
  const area = areaOf(paper, margin, scale);
  const { box } = area;
  const { across, down } = rulerPageLengths(paper, margin, profile);
  const placeAcross = { x: (box.left + box.right - across) / 2, y: box.bottom + scaleParts.inches };
  const placeDown = { x: box.right - scaleParts.inches, y: (startOfDown(area) + box.top - overhang.end - down) / 2 };
  const inner = { left: box.left, right: placeDown.x - scaleParts.top, bottom: placeAcross.y + scaleParts.top, top: box.top };

  const most = inner.right - inner.left;
  const size = most < 120 ? 2.3 : 3;
  // The diagonals' length stands in the words, whose height leaves the room for the square: it is settled on words of the same height.
  const diagonalBelow = (bottom: number) => wholeCentimetres(Math.min(most, bottom - inner.bottom - 2) * Math.SQRT2);
  const wordsFor = (diagonal: number) => setWords({ paper, margin, profile, across, down, diagonal }, inner, size, setter);
  const diagonal = diagonalBelow(wordsFor(100).bottom);
  if (diagonal < shortest.diagonal) return noRoom(paper, margin);
  const words = wordsFor(diagonal);

  const marks = [
    ...scaleMarks('across', across, setter, (along, out) => ({ x: placeAcross.x + along, y: placeAcross.y + out }), 0),
    ...scaleMarks('down', down, setter, (along, out) => ({ x: placeDown.x - out, y: placeDown.y + along }), 90),
    ...squareMarks(diagonal, { ...inner, top: words.bottom }, setter),
    ...words.marks,
  ];
  return { name: 'ruler', width: area.width, height: area.height, groups: [{ marks, shift: { x: 0, y: 0 } }], ...(profile ? { scale } : {}) };
}

/** A scale, its long end marks, and the line between them along which the rule is laid. */
function scaleMarks(name: string, length: number, setter: Typesetter, place: (along: number, out: number) => Point, angle: number): Mark[] {
  const { endMark, rule, words } = scaleParts;
  const stroke = (along: number, out: number, toAlong: number, toOut: number) => line('sheet', place(along, out), place(toAlong, toOut), pens.ruler);
  const arrow = (tip: number, inwards: number) => [stroke(tip, rule, tip + inwards * 2, rule + 0.5), stroke(tip, rule, tip + inwards * 2, rule - 0.5)];
  const centred = (out: number, line: string, size: number, weight: Weight) => text(setter, 'sheet', place(length / 2, out), line, { size, weight, align: 'center', angle, most: length });
  return [
    ...ruler('sheet', length, setter, place, angle),
    stroke(0, endMark.from, 0, endMark.to),
    stroke(length, endMark.from, length, endMark.to),
    stroke(0, rule, length, rule),
    ...arrow(0, 1),
    ...arrow(length, -1),
    centred(words, `${name}: ${both(length)}`, 4.6, 'bold'),
    centred(words + 5, length < 120 ? 'rule\'s edge on this line, end mark to end mark' : 'lay the edge of the rule along this line and measure from long end mark to long end mark', 2.3, 'regular'),
  ];
}

/** A square by its diagonals, in the middle of a box, each diagonal with its name and length. */
function squareMarks(diagonal: number, box: Rect, setter: Typesetter): Mark[] {
  const half = diagonal / Math.SQRT2 / 2;
  const [x, y] = [(box.left + box.right) / 2, (box.bottom + box.top) / 2];
  const square = { left: x - half, right: x + half, bottom: y - half, top: y + half };
  const named = (name: string, rise: 1 | -1): Mark[] => {
    const words = `diagonal ${name}: ${both(diagonal)}`;
    const size = Math.min(3.4, (diagonal * 0.42) / setter.width(words, 'bold'));
    // In the middle of the left half, above the line.
    const at = { x: x - half / 2 - (1.2 * rise) / Math.SQRT2, y: y - (rise * half) / 2 + 1.2 / Math.SQRT2 };
    return [line('sheet', { x: square.left, y: y - rise * half }, { x: square.right, y: y + rise * half }, pens.ruler), text(setter, 'sheet', at, words, { size, weight: 'bold', align: 'center', angle: 45 * rise })];
  };
  return [rectPath('sheet', square, pens.ruler), ...named('A', 1), ...named('B', -1)];
}

/** "180 mm (7.087 in)" */
function both(mm: number): string {
  return `${formatLength(mm)} (${formatInches(mm)})`;
}

interface Told extends ScaleLengths {
  readonly paper: Paper;
  readonly margin: number;
  readonly profile: PrinterProfile | undefined;
  readonly diagonal: number;
}

/** Steps, each with the command to type after it, if any. Paper's movement with warmth and humidity is from memory. */
function steps({ paper, margin, profile, diagonal }: Told): (readonly [step: string, command?: string])[] {
  const options = ` --paper ${quoted(paper.name)}${margin === usualMargin ? '' : ` --margin ${formatLength(margin).replace(' ', '')}`}`;
  const careful = `to 0.1 mm if you can, to ${formatLength(worstReading)} at worst`;
  const before: (readonly [string])[] = [
    ['Print this page at 100 % / actual size, not "fit to page", on the same paper, from the same tray and at the same quality as the jig.'],
    ['Let the paper rest and cool for some minutes: it moves with warmth and humidity, by some tenths of a percent.'],
    [`Measure both scales with a steel rule, from long end mark to long end mark: ${careful}. Across is the short side of the paper, down its long side, also where a sheet lies landscape.`],
    [`Measure the diagonals of the square. Both must measure the same, nominal ${both(diagonal)}. If they differ by more than 0.5 mm, the printer draws askew: feed the paper straight; no profile mends that.`],
  ];
  if (profile) {
    return [
      ...before,
      [`The profile holds if across and down measure what is printed beside them, to ${formatLength(worstReading)}. If not, print the page without a profile and measure anew:`, `panejig ruler${options}`],
    ];
  }
  return [
    ...before,
    ['Type what you measured, with its unit (mm, cm, in), and a name for this printer, paper and tray, such as office:', `panejig printer NAME${options} --across …mm --down …mm`],
    ['Print this page again with the profile to prove it, and measure again:', `panejig ruler --printer NAME${margin === usualMargin ? '' : ` --margin ${formatLength(margin).replace(' ', '')}`}`],
  ];
}

/** The words of the page from the top of a box down, and where they end. */
function setWords(told: Told, { left, right, top }: Rect, size: number, setter: Typesetter): { marks: Mark[]; bottom: number } {
  const marks: Mark[] = [];
  const most = Math.min(right - left, 180);
  let y = top;
  const put = (x: number, words: string, height: number, weight: Weight = 'regular') => {
    y -= height * 1.35;
    marks.push(text(setter, 'sheet', { x, y: y + height * 0.3 }, words, { size: height, weight, most: left + most - x }));
  };
  const putWrapped = (x: number, words: string, height: number, weight: Weight = 'regular') => wrap(setter, words, weight, (left + most - x) / height).forEach((row) => put(x, row, height, weight));
  put(left, `Printer ruler, ${told.paper.name}`, 5.6, 'bold');
  putWrapped(left, told.profile ? `Prescaled by ${profileWords(told.profile)}` : 'Printed without a profile: shows how long and how square this printer draws.', size, 'bold');
  y -= 1.2;
  marks.push(line('sheet', { x: left, y }, { x: left + most, y }, linePen));
  y -= 1.2;
  const indent = left + size * 1.8;
  for (const [index, [step, command]] of steps(told).entries()) {
    marks.push(text(setter, 'sheet', { x: left, y: y - size * 1.05 }, `${index + 1}.`, { size, weight: 'bold' }));
    putWrapped(indent, step, size);
    if (command) putWrapped(indent, command, size * 1.1, 'bold');
    y -= size * 0.35;
  }
  const fields = ['measured across', 'down', 'diagonal A', 'diagonal B'];
  const perRow = most < 120 ? 2 : 4;
  for (const [index, field] of fields.entries()) {
    if (index % perRow === 0) y -= size * 1.6 + 1;
    const start = left + (index % perRow) * (most / perRow);
    const label = text(setter, 'sheet', { x: start, y }, field, { size });
    marks.push(label, line('sheet', { x: start + label.width + 1, y: y - 0.4 }, { x: start + most / perRow - 3, y: y - 0.4 }, linePen));
  }
  return { marks, bottom: y - 3 };
}
