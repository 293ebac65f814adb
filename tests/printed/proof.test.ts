/**
 * The jig as three renderers that share no code print it: see renderers.ts. Everything is measured in pixels at 600 dpi,
 * and compared with the spec's own numbers, turned into places on the panel by the arithmetic written here.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Point, Rect } from '../../src/plan/plan.ts';
import type { Jig } from '../../src/jig.ts';
import { placedLoops } from '../../src/render/arc.ts';
import type { Mark } from '../../src/render/mark.ts';
import type { Page } from '../../src/render/sheet.ts';
import { checkPlan } from '../../src/report.ts';
import { tieLines } from '../../src/render/guides.ts';
import type { Cell } from '../../src/render/layout.ts';
import { windowShift } from '../../src/render/sheet.ts';
import { makeProfile } from '../../src/plan/printer.ts';
import { writePdf } from '../../src/render/pdf.ts';
import { rulerDocument, rulerPage, rulerPageLengths } from '../../src/render/ruler.ts';
import { loadWide } from '../fonts.ts';
import { apart, assemble, closeReadings, distanceToLine, finePicture, fitLine, jointsOf, linePointsOn, meetingOf, plus, readingOf, ringOn, sheetNames, turnOf, type Assembly, type FittedLine, type Joint } from './assembly.ts';
import { boxOf, findLine, fine, finePixel, mmPerInch, openPdf, pageOf, planOf, plansOf, printJig, rulersOf, strokesAlong, vectorsOf, type Picture, type Printed, type VectorRuler } from './measure.ts';
import { pdfiumRenderer, renderers, type Renderer } from './renderers.ts';

const inch = mmPerInch;

/** What distances over the assembled panel may be off, mm: a tenth of the half millimetre at which a sheet is scrap. */
const panelWithin = 0.05;
/** What one sheet's own lengths may be off, mm: half a pixel; renderers draw curves as short chords. */
const sheetWithin = 0.02;

interface HoleCase {
  readonly name: string;
  readonly diameter: number;
  readonly x: number;
  readonly y: number;
}

interface Case {
  readonly name: string;
  readonly spec: string;
  /** Which panel of a build. */
  readonly part?: string;
  /** Width and height of the paper, the shorter side first, mm. */
  readonly paper: readonly [number, number];
  readonly margin: number;
  readonly isMirrored: boolean;
  /** Corners counter-clockwise as seen from outside, from the lower left corner of the panel, mm. */
  readonly corners: readonly Point[];
  /** Other straight lines that are there to lay the paper to. */
  readonly rimLines: readonly (readonly [Point, Point])[];
  readonly holes: readonly HoleCase[];
}

const examples = new URL('../../templates-spec/', import.meta.url);
const example = (name: string) => readFileSync(new URL(name, examples), 'utf8');

/** Paper sizes: A4 210 x 297 mm (ISO 216); Letter 8.5 x 11 in (ANSI/ASME Y14.1, size A). */
const [a4, letter] = [[210, 297], [8.5 * inch, 11 * inch]] as const;

