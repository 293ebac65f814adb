/**
 * The ruler page as it comes out of a printer: what pdfjs-dist (Mozilla's PDF renderer) reads and paints, compared with
 * plain geometry written here, and a simulated printer that is off by a known share on each axis.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makeProfile, profileWords, type PrinterProfile } from '../../src/plan/printer.ts';
import { writePdf } from '../../src/render/pdf.ts';
import { rulerDocument, rulerPage, rulerPageLengths, rulerTrouble } from '../../src/render/ruler.ts';
import { markBounds } from '../../src/render/mark.ts';
import type { Page } from '../../src/render/sheet.ts';
import { parsePaper } from '../../src/spec/schema.ts';
import { paperByName, type Paper } from '../../src/trade/papers.ts';
import { loadWide } from '../fonts.ts';
import { boxOf, fine, finePixel, mmPerInch, openPdf, pageSize, pictureOf, rulersOf, strokesAlong, vectorsOf, wordsOf, type Printed, type VectorPath, type VectorRuler } from './measure.ts';

/** A page that must fit. */
async function pageOf(paper: Paper, margin: number, profile?: PrinterProfile): Promise<Page> {
  const page = rulerPage(paper, margin, await loadWide([profile?.name ?? '']), profile);
  if ('problem' in page) throw new Error(page.problem);
  return page;
}

async function printRuler(paper: Paper, margin = 10, profile?: PrinterProfile): Promise<Printed> {
  const setter = await loadWide([profile?.name ?? '']);
  const bytes = await writePdf([await pageOf(paper, margin, profile)], rulerDocument(paper, margin, profile), setter);
  return { bytes, pdf: await openPdf(bytes) } as unknown as Printed;
}

function paperOf(name: string): Paper {
  const paper = paperByName(name) ?? parsePaper(name, undefined);
  if ('problem' in paper) throw new Error(paper.problem);
  return paper;
}

/** A profile of a printer that draws `across` and `down` times too long, measured on the paper's own ruler page. */
function profileOf(paper: Paper, across: number, down: number, name = 'office', margin = 10): PrinterProfile {
  const nominal = rulerPageLengths(paper, margin);
  const profile = makeProfile({ name, paper, across: nominal.across * across, down: nominal.down * down }, (other) => rulerPageLengths(other, margin));
  if ('found' in profile) throw new Error(profile.found);
  return profile;
}

/** Two ends of each straight stroke. */
const strokes = (paths: readonly VectorPath[]) => paths.filter(({ points, isStroked, isClosed }) => isStroked && !isClosed && points.length === 2).map(({ points: [a = { x: NaN, y: NaN }, b = { x: NaN, y: NaN }] }) => ({ a, b }));

const lengthOf = ({ millimetres }: VectorRuler) => (millimetres[millimetres.length - 1] as number) - (millimetres[0] as number);

/**
 * Paper sizes: ISO 216 (A4 210 x 297 mm, A3 297 x 420 mm); ANSI/ASME Y14.1 (Letter 8.5 x 11 in, B 11 x 17 in).
 * `across` and `down` are the whole centimetres that leave at most so much of the printable side.
 */
const sheets = [
  { name: 'A4', width: 210, height: 297, margin: 10 },
  { name: 'A4', width: 210, height: 297, margin: 4.2 },
  { name: 'A4', width: 210, height: 297, margin: 25 },
  { name: 'A3', width: 297, height: 420, margin: 10 },
  { name: 'Letter', width: 215.9, height: 279.4, margin: 10 },
  { name: 'ANSI B', width: 279.4, height: 431.8, margin: 10 },
  { name: '24 x 36 in', width: 609.6, height: 914.4, margin: 10 },
  { name: '140 x 200 mm', width: 140, height: 200, margin: 10 },
] as const;

/** A printer's error on each axis, with which the page is prescaled; 1 is a page without a profile. */
const errors = [[1, 1], [1.007, 0.989], [0.971, 1.028]] as const;

