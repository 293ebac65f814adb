/**
 * The jig as SVG at true size. Everything is measured on what two renderers make of the file, resvg and Skia, at 600 dpi,
 * and compared with the spec's own numbers, written here as literals.
 */
import { readFileSync } from 'node:fs';
import { Resvg } from '@resvg/resvg-wasm';
import pixelmatch from 'pixelmatch';
import { describe, expect, test } from 'vitest';
import type { Point } from '../../src/plan/plan.ts';
import { circle, line, path, rectPath, text, type Mark } from '../../src/render/mark.ts';
import { writePdf } from '../../src/render/pdf.ts';
import { writeSvg } from '../../src/render/svg.ts';
import { loadWide } from '../fonts.ts';
import { around, boxOf, canvasOf, findLine, findRing, fine, mmPerInch, openPdf, strokesAlong, type Printed } from './measure.ts';
import { pictureOfSvg, renderers, sizeOf, wholeJig, written, type Draw } from './whole.ts';

const inch = mmPerInch;
/** What a cut may be off, mm. */
const tolerance = 0.05;

const template = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

interface Case {
  readonly name: string;
  readonly spec: string;
  readonly isDraft?: boolean;
  /** Width and height of the panel, mm. */
  readonly panel: readonly [number, number];
  /** Diameter, and distances of the centre from the lines of the drawing, mm. Left and right as drawn. */
  readonly holes: readonly { readonly diameter: number; readonly left: number; readonly right: number; readonly top: number; readonly bottom: number }[];
}

const hole = (diameter: number, [width, height]: readonly [number, number], left: number, top: number) => ({ diameter, left, right: width - left, top, bottom: height - top });

const example: readonly [number, number] = [450, 400];
const sump: readonly [number, number] = [24 * inch, 16 * inch];
const wall: readonly [number, number] = [3000, 1200];

const cases: readonly Case[] = [
  {
    name: 'quarantine-end-panel, outside, measured from the rim',
    spec: template('quarantine-end-panel'),
    panel: example,
    holes: [hole(45, example, 100, 20 + 75), hole(45, example, 210, 20 + 75), hole(36, example, 450 - 3.5 * inch, 20 + 70)],
  },
  {
    // Seen from inside: what is left outside is drawn right.
    name: 'pump-cabinet-sump, inside, in inches',
    spec: template('pump-cabinet-sump'),
    panel: sump,
    holes: [
      hole(2.125 * inch, sump, (3 / 8 + 4.5) * inch, (16 - 3 / 8 - 5) * inch),
      hole(1.375 * inch, sump, (24 - 3 / 8 - 3) * inch, 3.25 * inch),
      hole(0.625 * inch, sump, (12 - 2) * inch, ((16 - 3 / 8) / 2 - 4) * inch),
    ],
  },
  { name: 'too-close, a draft without circles', spec: template('too-close'), isDraft: true, panel: [600, 380], holes: [] },
  {
    name: 'a panel of 3 m, in parts',
    spec: `
title: Frag room, viewing wall
units: mm
panel: {material: acrylic, width: 3000, height: 1200, thickness: 25}
holes:
  - {name: weir, diameter: 150, from-left: 2750.5, from-top: 300.25}
  - {name: drain, diameter: 33.7, from-left: 120.3, from-bottom: 90.1}`,
    panel: wall,
    holes: [hole(150, wall, 2750.5, 300.25), hole(33.7, wall, 120.3, 1200 - 90.1)],
  },
];

interface Drawn {
  readonly svg: string;
  readonly draw: Draw;
}

/** Where a circle or the panel's corner is said to be: only a hint for the search. */
function hints(svg: string): { left: number; top: number } {
  const [, data = ''] = /<g id="panel">[^]*?<path d="([^"]*)"/.exec(svg) ?? [];
  const numbers = (data.match(/[\d.]+/g) ?? []).map(Number);
  return { left: Math.min(...numbers.filter((_, index) => index % 2 === 0)), top: Math.min(...numbers.filter((_, index) => index % 2 === 1)) };
}

