/**
 * Text in PDF pages: content-stream operators for shaped text, and the fonts they refer to.
 * Every glyph is placed where the typesetter put it. Lengths are in units of the content stream.
 */
import { strToU8, zlibSync } from 'fflate';
import { PDFRawStream, PDFString } from 'pdf-lib';
import type { PDFContext, PDFRef } from 'pdf-lib';
import { plainNumber } from '../trade/units.ts';
import type { Face, Glyph, Typesetter, Weight } from './type.ts';

export interface TextStyle {
  x: number;
  y: number;
  /** Font size. */
  size: number;
  /** Degrees, counter-clockwise. */
  angle?: number;
  align?: 'left' | 'center' | 'right';
  weight?: Weight;
}

export interface TextWriter {
  /** One "BT ... ET" block with `text` on its baseline at x, y. Empty if there is nothing to draw. */
  operators(text: string, style: TextStyle): string;
  /** Writes the fonts used so far and returns them by resource name. Call once, after all pages. */
  finish(): Map<string, PDFRef>;
}

/** A glyph standing for certain characters, under a number (CID) of its own. */
interface UsedGlyph {
  id: number;
  text: string;
}

/** A face as used in one document. CIDs count up from 1 in order of first use. */
interface UsedFace {
  face: Face;
  resource: string;
  glyphs: UsedGlyph[];
  cids: Map<string, number>;
}

/** Part of a set text drawn with one show operator: one face, one height above the baseline. */
interface Show {
  resource: string;
  /** Height above the baseline in em. */
  rise: number;
  /** The operand and the operator, "<0001> Tj" or "[<0001> 12 <0002>] TJ". */
  operator: string;
}

interface SetText {
  shows: readonly Show[];
  /** Width in em. */
  width: number;
}

/** Stands in ToUnicode for a glyph whose characters another glyph already gives; U+2060 prints nothing. */
const noText = '\u2060';

/** Errors of position below this many em are left as they are. */
const tolerance = 5e-6;

/** A length or coordinate. */
function length(value: number): string {
  return plainNumber(value, 5);
}

function hex16(value: number): string {
  return value.toString(16).toUpperCase().padStart(4, '0');
}

function utf16Hex(text: string): string {
  let hex = '';
  for (let i = 0; i < text.length; i++) hex += hex16(text.charCodeAt(i));
  return hex;
}

/** The advance that the PDF font declares for a glyph, in thousandths of an em. */
function declaredWidth(face: Face, id: number): number {
  return Number(plainNumber(face.naturalAdvance(id) * 1000, 4));
}

function cidOf(used: UsedFace, glyph: Glyph): number {
  const key = `${glyph.id} ${glyph.text}`;
  let cid = used.cids.get(key);
  if (cid === undefined) {
    used.glyphs.push({ id: glyph.id, text: glyph.text });
    cid = used.glyphs.length;
    used.cids.set(key, cid);
  }
  return cid;
}

/** Collects the show operators of one run. */
class RunEncoder {
  readonly shows: Show[] = [];
  private parts = '';
  private hex = '';
  private rise = 0;
  private adjusted = false;

  constructor(private readonly used: UsedFace) {}

  /** Moves the pen to the right by `em` without drawing. */
  move(em: number): void {
    this.adjusted = true;
    this.closeHex();
    this.parts += `${plainNumber(-em * 1000, 4)} `;
  }

  draw(cid: number, rise: number): void {
    if (rise !== this.rise) this.endShow();
    this.rise = rise;
    this.hex += hex16(cid);
  }

  endShow(): void {
    this.closeHex();
    if (this.parts !== '') {
      const operator = this.adjusted ? `[${this.parts.trimEnd()}] TJ` : `${this.parts.trimEnd()} Tj`;
      this.shows.push({ resource: this.used.resource, rise: this.rise, operator });
    }
    this.parts = '';
    this.adjusted = false;
  }

  private closeHex(): void {
    if (this.hex !== '') this.parts += `<${this.hex}> `;
    this.hex = '';
  }
}

/** Encodes a text as show operators, keeping count of where the written operators leave the pen. */
function encode(text: string, weight: Weight, setter: Typesetter, use: (face: Face) => UsedFace): SetText {
  const shows: Show[] = [];
  let wanted = 0;
  let pen = 0;
  for (const run of setter.shape(text, weight)) {
    const used = use(run.face);
    const encoder = new RunEncoder(used);
    for (const glyph of run.glyphs) {
      const gap = wanted + glyph.dx - pen;
      if (Math.abs(gap) > tolerance) {
        encoder.move(gap);
        pen += gap;
      }
      encoder.draw(cidOf(used, glyph), glyph.dy);
      pen += declaredWidth(used.face, glyph.id) / 1000;
      wanted += glyph.advance;
    }
    encoder.endShow();
    shows.push(...encoder.shows);
  }
  return { shows, width: wanted };
}

/** The text matrix operator that puts the start of a text `width` points wide in its place. */
function matrix(style: TextStyle, width: number): string {
  const shift = style.align === 'center' ? width / 2 : style.align === 'right' ? width : 0;
  if (!style.angle) return `1 0 0 1 ${length(style.x - shift)} ${length(style.y)} Tm`;
  const turn = (style.angle * Math.PI) / 180;
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const factors = [cos, sin, -sin, cos].map((factor) => plainNumber(factor, 9)).join(' ');
  return `${factors} ${length(style.x - shift * cos)} ${length(style.y - shift * sin)} Tm`;
}

