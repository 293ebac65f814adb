/** Typesetting for every script: bidirectional order, faces by coverage, and shaping. Lengths are in em. */
import bidiFactory from 'bidi-js';
import * as fontkit from 'fontkit';
import { cachedTypesetter, chooseFace, cleanText, coversText, emojiFaceName, graphemes, isIgnorable, latinTable, replacementGlyph } from './type.ts';
import type { Candidate, Coverage, Face, FaceProgram, Glyph, LatinFaces, Run, Typesetter, Weight } from './type.ts';

/** A wide face as loaded: a plain TrueType file and what it covers. */
export interface WideFaceFile {
  name: string;
  weight: Weight;
  bytes: Uint8Array;
  coverage: Coverage;
}

/** A glyph as the shaper takes it. The shaper itself looks only at these members. */
interface ShaperGlyph {
  id: number;
  codePoints: number[];
  advanceWidth: number;
}

/** The parts of fontkit's font that are used here. */
interface ShaperFont {
  postscriptName: string;
  unitsPerEm: number;
  ascent: number;
  descent: number;
  capHeight: number;
  italicAngle: number;
  bbox: { minX: number; minY: number; maxX: number; maxY: number };
  glyphForCodePoint(codePoint: number): ShaperGlyph;
  glyphsForString(text: string): ShaperGlyph[];
  getGlyph(id: number, codePoints?: number[]): ShaperGlyph;
  layout(glyphs: ShaperGlyph[], features: Record<string, boolean>, script: undefined, language: undefined, direction: 'ltr' | 'rtl'): {
    glyphs: ShaperGlyph[];
    positions: { xAdvance: number; xOffset: number; yOffset: number }[];
  };
  createSubset(): { includeGlyph(id: number): number; encode(): Uint8Array };
}

/** A grapheme with its bidi level and the face it is set in; no face means it cannot be printed. */
interface Piece {
  text: string;
  /** The spelling of `text` that the face covers. */
  spelling: string;
  level: number;
  face: WideFace | LatinFace | undefined;
}

/** Neighbouring pieces of one face and level. */
interface Stretch {
  pieces: Piece[];
  level: number;
  face: WideFace | LatinFace | undefined;
}

interface LatinFace extends Candidate {
  kind: 'latin';
}

interface WideFace extends Candidate {
  kind: 'wide';
  regular: LoadedFace;
  bold: LoadedFace;
}

interface LoadedFace {
  face: Face;
  shaper: ShaperFont;
}

const bidi = bidiFactory();

/** The face that is set solid, without kerning: every full-width character is 1 em wide. */
const solidFaceName = 'japanese';

function openFont(bytes: Uint8Array): ShaperFont {
  return fontkit.create(bytes as Parameters<typeof fontkit.create>[0]) as unknown as ShaperFont;
}

/** A subset of the font with the given glyphs and .notdef. */
function subsetProgram(bytes: Uint8Array, ids: readonly number[]): FaceProgram {
  const subset = openFont(bytes).createSubset();
  const numbers = new Map(ids.map((id) => [id, subset.includeGlyph(id)]));
  const program = subset.encode();
  return { bytes: program, packed: false, plainLength: program.length, idInProgram: (id) => numbers.get(id) ?? 0 };
}

/** Opens a face for shaping and embedding. */
function loadFace(file: WideFaceFile): LoadedFace {
  const metricsFont = openFont(file.bytes);
  const shaper = openFont(file.bytes);
  const advance = (id: number): number => metricsFont.getGlyph(id).advanceWidth;
  // fontkit keeps one glyph object per id, with the code points it was first met with. Shaping needs
  // the code points of each occurrence, so the font that shapes makes a new object every time.
  shaper.getGlyph = (id, codePoints = []) => ({ id, codePoints, advanceWidth: advance(id) });
  const { unitsPerEm, ascent, descent, capHeight, italicAngle, bbox } = metricsFont;
  const face: Face = {
    name: metricsFont.postscriptName,
    metrics: { unitsPerEm, ascent, descent, capHeight, italicAngle, bbox: [bbox.minX, bbox.minY, bbox.maxX, bbox.maxY] },
    naturalAdvance: (id) => advance(id) / unitsPerEm,
    program: (ids) => subsetProgram(file.bytes, ids),
  };
  return { face, shaper };
}

