/**
 * Typesetting: text to positioned glyphs. Lengths are in em (1 = the font size) unless said otherwise.
 * Latin text is set here from a table; every other script by the typesetter in type-wide.ts.
 */

export type Weight = 'regular' | 'bold';

/** Metrics in font units, `unitsPerEm` to the em. */
export interface FaceMetrics {
  unitsPerEm: number;
  ascent: number;
  descent: number;
  capHeight: number;
  /** Degrees. */
  italicAngle: number;
  /** Left, bottom, right, top of the box that holds every glyph. */
  bbox: readonly [number, number, number, number];
}

/** A TrueType program ready to embed. */
export interface FaceProgram {
  bytes: Uint8Array;
  /** True when `bytes` are zlib-compressed. */
  packed: boolean;
  /** Length of the plain program in bytes. */
  plainLength: number;
  /** Number that a glyph of the face has in this program. */
  idInProgram(id: number): number;
}

export interface Face {
  /** PostScript name. */
  name: string;
  metrics: FaceMetrics;
  /** Advance of a glyph in the face itself, before kerning, in em. */
  naturalAdvance(id: number): number;
  /** A program that holds at least the given glyphs. */
  program(ids: readonly number[]): FaceProgram;
}

/** One positioned glyph. `advance` moves the pen; `dx` and `dy` shift only this glyph. */
export interface Glyph {
  id: number;
  advance: number;
  dx: number;
  dy: number;
  /** The characters this glyph stands for; empty if another glyph of its cluster already stands for them. */
  text: string;
}

/** Glyphs of one face in visual order, left to right. */
export interface Run {
  face: Face;
  glyphs: readonly Glyph[];
}

export interface Typesetter {
  shape(text: string, weight?: Weight): readonly Run[];
  /** Width in em. */
  width(text: string, weight?: Weight): number;
  /** Characters met so far that no face covers. They are drawn as a replacement sign. */
  unprintable: ReadonlySet<string>;
}

/** One weight of the Latin face, as the build writes it. */
export interface LatinFaceData {
  name: string;
  metrics: FaceMetrics;
  /** Flat triples: code point, glyph id, advance in font units. */
  glyphs: readonly number[];
  /** Length of the plain TrueType program in bytes. */
  programLength: number;
  /** The TrueType program, zlib-compressed, in base64. */
  program: string;
}

export interface LatinFaces {
  regular: LatinFaceData;
  bold: LatinFaceData;
}

/** Code points as flat inclusive ranges in rising order: first, last, first, last ... */
export type Coverage = readonly number[];

export interface WideFaceEntry {
  name: string;
  file: string;
  weight: Weight;
  coverage: Coverage;
}

/** Wide faces in order of preference. */
export type WideIndex = readonly WideFaceEntry[];

/** Name of the face that draws emoji. */
export const emojiFaceName = 'emoji';

const replacement = '\uFFFD';
const ellipsis = '…';
const ignorable = /\p{Default_Ignorable_Code_Point}/u;
const emojiLike = /\p{Emoji_Presentation}|\p{Emoji_Modifier}|\uFE0F/u;
const plainAscii = /^[\x20-\x7E]*$/;
const cacheLimit = 4096;

/** Widths this much over the limit, in em, still count as fitting. */
const slack = 1e-9;

/** Spaces for control characters and line ends, U+FFFD for lone surrogates, nothing for invisible break hints. */
export function cleanText(text: string): string {
  if (plainAscii.test(text)) return text;
  return text
    .replace(/\p{Cc}|[\u2028\u2029]/gu, ' ')
    .replace(/\p{Cs}/gu, replacement)
    .replace(/[\u00AD\u200B\u2060\uFEFF]/g, '');
}

const segmenter = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** Code units segmented at a time: the segmenter slows down with the square of the length. */
const segmentLength = 1000;

/** Characters as a reader sees them: a base with its marks, a joined emoji. */
export function graphemes(text: string): string[] {
  if (plainAscii.test(text)) return text.split('');
  const all: string[] = [];
  for (let start = 0; start < text.length;) {
    const parts = Array.from(segmenter.segment(text.slice(start, start + segmentLength)), (part) => part.segment);
    // The last grapheme may go on in the next segment, unless it alone is as long as one.
    if (start + segmentLength < text.length && parts.length > 1) parts.pop();
    for (const part of parts) {
      all.push(part);
      start += part.length;
    }
  }
  return all;
}

/** True for characters that steer the layout and are not drawn themselves. */
export function isIgnorable(character: string): boolean {
  return ignorable.test(character);
}

/** True if a grapheme should look like an emoji where a face has one. */
export function isEmoji(grapheme: string): boolean {
  return emojiLike.test(grapheme);
}