/** Offset to the left of the way from a to b at which a dark line is found. */
async function lineOffset({ svg, draw }: Drawn, a: Point, b: Point): Promise<number> {
  const { left, right, bottom, top } = boxOf([a, b]);
  const picture = await pictureOfSvg(svg, draw, fine, { left: left - 3, right: right + 3, bottom: bottom - 3, top: top + 3 });
  const found = findLine(picture, a, b);
  expect(found?.seen).toBeGreaterThan(0.5);
  return found?.offset ?? NaN;
}

/** Where the edges of the panel are found near a place, in drawing coordinates. Scans keep off the middle of each side, where its name stands. */
async function edgesNear(drawn: Drawn, { x, y }: Point, [width, height]: readonly [number, number]) {
  const { left, top } = hints(drawn.svg);
  const [right, bottom] = [left + width, top + height];
  const along = (at: number, side: number, start: number) => Math.min(start + side - 15, Math.max(start + 15, at));
  const [column, row] = [along(x, width, left), along(-y, height, top)];
  const across = (at: number) => [{ x: column - 8, y: -at }, { x: column + 8, y: -at }] as const;
  const up = (at: number) => [{ x: at, y: -row - 8 }, { x: at, y: -row + 8 }] as const;
  return {
    left: left - (await lineOffset(drawn, ...up(left))),
    right: right - (await lineOffset(drawn, ...up(right))),
    top: -top + (await lineOffset(drawn, ...across(top))),
    bottom: -bottom + (await lineOffset(drawn, ...across(bottom))),
  };
}

function expectLength(found: number, wanted: number, what: string): void {
  expect(Math.abs(found - wanted), `${what}: ${found} mm, not ${wanted} mm`).toBeLessThanOrEqual(tolerance);
}