const cases: readonly Case[] = [
  {
    name: 'quarantine-end-panel.yaml: A4, from outside, measured from the rim',
    spec: example('quarantine-end-panel.yaml'),
    paper: a4,
    margin: 10,
    isMirrored: false,
    corners: [{ x: 0, y: 0 }, { x: 450, y: 0 }, { x: 450, y: 400 }, { x: 0, y: 400 }],
    // The rim covers 20 mm at the top and the bottom, nothing at the sides.
    rimLines: [[{ x: 0, y: 380 }, { x: 450, y: 380 }], [{ x: 0, y: 20 }, { x: 450, y: 20 }]],
    // 36 mm: the whole millimetre under the middle of 35 to 38.
    holes: [
      { name: 'drain', diameter: 45, x: 100, y: 380 - 75 },
      { name: 'spare drain', diameter: 45, x: 210, y: 380 - 75 },
      { name: 'return', diameter: 36, x: 450 - 3.5 * inch, y: 380 - 70 },
    ],
  },
  {
    name: 'pump-cabinet-sump.yaml: Letter, from inside, measured from the inner faces, inches',
    spec: example('pump-cabinet-sump.yaml'),
    paper: letter,
    margin: 0.375 * inch,
    isMirrored: true,
    corners: [{ x: 0, y: 0 }, { x: 24 * inch, y: 0 }, { x: 24 * inch, y: 16 * inch }, { x: 0, y: 16 * inch }],
    rimLines: [],
    // Inner faces at 3/8 in on the left, the right and the bottom. 2 1/8 in: the only eighth of an inch between 53 and 57 mm.
    holes: [
      { name: 'pump inlet', diameter: 2.125 * inch, x: (24 - 0.375 - 4.5) * inch, y: (0.375 + 5) * inch },
      { name: 'refill', diameter: 1.375 * inch, x: (0.375 + 3) * inch, y: (16 - 3.25) * inch },
      { name: 'probe', diameter: 0.625 * inch, x: (12 + 2) * inch, y: ((0.375 + 16) / 2 + 4) * inch },
    ],
  },
  // The overflow box of 240 by 200 mm stands in the middle of a back panel of 800 by 440 mm, 35 mm under its top: its holes,
  // 72 mm from its sides and its bottom, are drilled in both.
  {
    name: 'nursery-twins.yaml: A4, the back panel behind an overflow box',
    spec: example('nursery-twins.yaml'),
    part: 'nursery, back',
    paper: a4,
    margin: 10,
    isMirrored: false,
    corners: [{ x: 0, y: 0 }, { x: 800, y: 0 }, { x: 800, y: 440 }, { x: 0, y: 440 }],
    rimLines: [],
    holes: [
      { name: 'return', diameter: 36, x: 110, y: 440 - 80 },
      { name: 'drain', diameter: 45, x: 280 + 72, y: 440 - 35 - 200 + 72 },
      { name: 'spare drain', diameter: 45, x: 280 + 240 - 72, y: 440 - 35 - 200 + 72 },
    ],
  },
  {
    name: "nursery-twins.yaml: A4, the box's back wall",
    spec: example('nursery-twins.yaml'),
    part: 'weir box, back wall',
    paper: a4,
    margin: 10,
    isMirrored: false,
    corners: [{ x: 0, y: 0 }, { x: 240, y: 0 }, { x: 240, y: 200 }, { x: 0, y: 200 }],
    rimLines: [],
    holes: [
      { name: 'drain', diameter: 45, x: 72, y: 72 },
      { name: 'spare drain', diameter: 45, x: 240 - 72, y: 72 },
    ],
  },
  // A box of 300 by 220 mm in the middle of a back panel of 900 by 440 mm, 25 mm under its top. The spare drain's bulkhead is chosen
  // by its water: 1-1/4 in, for a hole of 53 to 57 mm.
  {
    name: 'fern-terrace.yaml: A4, the upper back panel, one bulkhead sized by its water',
    spec: example('fern-terrace.yaml'),
    part: 'upper, back',
    paper: a4,
    margin: 10,
    isMirrored: false,
    corners: [{ x: 0, y: 0 }, { x: 900, y: 0 }, { x: 900, y: 440 }, { x: 0, y: 440 }],
    rimLines: [],
    holes: [
      { name: 'return', diameter: 36, x: 110, y: 440 - 60 },
      { name: 'drain', diameter: 45, x: 300 + 80, y: 440 - 25 - 220 + 75 },
      { name: 'spare drain', diameter: 55, x: 300 + 300 - 95, y: 440 - 25 - 220 + 95 },
    ],
  },
  {
    name: 'hatchery-manifold.yaml: A4, rows, twins, and a place found between the outlets and the top edge',
    spec: example('hatchery-manifold.yaml'),
    paper: a4,
    margin: 10,
    isMirrored: false,
    corners: [{ x: 0, y: 0 }, { x: 640, y: 0 }, { x: 640, y: 360 }, { x: 0, y: 360 }],
    rimLines: [],
    holes: [
      ...[0, 1, 2, 3, 4, 5].map((index) => ({ name: `outlet ${index + 1}`, diameter: 20, x: 60 + index * 104, y: 60 })),
      ...[1, 2].flatMap((row) => [1, 2].flatMap((column) => (['left', 'right'] as const).map((side) => ({ name: `tie ${row}-${column} ${side}`, diameter: 8, x: side === 'left' ? 80 * column - 40 : 680 - 80 * column, y: 360 - 35 * row })))),
      ...[0, 1, 2].map((index) => ({ name: `air ${index + 1}`, diameter: 8, x: 60 + 40 * index, y: 130 + 20 * index })),
      // As far over its need from the top edge (18 + 36) as from the two outlets at 52 to either side (18 + 10 + 36): 370 - y is the distance to them.
      { name: 'feed', diameter: 36, x: 320, y: (370 ** 2 - 52 ** 2 - 60 ** 2) / (2 * (370 - 60)) },
    ],
  },
  {
    name: 'jelly-cube.yaml: Letter, the bottom, from inside, inches',
    spec: example('jelly-cube.yaml'),
    part: 'cube, bottom',
    paper: letter,
    margin: 0.375 * inch,
    isMirrored: true,
    // 16 in less two walls of 3/8 in, both ways.
    corners: [{ x: 0, y: 0 }, { x: 15.25 * inch, y: 0 }, { x: 15.25 * inch, y: 15.25 * inch }, { x: 0, y: 15.25 * inch }],
    rimLines: [],
    holes: [{ name: 'drain', diameter: 1.75 * inch, x: 7.625 * inch, y: (7.625 - 2) * inch }],
  },
  {
    name: 'a cut-off corner on many sheets of Letter, from inside, with the least overlap',
    spec: `
title: Pump cabinet, cut-off wall
units: in
panel: {material: acrylic, outline: [[0, 0], [24, 0], [24, 14], [18, 20], [0, 20]], thickness: 1/2, drilled-from: inside}
holes:
  - {name: drain, diameter: 3, from-left: 6, from-top: 5}
  - {name: return, diameter: 1 1/2, from-right: 4, from-bottom: 4}
  - {name: middle, diameter: 4, from-left: 12, from-bottom: 10}
  - {name: probe, diameter: 5/8, from-left: 3, from-bottom: 3}
sheets: {paper: Letter, overlap: 8 mm, margin: 7 mm}`,
    paper: letter,
    margin: 7,
    isMirrored: true,
    corners: [{ x: 0, y: 0 }, { x: 24 * inch, y: 0 }, { x: 24 * inch, y: 14 * inch }, { x: 18 * inch, y: 20 * inch }, { x: 0, y: 20 * inch }],
    rimLines: [],
    holes: [
      { name: 'drain', diameter: 3 * inch, x: 6 * inch, y: 15 * inch },
      { name: 'return', diameter: 1.5 * inch, x: 20 * inch, y: 4 * inch },
      { name: 'middle', diameter: 4 * inch, x: 12 * inch, y: 10 * inch },
      { name: 'probe', diameter: 0.625 * inch, x: 3 * inch, y: 3 * inch },
    ],
  },
];