export function covers(coverage: Coverage, codePoint: number): boolean {
  let low = 0;
  let high = coverage.length / 2 - 1;
  while (low <= high) {
    const middle = (low + high) >> 1;
    if (codePoint < (coverage[2 * middle] ?? 0)) high = middle - 1;
    else if (codePoint > (coverage[2 * middle + 1] ?? 0)) low = middle + 1;
    else return true;
  }
  return false;
}

/** True if every visible character of `text` is covered. */
export function coversText(coverage: Coverage, text: string): boolean {
  for (const character of text) {
    if (!isIgnorable(character) && !covers(coverage, character.codePointAt(0) ?? 0)) return false;
  }
  return true;
}

interface LatinTable {
  face: Face;
  glyphs: ReadonlyMap<string, Glyph>;
  coverage: Coverage;
}

const tables = new WeakMap<LatinFaceData, LatinTable>();

function bytesOfBase64(base64: string): Uint8Array {
  return Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
}

function buildLatinTable(data: LatinFaceData): LatinTable {
  const glyphs = new Map<string, Glyph>();
  const advances = new Map<number, number>();
  const coverage: number[] = [];
  for (let i = 0; i < data.glyphs.length; i += 3) {
    const code = data.glyphs[i] ?? 0;
    const id = data.glyphs[i + 1] ?? 0;
    const advance = (data.glyphs[i + 2] ?? 0) / data.metrics.unitsPerEm;
    const text = String.fromCodePoint(code);
    glyphs.set(text, { id, advance, dx: 0, dy: 0, text });
    advances.set(id, advance);
    coverage.push(code, code);
  }
  const face: Face = {
    name: data.name,
    metrics: data.metrics,
    naturalAdvance: (id) => advances.get(id) ?? 0,
    program: () => ({
      bytes: bytesOfBase64(data.program),
      packed: true,
      plainLength: data.programLength,
      idInProgram: (id) => id,
    }),
  };
  return { face, glyphs, coverage };
}

/** The glyphs of one Latin weight by character. Built once for each set of data. */
export function latinTable(data: LatinFaceData): LatinTable {
  let table = tables.get(data);
  if (!table) {
    table = buildLatinTable(data);
    tables.set(data, table);
  }
  return table;
}

/** The sign drawn for a character that no face covers. */
export function replacementGlyph(table: LatinTable, text: string): Glyph {
  const sign = table.glyphs.get(replacement);
  return { id: sign?.id ?? 0, advance: sign?.advance ?? 0.6, dx: 0, dy: 0, text };
}

/** Width of shaped text in em. */
export function runsWidth(runs: readonly Run[]): number {
  let width = 0;
  for (const run of runs) for (const glyph of run.glyphs) width += glyph.advance;
  return width;
}

/** A typesetter around `shape`, which remembers what it has set. */
export function cachedTypesetter(shape: (text: string, weight: Weight) => readonly Run[], unprintable: ReadonlySet<string>): Typesetter {
  const caches = { regular: new Map<string, SetText>(), bold: new Map<string, SetText>() };
  const set = (text: string, weight: Weight): SetText => {
    const cache = caches[weight];
    let found = cache.get(text);
    if (!found) {
      const runs = shape(text, weight);
      found = { runs, width: runsWidth(runs) };
      if (cache.size >= cacheLimit) cache.clear();
      cache.set(text, found);
    }
    return found;
  };
  return {
    shape: (text, weight = 'regular') => set(text, weight).runs,
    width: (text, weight = 'regular') => set(text, weight).width,
    unprintable,
  };
}

interface SetText {
  runs: readonly Run[];
  width: number;
}

/** Sets text in the Latin face alone. */
export function latinTypesetter(latin: LatinFaces): Typesetter {
  const unprintable = new Set<string>();
  const shape = (text: string, weight: Weight): readonly Run[] => {
    const table = latinTable(latin[weight]);
    const glyphs: Glyph[] = [];
    for (const character of cleanText(text).normalize('NFC')) {
      const glyph = table.glyphs.get(character);
      if (glyph) glyphs.push(glyph);
      else if (!isIgnorable(character)) {
        unprintable.add(character);
        glyphs.push(replacementGlyph(table, character));
      }
    }
    return glyphs.length > 0 ? [{ face: table.face, glyphs }] : [];
  };
  return cachedTypesetter(shape, unprintable);
}

/** True if the Latin face alone sets `text` as it should look. */
export function isLatin(text: string, latin: LatinFaces): boolean {
  if (plainAscii.test(text)) return true;
  const { glyphs } = latinTable(latin.regular);
  for (const character of cleanText(text).normalize('NFC')) {
    if (!glyphs.has(character)) return false;
  }
  return true;
}

