/** Tie lines, the orientation mark and the words on faces, over random panels, against plain geometry written here and in random-panels.ts. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan, Point } from '../../src/plan/plan.ts';
import { drawJig, lineNames } from '../../src/render/draw.ts';
import { faceWords, orientationOf, tieLines, tieMarks, tieRows, type TieLine } from '../../src/render/guides.ts';
import { chooseLayout, contentOf, type Layout } from '../../src/render/layout.ts';
import type { Mark, Text } from '../../src/render/mark.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { areJoined, planOf } from '../printed/measure.ts';
import { anyPanel, boxCorners, cornersOf, depthOf, distanceToSegment, distanceToShape, insetRing, isInside, onPaper, sidesOf, type Made } from './random-panels.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Frag shelf']);
});

interface Job {
  readonly made: Made;
  readonly plan: Plan;
  readonly layout: Layout;
  readonly ties: readonly TieLine[];
  readonly marks: readonly Mark[];
  /** What shows of the panel, as it lies on the paper. */
  readonly visible: readonly Point[];
  /** Circle with its ticks, flange: as they lie on the paper. */
  readonly circles: readonly { readonly center: Point; readonly radius: number }[];
}

/** Ticks end 7.5 mm outside the drilling circle. */
const tickEnd = 7.5;

function jobOf(made: Made): Job | undefined {
  const plan = planOf(made.spec);
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) return undefined;
  const edges = made.outline.map((a, index) => ({ a, b: made.outline[(index + 1) % made.outline.length] as Point }));
  // Inside a tank that is measured from its inner faces, neighbouring panels stand on the edges: the paper ends at them.
  const isInside = (made.face === 'inside') !== made.isOnFarFace && made.measuredFrom === 'inside';
  const insets = edges.map(({ a, b }) => Math.max(...sidesOf(a, b).map((side) => Math.max(made.rim[side], isInside ? made.neighbours[side] : 0))));
  const ties = tieLines(plan, layout, lineNames(plan, layout, setter));
  return {
    made, plan, layout, ties,
    marks: drawJig(plan, layout, setter, { withoutCircle: new Set(), besides: tieMarks(ties, plan, setter) }),
    visible: insetRing(made.outline, (index) => insets[index] as number).map((p) => onPaper(made, p)),
    circles: made.holes.map(({ center, diameter, flange }) => ({ center: onPaper(made, center), radius: Math.max(diameter / 2 + tickEnd, flange / 2) })),
  };
}

const rounds = 60;

function forAllJigs(panels: fc.Arbitrary<Made>, property: (job: Job) => void): void {
  fc.assert(
    fc.property(panels, (made) => {
      const job = jobOf(made);
      fc.pre(job !== undefined && job.layout.cells.length > 1);
      property(job as Job);
    }),
    { numRuns: rounds },
  );
}

const strokes = (ring: readonly Point[]) => ring.map((a, index) => [a, ring[(index + 1) % ring.length] as Point] as const);
const doCross = (shape: readonly Point[], ring: readonly Point[]) => strokes(ring).some(([a, b]) => depthOf(shape, [a, b]) > 0);

/** A tie line's end as it is drawn: the marks about it. */
function marksOf({ marks }: Job, tie: TieLine, end: 0 | 1): { cross: readonly Mark[]; words: readonly Text[] } {
  const { at, sheet } = tie.ends[end];
  const other = tie.ends[1 - end]?.sheet ?? '';
  const own = marks.filter((mark) => mark.layer === 'tie');
  const cross = own.filter((mark) => mark.kind === 'line' && Math.hypot((mark.a.x + mark.b.x) / 2 - at.x, (mark.a.y + mark.b.y) / 2 - at.y) < 1e-9);
  const near = own.filter((mark): mark is Text => mark.kind === 'text' && Math.abs(mark.at.x - at.x) < 8 && Math.abs(mark.at.y - at.y) < 8);
  const words = near.filter(({ text }) => text.startsWith(`tie line ${tie.number}: `) || text.endsWith(` on ${other}`));
  expect(cross, `cross of tie line ${tie.number} on ${sheet}`).toHaveLength(2);
  const others = own.filter((mark) => !cross.includes(mark) && (mark.kind === 'text' ? mark.text !== `tie ${tie.number}` : mark.kind === 'line' && mark.pen.dashes === undefined));
  if (words.length === 0) expect(isCrowded(others, tie.ends[end]), `words of tie line ${tie.number} on ${sheet}`).toBe(true);
  return { cross, words };
}