describe.each(sheets)('$name, margin $margin mm', ({ name, width, height, margin }) => {
  const paper = paperOf(name);
  const printed = errors.map(([across, down]) => (across === 1 && down === 1 ? undefined : profileOf(paper, across, down, 'office', margin))).map((profile) => ({ profile, print: printRuler(paper, margin, profile) }));

  test('the page is the paper, to 0.001 mm, also when it is prescaled', async () => {
    for (const { print } of printed) {
      const size = await pageSize(await print, 1);
      expect(Math.abs(size.width - width)).toBeLessThan(0.001);
      expect(Math.abs(size.height - height)).toBeLessThan(0.001);
      expect((await print).pdf.numPages).toBe(1);
    }
  });

  test('the scales are whole centimetres and leave little of the printable area unused', async () => {
    const { across, down } = rulerPageLengths(paper, margin);
    expect([across % 10, down % 10]).toEqual([0, 0]);
    expect(width - 2 * margin - across).toBeGreaterThan(0);
    expect(width - 2 * margin - across).toBeLessThan(10 + 5);
    expect(height - 2 * margin - down).toBeLessThan(10 + 20);
    const { across: acrossRuler, up } = rulersOf(await vectorsOf(await (printed[0] as (typeof printed)[number]).print, 1));
    expect(lengthOf(acrossRuler)).toBeCloseTo(across, 3);
    expect(lengthOf(up)).toBeCloseTo(down, 3);
  });

  test('ticks stand each millimetre and each sixteenth of an inch, to 0.001 mm, through the printer that a profile undoes', async () => {
    for (const [index, { print, profile }] of printed.entries()) {
      const [across, down] = errors[index] as readonly [number, number];
      const rulers = rulersOf(await vectorsOf(await print, 1));
      for (const { ruler, error, length } of [{ ruler: rulers.across, error: across, length: rulerPageLengths(paper, margin, profile).across }, { ruler: rulers.up, error: down, length: rulerPageLengths(paper, margin, profile).down }]) {
        const [start = NaN] = ruler.millimetres;
        expect(ruler.millimetres).toHaveLength(length + 1);
        ruler.millimetres.forEach((place, mm) => expect(Math.abs((place - start) * error - mm)).toBeLessThan(0.001));
        expect(ruler.inches).toHaveLength(Math.floor((length / mmPerInch) * 16 + 1e-9) + 1);
        ruler.inches.forEach((place, sixteenth) => expect(Math.abs((place - start) * error - (sixteenth * mmPerInch) / 16)).toBeLessThan(0.001));
      }
    }
  });

  test('long end marks stand at both ends of each scale, and a line to lay the rule along runs between them', async () => {
    const { across, down } = rulerPageLengths(paper, margin);
    const vectors = await vectorsOf(await (printed[0] as (typeof printed)[number]).print, 1);
    const rulers = rulersOf(vectors);
    const all = strokes(vectors).map(({ a, b }) => ({ ...boxOf([a, b]) }));
    const near = (p: number, q: number) => Math.abs(p - q) < 0.001;
    const ends = (ruler: VectorRuler) => [ruler.millimetres[0] as number, ruler.millimetres[ruler.millimetres.length - 1] as number];
    for (const end of ends(rulers.across)) expect(all.some((s) => near(s.left, end) && near(s.right, end) && s.top - s.bottom > 3.7 && s.bottom > rulers.across.baseline)).toBe(true);
    for (const end of ends(rulers.up)) expect(all.some((s) => near(s.bottom, end) && near(s.top, end) && s.right - s.left > 3.7 && s.right < rulers.up.baseline)).toBe(true);
    // The line to lay the rule along, and the scale's own.
    expect(all.filter((s) => near(s.right - s.left, across) && near(s.top, s.bottom))).toHaveLength(2);
    expect(all.filter((s) => near(s.top - s.bottom, down) && near(s.left, s.right))).toHaveLength(2);
  });

  test('the square is one through the printer, and its diagonals run from corner to corner, as long as the page says', async () => {
    for (const [index, { print }] of printed.entries()) {
      const [across, down] = errors[index] as readonly [number, number];
      const vectors = await vectorsOf(await print, 1);
      const squares = vectors.filter(({ isClosed, isStroked, points }) => isClosed && isStroked && points.length >= 4).map(({ points }) => boxOf(points));
      expect(squares).toHaveLength(1);
      const [square] = squares as [ReturnType<typeof boxOf>];
      const [sideX, sideY] = [(square.right - square.left) * across, (square.top - square.bottom) * down];
      expect(Math.abs(sideX - sideY)).toBeLessThan(0.001);
      const told = [...(await wordsOf(await print, 1)).matchAll(/diagonal [AB]: (\d+) mm/g)].map(([, mm]) => Number(mm));
      expect(told).toHaveLength(2);
      const slanted = strokes(vectors).filter(({ a, b }) => Math.abs(a.x - b.x) > 20 && Math.abs(a.y - b.y) > 20);
      expect(slanted).toHaveLength(2);
      for (const [at, { a, b }] of slanted.entries()) {
        expect(Math.abs(Math.hypot((b.x - a.x) * across, (b.y - a.y) * down) - (told[at] as number))).toBeLessThan(0.001);
        const box = boxOf([a, b]);
        for (const side of ['left', 'right', 'top', 'bottom'] as const) expect(box[side]).toBeCloseTo(square[side], 3);
      }
      expect(Math.sign((slanted[0] as (typeof slanted)[number]).b.y - (slanted[0] as (typeof slanted)[number]).a.y)).toBe(-Math.sign((slanted[1] as (typeof slanted)[number]).b.y - (slanted[1] as (typeof slanted)[number]).a.y));
    }
  });

  test('nothing is printed in the margin', async () => {
    for (const { print } of printed) {
      const picture = await pictureOf(await print, 1, width > 500 ? 100 : 300);
      let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
      for (let row = 0; row < picture.height; row += 1) {
        for (let column = 0; column < picture.width; column += 1) {
          if (picture.gray[row * picture.width + column] === 255) continue;
          [left, right, top, bottom] = [Math.min(left, column), Math.max(right, column), Math.min(top, row), Math.max(bottom, row)];
        }
      }
      const { pixel } = picture;
      // A pixel may hold both: what it covers of the margin is at most itself.
      expect((left + 1) * pixel).toBeGreaterThanOrEqual(margin);
      expect(right * pixel).toBeLessThanOrEqual(width - margin);
      expect((top + 1) * pixel).toBeGreaterThanOrEqual(margin);
      expect(bottom * pixel).toBeLessThanOrEqual(height - margin);
    }
  });

  test('no words stand on each other, on a line, or outside the page\'s inner part', async () => {
    for (const { profile } of printed) {
      const page = await pageOf(paper, margin, profile);
      const marks = page.groups.flatMap((group) => group.marks);
      const level = marks.filter((mark) => mark.kind === 'text' && mark.size > 2.2 && mark.angle % 90 === 0).map((mark) => ({ words: mark.kind === 'text' ? mark.text : '', box: inkOf(markBounds(mark)) }));
      expect(level.length).toBeGreaterThan(15);
      const overlaps = level.flatMap((one, at) => level.slice(at + 1).filter((other) => isShared(one.box, other.box)).map((other) => `${one.words} / ${other.words}`));
      expect(overlaps).toEqual([]);
      const struck = level.flatMap(({ words, box }) => marks.filter((mark) => mark.kind === 'line' && isShared(box, markBounds(mark)) && (mark.a.x === mark.b.x || mark.a.y === mark.b.y)).map(() => words));
      expect(struck).toEqual([]);
      expect(level.filter(({ words }) => words.includes('…') && !words.includes('…mm'))).toEqual([]);
    }
  });
});