function block(set: SetText, style: TextStyle): string {
  const size = plainNumber(style.size, 6);
  let text = `BT ${matrix(style, set.width * style.size)}`;
  let resource = '';
  let rise = 0;
  for (const show of set.shows) {
    if (show.resource !== resource) text += ` /${show.resource} ${size} Tf`;
    if (show.rise !== rise) text += ` ${length(show.rise * style.size)} Ts`;
    text += ` ${show.operator}`;
    resource = show.resource;
    rise = show.rise;
  }
  return `${text}${rise === 0 ? '' : ' 0 Ts'} ET\n`;
}

/** A 32-bit FNV-1a hash of a text as six capital letters. */
function subsetTag(text: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193) >>> 0;
  let tag = '';
  for (let i = 0; i < 6; i++) {
    tag += String.fromCharCode(65 + (hash % 26));
    hash = Math.floor(hash / 26);
  }
  return tag;
}

function batches<T>(items: readonly T[], size: number): T[][] {
  const all: T[][] = [];
  for (let i = 0; i < items.length; i += size) all.push(items.slice(i, i + size));
  return all;
}

/** The ToUnicode CMap: which characters each CID stands for. */
function toUnicode(used: UsedFace): string {
  const lines = used.glyphs.map(({ text }, i) => `<${hex16(i + 1)}> <${utf16Hex(text || noText)}>`);
  const maps = batches(lines, 100).map((batch) => `${batch.length} beginbfchar\n${batch.join('\n')}\nendbfchar\n`);
  return `/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000> <FFFF>
endcodespacerange
${maps.join('')}endcmap
CMapName currentdict /CMap defineresource pop
end
end`;
}

/** Bytes of a big-endian table from CID to glyph number in the font program. */
function cidToGid(numbers: readonly number[]): Uint8Array {
  const bytes = new Uint8Array(2 + 2 * numbers.length);
  numbers.forEach((number, i) => {
    bytes[2 * i + 2] = number >> 8;
    bytes[2 * i + 3] = number & 0xff;
  });
  return bytes;
}

/** A compressed stream; text is ASCII. Large jigs are written faster by fflate than by the deflate in pdf-lib. */
export function packedStream(context: PDFContext, contents: string | Uint8Array, dict: Parameters<PDFContext['flateStream']>[1] = {}): PDFRawStream {
  return PDFRawStream.of(context.obj({ ...dict, Filter: 'FlateDecode' }), zlibSync(typeof contents === 'string' ? strToU8(contents, true) : contents));
}

/** Writes one face to the document as a Type0 font. */
function writeFont(context: PDFContext, used: UsedFace): PDFRef {
  const { face } = used;
  const { metrics } = face;
  const program = face.program(used.glyphs.map((glyph) => glyph.id));
  const thousandths = (value: number): number => Number(plainNumber((value * 1000) / metrics.unitsPerEm, 3));
  const baseFont = `${subsetTag(`${face.name} ${used.glyphs.map((glyph) => glyph.id).join(' ')}`)}+${face.name}`;

  const lengths = { Length1: program.plainLength };
  const fontFile = context.register(program.packed
    ? PDFRawStream.of(context.obj({ ...lengths, Filter: 'FlateDecode' }), program.bytes)
    : packedStream(context, program.bytes, lengths));
  const descriptor = context.register(context.obj({
    Type: 'FontDescriptor',
    FontName: baseFont,
    Flags: 4,
    FontBBox: metrics.bbox.map(thousandths),
    ItalicAngle: metrics.italicAngle,
    Ascent: thousandths(metrics.ascent),
    Descent: thousandths(metrics.descent),
    CapHeight: thousandths(metrics.capHeight),
    StemV: 80,
    FontFile2: fontFile,
  }));
  const cidFont = context.register(context.obj({
    Type: 'Font',
    Subtype: 'CIDFontType2',
    BaseFont: baseFont,
    CIDSystemInfo: { Registry: PDFString.of('Adobe'), Ordering: PDFString.of('Identity'), Supplement: 0 },
    FontDescriptor: descriptor,
    DW: 1000,
    W: [1, used.glyphs.map((glyph) => declaredWidth(face, glyph.id))],
    CIDToGIDMap: context.register(packedStream(context, cidToGid(used.glyphs.map((glyph) => program.idInProgram(glyph.id))))),
  }));
  return context.register(context.obj({
    Type: 'Font',
    Subtype: 'Type0',
    BaseFont: baseFont,
    Encoding: 'Identity-H',
    DescendantFonts: [cidFont],
    ToUnicode: context.register(packedStream(context, toUnicode(used))),
  }));
}

/** A writer of text set by `setter` into the pages of one document. */
export function textWriter(context: PDFContext, setter: Typesetter): TextWriter {
  const faces = new Map<Face, UsedFace>();
  const encoded = { regular: new Map<string, SetText>(), bold: new Map<string, SetText>() };
  const use = (face: Face): UsedFace => {
    let used = faces.get(face);
    if (!used) {
      used = { face, resource: `F${faces.size}`, glyphs: [], cids: new Map() };
      faces.set(face, used);
    }
    return used;
  };
  const encodedText = (text: string, weight: Weight): SetText => {
    let set = encoded[weight].get(text);
    if (!set) {
      set = encode(text, weight, setter, use);
      encoded[weight].set(text, set);
    }
    return set;
  };
  return {
    operators(text, style) {
      const set = encodedText(text, style.weight ?? 'regular');
      return set.shows.length === 0 ? '' : block(set, style);
    },
    finish: () => new Map([...faces.values()].map((used) => [used.resource, writeFont(context, used)])),
  };
}
