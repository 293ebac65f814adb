/** The pages that tell how the water goes: where their words stand, where their pipes go, what their plot shows. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { FlowPaper } from '../../src/render/flow.ts';
import { boxOf, clipSegment, grown, isWithin, markBounds, sharedArea, type Circle, type Mark, type Path, type Text } from '../../src/render/mark.ts';
import type { Page } from '../../src/render/sheet.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { waterPages, type PumpPlot, type WaterDiagram, type WaterPageContent } from '../../src/render/water.ts';
import { waterDiagram } from '../../src/render/water-diagram.ts';
import { axisOf, plotHeight, pumpPlot } from '../../src/render/water-plot.ts';
import type { Point, Rect } from '../../src/plan/plan.ts';
import { loadWide } from '../fonts.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Fern terrace', '水槽 № 3', 'حوض السراخس']);
});

type Pipe = WaterDiagram['pipes'][number];
const pipe = (from: Pipe['from'], to: Pipe['to'], name: string, words: string, more: Partial<Pipe> = {}): Pipe => ({ name, words, from, to, isSpare: false, isFaulty: false, ...more });

/** A fern terrace: two tiers over a sump, the upper one's spare drain passing the lower tier by. */
const terrace: WaterDiagram = {
  tanks: [
    { name: 'upper', words: ['in 1200 L/h', 'water 12 mm over the crest'], weirs: [{ name: 'weir box', words: '12 mm over its crest' }] },
    { name: 'lower', words: ['in 1800 L/h'], weirs: [] },
  ],
  sump: { words: ['takes 38 L when the pump stops'] },
  pump: { words: ['2100 L/h against 2.05 m'] },
  side: [{ name: 'plant filter', words: '300 L/h' }],
  pipes: [
    pipe('pump', 0, 'return', '1200 L/h'),
    pipe('pump', 1, 'lower return', '600 L/h'),
    pipe(0, 1, 'drain', 'carries 1900 L/h'),
    pipe(0, 'sump', 'spare drain', 'carries 3100 L/h', { isSpare: true }),
    pipe(1, 'sump', 'main drain', 'carries 1700 L/h, 1800 L/h come in', { isFaulty: true }),
  ],
};

const curve = [[0, 3.2], [1500, 2.4], [3000, 0]].map(([flow = 0, head = 0]) => ({ flow, head }));
const plot: PumpPlot = {
  flowTitle: 'flow, L/h',
  headTitle: 'head, m',
  curves: [
    { name: 'pump', kind: 'pump', points: curve },
    { name: 'what the pipes ask for', kind: 'system', points: Array.from({ length: 26 }, (_, at) => ({ flow: at * 100, head: 1.2 + 0.47 * ((at * 100) / 1800) ** 2 })) },
  ],
  given: curve,
  meets: { flow: 2000, head: 1.78, words: '2000 L/h at 1.78 m' },
};

const content: WaterPageContent = {
  verdict: 'Flow verdict: tight. The drains carry the water, with less in reserve than asked for.',
  diagram: terrace,
  tables: [
    { heading: 'Returns', rows: [['tank', 'return', 'flow'], ['upper', 'return', '1200 L/h'], ['lower', 'lower return', '600 L/h']], words: ['Shared by the losses of each way.'] },
    { heading: 'Weirs', rows: [['tank', 'weir', 'over the crest']], words: ['None is told.'] },
    { heading: 'Sump', rows: [], words: [] },
  ],
  plot,
  findings: [['lower: main drain carries 1700 L/h, and 1800 L/h come in', 'Take pipe of 1-1/4 in.', 'common practice, no source']],
  notes: ['Teeth clog and pipes foul.'],
  cautions: ['Test with water before you trust it.', 'Keep a reserve drain.'],
};