/** Wide faces with their two weights; a face without a bold file uses its regular for both. */
function pairWeights(files: readonly WideFaceFile[]): WideFace[] {
  return files.filter((file) => file.weight === 'regular').map((file) => {
    const boldFile = files.find((other) => other.name === `${file.name}-bold`);
    const regular = loadFace(file);
    return { kind: 'wide', name: file.name, coverage: file.coverage, regular, bold: boldFile ? loadFace(boldFile) : regular };
  });
}

/** Splits a grapheme that no single face covers into characters, each with a face of its own. */
function piecesOf(grapheme: string, level: number, faces: readonly (LatinFace | WideFace)[]): Piece[] {
  const chosen = chooseFace(faces, grapheme);
  if (chosen) return [{ text: grapheme, spelling: chosen.spelling, level, face: chosen.candidate }];
  const characters = [...grapheme];
  if (characters.length === 1) return [{ text: grapheme, spelling: grapheme, level, face: undefined }];
  return characters.filter((c) => !isIgnorable(c)).flatMap((c) => piecesOf(c, level, faces));
}

/** Cuts cleaned text into stretches of one face and one bidi level, in logical order. */
function stretchesOf(text: string, faces: readonly (LatinFace | WideFace)[]): Stretch[] {
  const { levels } = bidi.getEmbeddingLevels(text);
  const stretches: Stretch[] = [];
  let index = 0;
  for (const grapheme of graphemes(text)) {
    const level = levels[index] ?? 0;
    index += grapheme.length;
    if ([...grapheme].every(isIgnorable)) continue;
    for (const piece of piecesOf(grapheme, level, faces)) {
      const last = stretches.at(-1);
      // A space keeps to the face before it, so that a phrase is not cut at every word; emoji have overly wide spaces.
      if (last?.face && last.face.name !== emojiFaceName && /^\s$/u.test(piece.text) && coversText(last.face.coverage, piece.text)) piece.face = last.face;
      if (last && last.face === piece.face && last.level === level) last.pieces.push(piece);
      else stretches.push({ pieces: [piece], level, face: piece.face });
    }
  }
  return stretches;
}

/** Visual order, left to right: rule L2 of the Unicode bidirectional algorithm, applied to whole stretches. */
function visualOrder(stretches: readonly Stretch[]): Stretch[] {
  const ordered = [...stretches];
  const highest = Math.max(0, ...new Set(stretches.map((s) => s.level)));
  for (let level = highest; level > 0; level--) {
    for (let start = 0; start < ordered.length; start++) {
      let end = start;
      while (end < ordered.length && (ordered[end]?.level ?? 0) >= level) end++;
      if (end > start) ordered.splice(start, end - start, ...ordered.slice(start, end).reverse());
      start = end;
    }
  }
  return ordered;
}

function isRightToLeft(level: number): boolean {
  return level % 2 === 1;
}

/** The character to draw: brackets and the like are mirrored in right-to-left text. */
function drawnCharacter(character: string, level: number): string {
  return isRightToLeft(level) ? bidi.getMirroredCharacter(character) ?? character : character;
}

/** Glyphs of a stretch in the Latin face, or of replacement signs if it has no face, left to right. */
function shapeByTable(stretch: Stretch, latin: LatinFaces, weight: Weight, unprintable: Set<string>): Run {
  const table = latinTable(latin[weight]);
  const glyphs: Glyph[] = [];
  for (const piece of stretch.pieces) {
    if (!stretch.face) unprintable.add(piece.text);
    for (const character of stretch.face ? piece.spelling : [piece.text]) {
      const glyph = table.glyphs.get(drawnCharacter(character, piece.level));
      if (glyph) glyphs.push({ ...glyph, text: character });
      else if (!isIgnorable(character)) glyphs.push(replacementGlyph(table, character));
    }
  }
  if (isRightToLeft(stretch.level)) glyphs.reverse();
  return { face: table.face, glyphs };
}

/** Orders of vowel points and other marks in which fonts expect them; Unicode's canonical order is another. */
const markOrders = [
  '\u0651\u064B\u064C\u064D\u064E\u064F\u0650\u0652',
  '\u05C1\u05C2\u05BC\u05BF\u05B9\u05BA\u05B1\u05B2\u05B3\u05B5\u05B6\u05B7\u05B8\u05C7\u05B0\u05B4\u05BB\u05BD',
];

/** Sorts neighbouring marks of a grapheme into the order of `order`. */
function sortMarks(grapheme: string, order: string): string {
  return grapheme.replace(new RegExp(`[${order}]{2,}`, 'g'), (marks) => [...marks].sort((a, b) => order.indexOf(a) - order.indexOf(b)).join(''));
}

