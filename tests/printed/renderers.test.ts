/**
 * What the renderers are worth as measuring tools: lines and circles at known places, drawn with pdf-lib alone, are found
 * where they are. So what they show of a jig is the jig's doing. Source: plain geometry, and 72 units of default user
 * space to the inch (ISO 32000-1:2008, 8.3.2.3).
 */
import { readFileSync, readdirSync } from 'node:fs';
import { PDFDocument, PDFName, PDFString, rgb } from 'pdf-lib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { around, findLine, findRing, fine, finePixel, median, mmPerPoint } from './measure.ts';
import { renderers, type Reading } from './renderers.ts';

/** The widths of our pens, mm, and one under them all. */
const widths = [0.1, 0.12, 0.15, 0.2, 0.25, 0.35];
/** Sixteen places in a pixel for each width. */
const lines = widths.flatMap((width, pen) => Array.from({ length: 16 }, (_, step) => ({ width, at: 12 + 28 * pen + 1.6 * step + (finePixel * step) / 16 })));
const circles = [
  { x: 150.0137, y: 230.0291, diameter: 45 },
  { x: 60.0211, y: 240.0173, diameter: 6.4 },
  { x: 100.5017, y: 225.3301, diameter: 36.5 },
];
/** On a page of these mm: lines upright from 15 to 25, lines across from 30 to 40 along the page's other axis. */
const page = { width: 210, height: 297 };

async function yardstick(): Promise<Uint8Array> {
  const document = await PDFDocument.create({ updateMetadata: false });
  const leaf = document.addPage([page.width / mmPerPoint, page.height / mmPerPoint]);
  const point = (x: number, y: number) => ({ x: x / mmPerPoint, y: y / mmPerPoint });
  for (const { width, at } of lines) {
    leaf.drawLine({ start: point(at, 15), end: point(at, 25), thickness: width / mmPerPoint });
    leaf.drawLine({ start: point(30, at + 30), end: point(40, at + 30), thickness: width / mmPerPoint });
  }
  for (const { x, y, diameter } of circles) leaf.drawCircle({ ...point(x, y), size: diameter / 2 / mmPerPoint, borderWidth: 0.25 / mmPerPoint, borderColor: rgb(0, 0, 0) });
  return document.save({ useObjectStreams: false });
}

describe.each(renderers)('$name', ({ name, open }) => {
  let reading: Reading;
  beforeAll(async () => {
    reading = await open(await yardstick());
  }, 120_000);
  afterAll(() => reading.close());

  test('lines lie where they were drawn, at any place in a pixel', async () => {
    const errors: { across: number[]; up: number[] } = { across: [], up: [] };
    for (const { at } of lines) {
      const upright = await reading.picture(1, fine, { left: at - 2, right: at + 2, bottom: 15, top: 25 });
      // To the left of the way up is left.
      errors.across.push(-(findLine(upright, { x: at, y: 16 }, { x: at, y: 24 })?.offset ?? NaN));
      const level = await reading.picture(1, fine, { left: 30, right: 40, bottom: at + 28, top: at + 32 });
      errors.up.push(findLine(level, { x: 31, y: at + 30 }, { x: 39, y: at + 30 })?.offset ?? NaN);
    }
    console.info(`${name}, lines, mm: usual error across ${median(errors.across).toFixed(4)}, up ${median(errors.up).toFixed(4)}; largest ${Math.max(...errors.across.map(Math.abs)).toFixed(4)}, ${Math.max(...errors.up.map(Math.abs)).toFixed(4)}`);
    for (const found of [errors.across, errors.up]) {
      // No shift of the whole picture: half a pixel would be 0.021 mm.
      expect(Math.abs(median(found))).toBeLessThan(0.002);
      // No line drawn to the nearest pixel: that would move some of the sixteen by nearly half a pixel.
      for (const error of found) expect(Math.abs(error)).toBeLessThan(0.008);
    }
  });

  test('circles have the diameter and place they were drawn with', async () => {
    for (const { x, y, diameter } of circles) {
      const ring = findRing(await reading.picture(1, fine, around({ x, y }, diameter / 2 + 2)), { x, y }, diameter / 2);
      // Four cubic curves to a circle, as pdf-lib draws it, are up to 2.7e-4 of the radius too far out.
      expect(Math.abs((ring?.diameter ?? NaN) - diameter)).toBeLessThan(2.7e-4 * diameter + 0.003);
      expect(Math.hypot((ring?.center.x ?? NaN) - x, (ring?.center.y ?? NaN) - y)).toBeLessThan(0.003);
    }
  });

  test('a part of a page is the same as that part of the whole page', async () => {
    const box = { left: 50, right: 70, bottom: 230, top: 250 };
    const [whole, part] = [await reading.picture(1, 150), await reading.picture(1, 150, box)];
    const column = Math.round(part.corner.x / part.pixel);
    const row = Math.round((whole.corner.y - part.corner.y) / part.pixel);
    let dark = 0;
    for (let y = 0; y < part.height; y += 1) {
      for (let x = 0; x < part.width; x += 1) {
        const [here, there] = [part.gray[y * part.width + x] ?? NaN, whole.gray[(row + y) * whole.width + column + x] ?? NaN];
        expect(Math.abs(here - there)).toBeLessThanOrEqual(2);
        if (here < 128) dark += 1;
      }
    }
    expect(dark).toBeGreaterThan(20);
    expect([whole.width, whole.height]).toEqual([Math.ceil(page.width / whole.pixel), Math.ceil(page.height / whole.pixel)]);
  });

  test('print preferences that are not there are not seen', async () => {
    expect(await reading.preferences()).toMatchObject({ isUnscaled: false, isOneSided: false });
    expect((await reading.preferences()).isTrayByPageSize).not.toBe(true);
  });

  test('a sound file is read without complaint', async () => {
    await reading.words(1);
    expect(reading.complaints()).toEqual([]);
  });
});

test('a file with a wrong cross-reference table is complained of by those who tell', async () => {
  const document = await PDFDocument.create({ updateMetadata: false });
  document.addPage([300, 300]).node.set(PDFName.of('Note'), PDFString.of('yardstick'));
  const text = new TextDecoder('latin1').decode(await document.save({ useObjectStreams: false }));
  const broken = Uint8Array.from(text.replace(/startxref\n\d+/, 'startxref\n7'), (letter) => letter.charCodeAt(0));
  for (const renderer of renderers.filter(({ name }) => name !== 'pdf.js')) {
    const reading = await renderer.open(broken);
    expect(reading.complaints(), renderer.name).not.toEqual([]);
    await reading.close();
  }
});

test('MuPDF, under the AGPL, is loaded by renderers.ts alone and never shipped', () => {
  const root = new URL('../../', import.meta.url);
  const manifest = JSON.parse(readFileSync(new URL('package.json', root), 'utf8')) as { dependencies: object; devDependencies: object };
  expect(Object.keys(manifest.dependencies)).not.toContain('mupdf');
  expect(Object.keys(manifest.devDependencies)).toContain('mupdf');
  const files = ['src', '.config', 'tests'].flatMap((folder) => readdirSync(new URL(folder, root), { recursive: true, encoding: 'utf8' }).map((file) => `${folder}/${file}`));
  const loading = files.filter((file) => /\.(ts|mjs|js)$/.test(file) && /(from|import\()\s*'mupdf'/.test(readFileSync(new URL(file, root), 'utf8')));
  expect(loading).toEqual(['tests/printed/renderers.ts']);
});
