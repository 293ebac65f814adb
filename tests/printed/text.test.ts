/**
 * Text as printed. The sources of truth are independent of this project: pdf.js reads and renders the PDF,
 * and the text engine of @napi-rs/canvas (Skia with HarfBuzz) draws the same font files directly.
 */
import { DOMMatrix, GlobalFonts, Path2D, createCanvas } from '@napi-rs/canvas';
import type { Canvas } from '@napi-rs/canvas';
import { PDFDocument, PDFName } from 'pdf-lib';
import * as pdfjs from 'pdfjs-dist/legacy/build/pdf.mjs';
import { describe, expect, test } from 'vitest';
import { textWriter } from '../../src/render/pdf-font.ts';
import type { TextStyle, TextWriter } from '../../src/render/pdf-font.ts';
import { fontPath, loadWide } from '../fonts.ts';

Object.assign(globalThis, { DOMMatrix, Path2D });

const mixed = 'Quarantäne 水槽 № 3 — حوض الأسماك 🐠 Ёлка Ωμέγα שלום';
const pageWidth = 500;
const pageHeight = 60;
/** Pixels per point: 288 dpi. */
const scale = 4;
const place: TextStyle = { x: 20, y: 20, size: 24 };

/** A one-page PDF with what `draw` returns as its content. */
async function pdfOf(texts: readonly string[], draw: (writer: TextWriter) => string): Promise<Uint8Array> {
  const doc = await PDFDocument.create({ updateMetadata: false });
  const page = doc.addPage([pageWidth, pageHeight]);
  const writer = textWriter(doc.context, await loadWide(texts));
  const content = draw(writer);
  page.node.set(PDFName.of('Contents'), doc.context.register(doc.context.flateStream(content)));
  page.node.set(PDFName.of('Resources'), doc.context.obj({ Font: Object.fromEntries(writer.finish()) }));
  return doc.save({ useObjectStreams: false });
}

function pdfWith(text: string, style: TextStyle = place): Promise<Uint8Array> {
  return pdfOf([text], (writer) => writer.operators(text, style));
}

async function firstPage(bytes: Uint8Array): Promise<pdfjs.PDFPageProxy> {
  const task = pdfjs.getDocument({ data: bytes.slice(), disableFontFace: true, useSystemFonts: false, verbosity: 0 });
  return (await task.promise).getPage(1);
}

async function extractedText(bytes: Uint8Array): Promise<string> {
  const { items } = await (await firstPage(bytes)).getTextContent();
  return items.map((item) => ('str' in item ? item.str : '')).join('');
}

/** Which pixels are dark. */
interface Ink {
  width: number;
  dark: Uint8Array;
}

function inkOf(canvas: Canvas): Ink {
  const { width, height } = canvas;
  const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
  const dark = new Uint8Array(width * height);
  for (let i = 0; i < dark.length; i++) dark[i] = (data[4 * i] ?? 255) < 128 ? 1 : 0;
  return { width, dark };
}

function blankCanvas(): Canvas {
  const canvas = createCanvas(pageWidth * scale, pageHeight * scale);
  const pen = canvas.getContext('2d');
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.fillStyle = '#000';
  return canvas;
}

async function renderedInk(bytes: Uint8Array): Promise<Ink> {
  const page = await firstPage(bytes);
  const canvas = blankCanvas();
  await page.render({ canvas: null, canvasContext: canvas.getContext('2d') as never, viewport: page.getViewport({ scale }) }).promise;
  return inkOf(canvas);
}

/** The text drawn from a font file by the canvas's own text engine. */
function directInk(text: string, file: string, x: number): Ink {
  const family = `direct-${file.replace(/\W/g, '-')}`;
  GlobalFonts.registerFromPath(fontPath(file), family);
  const canvas = blankCanvas();
  const pen = canvas.getContext('2d');
  pen.font = `${place.size * scale}px ${family}`;
  if (file === 'japanese.ttf') pen.fontKerning = 'none';
  pen.fillText(text, x * scale, (pageHeight - place.y) * scale);
  return inkOf(canvas);
}

/** Left, top, right and bottom of the dark pixels. */
function box({ width, dark }: Ink): number[] {
  let [left, top, right, bottom] = [Infinity, Infinity, -1, -1];
  dark.forEach((isDark, i) => {
    if (!isDark) return;
    const x = i % width;
    const y = Math.floor(i / width);
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  });
  return [left, top, right, bottom];
}

/** Share of the dark pixels of `a` that have no dark pixel of `b` within one pixel. */
function stray(a: Ink, b: Ink): number {
  let dark = 0;
  let lone = 0;
  a.dark.forEach((isDark, i) => {
    if (!isDark) return;
    dark++;
    const near = [-1, 0, 1].some((down) => [-1, 0, 1].some((right) => b.dark[i + down * b.width + right] === 1));
    if (!near) lone++;
  });
  return lone / dark;
}

/** The larger share of stray pixels of two pictures that should be the same. */
function difference(a: Ink, b: Ink): number {
  return Math.max(stray(a, b), stray(b, a));
}