/** The part of a line of text that letters fill: without the room above capitals (a fifth of the size and more). */
function inkOf({ left, bottom, right, top }: { left: number; bottom: number; right: number; top: number }) {
  return right - left > top - bottom ? { left, bottom: bottom + 0.1, right, top: top - 0.2 * ((top - bottom) / 1.3) } : { left: left + 0.2 * ((right - left) / 1.3), bottom, right: right - 0.1, top };
}

type Box = ReturnType<typeof inkOf>;

function isShared(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.bottom < b.top && b.bottom < a.top;
}

test('in 600 dpi pixels the ticks, end marks and corners stand where the vectors do', async () => {
  const paper = paperOf('A4');
  const print = await printRuler(paper);
  const { across, up } = rulersOf(await vectorsOf(print, 1));
  const lengths = rulerPageLengths(paper, 10);
  const along = [
    { ruler: across, length: lengths.across, place: (on: number, out: number) => ({ x: on, y: out }) },
    { ruler: up, length: lengths.down, place: (on: number, out: number) => ({ x: out, y: on }) },
  ];
  for (const { ruler, length, place } of along) {
    const [first = NaN] = ruler.millimetres;
    const scan = async (out: number) => {
      const [from, to] = [place(first - 0.5, ruler.baseline + out * ruler.side), place(first + length + 0.5, ruler.baseline + out * ruler.side)];
      const box = boxOf([from, to]);
      const picture = await pictureOf(print, 1, fine, { left: box.left - 0.5, right: box.right + 0.5, bottom: box.bottom - 0.5, top: box.top + 0.5 });
      return strokesAlong(picture, from, to).map(({ middle }) => middle);
    };
    const millimetres = await scan(0.9);
    expect(millimetres).toHaveLength(length + 1);
    millimetres.forEach((tick, mm) => expect(Math.abs(tick - (millimetres[0] as number) - mm)).toBeLessThanOrEqual(finePixel));
    const sixteenths = await scan(-0.9);
    sixteenths.forEach((tick, index) => expect(Math.abs(tick - (sixteenths[0] as number) - (index * mmPerInch) / 16)).toBeLessThanOrEqual(finePixel));
    // Where the rule's edge lies, nothing but the two end marks; they are as far apart as the scale is long.
    const ends = await scan(9.1);
    expect(ends).toHaveLength(2);
    expect(Math.abs((ends[1] as number) - (ends[0] as number) - length)).toBeLessThanOrEqual(finePixel);
  }

  // A tenth of the side above its foot, a square with its diagonals shows strokes at 0, 1/10, 9/10 and the whole of the side.
  const told = Number(/diagonal A: (\d+) mm/.exec(await wordsOf(print, 1))?.[1]);
  const side = told / Math.SQRT2;
  const square = boxOf((await vectorsOf(print, 1)).filter(({ isClosed, isStroked }) => isClosed && isStroked).flatMap(({ points }) => points));
  const [from, to] = [{ x: square.left - 1, y: square.bottom + side / 10 }, { x: square.right + 1, y: square.bottom + side / 10 }];
  const picture = await pictureOf(print, 1, fine, { left: from.x - 0.5, right: to.x + 0.5, bottom: from.y - 0.5, top: from.y + 0.5 });
  const met = strokesAlong(picture, from, to).map(({ middle }) => middle);
  expect(met).toHaveLength(4);
  [0, side / 10, (side * 9) / 10, side].forEach((place, index) => expect(Math.abs((met[index] as number) - (met[0] as number) - place)).toBeLessThanOrEqual(finePixel));
});

