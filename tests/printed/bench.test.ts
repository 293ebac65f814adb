/** The drilling sheet as pdf.js (Mozilla's PDF renderer) reads and draws it. */
import { expect, test } from 'vitest';
import { boxOf } from '../../src/render/mark.ts';
import { cautions } from '../../src/trade/cautions.ts';
import { pictureOf, printJig, wordsOf, type Printed } from './measure.ts';

const nursery = (material: string, more = '') => `
title: Coral nursery, weir panel
units: mm
panel: {material: ${material}, width: 700, height: 420, thickness: 12, drilled-from: inside}
fittings: {weir elbow: {hole: [58, 60], flange: 86, nut: 80}}
holes:
  - {name: weir, fitting: weir elbow, from-left: 150, from-top: 140}
  - {name: sweep, diameter: 32, from-right: 140, from-top: 140}
  ${more}
sheets: {paper: A4}`;

const benchPage = ({ jig }: Printed) => jig.front.length;
const benchWords = async (printed: Printed) => (await wordsOf(printed, benchPage(printed))).replace(/\s+/g, ' ');

test('the last page before the sheets reads as a drilling sheet, from its title to its foot', async () => {
  const printed = await printJig(nursery('annealed glass'));
  const words = await benchWords(printed);
  for (const said of ['Drilling sheet: Coral nursery, weir panel', '700 mm x 420 mm annealed glass, 12 mm thick', 'drill from the INSIDE face', `fingerprint ${printed.report.fingerprint}`, 'Verdict: ', 'Before', 'Drill from the inside face', 'After', 'weir', 'sweep', 'diamond core bit, 32 mm', 'drilling sheet, then the sheets']) expect(words).toContain(said);
  for (const [about, said] of cautions) expect(words).toContain(`${about} ${said}`);
  expect(await wordsOf(printed, benchPage(printed) + 1)).not.toContain('Drilling sheet');
});

test('a refused hole is named without a speed, and the page is struck', async () => {
  const words = await benchWords(await printJig(nursery('annealed glass', '- {name: stray, diameter: 32, from-left: 25, from-bottom: 200}'), { isDraft: true }));
  expect(words).toContain('DRAFT, DO NOT DRILL');
  expect(words).toMatch(/stray refused: do not drill/);
  // Speeds of the two others: n = 60 v / (π D), v = 0.8 m/s, common practice, from memory: 259 and 477 rpm lie within.
  const speeds = [...words.matchAll(/\b(\d{2,4}) to (\d{2,4})\b/g)].map(([, low, high]) => [Number(low), Number(high)]);
  expect(speeds).toHaveLength(2);
  for (const [at, diameter] of [0.059, 0.032].entries()) {
    const rpm = (60 * 0.8) / (Math.PI * diameter);
    expect(speeds[at]?.[0]).toBeLessThan(rpm);
    expect(speeds[at]?.[1]).toBeGreaterThan(rpm);
  }
});

test('boxes to tick are 3.5 mm wide on paper, and empty', async () => {
  const printed = await printJig(nursery('acrylic'));
  const page = printed.jig.front[benchPage(printed) - 1];
  const squares = (page?.groups ?? []).flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'path' && mark.isClosed && mark.fill === null ? [boxOf(mark.points)] : [])));
  expect(squares.length).toBeGreaterThan(10);
  for (const { left, right, top, bottom } of squares) {
    const picture = await pictureOf(printed, benchPage(printed), 600, { left: left - 1, right: right + 1, bottom: (top + bottom) / 2 - 0.1, top: (top + bottom) / 2 + 0.1 });
    const row = Array.from(picture.gray.slice(0, picture.width), (gray, at) => ({ gray, at })).filter(({ gray }) => gray < 128).map(({ at }) => at);
    // Two strokes, nothing between them.
    const gaps = row.flatMap((at, index) => (index > 0 && at - (row[index - 1] as number) > 1 ? [index] : []));
    expect(gaps).toHaveLength(1);
    const middle = (pixels: readonly number[]) => ((pixels[0] as number) + (pixels[pixels.length - 1] as number)) / 2;
    const wide = (middle(row.slice(gaps[0])) - middle(row.slice(0, gaps[0]))) * picture.pixel;
    expect(Math.abs(wide - 3.5)).toBeLessThanOrEqual(picture.pixel);
  }
});