describe('each script is drawn as an independent shaper draws the same font', () => {
  const samples: [string, string, string][] = [
    ['Greek', 'ΩμέγαΕλλάδα', 'sans.ttf'],
    ['Cyrillic', 'ЁлкаПриветГУДок', 'sans.ttf'],
    ['Latin with stacked marks', 'Łq̃Ǻ\u0331ṩ', 'sans.ttf'],
    ['Arabic', 'حوض الأسماك', 'arabic.ttf'],
    ['Arabic with vowel marks', 'الضَّوْء مُحَمَّدٌ اللَّهِ', 'arabic.ttf'],
    ['Hebrew', 'שלום עולם', 'hebrew.ttf'],
    ['Hebrew with points', 'שָׁלוֹם שַׁבָּת', 'hebrew.ttf'],
    ['Japanese', '検疫水槽の穴あけ、テンプレート', 'japanese.ttf'],
    ['Devanagari', 'हिन्दी क्षत्रिय', 'devanagari.ttf'],
    ['Thai', 'น้ำที่ปลา', 'thai.ttf'],
    ['arrows', '→≤≥↑□', 'math.ttf'],
    ['emoji', '🐠👨‍👩‍👧👍🏽🇩🇪1️⃣❤️', 'emoji.ttf'],
  ];
  test('the comparison tells joined from unjoined letters and left from right', () => {
    const right = directInk('حوض', 'arabic.ttf', 20);
    expect(difference(right, directInk('ح\u200Cو\u200Cض', 'arabic.ttf', 20))).toBeGreaterThan(0.1);
    expect(difference(right, directInk('ضوح', 'arabic.ttf', 20))).toBeGreaterThan(0.1);
  });
  test.each(samples)('%s', async (_script, text, file) => {
    const printed = await renderedInk(await pdfWith(text));
    const direct = directInk(text, file, place.x);
    const [printedBox, directBox] = [box(printed), box(direct)];
    printedBox.forEach((edge, i) => expect(Math.abs(edge - (directBox[i] ?? 0))).toBeLessThanOrEqual(2));
    expect(difference(printed, direct)).toBeLessThan(0.002);
  });
});

test('the printed text can be read back', async () => {
  const text = await extractedText(await pdfWith(mixed, { ...place, size: 10 }));
  for (const word of mixed.split(' ')) expect(text).toContain(word);
});

test('alignment and angle place the text', async () => {
  const text = 'HHHH';
  const [left = 0, , right = 0] = box(await renderedInk(await pdfWith(text, { ...place, x: 250 })));
  const width = right - left;
  const [centred = 0] = box(await renderedInk(await pdfWith(text, { ...place, x: 250, align: 'center' })));
  const [ended = 0] = box(await renderedInk(await pdfWith(text, { ...place, x: 250, align: 'right' })));
  const fullWidth = (left - ended) / scale;
  expect(fullWidth).toBeCloseTo(4 * 0.741 * place.size, 0);
  expect((left - centred) * 2).toBeCloseTo(left - ended, -1);
  const [, top = 0, , bottom = 0] = box(await renderedInk(await pdfWith('HH', { x: 250, y: 10, size: 24, angle: 90 })));
  expect(bottom - top).toBeGreaterThan(0.4 * width);
});

test('turned text is the same text turned: half a turn brings the same ink', async () => {
  const upright = await renderedInk(await pdfWith('Ёлка حوض', { x: 100, y: 30, size: 20 }));
  const turned = await renderedInk(await pdfWith('Ёлка حوض', { x: pageWidth - 100, y: pageHeight - 30, size: 20, angle: 180 }));
  expect(difference(upright, { ...turned, dark: turned.dark.reverse() })).toBeLessThan(0.002);
});

test('the same text gives the same bytes', async () => {
  expect(await pdfWith(mixed)).toEqual(await pdfWith(mixed));
});

test('numbers are written without exponents', async () => {
  await pdfOf([mixed], (writer) => {
    const operators = writer.operators(mixed, { x: 1e-7, y: 1e-9, size: 0.001, angle: 1e-7 });
    expect(operators.replace(/<[^>]*>/g, '')).not.toMatch(/\de[-+]?\d/i);
    return operators;
  });
});

test('a font is embedded once, and only with the glyphs used', async () => {
  const three = await pdfWith('水槽箱');
  expect(three.length).toBeLessThan(20_000);
  const often = await pdfOf(['水槽箱'], (writer) => Array.from({ length: 50 }, (_, i) => writer.operators('水槽箱', { x: i, y: i, size: 9 })).join(''));
  expect(often.length - three.length).toBeLessThan(2000);
});

test('thousands of labels need no more of a font than one', async () => {
  const labels = (count: number) => pdfOf(['35 mm'], (writer) => Array.from({ length: count }, (_, i) => writer.operators(`${i % 400} mm`, { x: i % 500, y: i % 60, size: 6 })).join(''));
  const [one, many] = [await labels(400), await labels(20_000)];
  expect(many.length - one.length).toBeLessThan(20_000 * 20);
});