const papers = { A4: { width: 210, height: 297 }, Letter: { width: 215.9, height: 279.4 }, A3: { width: 297, height: 420 }, Legal: { width: 215.9, height: 355.6 } } as const;
const paperOf = (name: keyof typeof papers): FlowPaper => ({ ...papers[name], margin: 12 });
const titled = { title: 'Fern terrace, two tiers over a sump', fingerprint: '0123456789ab', isDraft: false };
const pagesOf = (change: Partial<WaterPageContent> = {}, paper: FlowPaper = paperOf('A4'), words = titled) => waterPages({ ...content, ...change }, paper, words, setter);

const marksOf = (pages: readonly Page[]): readonly Mark[] => pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks));
const isText = (mark: Mark): mark is Text => mark.kind === 'text';
const isPath = (mark: Mark): mark is Path => mark.kind === 'path';
const wordsOf = (pages: readonly Page[]): string => marksOf(pages).filter(isText).map(({ text }) => text).join(' ');
/** Words of a page from the top down, without its foot. */
const linesOf = (page: Page): Text[] => marksOf([page]).filter(isText).filter(({ at }) => at.y > 12 + 7 - 1).sort((a, b) => b.at.y - a.at.y);

type Segment = readonly [Point, Point];
const segmentsOf = (points: readonly Point[], isClosed: boolean): Segment[] => points.flatMap((a, at) => (at + 1 < points.length ? [[a, points[at + 1] as Point] as const] : isClosed ? [[a, points[0] as Point] as const] : []));

/** All that is stroked, or filled black: its lines, and half their width. */
function strokesOf(marks: readonly Mark[]): { segments: readonly Segment[]; half: number }[] {
  return marks.flatMap((mark): { segments: readonly Segment[]; half: number }[] => {
    if (mark.kind === 'line') return [{ segments: [[mark.a, mark.b]], half: mark.pen.width / 2 }];
    if (mark.kind === 'circle') return [{ segments: Array.from({ length: 36 }, (_, at) => [at, at + 1].map((turn) => ({ x: mark.center.x + mark.radius * Math.cos((turn * Math.PI) / 18), y: mark.center.y + mark.radius * Math.sin((turn * Math.PI) / 18) })) as unknown as Segment), half: mark.pen.width / 2 }];
    if (mark.kind === 'path' && (mark.pen || mark.fill === 0)) return [{ segments: segmentsOf(mark.points, mark.isClosed), half: (mark.pen?.width ?? 0) / 2 }];
    return [];
  });
}

function expectWordsFree(marks: readonly Mark[], strokes = strokesOf(marks)): void {
  const texts = marks.filter(isText).filter(({ text }) => text !== '').map((mark) => ({ mark, box: markBounds(mark) }));
  const faults = texts.flatMap(({ mark, box }, at) => [
    ...texts.slice(at + 1).filter((other) => sharedArea(box, other.box) > 1e-6).map((other) => `"${mark.text}" and "${other.mark.text}"`),
    ...strokes.filter(({ segments, half }) => segments.some(([a, b]) => clipSegment(a, b, grown(box, half - 1e-6)))).map(() => `a stroke through "${mark.text}"`),
  ]);
  expect(faults).toEqual([]);
}

function expectWithin(marks: readonly Mark[], box: Rect): void {
  expect(marks.filter((mark) => !isWithin(markBounds(mark), grown(box, 0.01)))).toEqual([]);
}