/** Thai sara am as the ring, which goes below tone marks, and sara aa. */
function splitSaraAm(grapheme: string): string {
  return grapheme.replace(/([\u0E48-\u0E4B]*)\u0E33/g, '\u0E4D$1\u0E32');
}

/** A grapheme with its characters in the order in which fonts shape them. */
function shapingOrder(grapheme: string): string {
  return splitSaraAm(markOrders.reduce(sortMarks, grapheme));
}

/** The glyphs that a font maps a grapheme to before shaping, in logical order. */
function nominalGlyphs({ spelling, level }: Piece, shaper: ShaperFont): ShaperGlyph[] {
  const code = spelling.codePointAt(0) ?? 0;
  if (spelling.length === String.fromCodePoint(code).length) {
    const drawn = shaper.glyphForCodePoint(drawnCharacter(spelling, level).codePointAt(0) ?? 0);
    return [{ ...drawn, codePoints: [code] }];
  }
  const glyphs = shaper.glyphsForString(shapingOrder(spelling));
  return glyphs.filter((glyph) => glyph.id !== 0 || !isIgnorable(String.fromCodePoint(...glyph.codePoints)));
}

/** Lays out glyphs with a font's rules for joining, marks and kerning, left to right. */
function layOut(shaper: ShaperFont, nominal: ShaperGlyph[], stretch: Stretch): ReturnType<ShaperFont['layout']> {
  const direction = isRightToLeft(stretch.level) ? 'rtl' : 'ltr';
  const kern = stretch.face?.name !== solidFaceName;
  // Mirrored characters are already replaced, so the font must not mirror them again. fontkit turns
  // a right-to-left run round itself.
  const layout = (off: Record<string, boolean>): ReturnType<ShaperFont['layout']> => {
    const features = { rtlm: false, ...(kern ? {} : { kern }), ...off };
    return shaper.layout(nominal, features, undefined, undefined, direction);
  };
  try {
    return layout({});
  } catch {
    // fontkit fails on a mark whose base has no anchor for it, as in nonsense text; such marks stay where they fall.
    return layout({ mark: false, mkmk: false });
  }
}

/** Shapes a stretch with its face, left to right. */
function shapeByFont(stretch: Stretch, { face, shaper }: LoadedFace): Run {
  const { unitsPerEm } = face.metrics;
  const nominal = stretch.pieces.flatMap((piece) => nominalGlyphs(piece, shaper));
  const shaped = layOut(shaper, nominal, stretch);
  const glyphs: Glyph[] = [];
  shaped.glyphs.forEach((glyph, i) => {
    const text = String.fromCodePoint(...glyph.codePoints);
    const position = shaped.positions[i];
    if (!position || (text !== '' && [...text].every(isIgnorable))) return;
    glyphs.push({
      id: glyph.id,
      advance: position.xAdvance / unitsPerEm,
      dx: position.xOffset / unitsPerEm,
      dy: position.yOffset / unitsPerEm,
      text,
    });
  });
  return { face, glyphs };
}

/** Joins neighbouring runs of the same face. */
function joinRuns(runs: readonly Run[]): Run[] {
  const joined: { face: Face; glyphs: Glyph[] }[] = [];
  for (const run of runs) {
    const last = joined.at(-1);
    if (last?.face === run.face) for (const glyph of run.glyphs) last.glyphs.push(glyph);
    else if (run.glyphs.length > 0) joined.push({ face: run.face, glyphs: [...run.glyphs] });
  }
  return joined;
}

/** Sets text in the Latin face where it suffices and in the given wide faces, in order of preference, elsewhere. */
export function wideTypesetter(latin: LatinFaces, files: readonly WideFaceFile[]): Typesetter {
  const latinFace: LatinFace = { kind: 'latin', name: 'latin', coverage: latinTable(latin.regular).coverage };
  const faces = [latinFace, ...pairWeights(files)];
  const unprintable = new Set<string>();
  const shape = (text: string, weight: Weight): readonly Run[] => {
    const stretches = visualOrder(stretchesOf(cleanText(text), faces));
    return joinRuns(stretches.map((stretch) => stretch.face?.kind === 'wide'
      ? shapeByFont(stretch, stretch.face[weight])
      : shapeByTable(stretch, latin, weight, unprintable)));
  };
  return cachedTypesetter(shape, unprintable);
}