describe('the way of a profile: print, measure, prescale, print again', () => {
  /** Lengths that a rule shows on a page out of a printer that draws this many times too long. */
  async function measured(print: Printed, printer: { across: number; down: number }): Promise<{ across: number; down: number }> {
    const { across, up } = rulersOf(await vectorsOf(print, 1));
    return { across: lengthOf(across) * printer.across, down: lengthOf(up) * printer.down };
  }

  /** Largest error of any tick, mm, from the start of its scale. */
  async function worstTick(print: Printed, printer: { across: number; down: number }): Promise<number> {
    const { across, up } = rulersOf(await vectorsOf(print, 1));
    const off = (ruler: VectorRuler, error: number) => ruler.millimetres.map((place, mm) => Math.abs((place - (ruler.millimetres[0] as number)) * error - mm));
    return Math.max(...off(across, printer.across), ...off(up, printer.down));
  }

  async function proved(paper: Paper, printer: { across: number; down: number }, read: (mm: number) => number): Promise<number> {
    const first = await measured(await printRuler(paper), printer);
    const profile = makeProfile({ name: 'office', paper, across: read(first.across), down: read(first.down) }, (other) => rulerPageLengths(other, 10));
    if ('found' in profile) throw new Error(profile.found);
    return worstTick(await printRuler(paper, 10, profile), printer);
  }

  const toTenths = (mm: number) => Math.round(mm * 10) / 10;

  test.each([
    ['A4', 1.007, 1.011], ['A4', 1.007, 0.989], ['A4', 0.993, 1.011], ['A4', 0.993, 0.989], ['A4', 1.011, 1.007], ['A4', 0.989, 0.993],
    ['Letter', 1.007, 0.989], ['Letter', 0.989, 1.007], ['A3', 1.011, 0.993], ['Legal', 0.993, 1.011],
  ] as const)('%s through a printer of %d across and %d down ends within 0.1 mm', async (name, across, down) => {
    const paper = paperOf(name);
    expect(await worstTick(await printRuler(paper), { across, down })).toBeGreaterThan(1);
    expect(await proved(paper, { across, down }, toTenths)).toBeLessThan(0.1);
  });

  test('any printer within 3 %, read to the tenth of a millimetre, ends within 0.1 mm', async () => {
    const error = fc.integer({ min: -2950, max: 2950 }).map((share) => 1 + share / 100_000);
    await fc.assert(
      fc.asyncProperty(fc.constantFrom('A4', 'Letter', 'A3'), error, error, async (name, across, down) => {
        expect(await proved(paperOf(name), { across, down }, toTenths)).toBeLessThan(0.1);
      }),
      { numRuns: 20 },
    );
  });

  test('a reading half a millimetre off leaves more: the proof would show it', async () => {
    expect(await proved(paperOf('A4'), { across: 1.007, down: 1.011 }, (mm) => mm + 0.5)).toBeGreaterThan(0.45);
  });
});