test('every example that yields a jig is measured here', () => {
  const specs = readdirSync(examples).filter((file) => file !== 'drawer.yaml');
  const sound = specs.filter((file) => plansOf(example(file)).every((plan) => checkPlan(plan).verdict !== 'refused'));
  expect(sound.filter((file) => !cases.some(({ name }) => name.startsWith(`${file}:`)))).toEqual([]);
});

test('one of these jigs has at least six sheets', async () => {
  expect(sheetNames(await printJig((cases.find(({ name }) => name.startsWith('a cut-off corner')) as Case).spec)).length).toBeGreaterThanOrEqual(6);
});

/** For what is done before tests, ms: as long as a test may take. */
const patience = 120_000;

/** The renderer that reads the spoiled jigs; their errors are not told. */
const doubtful: Renderer = { ...pdfiumRenderer };

/** Largest error met, mm, by renderer and kind; told at the end. */
const largest = new Map<string, number>();

function expectLength(renderer: Renderer, kind: string, measured: number, wanted: number, within: number): void {
  const error = Math.abs(measured - wanted);
  const key = `${renderer.name}, ${kind}`;
  if (renderer !== doubtful) largest.set(key, Math.max(largest.get(key) ?? 0, error));
  expect(error, `${key}: ${measured} mm measured, ${wanted} mm wanted`).toBeLessThanOrEqual(within);
}

afterAll(async () => {
  await closeReadings();
  console.info(`largest errors, mm:\n${[...largest].map(([key, error]) => `${key}: ${error.toFixed(4)}`).join('\n')}`);
});

describe.each(cases)('$name', (job) => {
  let printed: Printed;
  beforeAll(async () => {
    printed = await printJig(job.spec, { part: job.part });
  }, patience);

  describe.each(renderers)('$name', (renderer) => {
    let joints: Joint[];
    let assembly: Assembly;
    beforeAll(async () => {
      joints = await jointsOf(printed, renderer);
      assembly = assemble(printed, joints)[0] as Assembly;
    }, patience);

    test('pages have the size of the paper', () => checkPageSizes(printed, renderer, job));

    test('alignment marks are found, and all of a seam meet at once', () => checkSeams(printed, renderer, joints));

    test('circles have the diameters of the spec, wherever they are shown', () => checkDiameters(printed, renderer, job));

    test('the sheets taped together are the panel', () => checkPanel(printed, renderer, job, joints, assembly));

    test('tie lines are as long over the taped sheets as is printed beside them', () => checkTies(printed, renderer, assembly));

    test('rulers are true over their full length', () => checkRulers(printed, renderer));

    test('nothing is printed in the margin', () => checkMargin(printed, renderer, job.margin));

    test('the print dialog is asked for true size, one-sided, paper by page size', () => checkPreferences(printed, renderer));

    test('the words can be read', () => checkWords(printed, renderer));

    test('nothing is wrong with the file', () => checkSoundness(printed, renderer));
  });

  test('all renderers put the same ink at the same places', () => checkSameInk(printed));
});