describe('diagram', () => {
  const box = { left: 12, right: 198, top: 285, bottom: 285 };
  const marksFor = (diagram: WaterDiagram, width = 186, room = { usual: 133, most: 255 }): { marks: Mark[]; frame: Rect } => {
    const figure = waterDiagram(diagram, width, room, setter);
    if (!figure) throw new Error('left out');
    const frame = { ...box, right: box.left + width, bottom: box.top - figure.height };
    return { marks: figure.draw(frame), frame };
  };

  interface Tracing {
    readonly tanks: readonly Rect[];
    readonly sump: Rect;
    readonly pieces: readonly Path[];
  }
  /** Open boxes, in the order they are drawn, and the pieces of the drains at their right. */
  function tracingOf(marks: readonly Mark[]): Tracing {
    const boxes = marks.filter(isPath).filter(({ points, isClosed, pen }) => !isClosed && points.length === 4 && pen?.width === 0.5 && pen.gray === 0).map(({ points }) => boxOf(points));
    const sump = boxes[boxes.length - 1] as Rect;
    const right = boxes.length > 1 ? (boxes[0] as Rect).right : sump.right;
    const pieces = marks.filter(isPath).filter(({ points, isClosed, pen }) => !isClosed && pen !== null && pen.width !== 0.5 && (points[0] as Point).x >= right - 1e-6);
    return { tanks: boxes.slice(0, -1), sump, pieces };
  }
  /** Follows the drain that a name stands over, through the gaps where others pass, to where it ends. */
  function traced(name: string, marks: readonly Mark[], { tanks, sump, pieces }: Tracing): { pieces: Path[]; end: Point } {
    const right = (tanks[0] as Rect).right;
    const label = marks.filter(isText).find(({ text, at, weight }) => text === name && at.x > right && weight === 'bold') as Text;
    const low = markBounds(label).bottom;
    const found = [pieces.find(({ points: [first] }) => first !== undefined && Math.abs(first.x - right) < 1e-6 && first.y < low && low - first.y < 1.4) as Path];
    for (;;) {
      const { points } = found[found.length - 1] as Path;
      const end = points[points.length - 1] as Point;
      const isInSump = Math.abs(end.y - (sump.top - 3 + 2.2)) < 1e-6;
      if (isInSump || end.x < right) return { pieces: found, end };
      const [next] = pieces.filter(({ points: [first] }) => first !== undefined && Math.abs(first.x - end.x) < 1e-6 && first.y < end.y).sort((a, b) => (b.points[0] as Point).y - (a.points[0] as Point).y);
      if (!next) throw new Error(`${name} ends nowhere`);
      found.push(next);
    }
  }
  const expectLeads = (diagram: WaterDiagram, marks: readonly Mark[]) => {
    const tracing = tracingOf(marks);
    expect(tracing.tanks).toHaveLength(diagram.tanks.length);
    for (const { name, from, to, isSpare, isFaulty } of diagram.pipes) {
      if (from === 'pump') continue;
      const { pieces, end } = traced(name, marks, tracing);
      const start = (pieces[0] as Path).points[0] as Point;
      const [out, into] = [tracing.tanks[from] as Rect, to === 'sump' ? tracing.sump : (tracing.tanks[to] as Rect)];
      expect(start.y, `${name} leaves its tank`).toBeLessThan(out.top);
      expect(start.y).toBeGreaterThan(out.bottom);
      expect(end.x, `${name} ends where it goes`).toBeGreaterThan(into.left);
      expect(end.x).toBeLessThan(into.right);
      expect(Math.abs(end.y - (into.top - 0.8))).toBeLessThan(1e-6);
      for (const { pen } of pieces) {
        expect(pen?.dashes !== undefined).toBe(isSpare);
        expect(pen?.width).toBe(isFaulty ? 1 : 0.35);
      }
    }
  };

  test('each drain leads from its tank to where it runs, the spare dashed, the faulty one thick', () => {
    const { marks } = marksFor(terrace);
    expectLeads(terrace, marks);
    const [upper, lower] = tracingOf(marks).tanks as [Rect, Rect];
    expect(upper.bottom).toBeGreaterThan(lower.top);
  });

  test('each return has an arrow at the wall of its tank, under its name', () => {
    const { marks } = marksFor(terrace);
    const { tanks } = tracingOf(marks);
    for (const { name, to } of terrace.pipes.filter(({ from }) => from === 'pump')) {
      const label = markBounds(marks.filter(isText).find(({ text }) => text === name) as Text);
      const tank = tanks[to as number] as Rect;
      const tips = marks.filter(isPath).filter(({ fill, points }) => fill === 0 && Math.abs((points[0] as Point).x - tank.left) < 0.5);
      const tip = tips.map(({ points }) => points[0] as Point).find(({ y }) => y < label.bottom && label.bottom - y < 1.4) as Point;
      expect(tip.y).toBeLessThan(tank.top);
      expect(tip.y).toBeGreaterThan(tank.bottom);
    }
  });

  test('names of all tanks stand in their boxes', () => {
    const { marks } = marksFor(terrace);
    const { tanks, sump } = tracingOf(marks);
    for (const [name, tank] of [['upper', tanks[0]], ['lower', tanks[1]], ['sump', sump]] as const) {
      expect(isWithin(markBounds(marks.filter(isText).find(({ text }) => text === name) as Text), tank as Rect)).toBe(true);
    }
  });

  test('more than 8 tanks or 30 pipes are left out', () => {
    const tanks = (count: number) => Array.from({ length: count }, (_, at) => ({ name: `tier ${at + 1}`, words: [], weirs: [] }));
    const pipes = (count: number) => Array.from({ length: count }, (_, at) => pipe(0, 'sump', `drain ${at + 1}`, '100 L/h'));
    for (const [tankCount, pipeCount, isShown] of [[8, 30, true], [9, 1, false], [1, 31, false]] as const) {
      const diagram = { ...terrace, tanks: tanks(tankCount), pipes: pipes(pipeCount) };
      expect(waterDiagram(diagram, 186, { usual: 133, most: 255 }, setter) !== null, `${tankCount} tanks, ${pipeCount} pipes`).toBe(isShown);
      expect(wordsOf(pagesOf({ diagram })).includes('the tables tell which way the water goes')).toBe(!isShown);
    }
  });

  test('up to 6 tanks with two drains each take no more than half a page', () => {
    const names = ['spring', 'moss', 'fern', 'cress', 'pond', 'bog'];
    for (let count = 1; count <= 6; count += 1) {
      const diagram: WaterDiagram = {
        ...terrace,
        tanks: names.slice(0, count).map((name) => ({ name, words: ['in 1800 L/h', 'water 12 mm over the crest'], weirs: [{ name: 'weir box', words: '12 mm over its crest' }] })),
        pipes: [pipe('pump', 0, 'return', '1800 L/h'), ...Array.from({ length: count }, (_, at) => [pipe(at, at + 1 < count ? at + 1 : 'sump', `drain ${at}`, 'carries 2400 L/h'), pipe(at, 'sump', `spare ${at}`, 'carries 2400 L/h', { isSpare: true })]).flat()],
      };
      const { marks, frame } = marksFor(diagram, 186, { usual: 133, most: 255 });
      expect(frame.top - frame.bottom).toBeLessThanOrEqual(133);
      expectLeads(diagram, marks);
    }
  });

  /** Words of a trade's length, some with no space to break at. */
  const anyName = (most: number) => fc.oneof(fc.string({ unit: fc.constantFrom(...'abcdefgmwW il'), minLength: 1, maxLength: most }).map((one) => one.trim() || 'x'), fc.constantFrom('水槽 № 3', 'حوض السراخس', 'drain', 'W'.repeat(most)));
  const anyDiagram = fc.integer({ min: 1, max: 8 }).chain((count) => fc.record({
    tanks: fc.array(fc.record({ name: anyName(60), words: fc.array(anyName(50), { maxLength: 3 }), weirs: fc.array(fc.record({ name: anyName(60), words: anyName(40) }), { maxLength: 2 }) }), { minLength: count, maxLength: count }),
    sump: fc.record({ words: fc.array(anyName(60), { maxLength: 4 }) }),
    pump: fc.record({ words: fc.array(anyName(60), { maxLength: 3 }) }),
    side: fc.array(fc.record({ name: anyName(60), words: anyName(20) }), { maxLength: 3 }),
    pipes: fc.array(
      fc.tuple(fc.integer({ min: -1, max: count - 1 }), fc.integer({ min: 1, max: count }), anyName(60), anyName(50), fc.boolean(), fc.boolean(), fc.boolean()).map(([from, further, name, words, isSpare, isFaulty, isToSump]): Pipe => {
        const to = from < 0 ? further - 1 : from + further;
        return { from: from < 0 ? 'pump' : from, to: to >= count || (isToSump && from >= 0) ? 'sump' : to, name, words, isSpare, isFaulty };
      }),
      { maxLength: 30, size: 'max' },
    ),
  }));
  const anyWidth = fc.constantFrom(186, 191.9, 273);

  test('no word lies over another or over a stroke, and all lies within the figure', () => {
    fc.assert(
      fc.property(anyDiagram, anyWidth, (diagram, width) => {
        // As high as it wishes, so that no diagram is passed by.
        const { marks, frame } = marksFor(diagram, width, { usual: 133, most: 2000 });
        expectWordsFree(marks);
        expectWithin(marks, frame);
      }),
      { numRuns: 150 },
    );
  });

  test('pipes are named, lead where they go, and never cross but with a gap', () => {
    fc.assert(
      fc.property(anyDiagram, anyWidth, (made, width) => {
        const diagram = { ...made, pipes: made.pipes.map((one, at) => ({ ...one, name: `p${at}`, words: one.words.slice(0, 8) })) };
        const { marks } = marksFor(diagram, width, { usual: 133, most: 2000 });
        const texts = marks.filter(isText).map(({ text }) => text);
        for (const { name } of diagram.pipes) expect(texts).toContain(name);
        expectLeads(diagram, marks);
        const segments = marks.filter(isPath).filter(({ isClosed, pen }) => !isClosed && pen !== null && pen.width !== 0.5).flatMap(({ points }, number) => segmentsOf(points, false).map((ends) => ({ number, ends })));
        for (const { number, ends: [a, b] } of segments.filter(({ ends: [a, b] }) => a.x === b.x)) {
          for (const { ends: [c, d] } of segments.filter((other) => other.number !== number && other.ends[0].y === other.ends[1].y)) {
            const crosses = Math.min(c.x, d.x) < a.x - 1e-6 && Math.max(c.x, d.x) > a.x + 1e-6 && Math.min(a.y, b.y) < c.y - 1e-6 && Math.max(a.y, b.y) > c.y + 1e-6;
            expect(crosses, `at ${a.x}, ${c.y}`).toBe(false);
          }
          for (const { ends: [c, d] } of segments.filter((other) => other.number > number && other.ends[0].x === a.x && other.ends[1].x === a.x)) {
            expect(Math.min(Math.max(a.y, b.y), Math.max(c.y, d.y)) - Math.max(Math.min(a.y, b.y), Math.min(c.y, d.y)), `two pipes at ${a.x}`).toBeLessThan(1e-6);
          }
        }
        // On one side of a row of tanks, two drains must cross just where one begins between the other's ends and ends beyond them.
        const drains = diagram.pipes.flatMap(({ from, to }) => (from === 'pump' ? [] : [{ from, to: to === 'sump' ? diagram.tanks.length : to }]));
        const mustCross = drains.flatMap((one) => drains.filter((other) => one.from < other.from && other.from < one.to && one.to < other.to)).length;
        expect(tracingOf(marks).pieces.length - drains.length).toBeLessThanOrEqual(mustCross);
      }),
      { numRuns: 150 },
    );
  });
});

