/** Outlines of glyphs out of a TrueType program, by the OpenType specification 1.9.1, tables head, loca and glyf. */
import { unzlibSync } from 'fflate';
import type { FaceProgram } from './type.ts';

/**
 * A closed chain in em, y upwards. The first entry is its start [x, y]; each further one a straight piece to [x, y], or a
 * quadratic curve [control x, control y, x, y]. A straight piece back to the start is not told.
 */
export type Contour = readonly (readonly number[])[];

interface GlyphPoint {
  readonly x: number;
  readonly y: number;
  readonly isOnCurve: boolean;
}

/** Bits of a point of a simple glyph. */
const point = { onCurve: 0x01, shortX: 0x02, shortY: 0x04, repeated: 0x08, sameOrPositiveX: 0x10, sameOrPositiveY: 0x20 } as const;
/** Bits of a component of a composite glyph. */
const part = { words: 0x0001, offsets: 0x0002, scale: 0x0008, more: 0x0020, twoScales: 0x0040, matrix: 0x0080 } as const;

/** A reader of the outlines of a program's glyphs, by the numbers that the face gives them. */
export function outlineReader(program: FaceProgram): (id: number) => readonly Contour[] {
  const bytes = program.packed ? unzlibSync(program.bytes) : program.bytes;
  const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const table = (tag: string): number => {
    for (let entry = 12; entry < 12 + 16 * data.getUint16(4); entry += 16) {
      if (String.fromCharCode(...bytes.subarray(entry, entry + 4)) === tag) return data.getUint32(entry + 8);
    }
    throw new RangeError(`a TrueType program without ${tag}`);
  };
  const [head, loca, glyf] = [table('head'), table('loca'), table('glyf')];
  const unitsPerEm = data.getUint16(head + 18);
  const isLong = data.getInt16(head + 50) === 1;
  const placeOf = (id: number) => (isLong ? data.getUint32(loca + 4 * id) : 2 * data.getUint16(loca + 2 * id));

  const chainsOf = (id: number): GlyphPoint[][] => {
    const at = glyf + placeOf(id);
    if (placeOf(id + 1) === placeOf(id)) return [];
    const count = data.getInt16(at);
    return count >= 0 ? simpleChains(data, at + 10, count) : compositeChains(data, at + 10, chainsOf);
  };
  return (id) => chainsOf(program.idInProgram(id)).map((chain) => contourOf(chain.map((p) => ({ ...p, x: p.x / unitsPerEm, y: p.y / unitsPerEm }))));
}

function simpleChains(data: DataView, start: number, count: number): GlyphPoint[][] {
  const ends = Array.from({ length: count }, (_, index) => data.getUint16(start + 2 * index));
  const total = (ends.at(-1) ?? -1) + 1;
  let at = start + 2 * count;
  at += 2 + data.getUint16(at);
  const flags: number[] = [];
  while (flags.length < total) {
    const flag = data.getUint8(at++);
    for (let times = flag & point.repeated ? data.getUint8(at++) : 0; times >= 0; times -= 1) flags.push(flag);
  }
  const coordinates = (short: number, sameOrPositive: number) => {
    let value = 0;
    return flags.map((flag) => {
      if (flag & short) value += flag & sameOrPositive ? data.getUint8(at++) : -data.getUint8(at++);
      else if (!(flag & sameOrPositive)) {
        value += data.getInt16(at);
        at += 2;
      }
      return value;
    });
  };
  const xs = coordinates(point.shortX, point.sameOrPositiveX);
  const ys = coordinates(point.shortY, point.sameOrPositiveY);
  const points = flags.map((flag, index) => ({ x: xs[index] as number, y: ys[index] as number, isOnCurve: (flag & point.onCurve) !== 0 }));
  return ends.map((end, index) => points.slice(index === 0 ? 0 : (ends[index - 1] as number) + 1, end + 1));
}

function compositeChains(data: DataView, start: number, chainsOf: (id: number) => GlyphPoint[][]): GlyphPoint[][] {
  const chains: GlyphPoint[][] = [];
  let flags: number = part.more;
  for (let at = start; flags & part.more; ) {
    flags = data.getUint16(at);
    const id = data.getUint16(at + 2);
    at += 4;
    if (!(flags & part.offsets)) throw new RangeError('a glyph whose parts are joined by point numbers');
    const [dx, dy] = flags & part.words ? [data.getInt16(at), data.getInt16(at + 2)] : [data.getInt8(at), data.getInt8(at + 1)];
    at += flags & part.words ? 4 : 2;
    const factor = () => data.getInt16((at += 2) - 2) / 16384;
    let [a, b, c, d] = [1, 0, 0, 1];
    if (flags & part.scale) a = d = factor();
    else if (flags & part.twoScales) [a, d] = [factor(), factor()];
    else if (flags & part.matrix) [a, b, c, d] = [factor(), factor(), factor(), factor()];
    for (const chain of chainsOf(id)) chains.push(chain.map(({ x, y, isOnCurve }) => ({ x: a * x + c * y + dx, y: b * x + d * y + dy, isOnCurve })));
  }
  return chains;
}

/** Between two control points in a row lies a point of the curve, half-way. */
function contourOf(chain: readonly GlyphPoint[]): Contour {
  const full = chain.flatMap((p, index) => {
    const next = chain[(index + 1) % chain.length] as GlyphPoint;
    return p.isOnCurve || next.isOnCurve ? [p] : [p, { x: (p.x + next.x) / 2, y: (p.y + next.y) / 2, isOnCurve: true }];
  });
  const first = full.findIndex(({ isOnCurve }) => isOnCurve);
  if (first < 0) return [];
  const turned = [...full.slice(first), ...full.slice(0, first + 1)];
  const pieces: number[][] = [];
  for (const [index, { x, y, isOnCurve }] of turned.entries()) {
    const before = turned[index - 1];
    if (!isOnCurve) continue;
    if (before && !before.isOnCurve) pieces.push([before.x, before.y, x, y]);
    else if (index < turned.length - 1) pieces.push([x, y]);
  }
  return pieces;
}