describe('a spoiled jig is found out:', () => {
  const job = cases[0] as Case;
  const changed = (change: (mark: Mark) => Mark[], where: (page: Page) => boolean = () => true) => (jig: Jig): Jig => ({
    ...jig,
    sheets: jig.sheets.map((page) => (where(page) ? { ...page, groups: page.groups.map((group) => ({ ...group, marks: group.marks.flatMap(change) })) } : page)),
  });
  const moved = (by: Point) => (mark: Mark): Mark => {
    switch (mark.kind) {
      case 'line': return { ...mark, a: plus(mark.a, by), b: plus(mark.b, by) };
      case 'circle': return { ...mark, center: plus(mark.center, by) };
      case 'path': return { ...mark, points: mark.points.map((p) => plus(p, by)) };
      case 'area': return { ...mark, loops: placedLoops(mark.loops, (p) => plus(p, by), 1, false) };
      case 'text': return { ...mark, at: plus(mark.at, by) };
    }
  };
  const isSecond = ({ name }: Page) => name === secondSheet;
  let secondSheet: string;

  beforeAll(async () => {
    secondSheet = sheetNames(await printJig(job.spec))[1] as string;
  }, patience);

  const spoiled = (alter: (jig: Jig) => Jig) => printJig(job.spec, {}, alter);
  const panelOf = async (printed: Printed) => {
    const joints = await jointsOf(printed, doubtful);
    return checkPanel(printed, doubtful, job, joints, assemble(printed, joints)[0] as Assembly);
  };

  test('0.05 % too wide', async () => {
    const printed = await spoiled((jig) => ({ ...jig, sheets: jig.sheets.map((page) => ({ ...page, scale: { x: 1.0005, y: 1 } })) }));
    await expect(checkRulers(printed, doubtful)).rejects.toThrow(/ruler/);
    await expect(panelOf(printed)).rejects.toThrow(/corner|edge/);
  });

  test('the alignment marks of one sheet 0.1 mm too high', async () => {
    const printed = await spoiled(changed((mark) => [mark.layer === 'align' ? moved({ x: 0, y: 0.1 })(mark) : mark], isSecond));
    await expect(panelOf(printed)).rejects.toThrow(/mm measured/);
  });

  test('one alignment mark left out on one sheet', async () => {
    let count = 0;
    const printed = await spoiled(changed((mark) => (mark.layer === 'align' && (count += 1) <= 3 ? [] : [mark]), isSecond));
    const joints = await jointsOf(printed, doubtful);
    expect(() => checkSeams(printed, doubtful, joints)).toThrow(/marks on/);
  });

  test('holes 0.1 mm too far right', async () => {
    const printed = await spoiled(changed((mark) => [mark.layer === 'hole' ? moved({ x: 0.1, y: 0 })(mark) : mark]));
    await expect(panelOf(printed)).rejects.toThrow(/hole to/);
  });

  test('circles 0.05 mm too large', async () => {
    const printed = await spoiled(changed((mark) => [mark.kind === 'circle' ? { ...mark, radius: mark.radius + 0.025 } : mark]));
    await expect(checkDiameters(printed, doubtful, job)).rejects.toThrow(/diameter/);
  });

  test('mirrored', async () => {
    const printed = await printJig(job.spec.replace('drilled-from: outside', 'drilled-from: inside'));
    await expect(panelOf(printed)).rejects.toThrow(/the way round/);
  });

  test('a hairline in the margin', async () => {
    const hairline: Mark = { kind: 'line', layer: 'sheet', a: { x: 9.9, y: 100 }, b: { x: 9.9, y: 101 }, pen: { width: 0.1, gray: 0.75 } };
    const printed = await spoiled((jig) => ({ ...jig, sheets: jig.sheets.map((page) => ({ ...page, groups: [...page.groups, { marks: [hairline], shift: { x: 0, y: 0 } }] })) }));
    await expect(checkMargin(printed, doubtful, job.margin)).rejects.toThrow(/not white/);
  });
});

describe.each(renderers)('other pages, by $name', (renderer) => {
  const job = cases[0] as Case;

  test('patches show every circle once and true, with true rulers, and nothing in the margin', async () => {
    const printed = await printJig(job.spec, { isPatches: true });
    expect(printed.jig.patches).not.toBeNull();
    const kind = { ...renderer, name: `${renderer.name}, patches` };
    let rings = 0;
    for (const { cell, holes } of printed.jig.patches ?? []) {
      for (const { name } of holes) {
        const hole = job.holes.find((one) => one.name === name) as HoleCase;
        const ring = await ringOn(printed, kind, cell.name, hole, hole.diameter);
        expectLength(kind, 'diameter', ring?.diameter ?? NaN, hole.diameter, sheetWithin);
        rings += 1;
      }
    }
    expect(rings).toBe(job.holes.length);
    await checkRulers(printed, kind);
    await checkMargin(printed, kind, job.margin);
    await checkPreferences(printed, kind);
  });

  test('the ruler page has scales of the lengths that it names', async () => {
    const { paper, margin } = planOf(job.spec).sheets;
    const setter = await loadWide([]);
    const page = rulerPage(paper, margin, setter);
    if ('problem' in page) throw new Error(page.problem);
    const bytes = await writePdf([page], rulerDocument(paper, margin), setter);
    const printed = { bytes, pdf: await openPdf(bytes), jig: { front: [], sheets: [page] } } as unknown as Printed;
    const kind = { ...renderer, name: `${renderer.name}, ruler page` };
    const words = (await (await readingOf(printed, kind)).words(1)).replace(/\s+/g, ' ');
    const hint = await rulerHint(printed, page.name);
    for (const [way, ruler, place] of [['across', hint.across, (along: number, out: number) => ({ x: along, y: out })], ['down', hint.up, (along: number, out: number) => ({ x: out, y: along })]] as const) {
      const [, length] = new RegExp(`${way}: (\\d+) mm`).exec(words) ?? [];
      await checkRuler(printed, kind, page.name, ruler, Number(length), place);
    }
    await checkMargin(printed, kind, margin);
    await checkPreferences(printed, kind);
  });
});