describe.each(Object.entries(renderers))('as %s draws it', (_name, draw) => {
  describe.each(cases)('$name', ({ spec, isDraft = false, panel, holes }) => {
    test('every hole has its diameter and its distances from all four edges', async () => {
      const drawn = { svg: (await wholeJig(spec, isDraft)).svg, draw };
      const { left, top } = hints(drawn.svg);
      expect(drawn.svg.match(/<circle[^>]*stroke="#000000"/g) ?? []).toHaveLength(holes.length);
      for (const wanted of holes) {
        const expected = { x: left + wanted.left, y: -top - wanted.top };
        const ring = findRing(await pictureOfSvg(drawn.svg, draw, fine, around(expected, wanted.diameter / 2 + 3)), expected, wanted.diameter / 2);
        expect(ring?.seen).toBeGreaterThan(0.9);
        expectLength(ring?.diameter ?? NaN, wanted.diameter, 'diameter');
        expectLength(ring?.unround ?? NaN, 0, 'out of round');
        const { x, y } = ring?.center ?? { x: NaN, y: NaN };
        const edges = await edgesNear(drawn, { x, y }, panel);
        expectLength(x - edges.left, wanted.left, 'from the left');
        expectLength(edges.right - x, wanted.right, 'from the right');
        expectLength(edges.top - y, wanted.top, 'from the top');
        expectLength(y - edges.bottom, wanted.bottom, 'from the bottom');
      }
    });

    test('the panel has its size, measured near its lower left corner', async () => {
      const drawn = { svg: (await wholeJig(spec, isDraft)).svg, draw };
      const { left, top } = hints(drawn.svg);
      const edges = await edgesNear(drawn, { x: left + 60, y: -top - panel[1] + 60 }, panel);
      expectLength(edges.right - edges.left, panel[0], 'width');
      expectLength(edges.top - edges.bottom, panel[1], 'height');
    });

    test('every tick of the ruler, millimetres above its line and sixteenths of an inch below', async () => {
      const { svg } = await wholeJig(spec, isDraft);
      const ruler = /<g id="ruler">[^]*?<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)"/.exec(svg) ?? [];
      const [start, baseline, end] = ruler.slice(1).map(Number) as [number, number, number];
      const told = /Measure this before cutting: the ruler is (\d+) mm/.exec(svg)?.[1];
      expect(end - start).toBeCloseTo(Number(told), 3);
      for (const { out, step } of [{ out: 0.9, step: 1 }, { out: -0.9, step: inch / 16 }]) {
        const [a, b] = [{ x: start - 0.4, y: -baseline + out }, { x: end + 0.4, y: -baseline + out }];
        const picture = await pictureOfSvg(svg, draw, fine, { left: a.x - 1, right: b.x + 1, bottom: a.y - 0.4, top: a.y + 0.4 });
        const ticks = strokesAlong(picture, a, b).map(({ middle }) => middle);
        expect(ticks).toHaveLength(Math.floor(Number(told) / step + 1e-9) + 1);
        ticks.forEach((tick, index) => expectLength(tick - (ticks[0] ?? NaN), index * step, 'tick'));
      }
    });
  });

  test('the slanted edge of an outline lies where the spec puts it', async () => {
    // From (600, 300) to (520, 380): x + y = 900.
    const drawn = { svg: (await wholeJig(template('too-close'), true)).svg, draw };
    const { left, top } = hints(drawn.svg);
    const at = (x: number, y: number) => ({ x: left + x, y: -top - 380 + y });
    expectLength(await lineOffset(drawn, at(595, 305), at(580, 320)), 0, 'slanted edge');
    expectLength(await lineOffset(drawn, at(538, 362), at(525, 375)), 0, 'slanted edge');
  });

  test.each(['outside', 'inside'])('letters are not mirrored on the %s face', async (face) => {
    const { svg, marks } = await wholeJig(`
title: Letters
units: mm
panel: {material: acrylic, width: 300, height: 200, thickness: 6, drilled-from: ${face}}
holes: [{name: L, diameter: 30, from-left: 100, from-top: 100}]`);
    const words = marks.find((mark) => mark.kind === 'text' && mark.text === 'L') as Extract<Mark, { kind: 'text' }>;
    const { left, top } = hints(svg);
    const start = { x: left + words.at.x, y: -top - 200 + words.at.y };
    const picture = await pictureOfSvg(svg, draw, fine, { left: start.x, right: start.x + words.width, bottom: start.y, top: start.y + words.size * 0.7 });
    // The stem of an L is at its left, its foot below.
    const ink = (from: number, to: number, isColumn: boolean) => {
      let sum = 0;
      for (let index = 0; index < picture.gray.length; index += 1) {
        const share = isColumn ? (index % picture.width) / picture.width : Math.floor(index / picture.width) / picture.height;
        if (share >= from && share < to) sum += 255 - (picture.gray[index] as number);
      }
      return sum;
    };
    expect(ink(0, 0.5, true)).toBeGreaterThan(2 * ink(0.5, 1, true));
    expect(ink(0.5, 1, false)).toBeGreaterThan(1.2 * ink(0, 0.5, false));
  });

  test('looks as the PDF does by pdf.js: lines, dashes, fills and letters of many scripts', async () => {
    const titles = ['Quarantäne Becken № 3, AV To Wy', '検疫水槽の背面', 'حوض الأسماك 12', 'Frag tank 🐠 back', 'Ёлка Ωμέγα שלום', 'मछलीघर', 'ตู้ปลา', 'fi ffi é ñ Å'];
    const setter = await loadWide(titles);
    const marks: Mark[] = [
      ...titles.flatMap((words, row) => [
        text(setter, 'label', { x: 5, y: 10 + 9 * row }, words, { size: 5 }),
        text(setter, 'label', { x: 190, y: 10 + 9 * row }, words, { size: 5, weight: 'bold', align: 'right', gray: 0.4 }),
      ]),
      text(setter, 'label', { x: 60, y: 110 }, 'slanted, in the middle', { size: 4, angle: 33, align: 'center' }),
      // Dashed circles would differ: SVG draws them clockwise, the PDF counter-clockwise.
      circle('part', { x: 140, y: 105 }, 15, { width: 0.5, gray: 0.4 }),
      path('panel', [{ x: 10, y: 90 }, { x: 30, y: 130 }, { x: 40, y: 90 }, { x: 20, y: 120 }], { width: 0.6, gray: 0 }),
      rectPath('sheet', { left: 90, right: 100, bottom: 95, top: 100 }, null, 0.6),
      ...[0, 1, 2, 3].map((index) => line('keep-clear', { x: 165 + 6 * index, y: 90 }, { x: 175 + 6 * index, y: 130 }, { width: 0.3, gray: 0.3, dashes: index < 2 ? [] : [4, 1.5] })),
      rectPath('keep-clear', { left: 165, right: 180, bottom: 105, top: 115 }, null, 1),
    ];
    const size = { width: 200, height: 140 };
    const pdf = await openPdf(await writePdf([{ name: 'page', ...size, groups: [{ marks, shift: { x: 0, y: 0 } }] }], { title: 'Look', fingerprint: '0000-0000' }, setter));
    const { canvas } = await canvasOf({ pdf } as Printed, 1, 300);
    const svg = written(writeSvg(marks, { left: 0, bottom: 0, right: size.width, top: size.height }, { title: 'Look', description: 'Look' }, setter));
    const { width, height, gray } = await pictureOfSvg(svg, draw, 300, { left: 0, right: size.width, bottom: -size.height, top: 0 });
    const [columns, rows] = [Math.min(width, canvas.width), Math.min(height, canvas.height)];
    const pdfPixels = canvas.getContext('2d').getImageData(0, 0, columns, rows).data;
    const svgPixels = new Uint8ClampedArray(4 * columns * rows);
    for (let index = 0; index < columns * rows; index += 1) svgPixels.fill(gray[Math.floor(index / columns) * width + (index % columns)] as number, 4 * index, 4 * index + 3).fill(255, 4 * index + 3, 4 * index + 4);
    const differing = pixelmatch(pdfPixels, svgPixels, undefined, columns, rows, { threshold: 0.25 });
    const dark = gray.filter((value) => value < 128).length;
    expect(dark).toBeGreaterThan(20_000);
    expect(differing / dark).toBeLessThan(0.002);
    const moved = new Uint8ClampedArray(svgPixels.length);
    moved.set(svgPixels.subarray(0, -8), 8);
    expect(pixelmatch(pdfPixels, moved, undefined, columns, rows, { threshold: 0.25 }) / dark).toBeGreaterThan(0.05);
  });
});