describe('words', () => {
  test('how to print, measure and go on; the command fits the page', async () => {
    const words = (await wordsOf(await printRuler(paperOf('ANSI B'), 12), 1)).replace(/\s+/g, ' ');
    for (const phrase of ['100 % / actual size', 'same paper', 'same tray', 'same quality', 'rest and cool', 'to 0.1 mm if you can', 'to 0.5 mm at worst', 'Across is the short side of the paper, down its long side, also where a sheet lies landscape', 'no profile mends that', 'panejig printer NAME --paper "ANSI B" --margin 12mm --across …mm --down …mm', 'panejig ruler --printer NAME --margin 12mm']) {
      expect(words.replace('from the same tray and at the same quality', 'same tray same quality')).toContain(phrase);
    }
    const { across, down } = rulerPageLengths(paperOf('ANSI B'), 12);
    expect(words).toContain(`across: ${across} mm`);
    expect(words).toContain(`down: ${down} mm`);
  });

  test.each(['office', 'Büro 2', '水槽室'])('a page prescaled by "%s" says so and asks for no measurement to type', async (name) => {
    const profile = profileOf(paperOf('A4'), 1.007, 0.989, name);
    const words = (await wordsOf(await printRuler(paperOf('A4'), 10, profile), 1)).replace(/\s+/g, ' ');
    expect(words.replaceAll(' ', '')).toContain(profileWords(profile).replaceAll(' ', ''));
    expect(words).not.toContain('--across');
    expect(words).toContain('panejig ruler --paper A4');
  });
});

test('a paper without room is refused, and no other', () => {
  for (const [name, margin] of [['140 x 140 mm', 50], ['140 x 200 mm', 30]] as const) {
    const trouble = rulerTrouble(paperOf(name), margin);
    expect(trouble?.problem).toContain('no room');
    expect(trouble?.fix).toMatch(/larger paper/);
  }
  for (const name of ['A4', 'Letter', 'ANSI D', '5000 x 5000 mm']) expect(rulerTrouble(paperOf(name), 10)).toBeUndefined();
});

test('the same page gives the same bytes, another profile another file ID (ISO 32000-1:2008, 14.4)', async () => {
  const bytes = async (profile?: PrinterProfile) => Buffer.from((await printRuler(paperOf('A4'), 10, profile)).bytes);
  expect((await bytes()).equals(await bytes())).toBe(true);
  const ids = [undefined, profileOf(paperOf('A4'), 1.007, 1), profileOf(paperOf('A4'), 1, 1.007)].map((profile) => rulerDocument(paperOf('A4'), 10, profile).fingerprint);
  expect(new Set(ids).size).toBe(3);
  for (const id of ids) expect(id).toMatch(/^[0-9a-f]{32}$/);
});