describe('a printer that is off by 0.7 % across and 1.1 % down', () => {
  /** Office printers are off by up to 2 or 3 % (comp.laser-printers, 1988), other across than down. */
  const printers = [{ across: 1.007, down: 0.989 }, { across: 0.993, down: 1.011 }];
  /** What is left after calibration by a rule that is read to 0.1 mm, over a panel twice as large as the ruler page, mm. */
  const afterCalibration = 0.1;

  /** What comes out of the printer: the file's pages stretched. */
  const stretched = (page: Page, { across, down }: { across: number; down: number }): Page => {
    const { x = 1, y = 1 } = page.scale ?? {};
    const [ex, ey] = page.width * x < page.height * y ? [across, down] : [down, across];
    return { ...page, scale: { x: x * ex, y: y * ey } };
  };

  test.each(printers)('measured on its ruler page ($across, $down), prints a jig that is true', async (printer) => {
    const job = cases[0] as Case;
    const { paper, margin } = planOf(job.spec).sheets;
    const setter = await loadWide([]);
    const page = rulerPage(paper, margin, setter);
    if ('problem' in page) throw new Error(page.problem);
    const bytes = await writePdf([stretched(page, printer)], rulerDocument(paper, margin), setter);
    const rulers = rulersOf(await vectorsOf({ pdf: await openPdf(bytes) } as Printed, 1));
    const read = ({ millimetres }: VectorRuler) => Math.round(((millimetres[millimetres.length - 1] ?? NaN) - (millimetres[0] ?? NaN)) * 10) / 10;
    const profile = makeProfile({ name: 'office', paper, across: read(rulers.across), down: read(rulers.up) }, (other) => rulerPageLengths(other, margin));
    if ('found' in profile) throw new Error(profile.found);

    const raw = await printJig(job.spec, {}, (jig) => ({ ...jig, sheets: jig.sheets.map((sheet) => stretched(sheet, printer)) }));
    await expect(checkRulers(raw, doubtful)).rejects.toThrow();
    const printed = await printJig(job.spec, { sheets: { printer: profile } }, (jig) => ({ ...jig, sheets: jig.sheets.map((sheet) => stretched(sheet, printer)) }));
    for (const renderer of renderers) {
      const joints = await jointsOf(printed, renderer);
      const assembly = assemble(printed, joints)[0] as Assembly;
      const told: Renderer = { ...renderer, name: `${renderer.name}, after calibration` };
      await checkPanel(printed, told, job, joints, assembly, afterCalibration);
      await checkTies(printed, told, assembly, afterCalibration);
      const words = (await (await readingOf(printed, renderer)).words(pageOf(printed, sheetNames(printed)[0] as string))).replace(/\s+/g, ' ');
      expect(words).toContain('printer profile "office"');
    }
  });
});

test('letters of many scripts look the same to all renderers, and none finds fault with the typefaces', async () => {
  const printed = await printJig(`
title: "Quarantäne № 3, Ёлка Ωμέγα, 検疫水槽, שלום, حوض, คัน, देवनागरी, 🐠"
units: mm
panel: {material: acrylic, width: 150, height: 150, thickness: 6}
holes: [{name: "検疫 Ёлка", diameter: 35, from-left: 75, from-top: 75}]`);
  expect([...printed.jig.unprintable]).toEqual([]);
  await checkSameInk(printed);
  for (const renderer of renderers) await checkSoundness(printed, renderer);
});

async function checkPageSizes(printed: Printed, renderer: Renderer, { paper }: Case): Promise<void> {
  const reading = await readingOf(printed, renderer);
  expect(reading.pageCount).toBe(printed.jig.front.length + printed.jig.sheets.length);
  for (let page = 1; page <= reading.pageCount; page += 1) {
    const { width, height } = await reading.pageSize(page);
    expectLength(renderer, 'page size', Math.min(width, height), paper[0], 0.001);
    expectLength(renderer, 'page size', Math.max(width, height), paper[1], 0.001);
  }
}