test('the size in mm makes the size in pixels, at any resolution (CSS 2.1, 4.3.2: 1 in = 25.4 mm)', async () => {
  for (const { spec, isDraft, panel } of cases) {
    const { svg } = await wholeJig(spec, isDraft);
    const { width, height } = sizeOf(svg);
    expect(width).toBeGreaterThan(panel[0]);
    expect(height).toBeGreaterThan(panel[1]);
    await renderers['resvg']?.('<svg xmlns="http://www.w3.org/2000/svg" width="1" height="1"/>');
    for (const dpi of [96, 600]) {
      const drawing = new Resvg(svg, { dpi, font: { loadSystemFonts: false } });
      expect(Math.abs(drawing.width - (width / inch) * dpi)).toBeLessThanOrEqual(1);
      expect(Math.abs(drawing.height - (height / inch) * dpi)).toBeLessThanOrEqual(1);
    }
  }
});

test('the measuring finds a wrong scale: a drawing at 99.9 % fails', async () => {
  const { svg } = await wholeJig(template('quarantine-end-panel'));
  const { left, top } = hints(svg);
  const smaller = svg.replace(/r="22.5"/g, 'r="22.4775"').replace(/r="18"/g, 'r="17.982"');
  const expected = { x: left + 100, y: -top - 95 };
  const resvg = renderers['resvg'] as Draw;
  const off = async (one: string) => Math.abs((findRing(await pictureOfSvg(one, resvg, fine, around(expected, 26)), expected, 22.5)?.diameter ?? NaN) - 45);
  expect(await off(svg)).toBeLessThan(0.02);
  expect(await off(smaller)).toBeGreaterThan(0.03);
});