/** Whether other tie lines have words or crosses where those of an end would stand: 7.5 mm high, and as long as the longest. */
function isCrowded(others: readonly Mark[], { at: { x, y }, isWordsRight, isWordsBelow }: TieLine['ends'][number]): boolean {
  const room = boxCorners({ left: isWordsRight ? x + 6 : x - 50, right: isWordsRight ? x + 50 : x - 6, bottom: isWordsBelow ? y - 7.5 : y, top: isWordsBelow ? y : y + 7.5 });
  return others.some((mark) => depthOf(cornersOf(mark), room) > 0);
}

describe('tie lines', () => {
  const panels = anyPanel({ holes: 8 });

  test('every jig of two or more sheets has both, from sheet to another sheet, unless only one sheet has room for a cross', () => {
    forAllJigs(anyPanel({ holes: 40, least: 120 }), (job) => {
      const { ties, layout } = job;
      if (ties.length < 2) expect(layout.cells.filter(({ core }) => roomForCrosses(job, core)).length).toBeLessThan(2);
      else expect(ties.map(({ number }) => number)).toEqual([1, 2]);
      for (const { ends: [from, to] } of ties) {
        expect(from.sheet).not.toBe(to.sheet);
        for (const { sheet } of [from, to]) expect(layout.cells.map(({ name }) => name)).toContain(sheet);
      }
    });
  });

  test('a jig of one sheet has none', () => {
    const job = jobOf({ ...fc.sample(anyPanel({ holes: 1, least: 100, side: 130, shapes: ['rectangle'], papers: ['A3'] }), { numRuns: 1, seed: 1 })[0] as Made });
    expect(job?.layout.cells).toHaveLength(1);
    expect(job?.ties).toEqual([]);
  });

  test('the length is the distance between the crosses, in whole millimetres or sixteenths of an inch, and printed so in both units', () => {
    let [lines, told] = [0, 0];
    forAllJigs(panels, ({ plan, made, ties, marks }) => {
      for (const { number, ends: [from, to], length } of ties) {
        expect(Math.abs(Math.hypot(from.at.x - to.at.x, from.at.y - to.at.y) - length)).toBeLessThan(1e-9);
        const steps = made.units === 'in' ? length / (25.4 / 16) : length;
        expect(Math.abs(steps - Math.round(steps))).toBeLessThan(1e-9);
        const words = marks.flatMap((mark) => (mark.kind === 'text' && mark.text.startsWith(`tie line ${number}: `) ? [mark.text] : []));
        // Where words would lie over others, the number stands alone.
        expect(words.length).toBeLessThanOrEqual(2);
        lines += 1;
        told += words.length;
        for (const form of [...words, tieRows(ties, plan)[number]?.[3] ?? '']) {
          const [millimetres, inches] = readBoth(form);
          // The tape that is read: to 0.05 mm as printed; in inches to half of 1/32, and much nearer where the jig is longer than a hand.
          expect(Math.abs(millimetres - length)).toBeLessThan(0.051);
          expect(Math.abs(inches * 25.4 - length)).toBeLessThan(length > 30 ? 0.1 : 25.4 / 64 + 1e-9);
        }
      }
    });
    expect(told).toBeGreaterThan(1.9 * lines);
  });

  test('what they may be off is the root of the sum of squares of 0.5 mm for the reading and 0.5 mm for each seam on the way from sheet to sheet', () => {
    forAllJigs(panels, ({ ties, layout }) => {
      for (const { ends: [from, to], allowed } of ties) {
        const seams = seamsOnTheWay(layout, from.sheet, to.sheet);
        expect(seams).toBeGreaterThan(0);
        const exact = Math.sqrt(0.25 + 0.25 * seams);
        expect(allowed).toBeGreaterThanOrEqual(exact - 1e-9);
        expect(allowed).toBeLessThan(exact + 0.1);
      }
    });
  });

  test('each cross is wholly within its sheet\'s core and the visible outline, on no hole\'s marks', () => {
    forAllJigs(anyPanel({ holes: 25 }), (job) => {
      for (const tie of job.ties) {
        for (const end of [0, 1] as const) {
          const { cross } = marksOf(job, tie, end);
          const { core } = job.layout.cells.find(({ name }) => name === tie.ends[end].sheet) as Layout['cells'][number];
          for (const mark of cross) {
            const ends = cornersOf(mark);
            for (const p of ends) expect(isInside(p, boxCorners(core)) && isInside(p, job.visible), `${p.x}, ${p.y}`).toBe(true);
            expect(doCross(ends, job.visible)).toBe(false);
            for (const { center, radius } of job.circles) expect(distanceToSegment(center, ends[0] as Point, ends[1] as Point)).toBeGreaterThan(radius);
          }
        }
      }
    });
  });

  test('the words are whole, within the core and the outline, clear of lines, hole marks and each other, unless no sheet has room for them', () => {
    let [clear, crowded] = [0, 0];
    forAllJigs(anyPanel({ holes: 25 }), (job) => {
      for (const tie of job.ties) {
        for (const end of [0, 1] as const) {
          const { words } = marksOf(job, tie, end);
          for (const { text } of words) expect(text).not.toContain('…');
          const { core } = job.layout.cells.find(({ name }) => name === tie.ends[end].sheet) as Layout['cells'][number];
          const faults = words.flatMap((word) => wordsFaults(job, word, core));
          if (words.length === 2 && faults.length === 0) clear += 1;
          else {
            crowded += 1;
            expect(roomForWords(job, tie, end), faults.join('; ')).toBeUndefined();
          }
        }
      }
    });
    expect(clear).toBeGreaterThan(5 * crowded);
  });

  test('in an arm just wider than the words they stand under the name of the rim line, not on it', () => {
    // Beside its rim line, an arm is 84 - 13 = 71 mm wide: a cross with its words, 62 mm, fits with less than 5 mm to the lines.
    const plan = planOf(`
title: Pump cabinet, sump wall
units: in
panel:
  material: acrylic
  thickness: 5 mm
  drilled-from: inside
  outline: [[0 mm, 0 mm], [240 mm, 0 mm], [240 mm, 1722 mm], [156 mm, 1722 mm], [156 mm, 688.8 mm], [84 mm, 688.8 mm], [84 mm, 1722 mm], [0 mm, 1722 mm]]
  rim: {top: 13 mm, right: 13 mm, bottom: 13 mm, left: 0 mm}
holes: [{name: return, diameter: 49 mm, from-left: 47 mm, from-bottom: 1405 mm}]
sheets: {paper: Letter, overlap: 11 mm}`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const names = lineNames(plan, layout, setter);
    const ties = tieLines(plan, layout, names);
    const words = tieMarks(ties, plan, setter).filter((mark) => mark.kind === 'text');
    expect(words).toHaveLength(8);
    expect(names.map(({ text }) => text)).toContain('rim line (edge 7-8): cut here, lay against the rim');
    for (const word of words) for (const name of names) expect(depthOf(cornersOf(word), cornersOf(name)), `${(word as Text).text} / ${name.text}`).toBeLessThan(0);
    // The way up the arm is not given up for it.
    expect(ties[0]?.length).toBeGreaterThan(1500);
  });

  const expectUncovered = (marks: readonly Mark[]) => {
    const labels = marks.filter((mark) => mark.kind === 'text' && mark.layer === 'label').map(cornersOf);
    for (const mark of marks.filter(({ layer, kind }) => layer === 'tie' && kind !== 'path')) {
      for (const label of labels) expect(depthOf(cornersOf(mark), label)).toBeLessThan(0.01);
    }
  };

  test('labels cover neither crosses, stubs nor words where holes are few', () => {
    forAllJigs(anyPanel({ holes: 3, least: 400 }), ({ marks }) => expectUncovered(marks));
  });

  test('a stub is left out where a label has no other place than on it', () => {
    const plan = planOf(`
title: Coral nursery, slanted wall
units: in
panel:
  material: acrylic
  thickness: 5 mm
  outline: [[0 mm, 0 mm], [409 mm, 0 mm], [347.65 mm, 407.7 mm], [163.6 mm, 453 mm], [0 mm, 317.1 mm]]
  rim: {top: 0 mm, right: 0 mm, bottom: 18 mm, left: 0 mm}
  joints: {top: 0 mm, right: {panel: 7 mm, sealant: 1 mm}, bottom: {panel: 7 mm, sealant: 1 mm}, left: 0 mm}
holes:
  - {name: drain, fitting: {hole: [25 mm, 25 mm], flange: 47 mm}, from-left: 108 mm, from-bottom: 40 mm}
  - {name: probe, diameter: 11 mm, from-left: 44 mm, from-bottom: 21 mm}
sheets: {paper: Letter, overlap: 24 mm}`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const besides = tieMarks(tieLines(plan, layout, lineNames(plan, layout, setter)), plan, setter);
    const drawn = drawJig(plan, layout, setter, { withoutCircle: new Set(), besides });
    expectUncovered(drawn);
    // Only a stub: crosses and words all stay.
    expect(besides.filter((mark) => !drawn.includes(mark)).map((mark) => mark.kind === 'line' && mark.pen.dashes !== undefined)).toEqual([true]);
  });

  test('a label beside which a tie line has its words goes to a free place further out, with a leader to its hole', () => {
    const plan = planOf(`
title: Coral nursery, back wall
units: mm
panel: {material: acrylic, width: 400, height: 524, thickness: 5}
holes:
  - {name: probe, diameter: 8, from-left: 10, from-bottom: 10}
  - {name: drain, fitting: {hole: 8, flange: 30}, from-left: 24, from-bottom: 38}
sheets: {paper: A4, overlap: 10}`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const besides = tieMarks(tieLines(plan, layout, lineNames(plan, layout, setter)), plan, setter, layout.cells);
    const drawn = drawJig(plan, layout, setter, { withoutCircle: new Set(), besides });
    expectUncovered(drawn);
    expect(besides.filter((mark) => !drawn.includes(mark))).toEqual([]);
    const leaders = drawn.filter((mark) => mark.kind === 'line' && mark.layer === 'label');
    // From beside the label to the circle of the hole, 8 mm wide, past all words and the other hole's flange.
    const leader = leaders.map(cornersOf).find(([, tip = { x: 0, y: 0 }]) => Math.abs(Math.hypot(tip.x - 10, tip.y - 10) - 4) < 1) ?? expect.fail('no leader to the probe');
    const label = drawn.filter((mark): mark is Text => mark.kind === 'text' && mark.layer === 'label').slice(0, 4);
    expect(label[0]?.text).toBe('probe');
    expect(Math.min(...label.map((mark) => distanceToShape(leader[0] as Point, cornersOf(mark))))).toBeLessThan(2);
    for (const mark of drawn.filter(({ kind, layer }) => kind === 'text' && layer !== 'label')) expect(depthOf(leader, cornersOf(mark)), (mark as Text).text).toBeLessThan(0);
    expect(distanceToSegment({ x: 24, y: 38 }, leader[0] as Point, leader[1] as Point)).toBeGreaterThan(15);
  });

  test('words that a narrow sheet would cut off give way to the number of the tie line', () => {
    const plan = planOf(`
title: Shrimp nursery, back of a comb box
units: mm
panel: {material: acrylic, width: 180, height: 160, thickness: 5, joints: {top: 0, right: 5, bottom: 5, left: 5}}
holes: [{name: drain, fitting: {hole: [44, 46], flange: 66, nut: 62}, from-center-x: 0, from-bottom: 67.5}]`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const marks = tieMarks(tieLines(plan, layout, lineNames(plan, layout, setter)), plan, setter, layout.cells);
    const words = marks.filter((mark): mark is Text => mark.kind === 'text');
    // A sheet of 38 mm beside a sheet that has room for all words.
    expect(Math.min(...layout.cells.map(({ window }) => window.right - window.left))).toBeLessThan(48);
    expect(words.map(({ text }) => text.replace(/: .*/, ''))).toEqual(expect.arrayContaining(['tie 1', 'tie 2', 'tie line 1', 'tie line 2']));
    for (const word of words) expect(layout.cells.some(({ window }) => cornersOf(word).every(({ x, y }) => x > window.left && x < window.right && y > window.bottom && y < window.top)), word.text).toBe(true);
  });

  test('words that would lie over those of another tie line give way to its number', () => {
    // In the right half of what the tank leaves visible, both upper crosses stand 13 mm apart, and one's words would lie over the other.
    const plan = planOf(`
title: Shrimp nursery, two-arm divider
units: mm
panel:
  material: acrylic
  thickness: 5
  drilled-from: inside
  measured-from: rim
  outline: [[0, 0], [197, 0], [197, 376], [128.05, 376], [128.05, 150.4], [68.95, 150.4], [68.95, 376], [0, 376]]
  rim: {top: 20, right: 20, bottom: 0, left: 20}
  joints: {top: {panel: 6, sealant: 1}, right: 0, bottom: 0, left: {panel: 6, sealant: 1}}
holes: [{name: drain, diameter: 10, from-left: 19, from-bottom: 75}]
sheets: {paper: Letter, overlap: 22, lies-on: far-face}`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const words = tieMarks(tieLines(plan, layout, lineNames(plan, layout, setter)), plan, setter, layout.cells).filter((mark): mark is Text => mark.kind === 'text');
    words.forEach((word, index) => {
      for (const other of words.slice(index + 1)) expect(depthOf(cornersOf(word), cornersOf(other)), `${word.text} / ${other.text}`).toBeLessThan(0);
    });
    expect(words.map(({ text }) => text.replace(/:.*/, ''))).toEqual(expect.arrayContaining(['tie line 1', 'tie line 2', 'tie 2']));
  });

  test('they go far: on rectangles over half of the visible diagonal always, over 85 % of it on the average', () => {
    const shares: number[] = [];
    forAllJigs(anyPanel({ holes: 5, least: 300, shapes: ['rectangle'] }), ({ ties, visible }) => {
      const [xs, ys] = [visible.map(({ x }) => x), visible.map(({ y }) => y)];
      const diagonal = Math.hypot(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
      for (const { length } of ties) {
        expect(length / diagonal).toBeGreaterThan(0.5);
        shares.push(length / diagonal);
      }
    });
    expect(shares.reduce((sum, share) => sum + share, 0) / shares.length).toBeGreaterThan(0.85);
  });

  test('the stub that points to the other end runs into no words', () => {
    forAllJigs(panels, ({ marks }) => {
      const words = marks.filter((mark) => mark.kind === 'text' && mark.layer === 'tie').map(cornersOf);
      for (const stub of marks.filter((mark) => mark.kind === 'line' && mark.layer === 'tie' && mark.pen.dashes !== undefined)) for (const word of words) expect(depthOf(cornersOf(stub), word)).toBeLessThan(0);
    });
  });

  test('one goes up and the other down, so that a skewed jig makes one too long and the other too short', () => {
    forAllJigs(anyPanel({ holes: 5, least: 300, shapes: ['rectangle'] }), ({ ties }) => {
      const slopes = ties.map(({ ends: [from, to] }) => (to.at.y - from.at.y) * (to.at.x - from.at.x));
      expect(slopes[0]).toBeGreaterThan(0);
      expect(slopes[1]).toBeLessThan(0);
    });
  });
});

/** "812 mm (31-31/32 in)" or "32 in (812.8 mm)": millimetres, inches. */
function readBoth(words: string): [number, number] {
  const millimetres = /([\d.]+) mm/.exec(words)?.[1];
  const [, whole = '0', top = '0', bottom = '1'] = /(?:^|[ (])(\d+)?(?:-|(?<= |\())?(?:(\d+)\/(\d+))? in/.exec(words) ?? [];
  return [Number(millimetres), Number(whole) + Number(top) / Number(bottom)];
}

/** Seams on the shortest way: sheets touch where their cores share more than a millimetre of a side. */
function seamsOnTheWay({ cells }: Layout, from: string, to: string): number {
  let reached = new Set([from]);
  for (let seams = 0; seams <= cells.length; seams += 1) {
    if (reached.has(to)) return seams;
    const inside = cells.filter(({ name }) => reached.has(name));
    reached = new Set([...reached, ...cells.filter(({ core }) => inside.some((cell) => areJoined(cell, { core }))).map(({ name }) => name)]);
  }
  return NaN;
}

function wordsFaults(job: Job, word: Text, core: Layout['cells'][number]['core']): string[] {
  const shape = cornersOf(word);
  const others = job.marks.filter((mark) => mark.kind === 'text' && mark !== word && (mark.layer === 'panel' || mark.layer === 'tie' || mark.layer === 'orientation' || mark.layer === 'keep-clear'));
  return [
    ...(shape.every((p) => isInside(p, boxCorners(core))) ? [] : ['out of its core']),
    ...(shape.every((p) => isInside(p, job.visible)) && !doCross(shape, job.visible) ? [] : ['over the visible line']),
    ...job.circles.filter(({ center, radius }) => distanceToShape(center, shape) <= radius).map(() => 'on a hole'),
    ...others.filter((mark) => depthOf(cornersOf(mark), shape) > 0.01).map((mark) => `on ${(mark as Text).text}`),
  ];
}

/** A place, 3 mm apart, where a cross of 10 mm with 50 mm of words on its side would be clear of all. */
function roomForWords(job: Job, tie: TieLine, end: 0 | 1): Point | undefined {
  const isWordsRight = tie.ends[end].isWordsRight;
  const other = tie.ends[1 - end]?.sheet;
  const fixed = job.marks.filter((mark) => (mark.kind === 'text' && mark.layer !== 'label' && mark.layer !== 'tie') || (mark.kind === 'path' && mark.layer === 'orientation')).map(cornersOf);
  const crosses = job.ties.flatMap((one) => one.ends).filter((one) => one !== tie.ends[end]).map(({ at, isWordsRight: isRight }) => boxCorners({ left: at.x - (isRight ? 6 : 56), right: at.x + (isRight ? 56 : 6), bottom: at.y - 8, top: at.y + 8 }));
  const joints = insetRing(job.made.outline, (index) => edgeStrip(job.made, index)).map((p) => onPaper(job.made, p));
  for (const { name, core } of job.layout.cells) {
    if (name === other) continue;
    for (let x = core.left + 9; x < core.right - 9; x += 3) {
      for (let y = core.bottom + 12; y < core.top - 12; y += 3) {
        const box = { left: x - (isWordsRight ? 8 : 60), right: x + (isWordsRight ? 60 : 8), bottom: y - 10, top: y + 10 };
        const shape = boxCorners(box);
        const isIn = box.left >= core.left + 5 && box.right <= core.right - 5 && box.bottom >= core.bottom + 5 && box.top <= core.top - 5;
        // Hole marks count with the square round them.
        const isClear = isIn && shape.every((p) => isInside(p, job.visible)) && !doCross(shape, job.visible) && !doCross(shape, joints) && job.circles.every(({ center, radius }) => depthOf(shape, boxCorners({ left: center.x - radius, right: center.x + radius, bottom: center.y - radius, top: center.y + radius })) < 0);
        if (isClear && [...fixed, ...crosses].every((ring) => depthOf(ring, shape) < 0)) return { x, y };
      }
    }
  }
  return undefined;
}

/** Whether two crosses of 10 mm, with a little room and apart from each other, fit into what a sheet alone shows of the panel. */
function roomForCrosses(job: Job, core: Layout['cells'][number]['core']): boolean {
  const places: Point[] = [];
  for (let x = core.left + 12; x < core.right - 12; x += 2) {
    for (let y = core.bottom + 12; y < core.top - 12; y += 2) {
      const shape = boxCorners({ left: x - 7, right: x + 7, bottom: y - 7, top: y + 7 });
      const isClear = shape.every((p) => isInside(p, job.visible)) && !doCross(shape, job.visible) && job.circles.every(({ center, radius }) => Math.max(Math.abs(center.x - x), Math.abs(center.y - y)) > radius + 7);
      if (isClear) places.push({ x, y });
    }
  }
  return places.some((p) => places.some((q) => Math.abs(p.x - q.x) > 16 || Math.abs(p.y - q.y) > 16));
}

function edgeStrip({ outline, neighbours, sealant }: Made, index: number): number {
  const widths = sidesOf(outline[index] as Point, outline[(index + 1) % outline.length] as Point).map((side) => neighbours[side]);
  return Math.max(...widths) + (Math.max(...widths) > 0 ? sealant : 0);
}

describe('the orientation mark', () => {
  test('touches the edge that it names with its tip, at the end that it names, and stands inside the panel', () => {
    forAllJigs(anyPanel({ holes: 8, least: 150 }), ({ made, plan, layout, marks, visible }) => {
      const { at, edge, end } = orientationOf(plan, layout);
      const index = plan.panel.edges.findIndex(({ name }) => name === edge);
      const [a, b] = [visible[index] as Point, visible[(index + 1) % visible.length] as Point];
      expect(distanceToSegment(at, a, b)).toBeLessThan(1e-6);
      // Nearer to the end that it names: the upper one of a steep edge; else the left from outside, which is on the right of a mirrored drawing.
      const isSteep = Math.abs(a.x - b.x) < Math.abs(a.y - b.y) - 1e-6;
      const rank = (p: Point) => (isSteep ? -p.y : made.face === 'outside' ? p.x : -p.x);
      const [named, far] = rank(a) < rank(b) ? [a, b] : [b, a];
      expect(end).toBe(isSteep ? 'upper' : 'left');
      expect(Math.hypot(at.x - named.x, at.y - named.y)).toBeLessThan(Math.hypot(at.x - far.x, at.y - far.y));
      const triangle = marks.filter((mark) => mark.layer === 'orientation' && mark.kind === 'path');
      expect(triangle).toHaveLength(1);
      const [tip, ...base] = cornersOf(triangle[0] as Mark);
      expect(tip).toEqual(at);
      expect(base).toHaveLength(2);
      for (const p of base) {
        expect(isInside(p, visible)).toBe(true);
        expect(Math.hypot(p.x - at.x, p.y - at.y)).toBeGreaterThan(7);
      }
    });
  });

  test('names an edge that no other is above of at its middle, or the one top edge', () => {
    forAllJigs(anyPanel({ holes: 1, least: 300 }), ({ plan, layout, made }) => {
      const { edge } = orientationOf(plan, layout);
      const { a, b } = plan.panel.edges.find(({ name }) => name === edge) as Plan['panel']['edges'][number];
      const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
      const above = strokes(made.outline).filter(([p, q]) => Math.min(p.x, q.x) < middle.x && Math.max(p.x, q.x) > middle.x && p.y + ((q.y - p.y) * (middle.x - p.x)) / (q.x - p.x) > middle.y + 1e-6);
      expect(above).toEqual([]);
    });
  });

  test('lies on one sheet, on no hole, its words unmirrored and whole, or left out', () => {
    let [withWords, bare] = [0, 0];
    forAllJigs(anyPanel({ holes: 4, least: 300, diameter: 40 }), (job) => {
      const { layout, marks, visible, circles, made } = job;
      const [triangle] = marks.filter((mark) => mark.layer === 'orientation' && mark.kind === 'path');
      const words = marks.filter((mark): mark is Text => mark.layer === 'orientation' && mark.kind === 'text');
      if (words.length > 0) withWords += 1;
      else bare += 1;
      for (const mark of [triangle as Mark, ...words]) {
        const shape = cornersOf(mark);
        expect(layout.cells.filter(({ core }) => shape.every((p) => isInside(p, boxCorners({ ...core, top: core.top + 1 }))))).toHaveLength(1);
        const isStruck = circles.some(({ center, radius }) => distanceToShape(center, shape) <= radius);
        // A hole, such as one that is refused at the edge, may leave the triangle no place at its end of the edge.
        if (isStruck) expect(mark === triangle && mark.kind === 'path' && !hasRoomAtEnd(job, mark.points)).toBe(true);
      }
      for (const word of words) {
        expect(cornersOf(word).every((p) => isInside(p, visible)), 'words inside the visible line').toBe(true);
        expect(word.text).toMatch(/^orientation mark: .*, (left|upper) end as seen from outside$/);
        expect(Math.abs(word.angle)).toBeLessThanOrEqual(90);
        const others = marks.filter((mark) => mark.kind === 'text' && mark.layer !== 'orientation');
        if (made.holes.length === 1) for (const other of others) expect(depthOf(cornersOf(other), cornersOf(word)), (other as Text).text).toBeLessThan(0.01);
      }
    });
    expect(withWords).toBeGreaterThan(bare);
  });
});

/** Whether a triangle, its tip first, finds 2 mm in a row at its end of the edge, up to the middle, where it lies on one sheet and on no hole. */
function hasRoomAtEnd({ layout, visible, circles }: Job, triangle: readonly Point[]): boolean {
  const [tip] = triangle as [Point];
  const edge = strokes(visible).find(([from, to]) => distanceToSegment(tip, from, to) < 0.02) ?? expect.fail();
  const others = strokes(visible).filter(([from, to]) => from !== edge[0] || to !== edge[1]);
  const [a, b] = edge;
  const [start, end] = Math.hypot(tip.x - a.x, tip.y - a.y) < Math.hypot(tip.x - b.x, tip.y - b.y) ? [a, b] : [b, a];
  const length = Math.hypot(end.x - start.x, end.y - start.y);
  let free = 0;
  for (let along = 6; along < length / 2; along += 0.5) {
    const by = { x: start.x + ((end.x - start.x) * along) / length - tip.x, y: start.y + ((end.y - start.y) * along) / length - tip.y };
    const moved = triangle.map(({ x, y }) => ({ x: x + by.x, y: y + by.y }));
    const isOnSheet = layout.cells.some(({ core: { left, right, bottom, top } }) => moved.every((p) => p.x > left + 4.1 && p.x < right - 4.1 && p.y > bottom + 2.1 && p.y < top - 2.1));
    const isFree = isOnSheet && others.every((other) => depthOf(moved, other) <= 0) && circles.every(({ center, radius }) => distanceToShape(center, moved) > radius + 0.01);
    free = isFree ? free + 1 : 0;
    if (free > 4) return true;
  }
  return false;
}

describe('the words on faces', () => {
  test.each([
    { face: 'outside', isOnFarFace: false, lies: /^Lies on the OUTSIDE face, print towards you\./, seen: 'left' },
    { face: 'inside', isOnFarFace: false, lies: /^Lies on the INSIDE face, print towards you\./, seen: 'right' },
    { face: 'outside', isOnFarFace: true, lies: /^Lies on the INSIDE face, print against the glass; read it through the panel from the OUTSIDE face\./, seen: 'left' },
    { face: 'inside', isOnFarFace: true, lies: /^Lies on the OUTSIDE face, print against the glass; read it through the panel from the INSIDE face\./, seen: 'right' },
  ])('drilled from $face, on the far face: $isOnFarFace', ({ face, isOnFarFace, lies, seen }) => {
    // Who looks at the outside sees the left end on the left; who looks at the inside sees it on the right. Read through
    // the panel, a jig is looked at from the drilled face.
    const plan = planOf(`
title: Pump cabinet
units: mm
panel: {material: acrylic, thickness: 6, width: 500, height: 400, drilled-from: ${face}}
holes: [{name: drain, diameter: 40, from-left: 200, from-top: 200}]
sheets: {paper: A4, lies-on: ${isOnFarFace ? 'far-face' : 'drilled-face'}}`);
    const layout = chooseLayout(contentOf(plan), plan.sheets) as Layout;
    const orientation = orientationOf(plan, layout);
    const words = faceWords(plan, orientation);
    expect(words).toMatch(lies);
    expect(words).toContain(`Triangle: top edge, at its ${seen} end as you look.`);
    // On the paper, whose right is the reader's right.
    expect(orientation.at.x < 250 ? 'left' : 'right').toBe(seen);
  });
});