/** Both sheets of a seam show the same marks, at the same distances from each other: no turn is needed to lay one on the other. */
function checkSeams(printed: Printed, renderer: Renderer, joints: readonly Joint[]): void {
  if (sheetNames(printed).length > 1) expect(joints.length).toBeGreaterThan(0);
  for (const { under, over, pairs, lonely, shift } of joints) {
    expect(pairs.length, `marks on the seam of ${under} and ${over}`).toBeGreaterThanOrEqual(1);
    expect(lonely, `marks on only one of ${under} and ${over}`).toEqual([]);
    for (const [mine, theirs] of pairs) expectLength(renderer, 'marks of a seam', apart(mine.center, plus(theirs.center, shift)), 0, sheetWithin);
  }
}

async function checkDiameters(printed: Printed, renderer: Renderer, { holes }: Case): Promise<void> {
  for (const hole of holes) {
    let rings = 0;
    for (const sheet of sheetNames(printed)) {
      const ring = await ringOn(printed, renderer, sheet, hole, hole.diameter);
      if (!ring) continue;
      // An arc tells less of its diameter than a whole circle.
      expectLength(renderer, 'diameter', ring.diameter, hole.diameter, ring.seen > 0.6 ? sheetWithin : finePixel);
      expectLength(renderer, 'out of round', ring.unround, 0, sheetWithin);
      rings += 1;
    }
    expect(rings, `sheets that show ${hole.name}`).toBeGreaterThanOrEqual(1);
  }
}

/** A line of the panel put together from what all sheets show of it. */
async function lineAcross(printed: Printed, renderer: Renderer, assembly: Assembly, a: Point, b: Point): Promise<FittedLine> {
  const points: Point[] = [];
  for (const [sheet, place] of assembly) points.push(...(await linePointsOn(printed, renderer, sheet, a, b)).map((p) => plus(p, place)));
  expect(points.length, `points of the line from ${a.x}, ${a.y} to ${b.x}, ${b.y}`).toBeGreaterThanOrEqual(2);
  return fitLine(points);
}

/** Distance of a point from the line through a and b, by the spec. */
function plannedDistance(p: Point, a: Point, b: Point): number {
  return Math.abs(turnOf(a, b, p)) / apart(a, b);
}

/** All sheets, put together by the marks alone, show edges, rim lines and holes where the spec has them. */
async function checkPanel(printed: Printed, renderer: Renderer, { corners, rimLines, holes, isMirrored }: Case, joints: readonly Joint[], assembly: Assembly, within = panelWithin): Promise<void> {
  expect([...assembly.keys()].sort(), 'sheets in one piece').toEqual(sheetNames(printed).sort());
  // However one goes round, the last seam closes: every sheet fits all its neighbours.
  for (const { under, over, shift } of joints) expectLength(renderer, 'seams round a corner', apart(plus(assembly.get(under) as Point, shift), assembly.get(over) as Point), 0, within);

  const edges: FittedLine[] = [];
  for (const [index, corner] of corners.entries()) edges.push(await lineAcross(printed, renderer, assembly, corner, corners[(index + 1) % corners.length] as Point));
  const rims: FittedLine[] = [];
  for (const [a, b] of rimLines) rims.push(await lineAcross(printed, renderer, assembly, a, b));
  for (const { uneven } of [...edges, ...rims]) expectLength(renderer, 'straightness of edges over all sheets', uneven, 0, within);

  // Corners of the assembled panel: width, height, slants and diagonals.
  const found = edges.map((edge, index) => meetingOf(edges[(index + corners.length - 1) % corners.length] as FittedLine, edge));
  corners.forEach((p, i) => corners.forEach((q, j) => {
    if (i < j) expectLength(renderer, 'corner to corner', apart(found[i] as Point, found[j] as Point), apart(p, q), within);
  }));
  // Seen from outside as in the spec, or mirrored.
  expect(Math.sign(turnOf(...(found.slice(0, 3) as [Point, Point, Point]))), 'the way round').toBe(isMirrored ? -1 : 1);

  const centers: { hole: HoleCase; at: Point }[] = [];
  for (const hole of holes) {
    for (const [sheet, place] of assembly) {
      const ring = await ringOn(printed, renderer, sheet, hole, hole.diameter);
      if (ring) centers.push({ hole, at: plus(ring.center, place) });
    }
  }
  expect(new Set(centers.map(({ hole }) => hole.name)).size).toBe(holes.length);
  for (const [index, { hole, at }] of centers.entries()) {
    for (const other of centers.slice(index + 1)) expectLength(renderer, 'hole to hole', apart(at, other.at), apart(hole, other.hole), within);
    edges.forEach((edge, side) => expectLength(renderer, 'hole to edge', distanceToLine(at, edge), plannedDistance(hole, corners[side] as Point, corners[(side + 1) % corners.length] as Point), within));
    rims.forEach((rim, side) => expectLength(renderer, 'hole to rim line', distanceToLine(at, rim), plannedDistance(hole, ...(rimLines[side] as [Point, Point])), within));
    found.forEach((corner, place) => expectLength(renderer, 'hole to corner', apart(at, corner), apart(hole, corners[place] as Point), within));
  }
}

