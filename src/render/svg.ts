import Flatbush from 'flatbush';
import type { Point, Rect } from '../plan/plan.ts';
import { formatBoth, plainNumber } from '../trade/units.ts';
import { draftMarks, ruler } from './furniture.ts';
import { arcSteps, shownChains, type Piece } from './arc.ts';
import { boxOf, clipSegment, joinedAreas, line, markBounds, text, type Layer, type Line, type Mark, type Path, type Pen, type Text } from './mark.ts';
import { outlineReader, type Contour } from './outline.ts';
import type { SheetWords } from './sheet.ts';
import { cleanText, wrap, type Face, type Typesetter } from './type.ts';

/**
 * The groups of the file and what a person reads of them. Machines that work through groups from first to last mark
 * before they cut, and cut the panel's edge loose last (common practice, no source).
 */
export const layerTitles: Readonly<Record<Layer, string>> = {
  area: 'areas where centres may be, not to be cut',
  draft: 'draft, do not drill',
  sheet: 'title and notes',
  ruler: 'ruler, measure this before cutting',
  label: 'hole labels',
  'keep-clear': 'areas to keep clear',
  box: 'boxes that stand on the panel',
  joint: 'joints, where neighbouring panels stand',
  part: 'flange, gasket or nut',
  seam: 'seams between sheets',
  align: 'alignment marks',
  orientation: 'orientation mark',
  tie: 'tie lines',
  center: 'centre crosses and ticks',
  hole: 'drilling circles',
  rim: 'rim line',
  panel: 'panel edge',
};

/** Most characters of a file: some 5000 holes with their labels. */
const mostCharacters = 200_000_000;

/** Why a drawing cannot be written, and what to change. */
export interface DrawingTrouble {
  readonly problem: string;
  readonly accepted: string;
  readonly fix: string;
}

const tooLarge: DrawingTrouble = {
  problem: `the drawing has more than ${mostCharacters / 1e6} million characters`,
  accepted: 'a panel of up to some 5000 holes',
  fix: 'divide the panel into several specs, or print the PDF alone',
};

export interface SvgWords {
  readonly title: string;
  readonly description: string;
}

/** What the drawing says of the work. */
export type DrawingWords = Pick<SheetWords, 'areas' | 'title' | 'lies' | 'panel' | 'fingerprint' | 'isDraft'>;

/**
 * Marks as an SVG file (SVG 1.1, second edition) at true size: one unit is one millimetre, y downwards from the top of
 * the box. Made for cutters and plotters too: lines, circles and paths in plain coordinates, without transforms, clips,
 * styles or fonts; letters are outlines. Each layer has a group for its strokes and one for its words. Same marks, same text.
 */