describe('plot', () => {
  const frame = { left: 12, right: 198, bottom: 100, top: 100 + plotHeight };
  const isNumber = ({ text }: Text) => /^-?\d+(\.\d+)?$/.test(text);

  /** What the axes say, read back from their numbers: a value for each place across and up. */
  function readAxes(marks: readonly Mark[]): { flow: (x: number) => number; head: (y: number) => number; flows: number[]; heads: number[]; numbers: Text[] } {
    const numbers = marks.filter(isText).filter(isNumber);
    const across = numbers.filter(({ align }) => align === 'center').map(({ at, text }) => ({ at: at.x, value: Number(text) }));
    const up = numbers.filter(({ align }) => align === 'right').map(({ at, text, size }) => ({ at: at.y + size * 0.35, value: Number(text) }));
    const reader = (ticks: readonly { at: number; value: number }[]) => {
      const [first, last] = [ticks[0], ticks[ticks.length - 1]] as [{ at: number; value: number }, { at: number; value: number }];
      return (at: number) => first.value + ((at - first.at) / (last.at - first.at)) * (last.value - first.value);
    };
    return { flow: reader(across), head: reader(up), flows: across.map(({ value }) => value), heads: up.map(({ value }) => value), numbers };
  }

  /** 1, 2 or 5 of a power of ten between all neighbours, 0 among them. */
  function expectRound(ticks: readonly number[]): void {
    const step = (ticks[1] as number) - (ticks[0] as number);
    const mantissa = step / 10 ** Math.floor(Math.log10(step) + 1e-9);
    expect([1, 2, 5].some((round) => Math.abs(mantissa - round) < 1e-6), `step ${step}`).toBe(true);
    ticks.slice(1).forEach((tick, at) => expect(tick - (ticks[at] as number)).toBeCloseTo(step, 9));
    expect(ticks).toContain(0);
  }

  const wordsIn = ({ marks, unplaced }: ReturnType<typeof pumpPlot>) => [...marks.filter(isText).map(({ text }) => text), ...unplaced].join(' ');

  test('curves are named beside them, and have strokes of their own', () => {
    const shown = pumpPlot(plot, frame, setter);
    expect(shown.unplaced).toEqual([]);
    for (const name of ['pump', 'what the pipes ask for', '2000 L/h at 1.78 m', 'flow, L/h', 'head, m']) expect(shown.marks.filter(isText).map(({ text }) => text)).toContain(name);
    const pens = shown.marks.filter(isPath).filter(({ pen }) => pen !== null).map(({ pen }) => JSON.stringify(pen?.dashes));
    expect(new Set(pens).size).toBe(plot.curves.length);
  });

  test('axes of known plots', () => {
    // Steps of 1, 2 and 5, counted by hand.
    expect(axisOf([0, 3000], 10)).toEqual({ low: 0, high: 3000, step: 500 });
    expect(axisOf([0, 3.2], 7)).toEqual({ low: 0, high: 3.5, step: 0.5 });
    expect(axisOf([0, 1], 10)).toEqual({ low: 0, high: 1, step: 0.1 });
    expect(axisOf([0], 5)).toMatchObject({ low: 0, high: 1 });
  });

  const anyPlot = fc.record({
    most: fc.constantFrom(0.8, 4, 37, 260, 999, 3000, 87_000),
    high: fc.constantFrom(0.4, 1, 2.9, 5.5, 11, 48, 100),
    shape: fc.double({ min: 0.3, max: 4, noNaN: true }),
    rise: fc.double({ min: 0, max: 0.9, noNaN: true }),
    given: fc.integer({ min: 2, max: 8 }),
    hasValve: fc.boolean(),
    words: fc.constantFrom('settles', '1790 L/h at 1.66 m', 'where the water settles with the valve as it is set, 1790 L/h at 1.66 m'),
  }).map(({ most, high, shape, rise, given, hasValve, words }): PumpPlot => {
    const pump = (share: number) => high * (1 - share ** shape);
    const point = (share: number, head: number) => ({ flow: share * most, head });
    const shares = Array.from({ length: 31 }, (_, at) => at / 30);
    const throttled = shares.map((share) => point(share, pump(share) * (1 - share / 3)));
    const system = (share: number) => high * (rise + 0.8 * share * share);
    const meets = shares.find((share) => system(share) >= pump(share)) ?? 1;
    return {
      flowTitle: 'flow, L/h',
      headTitle: 'head, m',
      curves: [{ name: 'pump', kind: 'pump', points: shares.map((share) => point(share, pump(share))) }, ...(hasValve ? [{ name: 'pump behind its valve', kind: 'throttled', points: throttled } as const] : []), { name: 'what the pipes ask for', kind: 'system', points: shares.map((share) => point(share, system(share))) }],
      given: Array.from({ length: given }, (_, at) => point(at / (given - 1), pump(at / (given - 1)))),
      meets: { ...point(meets, pump(meets)), words },
    };
  });

  test('every point lies where the axes say, ticks are round, and nothing lies over words', () => {
    fc.assert(
      fc.property(anyPlot, fc.constantFrom(186, 191.9, 273), (made, width) => {
        const box = { ...frame, right: frame.left + width };
        const shown = pumpPlot(made, box, setter);
        const { marks } = shown;
        const { flow, head, flows, heads, numbers } = readAxes(marks);
        const [mostFlow, mostHead] = [Math.max(...flows), Math.max(...heads)];
        const expectAt = ({ x, y }: Point, point: { flow: number; head: number }) => {
          expect(Math.abs(flow(x) - point.flow)).toBeLessThan(mostFlow * 1e-6);
          expect(Math.abs(head(y) - point.head)).toBeLessThan(mostHead * 1e-6);
        };
        const circles = marks.filter((mark): mark is Circle => mark.kind === 'circle');
        expect(circles).toHaveLength(made.given.length);
        circles.forEach(({ center }, at) => expectAt(center, made.given[at] as PumpPlot['meets']));
        const paths = marks.filter(isPath).filter(({ isClosed }) => !isClosed);
        expect(paths).toHaveLength(made.curves.length);
        paths.forEach(({ points }, at) => points.forEach((point, index) => expectAt(point, made.curves[at]?.points[index] as PumpPlot['meets'])));
        const arms = marks.filter((mark) => mark.kind === 'line').filter(({ pen }) => pen.width === 0.5);
        expect(arms).toHaveLength(2);
        for (const { a, b } of arms) expectAt({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 }, made.meets);
        expectRound(flows);
        expectRound(heads);
        numbers.forEach((one, at) => { for (const other of numbers.slice(at + 1)) expect(sharedArea(markBounds(one), markBounds(other))).toBe(0); });
        expectWithin(marks, box);
        // Light grid lines are covered behind words.
        expectWordsFree(marks, strokesOf(marks.filter((mark) => mark.kind !== 'line' || mark.pen.gray < 0.7)));
        for (const { name } of made.curves) expect(wordsIn(shown)).toContain(name);
        expect(wordsIn(shown).replace(/\s+/g, ' ')).toContain(made.meets.words);
      }),
      { numRuns: 150 },
    );
  });

  test('a name stands nearer to its own curve than to any other', () => {
    const apart = (box: Rect, points: readonly Point[]) => Math.min(...points.flatMap((a, at) => { const b = points[at + 1] ?? a; return Array.from({ length: 21 }, (_, step) => ({ x: a.x + ((b.x - a.x) * step) / 20, y: a.y + ((b.y - a.y) * step) / 20 })); }).map(({ x, y }) => Math.hypot(Math.max(box.left - x, 0, x - box.right), Math.max(box.bottom - y, 0, y - box.top))));
    fc.assert(
      fc.property(anyPlot, (made) => {
        const { marks } = pumpPlot(made, frame, setter);
        const paths = marks.filter(isPath).filter(({ isClosed }) => !isClosed);
        made.curves.forEach(({ name }, at) => {
          const found = marks.filter(isText).find(({ text }) => text === name);
          if (!found) return;
          const box = markBounds(found);
          const own = apart(box, paths[at]?.points ?? []);
          paths.forEach(({ points }, other) => { if (other !== at) expect(apart(box, points)).toBeGreaterThan(own); });
        });
      }),
      { numRuns: 60 },
    );
  });
});

