/** Outlines of glyphs against fontkit's own reading of the same programs. */
import * as fontkit from 'fontkit';
import { readFileSync } from 'node:fs';
import { inflateSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { outlineReader, type Contour } from '../../src/render/outline.ts';
import type { Face, WideIndex } from '../../src/render/type.ts';
import { fontPath, loadLatin, loadWide } from '../fonts.ts';

interface Command {
  readonly command: string;
  readonly args: readonly number[];
}

/** fontkit's path of a glyph, in font units. */
function reference(bytes: Uint8Array): { glyph(id: number): readonly Command[]; count: number; unitsPerEm: number } {
  const font = fontkit.create(bytes as never) as unknown as { unitsPerEm: number; numGlyphs: number; getGlyph(id: number): { path: { commands: Command[] } } };
  return { glyph: (id) => font.getGlyph(id).path.commands, count: font.numGlyphs, unitsPerEm: font.unitsPerEm };
}

/** Ends and control points of each chain, in font units, without repeated points. */
function chainsOf(pieces: readonly (readonly (readonly number[])[])[]): string[][] {
  return pieces.map((chain) => {
    const points = chain.flatMap((piece) => (piece.length === 2 ? [piece] : [piece.slice(0, 2), piece.slice(2)])).map(([x = 0, y = 0]) => `${x.toFixed(3)} ${y.toFixed(3)}`);
    return points.filter((p, index) => p !== points[(index + points.length - 1) % points.length]);
  });
}

/** The same points in the same order, wherever a reader starts. */
function isTurned(own: readonly string[], theirs: readonly string[]): boolean {
  return own.length === theirs.length && theirs.some((_, turn) => own.every((p, index) => p === theirs[(index + turn) % theirs.length]));
}

/**
 * True if two readings of a chain agree. Where a chain's first point is a control point and its last is on the curve, the
 * specification lets the curve start at the last; fontkit puts one more point half-way between the two.
 */
function agree(own: readonly string[], theirs: readonly string[]): boolean {
  return isTurned(own, theirs) || (own.length === theirs.length - 1 && theirs.some((_, left) => isTurned(own, theirs.filter((_point, index) => index !== left))));
}

function expectSame(own: readonly string[][], theirs: readonly string[][], name: string): void {
  expect(own.length, name).toBe(theirs.length);
  own.forEach((chain, index) => expect(agree(chain, theirs[index] as string[]), `${name}, chain ${index}`).toBe(true));
}

function ofCommands(commands: readonly Command[]): number[][][] {
  const chains: number[][][] = [];
  for (const { command, args } of commands) {
    if (command === 'moveTo') chains.push([[...args]]);
    else if (command !== 'closePath') chains.at(-1)?.push([...args]);
  }
  return chains;
}

const inUnits = (contours: readonly Contour[], unitsPerEm: number) => contours.map((contour) => contour.map((piece) => piece.map((value) => value * unitsPerEm)));

describe.each(['regular', 'bold'] as const)('the Latin face, %s', (weight) => {
  test('every glyph', async () => {
    const data = loadLatin()[weight];
    const { face } = (await loadWide(['a'])).shape('a', weight)[0] as { face: Face };
    const read = outlineReader(face.program([]));
    const { glyph, count, unitsPerEm } = reference(inflateSync(Buffer.from(data.program, 'base64')));
    expect(count).toBeGreaterThan(200);
    let points = 0;
    for (let id = 0; id < count; id += 1) {
      const own = chainsOf(inUnits(read(id), unitsPerEm));
      points += own.length;
      expectSame(own, chainsOf(ofCommands(glyph(id))), `glyph ${id}`);
    }
    expect(points).toBeGreaterThan(count);
  });
});

const wide = JSON.parse(readFileSync(fontPath('wide.json'), 'utf8')) as WideIndex;

test.each(wide)('the face $name: glyphs all over its program', ({ file }) => {
  const bytes = new Uint8Array(readFileSync(fontPath(file)));
  const { glyph, count, unitsPerEm } = reference(bytes);
  const read = outlineReader({ bytes, packed: false, plainLength: bytes.length, idInProgram: (id) => id });
  const step = Math.ceil(count / 400);
  let chains = 0;
  for (let id = 0; id < count; id += step) {
    const own = chainsOf(inUnits(read(id), unitsPerEm));
    chains += own.length;
    expectSame(own, chainsOf(ofCommands(glyph(id))), `glyph ${id}`);
  }
  expect(chains).toBeGreaterThan(50);
});