export function writeSvg(marks: readonly Mark[], box: Rect, words: SvgWords, setter: Typesetter): string | DrawingTrouble {
  const [width, height] = [box.right - box.left, box.top - box.bottom].map(number);
  const at = ({ x, y }: Point): Point => ({ x: x - box.left, y: box.top - y });
  const textPath = textWriter(marks, at, setter);
  const strokes = new Map<Layer, string[]>();
  const letters = new Map<Layer, string[]>();
  let characters = 0;
  for (const mark of withoutCovered(joinedAreas(marks))) {
    const shapes = mark.kind === 'text' ? letters : strokes;
    const drawn = mark.kind === 'text' ? textPath(mark) : shape(mark, at);
    const own = shapes.get(mark.layer);
    if (own) own.push(drawn);
    else shapes.set(mark.layer, [drawn]);
    characters += drawn.length;
    if (characters > mostCharacters) return tooLarge;
  }
  const groups = (Object.keys(layerTitles) as Layer[]).map((layer) => {
    const title = layerTitles[layer];
    return group(layer, title, strokes.get(layer)) + group(`${layer}-words`, `${title}, words`, letters.get(layer));
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<!-- (panejig drilling jig) -->
<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}" stroke-miterlimit="10">
<title>${escaped(words.title)}</title>
<desc>${escaped(words.description)}</desc>
${groups.join('')}</svg>
`;
}

function group(id: string, title: string, shapes: readonly string[] = []): string {
  const drawn = shapes.join('');
  return drawn === '' ? '' : `<g id="${id}">\n<title>${escaped(title)}</title>\n${drawn}</g>\n`;
}

/** A number to 0.0001 mm. */
function number(value: number): string {
  return plainNumber(value, 4);
}

/** Text as XML 1.0 can hold it (fifth edition, productions 2 and 14). */
function escaped(words: string): string {
  const entities: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&apos;' };
  return cleanText(words).replace(/[\uFFFE\uFFFF]/g, '\uFFFD').replace(/[&<>"']/g, (character) => entities[character] as string);
}

function gray(value: number): string {
  return `#${Math.round(value * 255).toString(16).padStart(2, '0').repeat(3)}`;
}

function penAttributes({ width, gray: ink, dashes }: Pen): string {
  return `stroke="${gray(ink)}" stroke-width="${number(width)}"${dashes && dashes.length > 0 ? ` stroke-dasharray="${dashes.map(number).join(' ')}"` : ''}`;
}

function shape(mark: Exclude<Mark, Text>, at: (p: Point) => Point): string {
  switch (mark.kind) {
    case 'line': {
      const [a, b] = [at(mark.a), at(mark.b)];
      return `<line x1="${number(a.x)}" y1="${number(a.y)}" x2="${number(b.x)}" y2="${number(b.y)}" fill="none" ${penAttributes(mark.pen)}/>\n`;
    }
    case 'circle': {
      const { x, y } = at(mark.center);
      return `<circle cx="${number(x)}" cy="${number(y)}" r="${number(mark.radius)}" fill="none" ${penAttributes(mark.pen)}/>\n`;
    }
    case 'path': {
      const chain = mark.points.map(at).map(({ x, y }, index) => `${index === 0 ? 'M' : 'L'} ${number(x)} ${number(y)}`).join(' ');
      return `<path d="${chain}${mark.isClosed ? ' Z' : ''}" fill="${mark.fill === null ? 'none' : gray(mark.fill)}"${mark.pen ? ` ${penAttributes(mark.pen)}` : ''}/>\n`;
    }
    case 'area': {
      const filled = mark.fill === null ? '' : `<path d="${mark.loops.map((loop) => `${chainData(loop, at)} Z`).join(' ')}" fill="${gray(mark.fill)}"/>\n`;
      const chains = mark.pen === null ? [] : shownChains(mark.loops).map((chain) => `${chainData(chain.pieces, at)}${chain.isClosed ? ' Z' : ''}`);
      return `${filled}${mark.pen && chains.length > 0 ? `<path d="${chains.join(' ')}" fill="none" ${penAttributes(mark.pen)}/>\n` : ''}`;
    }
  }
}

/**
 * Pieces as path data. Arcs run clockwise, on paper too, where y goes down: sweep flag 1. In steps of at most a quarter
 * turn, so that rounding moves them by no more than it moves their ends: the center of a half circle would wander.
 */
function chainData(chain: readonly Piece[], at: (p: Point) => Point): string {
  const place = (p: Point) => {
    const { x, y } = at(p);
    return `${number(x)} ${number(y)}`;
  };
  const drawn = (piece: Piece) => (piece.kind === 'line' ? [`L ${place(piece.to)}`] : arcSteps(piece, Math.PI / 2).map(({ to }) => `A ${number(piece.radius)} ${number(piece.radius)} 0 0 1 ${place(to)}`));
  return [...(chain[0] ? [`M ${place(chain[0].from)}`] : []), ...chain.flatMap(drawn)].join(' ');
}

/**
 * The marks without white fills. A cutter knows no white: what a white box would hide of the lines of its own layer is
 * left out of them instead, so that groups may be drawn, moved and left away in any order.
 */
function withoutCovered(marks: readonly Mark[]): Mark[] {
  const whites = marks.flatMap((mark, order) => (isWhite(mark) ? [{ layer: mark.layer, order, box: boxOf(mark.points) }] : []));
  if (whites.length === 0) return [...marks];
  const index = new Flatbush(whites.length);
  for (const { box } of whites) index.add(box.left, box.bottom, box.right, box.top);
  index.finish();
  return marks.flatMap((mark, order): readonly Mark[] => {
    if (mark.kind === 'text' || mark.kind === 'circle' || mark.kind === 'area') return [mark];
    if (isWhite(mark) && !mark.pen) return [];
    const { left, bottom, right, top } = markBounds(mark);
    const above = index.search(left, bottom, right, top).map((at) => whites[at] as (typeof whites)[number]).filter((white) => white.layer === mark.layer && white.order > order);
    const shown: Mark = isWhite(mark) ? { ...mark, fill: null } : mark;
    return above.reduce<readonly Mark[]>((parts, { box }) => parts.flatMap((part) => outside(part, box)), [shown]);
  });
}

function isWhite(mark: Mark): mark is Path {
  return mark.kind === 'path' && mark.fill === 1;
}

/** What of a mark's lines is outside a box. */
function outside(mark: Mark, box: Rect): readonly Mark[] {
  if (mark.kind === 'line') return lineOutside(mark, box);
  if (mark.kind !== 'path' || mark.fill !== null) return [mark];
  const sides = sidesOf(mark);
  return sides.some(({ a, b }) => clipSegment(a, b, box)) ? sides.flatMap((side) => lineOutside(side, box)) : [mark];
}

function sidesOf({ layer, points, isClosed, pen }: Path): Line[] {
  if (!pen) return [];
  const ends = isClosed ? [...points.slice(1), ...points.slice(0, 1)] : points.slice(1);
  return ends.map((b, index) => line(layer, points[index] as Point, b, pen));
}

function lineOutside(mark: Line, box: Rect): Line[] {
  const hidden = clipSegment(mark.a, mark.b, box);
  if (!hidden) return [mark];
  const [from, to] = hidden;
  return [{ ...mark, b: from }, { ...mark, a: to }].filter(({ a, b }) => Math.hypot(a.x - b.x, a.y - b.y) > 1e-4);
}

/** Letters are set and drawn in steps of 0.01 mm: 2540 to the inch. */
const letterSteps = 100;

/** A chain of a letter at its size and angle: its start, in steps from the letter's place, y downwards, and path data from there. */
interface LetterChain {
  readonly x: number;
  readonly y: number;
  readonly data: string;
}

/** A writer of texts as outlines, every letter where the typesetter puts it. */
function textWriter(marks: readonly Mark[], at: (p: Point) => Point, setter: Typesetter): (mark: Text) => string {
  const outlines = outlinesOf(marks, setter);
  const drawn = new Map<Face, Map<string, readonly LetterChain[]>>();
  const chainsOf = (face: Face, id: number, cos: number, sin: number): readonly LetterChain[] => {
    const own = drawn.get(face) ?? new Map<string, readonly LetterChain[]>();
    const key = `${id} ${cos} ${sin}`;
    const chains = own.get(key) ?? (outlines.get(face)?.(id) ?? []).map((contour) => letterChain(contour, cos, sin));
    drawn.set(face, own.set(key, chains));
    return chains;
  };
  return (mark) => {
    const turn = (mark.angle * Math.PI) / 180;
    const [cos, sin] = [Math.cos(turn) * mark.size, Math.sin(turn) * mark.size];
    let pen = { left: 0, center: -0.5, right: -1 }[mark.align] * setter.width(mark.text, mark.weight);
    let data = '';
    for (const { face, glyphs } of setter.shape(mark.text, mark.weight)) {
      for (const { id, advance, dx, dy } of glyphs) {
        const place = at({ x: mark.at.x + (pen + dx) * cos - dy * sin, y: mark.at.y + (pen + dx) * sin + dy * cos });
        const [x, y] = [Math.round(place.x * letterSteps), Math.round(place.y * letterSteps)];
        for (const chain of chainsOf(face, id, cos, sin)) data += `M${(x + chain.x) / letterSteps} ${(y + chain.y) / letterSteps}${chain.data}`;
        pen += advance;
      }
    }
    return data === '' ? '' : `<path d="${data}" fill="${gray(mark.gray)}"><title>${escaped(mark.text)}</title></path>\n`;
  };
}

/** Readers of the outlines of all faces that the marks' texts are set in. */
function outlinesOf(marks: readonly Mark[], setter: Typesetter): Map<Face, (id: number) => readonly Contour[]> {
  const ids = new Map<Face, Set<number>>();
  for (const mark of marks) {
    if (mark.kind !== 'text') continue;
    for (const { face, glyphs } of setter.shape(mark.text, mark.weight)) {
      const used = ids.get(face) ?? new Set();
      glyphs.forEach(({ id }) => used.add(id));
      ids.set(face, used);
    }
  }
  return new Map([...ids].map(([face, used]) => [face, outlineReader(face.program([...used]))]));
}

/** A contour turned and scaled. Steps are told from point to point, each point rounded by itself, so that errors do not add up. */
function letterChain(contour: Contour, cos: number, sin: number): LetterChain {
  const across = (x = 0, y = 0) => Math.round((x * cos - y * sin) * letterSteps);
  const down = (x = 0, y = 0) => Math.round((-x * sin - y * cos) * letterSteps);
  const [start = [], ...pieces] = contour;
  let [x, y] = [across(...start), down(...start)];
  const [startX, startY] = [x, y];
  let data = '';
  for (const [a, b, c, d] of pieces) {
    const [nextX, nextY] = [across(a, b), down(a, b)];
    data += `${c === undefined ? 'l' : 'q'}${(nextX - x) / letterSteps} ${(nextY - y) / letterSteps}`;
    if (c !== undefined) data += ` ${(across(c, d) - x) / letterSteps} ${(down(c, d) - y) / letterSteps}`;
    [x, y] = c === undefined ? [nextX, nextY] : [across(c, d), down(c, d)];
  }
  return { x: startX, y: startY, data: `${data}z` };
}

/** White round the drawing, mm. */
const border = 6;
/** Shortest ruler, for 100 mm and 4 in, and the longest, for a steel rule of 300 mm. */
const rulerLength = { least: 110, most: 300 } as const;

/** The whole jig of a panel as an SVG file: its marks, and below them a ruler to measure before cutting, the title, face and fingerprint. */
export function jigSvg(panel: readonly Mark[], words: DrawingWords, setter: Typesetter): string | DrawingTrouble {
  const drawn = boxOf(panel.flatMap((mark) => corners(markBounds(mark))));
  const [left, top, bottom] = [Math.round(drawn.left) - border, Math.round(drawn.top) + border, Math.round(drawn.bottom) - border];
  const width = Math.max(Math.round(drawn.right) + border - left, rulerLength.least + 2 * border);
  const start = left + border;
  const length = Math.min(rulerLength.most, Math.floor((width - 2 * border) / 10) * 10);
  const baseline = bottom - 8;
  const lines = footLines(words, length, width - 2 * border, setter);
  let y = baseline - 6;
  const foot = lines.map(({ words: said, size, weight, isFirst }) => {
    y -= size * 1.25 + (isFirst ? 1 : 0);
    return text(setter, 'sheet', { x: start, y }, said, { size, weight });
  });
  const box = { left, right: left + width, top, bottom: Math.floor(y - border) };
  const draft = words.isDraft ? draftMarks(drawn, setter) : [];
  const marks = [...draft, ...panel.map(outlined), ...ruler('ruler', length, setter, (along, out) => ({ x: start + along, y: baseline + out }), 0), ...foot];
  const description = `${words.isDraft ? 'DRAFT, DO NOT DRILL. ' : ''}Jig at true size, one unit is one millimetre. ${words.lies} Panel: ${words.panel}. Fingerprint ${words.fingerprint}.`;
  return writeSvg(marks, box, { title: words.title, description }, setter);
}

/** A solid mark as its outline: a cutter draws strokes. */
function outlined(mark: Mark): Mark {
  return mark.kind === 'path' && mark.fill === 0 ? { ...mark, fill: null, pen: { width: 0.25, gray: 0 } } : mark;
}

function corners({ left, bottom, right, top }: Rect): Point[] {
  return [{ x: left, y: bottom }, { x: right, y: top }];
}

function footLines(words: DrawingWords, length: number, most: number, setter: Typesetter) {
  const paragraphs = [
    { words: `Measure this before cutting: the ruler is ${formatBoth(length, 'mm')} long.`, size: 2.8, weight: 'bold' },
    { words: `${words.isDraft ? 'DRAFT, DO NOT DRILL: ' : ''}${words.title}`, size: 4.5, weight: 'bold' },
    ...(words.areas ? [{ words: words.areas, size: 2.8, weight: 'regular' } as const] : []),
    { words: `${words.lies} Fingerprint ${words.fingerprint}; ${words.panel}.`, size: 2.8, weight: 'regular' },
  ] as const;
  return paragraphs.flatMap((paragraph) => wrap(setter, paragraph.words, paragraph.weight, most / paragraph.size).map((line, row) => ({ ...paragraph, words: line, isFirst: row === 0 })));
}