/** Where a tie line's cross stands on a sheet's page, as found in pixels on both arms. */
async function crossOn(printed: Printed, renderer: Renderer, sheet: string, near: Point): Promise<Point> {
  const picture = await finePicture(printed, renderer, sheet, { left: near.x - 7, right: near.x + 7, bottom: near.y - 7, top: near.y + 7 });
  const arms = [-1, 1].map((side) => ({
    level: findLine(picture, { x: near.x + 1.5 * side, y: near.y }, { x: near.x + 4 * side, y: near.y }),
    upright: findLine(picture, { x: near.x, y: near.y + 1.5 * side }, { x: near.x, y: near.y + 4 * side }),
  }));
  const up = arms.map(({ level }, index) => (level?.offset ?? NaN) * (index === 0 ? -1 : 1));
  const left = arms.map(({ upright }, index) => (upright?.offset ?? NaN) * (index === 0 ? -1 : 1));
  const mean = ([a = NaN, b = NaN]: number[]) => (a + b) / 2;
  return { x: near.x - mean(left), y: near.y + mean(up) };
}

/** The layout tells only where to look for the crosses; the lengths are those printed beside them. */
async function checkTies(printed: Printed, renderer: Renderer, assembly: Assembly, within = panelWithin): Promise<void> {
  const { plan, jig } = printed;
  const reading = await readingOf(printed, renderer);
  const ties = tieLines(plan, jig.layout);
  expect(ties.map(({ number }) => number)).toEqual([1, 2]);
  for (const { number, ends } of ties) {
    const crosses: Point[] = [];
    for (const { at, sheet } of ends) {
      const cell = jig.layout.cells.find(({ name }) => name === sheet) as Cell;
      const shift = windowShift(cell, jig.layout.format);
      crosses.push(plus(await crossOn(printed, renderer, sheet, plus(at, shift)), assembly.get(sheet) as Point));
      const words = (await reading.words(pageOf(printed, sheet))).replace(/\s+/g, ' ');
      const [, length] = new RegExp(`tie line ${number}: [^:]*?([\\d.]+) ?mm`).exec(words) ?? [];
      if (crosses.length === 2) expectLength(renderer, 'tie line', apart(crosses[0] as Point, crosses[1] as Point), Number(length), within);
    }
  }
}

/** Where the rulers of a page stand; the vectors serve only to know where to look. */
const rulerHints = new WeakMap<Printed, Map<string, Promise<{ across: VectorRuler; up: VectorRuler }>>>();

function rulerHint(printed: Printed, sheet: string): Promise<{ across: VectorRuler; up: VectorRuler }> {
  const known = rulerHints.get(printed) ?? new Map<string, Promise<{ across: VectorRuler; up: VectorRuler }>>();
  const hint = known.get(sheet) ?? vectorsOf(printed, pageOf(printed, sheet)).then(rulersOf);
  rulerHints.set(printed, known.set(sheet, hint));
  return hint;
}

/** Every tick of every ruler, millimetres and sixteenths of an inch, from the first one on, as long as the sheet's words say. */
async function checkRulers(printed: Printed, renderer: Renderer): Promise<void> {
  const reading = await readingOf(printed, renderer);
  for (const sheet of sheetNames(printed)) {
    const words = (await reading.words(pageOf(printed, sheet))).replace(/\s+/g, ' ');
    const [, across, down] = /across (\d+) ?mm, down (\d+) ?mm/.exec(words) ?? [];
    const hint = await rulerHint(printed, sheet);
    await checkRuler(printed, renderer, sheet, hint.across, Number(across), (along, out) => ({ x: along, y: out }));
    await checkRuler(printed, renderer, sheet, hint.up, Number(down), (along, out) => ({ x: out, y: along }));
  }
}

/** @param place turns (mm along, mm out) into a point of the page */
async function checkRuler(printed: Printed, renderer: Renderer, sheet: string, { millimetres, baseline, side }: VectorRuler, length: number, place: (along: number, out: number) => Point): Promise<void> {
  expect(length, `length of a ruler of ${sheet}`).toBeGreaterThanOrEqual(100);
  const start = millimetres[0] ?? NaN;
  for (const scale of [{ out: 0.9 * side, step: 1 }, { out: -0.9 * side, step: inch / 16 }]) {
    const [a, b] = [place(start - 0.4, baseline + scale.out), place(start + length + 0.4, baseline + scale.out)];
    const box = boxOf([a, b]);
    const picture = await finePicture(printed, renderer, sheet, { left: box.left - 0.4, right: box.right + 0.4, bottom: box.bottom - 0.4, top: box.top + 0.4 });
    const ticks = strokesAlong(picture, a, b).map(({ middle }) => middle);
    expect(ticks).toHaveLength(Math.floor(length / scale.step + 1e-9) + 1);
    ticks.forEach((tick, index) => expectLength(renderer, 'ruler', tick - (ticks[0] ?? NaN), index * scale.step, sheetWithin));
  }
}