describe('pages', () => {
  test('say what they are, the verdict, and the cautions near the top of the first page', () => {
    const [first] = pagesOf() as [Page];
    const words = wordsOf([first]);
    expect(words.startsWith('Fern terrace, two tiers over a sump Flow of water, an estimate for planning')).toBe(true);
    expect(words).toContain(content.verdict);
    for (const caution of content.cautions) {
      const { at } = linesOf(first).find(({ text }) => text === caution) as Text;
      expect(at.y).toBeGreaterThan(297 * 0.7);
    }
  });

  test('empty tables are left out, with their words', () => {
    const words = wordsOf(pagesOf());
    expect(words).toContain('Shared by the losses of each way.');
    for (const left of ['Weirs', 'None is told.', 'Sump']) expect(words).not.toContain(left);
  });

  test('a diagram for which the first page has no room stands behind the tables', () => {
    const tanks = Array.from({ length: 8 }, (_, at) => ({ name: `tier ${at + 1}`, words: ['in 1800 L/h'], weirs: [{ name: 'weir box', words: '12 mm over its crest' }] }));
    const pipes = Array.from({ length: 30 }, (_, at) => pipe(at % 8, 'sump', `drain ${at + 1}`, 'carries 240 L/h', { isSpare: at > 15 }));
    const isFirst = (pages: readonly Page[]) => wordsOf(pages).indexOf('Not to scale') < wordsOf(pages).indexOf('Returns tank');
    const [high, low] = [pagesOf({ diagram: { ...terrace, tanks, pipes } }, paperOf('Letter')), pagesOf({}, paperOf('Letter'))];
    expect(isFirst(low)).toBe(true);
    expect(isFirst(high)).toBe(false);
    expect(wordsOf(high.slice(0, 1))).toContain('Returns');
    expect(wordsOf(high)).toContain('Not to scale');
  });

  test('without a plot, findings and notes there are no headings of theirs', () => {
    const words = wordsOf(pagesOf({ plot: null, findings: [], notes: [] }));
    for (const heading of ['Pump and pipes', 'Findings', 'Notes']) expect(words).not.toContain(heading);
  });

  test('a draft says so on every page', () => {
    const pages = pagesOf({}, paperOf('A4'), { ...titled, isDraft: true });
    for (const page of pages) expect(wordsOf([page])).toContain('DRAFT, DO NOT DRILL');
  });

  test('the same content makes the same pages', () => {
    expect(pagesOf()).toEqual(pagesOf());
  });

  test('more cautions than a frame holds are still said, all of them', () => {
    const cautions = Array.from({ length: 60 }, (_, at) => `Caution ${at + 1}: keep the water where it belongs.`);
    const words = wordsOf(pagesOf({ cautions }));
    for (const caution of cautions) expect(words).toContain(caution);
  });

  test('on all papers, however long the tables are: within the margins, nothing over words, no heading alone at the foot', () => {
    fc.assert(
      fc.property(fc.constantFrom('A4', 'Letter', 'A3', 'Legal'), fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 4, size: 'max' }), fc.integer({ min: 0, max: 12 }), fc.integer({ min: 0, max: 8 }), fc.boolean(), (name, lengths, findings, notes, isLong) => {
        const paper = paperOf(name as keyof typeof papers);
        const cell = isLong ? 'carries less than comes in, so the water rises until it runs over the rim of the tank' : '2400 L/h';
        const pages = pagesOf({
          tables: lengths.map((length, at) => ({ heading: `Heading ${at + 1}`, rows: [['title one', 'title two', 'title three'], ...Array.from({ length }, (_, row) => [`tank ${row + 1}`, cell, cell])], words: ['Words below.'] })),
          findings: Array.from({ length: findings }, (_, at) => [`what ${at + 1}`, `fix ${at + 1}: ${cell}`, 'a source']),
          notes: Array.from({ length: notes }, (_, at) => `note ${at + 1}: ${cell}`),
        }, paper);
        const inner = { left: 12, right: paper.width - 12, bottom: 12, top: paper.height - 12 };
        for (const page of pages) {
          const marks = marksOf([page]);
          expectWithin(marks, grown(inner, 0.2));
          const lines = linesOf(page);
          const last = lines[lines.length - 1] as Text;
          expect(last.size === 4 && last.weight === 'bold', `${last.text} alone at the foot`).toBe(false);
          expect(/^(title|what)/.test(last.text), `${last.text} alone at the foot`).toBe(false);
        }
        const all = marksOf(pages).filter(isText).map(({ text }) => text);
        lengths.forEach((_, at) => expect(all.filter((text) => text === `Heading ${at + 1}`)).toHaveLength(1));
      }),
      { numRuns: 60 },
    );
  });
});
