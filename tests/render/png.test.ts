/** The preview picture, read back by pngjs; sums of chunks by Node's gzip, whose CRC-32 is the same (RFC 1952, section 8; ISO/IEC 15948:2003, annex D). */
import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { ourMark } from '../../src/cli/files.ts';
import { svgToPng } from '../../src/render/png.ts';
import { findRing, type Picture } from '../printed/measure.ts';
import { renderer, sizeOf, wholeJig } from '../printed/whole.ts';

const template = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

const plate = (width: number, height: number) => `
title: Frag shelf plate
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: 5}
holes: [{name: hole, diameter: 24, from-left: 60, from-top: 70}]`;

async function pictureOf(svg: string): Promise<PNG> {
  return PNG.sync.read(Buffer.from(await svgToPng(svg, renderer)));
}

describe.each([
  { name: 'a plate', spec: plate(180, 120), least: 0 },
  { name: 'the example', spec: template('quarantine-end-panel'), least: 2400 },
  { name: 'a tall panel', spec: plate(300, 2500), least: 2400 },
  { name: 'a wide panel', spec: plate(3500, 300), least: 2400 },
])('$name', ({ spec, least }) => {
  test('has at most 2400 pixels a side and 150 to the inch, and the shape of the drawing', async () => {
    const { svg } = await wholeJig(spec);
    const { width, height } = sizeOf(svg);
    const picture = await pictureOf(svg);
    const [longest, side] = [Math.max(picture.width, picture.height), Math.max(width, height)];
    expect(longest).toBeLessThanOrEqual(2400);
    expect(longest).toBeLessThanOrEqual((side / 25.4) * 150 + 1e-6);
    expect(longest).toBeGreaterThanOrEqual(Math.min(Math.floor((side / 25.4) * 150), 2400));
    expect(longest).toBeGreaterThanOrEqual(least);
    expect(Math.abs(picture.width / width - picture.height / height) * Math.min(width, height)).toBeLessThanOrEqual(1);
  });

  test('is opaque, white round the drawing', async () => {
    const { width, height, data } = await pictureOf((await wholeJig(spec)).svg);
    for (let index = 3; index < data.length; index += 4) if (data[index] !== 255) throw new Error(`a pixel of opacity ${data[index]}`);
    for (const corner of [0, width - 1, (height - 1) * width, height * width - 1]) expect([...data.subarray(4 * corner, 4 * corner + 4)]).toEqual([255, 255, 255, 255]);
  });
});

test('a circle is where it belongs, of its size', async () => {
  const { svg } = await wholeJig(plate(180, 120));
  const { width, height, data } = await pictureOf(svg);
  const pixel = sizeOf(svg).width / width;
  const gray = Uint8Array.from({ length: width * height }, (_, index) => data[4 * index] as number);
  const picture: Picture = { width, height, gray, corner: { x: 0, y: 0 }, pixel };
  // The panel's edge is the first dark column and row; the centre is 60 mm from the left edge, 70 mm from the top.
  const firstDark = (along: (index: number) => number) => Array.from({ length: 100 }, (_, index) => index).find((index) => (gray[along(index)] as number) < 100) ?? NaN;
  const left = (firstDark((column) => (height >> 2) * width + column) + 1) * pixel;
  const top = (firstDark((row) => row * width + (width >> 2)) + 1) * pixel;
  const ring = findRing(picture, { x: left + 60, y: -(top + 70) }, 12);
  expect(ring?.seen).toBeGreaterThan(0.9);
  expect(Math.abs((ring?.diameter ?? NaN) - 24)).toBeLessThan(pixel);
  expect(Math.abs((ring?.center.x ?? NaN) - left - 60)).toBeLessThan(1.5 * pixel);
  expect(Math.abs((ring?.center.y ?? NaN) + top + 70)).toBeLessThan(1.5 * pixel);
});

test('thin lines of a large panel can still be seen', async () => {
  const { svg } = await wholeJig(plate(3500, 300));
  const { width, height, data } = await pictureOf(svg);
  // Half-way up, the panel's left edge: by area it would darken its pixel to less than a quarter.
  const row = Array.from({ length: 20 }, (_, column) => data[4 * ((height >> 1) * width + column)] as number);
  expect(Math.min(...row)).toBeLessThan(128);
});

describe('the mark that lets a later run overwrite it', () => {
  test('stands in a text chunk whose sum is right', async () => {
    const bytes = Buffer.from(await svgToPng((await wholeJig(plate(180, 120))).svg, renderer));
    const chunks: { name: string; content: Buffer }[] = [];
    for (let at = 8; at < bytes.length; at += bytes.readUInt32BE(at) + 12) {
      const content = bytes.subarray(at + 4, at + 8 + bytes.readUInt32BE(at));
      expect(bytes.readUInt32BE(at + 4 + content.length)).toBe(gzipSync(content).readUInt32LE(gzipSync(content).length - 8));
      chunks.push({ name: content.toString('latin1', 0, 4), content });
    }
    const names = chunks.map(({ name }) => name);
    expect([names[0], names[1], names.at(-1)]).toEqual(['IHDR', 'tEXt', 'IEND']);
    expect(chunks[1]?.content.toString('latin1', 4)).toBe(`Software\0panejig ${ourMark}`);
  });

  test('stands in the SVG too', async () => {
    expect((await wholeJig(plate(180, 120))).svg).toContain(ourMark);
  });
});

test('the same drawing gives the same bytes', async () => {
  const { svg } = await wholeJig(template('pump-cabinet-sump'));
  expect(Buffer.from(await svgToPng(svg, renderer)).equals(Buffer.from(await svgToPng(svg, renderer)))).toBe(true);
});