/** A face that text may be set in: what it is called and covers. */
export interface Candidate {
  name: string;
  coverage: Coverage;
}

/** The spelling of a grapheme that the candidate covers: as written, composed or decomposed. */
function coveredSpelling(candidate: Candidate, grapheme: string): string | undefined {
  return [grapheme, grapheme.normalize('NFC'), grapheme.normalize('NFD')].find((text) => coversText(candidate.coverage, text));
}

/** The first candidate that covers a grapheme, and the spelling it covers; emoji try the emoji face first. */
export function chooseFace<C extends Candidate>(candidates: readonly C[], grapheme: string): { candidate: C; spelling: string } | undefined {
  const emoji = isEmoji(grapheme) ? candidates.filter((c) => c.name === emojiFaceName) : [];
  for (const candidate of [...emoji, ...candidates]) {
    const spelling = coveredSpelling(candidate, grapheme);
    if (spelling !== undefined) return { candidate, spelling };
  }
  return undefined;
}

/** Names of the wide faces, in both weights, that these texts need, in order of preference. */
export function wideFacesFor(texts: Iterable<string>, index: WideIndex, latin: LatinFaces): string[] {
  const latinCandidate: Candidate = { name: 'latin', coverage: latinTable(latin.regular).coverage };
  const candidates: Candidate[] = [latinCandidate, ...index.filter((entry) => entry.weight === 'regular')];
  const seen = new Set<string>();
  const needed = new Set<string>();
  const note = (text: string): void => {
    if (seen.has(text)) return;
    seen.add(text);
    const chosen = chooseFace(candidates, text);
    if (chosen) needed.add(chosen.candidate.name);
    else if ([...text].length > 1) for (const character of text) note(character);
  };
  for (const text of texts) {
    if (!isLatin(text, latin)) graphemes(cleanText(text)).forEach(note);
  }
  return index.filter((entry) => needed.has(entry.name.replace(/-bold$/, ''))).map((entry) => entry.name);
}

/** The largest count up to `most` for which `fits` holds, looking at no more than about twice that many. */
function largestFitting(most: number, fits: (count: number) => boolean): number {
  let low = 0;
  let step = 8;
  while (low + step < most && fits(low + step)) {
    low += step;
    step *= 2;
  }
  let high = Math.min(most, low + step);
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (fits(middle)) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** `text`, shortened by whole graphemes with an ellipsis if it is wider than `maxEm`. Empty if not even that fits. */
export function fit(setter: Typesetter, text: string, weight: Weight, maxEm: number): string {
  if (setter.width(text, weight) <= maxEm + slack) return text;
  if (setter.width(ellipsis, weight) > maxEm + slack) return '';
  const parts = graphemes(cleanText(text));
  const shortened = (count: number): string => parts.slice(0, count).join('').trimEnd() + ellipsis;
  return shortened(largestFitting(parts.length, (count) => setter.width(shortened(count), weight) <= maxEm + slack));
}

/** Number of graphemes, at least `least`, that fit the width. */
function fittingCount(setter: Typesetter, parts: readonly string[], weight: Weight, maxEm: number, least: number): number {
  const fits = (count: number): boolean => setter.width(parts.slice(0, count).join(''), weight) <= maxEm + slack;
  return Math.max(least, largestFitting(parts.length, fits));
}

/** `text` in lines no wider than `maxEm`, broken at spaces, and inside a word only if the word is wider than a line. */
export function wrap(setter: Typesetter, text: string, weight: Weight, maxEm: number): string[] {
  const space = setter.width(' ', weight);
  const lines: string[] = [];
  let line = '';
  let lineWidth = 0;
  const endLine = (): void => {
    if (line !== '') lines.push(line);
    line = '';
    lineWidth = 0;
  };
  const append = (word: string, width: number): void => {
    lineWidth += width + (line === '' ? 0 : space);
    line += line === '' ? word : ` ${word}`;
  };
  for (const word of cleanText(text).split(' ').filter((part) => part !== '')) {
    const width = setter.width(word, weight);
    const room = (): number => maxEm - lineWidth - (line === '' ? 0 : space);
    if (width > maxEm + slack) {
      let parts = graphemes(word);
      while (parts.length > 0) {
        const count = fittingCount(setter, parts, weight, room(), line === '' ? 1 : 0);
        const piece = parts.slice(0, count).join('');
        if (count > 0) append(piece, setter.width(piece, weight));
        parts = parts.slice(count);
        if (parts.length > 0) endLine();
      }
    } else {
      if (width > room() + slack) endLine();
      append(word, width);
    }
  }
  endLine();
  return lines;
}