/** How far inside a box a pixel must lie to count, mm: renderers round to a 256th of a pixel, so one at the border may catch a trace. */
const slack = 0.001;

/** Pixels that lie wholly inside a box must be white. */
function expectWhite({ width, height, gray, corner, pixel }: Picture, box: Rect, what: string): void {
  let dark = 0;
  for (let row = 0; row < height; row += 1) {
    const top = corner.y - row * pixel;
    if (top > box.top - slack || top - pixel < box.bottom + slack) continue;
    for (let column = 0; column < width; column += 1) {
      const left = corner.x + column * pixel;
      if (left >= box.left + slack && left + pixel <= box.right - slack && gray[row * width + column] !== 255) dark += 1;
    }
  }
  expect(dark, `pixels that are not white, ${what}`).toBe(0);
}

async function checkMargin(printed: Printed, renderer: Renderer, margin: number): Promise<void> {
  const reading = await readingOf(printed, renderer);
  for (let page = 1; page <= reading.pageCount; page += 1) {
    const { width, height } = await reading.pageSize(page);
    const strips: Rect[] = [
      { left: 0, right: margin, bottom: 0, top: height },
      { left: width - margin, right: width, bottom: 0, top: height },
      { left: 0, right: width, bottom: 0, top: margin },
      { left: 0, right: width, bottom: height - margin, top: height },
    ];
    for (const strip of strips) expectWhite(await reading.picture(page, fine, strip), strip, `page ${page}`);
  }
}

async function checkPreferences(printed: Printed, renderer: Renderer): Promise<void> {
  const { isUnscaled, isOneSided, isTrayByPageSize } = await (await readingOf(printed, renderer)).preferences();
  expect({ isUnscaled, isOneSided }).toEqual({ isUnscaled: true, isOneSided: true });
  expect(isTrayByPageSize ?? true).toBe(true);
}

async function checkWords(printed: Printed, renderer: Renderer): Promise<void> {
  const reading = await readingOf(printed, renderer);
  const names = sheetNames(printed);
  for (const [index, sheet] of names.entries()) {
    const words = (await reading.words(pageOf(printed, sheet))).replace(/\s+/g, ' ');
    for (const wanted of [sheet, `sheet ${index + 1} of ${names.length}`, printed.plan.title, printed.report.fingerprint, '100 %', `${printed.plan.face.toUpperCase()} face`]) expect(words, sheet).toContain(wanted);
  }
}

async function checkSoundness(printed: Printed, renderer: Renderer): Promise<void> {
  const reading = await readingOf(printed, renderer);
  for (let page = 1; page <= reading.pageCount; page += 1) {
    await reading.words(page);
    await reading.picture(page, 72);
  }
  expect(reading.complaints()).toEqual([]);
}

/** Mean darkness of the squares of a page, from the upper left, `side` pixels wide. */
function inkOf({ width, height, gray }: Picture, side: number): number[] {
  const columns = Math.ceil(width / side);
  const ink = new Array<number>(columns * Math.ceil(height / side)).fill(0);
  for (let row = 0; row < height; row += 1) {
    for (let column = 0; column < width; column += side) {
      const at = row * width + column;
      let dark = 0;
      for (let pixel = at; pixel < at + Math.min(side, width - column); pixel += 1) dark += 255 - (gray[pixel] as number);
      const square = Math.floor(row / side) * columns + column / side;
      ink[square] = (ink[square] as number) + dark / 255 / side ** 2;
    }
  }
  return ink;
}

/**
 * No renderer leaves out, moves or adds a letter, a line or an area. At 300 dpi, since thinner lines would be drawn a pixel
 * wide; letters are set to whole pixels by some, and dashes begin a tenth of a millimetre apart, which makes up to 0.06.
 */
async function checkSameInk(printed: Printed): Promise<void> {
  const side = 24;
  for (let page = 1; page <= printed.pdf.numPages; page += 1) {
    const inks: number[][] = [];
    for (const renderer of renderers) inks.push(inkOf(await (await readingOf(printed, renderer)).picture(page, 300), side));
    const [first = []] = inks;
    expect(Math.max(...first), `ink on page ${page}`).toBeGreaterThan(0.1);
    for (const [index, ink] of inks.entries()) {
      if (index === 0) continue;
      expect(ink).toHaveLength(first.length);
      const off = Math.max(...ink.map((value, square) => Math.abs(value - (first[square] ?? NaN))));
      const key = `${renderers[index]?.name}, ink on 2 mm against ${renderers[0]?.name} (share)`;
      largest.set(key, Math.max(largest.get(key) ?? 0, off));
      expect(off, `${key}, page ${page}`).toBeLessThan(0.08);
    }
  }
}
