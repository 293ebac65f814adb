/** Guide boards over random panels, against plain geometry written here and in random-panels.ts. Lengths in mm. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan, Point } from '../../src/plan/plan.ts';
import { chooseBoards, type Board, type Stop } from '../../src/render/board.ts';
import { drawBoard, type BoardPlan } from '../../src/render/board-draw.ts';
import { boardPages, type BoardPages } from '../../src/render/board-pages.ts';
import { makeJig } from '../../src/jig.ts';
import type { Circle, Line, Text } from '../../src/render/mark.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { checkPlan } from '../../src/report.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';
import { anyPanel, boxCorners, cornersOf, depthOf, distanceToSegment, distanceToShape, insetRing, isInside, onPaper, sidesOf, type Made } from './random-panels.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Frag shelf']);
});

/** Bit and board: 0.5 mm of play in diameter, 40 mm of wood around (common practice, no source). */
const [play, wood] = [0.5, 40];

interface Job {
  readonly made: Made;
  readonly plan: Plan;
  readonly refused: ReadonlySet<string>;
  readonly boards: readonly Board[];
  readonly without: readonly string[];
  /** What a board meets on the drilled face, edge by edge, as one looks at it; and how far inside the true edge that is. */
  readonly ring: readonly Point[];
  readonly insets: readonly number[];
}

/** What stands on the drilled face along an edge: a rim, or on the inside, where the spec measures from it, a neighbouring panel. */
function insetOf({ outline, rim, neighbours, measuredFrom, face }: Made, index: number): number {
  const sides = sidesOf(outline[index] as Point, outline[(index + 1) % outline.length] as Point);
  const neighbour = face === 'inside' && measuredFrom === 'inside' ? Math.max(...sides.map((side) => neighbours[side])) : 0;
  return Math.max(neighbour, ...sides.map((side) => rim[side]));
}

function jobOf(made: Made): Job {
  const plan = planOf(made.spec);
  const refused = new Set([...checkPlan(plan).byHole].filter(([, verdict]) => verdict === 'refused').map(([name]) => name));
  const { boards, without } = chooseBoards(plan, refused);
  const insets = made.outline.map((_, index) => insetOf(made, index));
  const ring = insetRing(made.outline, (index) => insets[index] as number).map((p) => onPaper(made, p));
  return { made, plan, refused, boards, without: without.map(({ name }) => name), ring, insets };
}

function forAll(panels: fc.Arbitrary<Made>, property: (job: Job) => void, numRuns = 100): void {
  fc.assert(fc.property(panels, (made) => property(jobOf(made))), { numRuns });
}

const pairs = (ring: readonly Point[]) => ring.map((a, index) => [a, ring[(index + 1) % ring.length] as Point] as const);
const distanceToLine = (p: Point, [a, b]: readonly [Point, Point]) => Math.abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / Math.hypot(b.x - a.x, b.y - a.y);

/** Every piece a stop covers lies on one line of the ring: its index. */
function lineOf({ ring }: Job, { kind, a, b, line }: Stop): number {
  if (kind === 'tape') return ring.findIndex((p) => Math.hypot(p.x - line.a.x, p.y - line.a.y) < 1e-6);
  return pairs(ring).findIndex(([p, q]) => distanceToSegment(a, p, q) < 1e-6 && distanceToSegment(b, p, q) < 1e-6);
}

const holeOf = ({ made }: Job, name: string) => made.holes.find((one) => one.name === name) as Made['holes'][number];
const panels = anyPanel({ holes: 12 });

function pagesOf(plan: Plan, refused: ReadonlySet<string> = new Set()): BoardPages {
  const jig = makeJig(plan, checkPlan(plan), setter, { isDraft: true });
  if ('problem' in jig) throw new Error(jig.problem);
  const words = { title: plan.title, face: plan.face, lies: '', orientation: { at: { x: 0, y: 0 }, inwards: { x: 0, y: -1 }, along: { x: 1, y: 0 }, hasWords: false, sink: 0, edge: 'top edge', end: 'left' as const }, visible: plan.bounds, outline: null, printer: '', panel: '', fingerprint: '0000-0000', isDraft: false };
  const pages = boardPages(plan, jig.layout, refused, words, setter);
  if ('problem' in pages) throw new Error(pages.problem);
  return pages;
}

describe('guide boards on random panels', () => {
  test('every hole that is not refused has one board hole; a hole without a board is told, and rare', () => {
    let [holes, missing] = [0, 0];
    forAll(anyPanel({ holes: 12, isSound: false }), ({ made, refused, boards, without }) => {
      const expected = made.holes.map(({ name }) => name).filter((name) => !refused.has(name)).sort();
      expect([...boards.flatMap((board) => board.holes.map(({ name }) => name)), ...without].sort()).toEqual(expected);
      holes += expected.length;
      missing += without.length;
    });
    expect(holes).toBeGreaterThan(100);
    expect(missing).toBeLessThan(0.02 * holes);
  });

  test('each board hole lies as far from what the board is laid to as the hole of the panel does', () => {
    const kinds = new Set<string>();
    forAll(panels, (job) => {
      for (const { holes, stops } of job.boards) {
        for (const stop of stops) {
          kinds.add(stop.kind);
          const index = lineOf(job, stop);
          expect(index).toBeGreaterThanOrEqual(0);
          const line = pairs(job.ring)[index] as readonly [Point, Point];
          // A fence butts against a free edge; a board's own side against what stands on the face.
          if (stop.kind !== 'tape') expect(stop.kind).toBe((job.insets[index] as number) > 0 ? 'flush' : 'fence');
          // An end that a tape sets is a whole millimetre, or sixteenth of an inch, from its line.
          const step = job.made.units === 'in' ? 25.4 / 16 : 1;
          if (stop.kind === 'tape') for (const p of [stop.a, stop.b]) expect(Math.abs(distanceToLine(p, line) / step - Math.round(distanceToLine(p, line) / step))).toBeLessThan(1e-6);
          for (const { name } of holes) {
            const { x, y } = onPaper(job.made, holeOf(job, name).center);
            const away = (x - stop.line.a.x) * stop.line.inwards.x + (y - stop.line.a.y) * stop.line.inwards.y;
            expect(Math.abs(Math.abs(away) - distanceToLine({ x, y }, line))).toBeLessThan(1e-6);
          }
        }
      }
    });
    expect([...kinds].sort()).toEqual(['fence', 'flush', 'tape']);
  });

  test('what is drawn: one circle 0.5 mm wider than the bit at each hole\'s place, the fence on the panel\'s edge', () => {
    forAll(anyPanel({ holes: 5 }), (job) => {
      for (const one of pagesOf(job.plan, job.refused).plans) {
        const marks = drawBoard(one, job.plan, setter);
        const circles = marks.filter((mark): mark is Circle => mark.kind === 'circle' && mark.layer === 'hole');
        expect(circles).toHaveLength(one.board.holes.length);
        for (const { name } of one.board.holes) {
          const hole = holeOf(job, name);
          const { x, y } = onPaper(job.made, hole.center);
          expect(circles.filter(({ center, radius }) => Math.hypot(center.x - x, center.y - y) < 1e-6 && Math.abs(2 * radius - hole.diameter - play) < 1e-9)).toHaveLength(1);
        }
        const edges = pairs(job.made.outline.map((p) => onPaper(job.made, p)));
        const fences = marks.filter((mark): mark is Line => mark.kind === 'line' && mark.layer === 'rim');
        expect(fences).toHaveLength(one.board.stops.filter(({ kind }) => kind === 'fence').length);
        for (const { a, b } of fences) expect(edges.some(([p, q]) => distanceToSegment(a, p, q) < 1e-6 && distanceToSegment(b, p, q) < 1e-6)).toBe(true);
      }
    }, 40);
  });

  test('is solid for 40 mm around each hole, but for a side at a rim or neighbouring panel; there the board still closes', () => {
    let thin = 0;
    forAll(panels, (job) => {
      const standing = pairs(job.ring).filter((_, index) => (job.insets[index] as number) > 0);
      for (const { holes, outline } of job.boards) {
        for (const { name } of holes) {
          const hole = holeOf(job, name);
          const center = onPaper(job.made, hole.center);
          expect(isInside(center, outline)).toBe(true);
          for (const [a, b] of pairs(outline)) {
            const left = distanceToLine(center, [a, b]) - (hole.diameter + play) / 2;
            const isStopped = standing.some((line) => distanceToLine(a, line) < 2.001 && distanceToLine(b, line) < 2.001);
            expect(left).toBeGreaterThan(isStopped ? 0 : wood - 1e-6);
            if (left < wood - 1e-6) thin += 1;
          }
        }
      }
    });
    expect(thin).toBeGreaterThan(0);
  });

  test('lies on no rim and no neighbouring panel, and its fences hang free beyond the edge', () => {
    forAll(panels, ({ made, boards, ring, insets }) => {
      const outline = made.outline.map((p) => onPaper(made, p));
      for (const board of boards) {
        pairs(ring).forEach((line, index) => {
          if ((insets[index] as number) > 0) expect(depthOf(board.outline, line)).toBeLessThan(0.05);
        });
        for (const { kind, a, b, line } of board.stops) {
          if (kind !== 'fence') continue;
          for (let share = 0.1; share < 0.95; share += 0.1) {
            for (const out of [1, 10, 20, 29]) {
              const at = { x: a.x + share * (b.x - a.x) - line.inwards.x * out, y: a.y + share * (b.y - a.y) - line.inwards.y * out };
              expect(isInside(at, outline)).toBe(false);
              // At a slanted end the strip is cut off slantwise, with the board.
              if (out === 1) expect(isInside(at, board.outline)).toBe(true);
            }
          }
        }
      }
    });
  });

  test('is held by two lines that cross at 30 degrees or more, 40 mm of each, or the whole of a short one', () => {
    forAll(panels, (job) => {
      for (const { stops: [p, q] } of job.boards) {
        expect(Math.abs(p.line.inwards.x * q.line.inwards.y - p.line.inwards.y * q.line.inwards.x)).toBeGreaterThan(0.4999);
        const lengths = [p, q].filter(({ kind }) => kind !== 'tape').map(({ a, b }) => Math.hypot(b.x - a.x, b.y - a.y)).sort((m, n) => m - n);
        for (const length of lengths) expect(length).toBeGreaterThan(19.9);
        if (lengths.length === 2 && (lengths[0] as number) < 40) expect(lengths[1]).toBeGreaterThanOrEqual(80);
        if (lengths.length === 1) expect(lengths[0]).toBeGreaterThanOrEqual(80);
      }
    });
  });

  test('on a bare rectangle a single hole is laid to the corner that needs the least board, found by trying all four', () => {
    const numbers = fc.record({ width: fc.integer({ min: 300, max: 1600 }), height: fc.integer({ min: 300, max: 1600 }), across: fc.double({ min: 0.1, max: 0.9, noNaN: true }), up: fc.double({ min: 0.1, max: 0.9, noNaN: true }), diameter: fc.integer({ min: 10, max: 60 }) });
    const seen = new Set<string>();
    fc.assert(fc.property(numbers, ({ width, height, across, up, diameter }) => {
      const [x, y] = [Math.round(width * across), Math.round(height * up)];
      const plan = planOf(`
title: Snail hatchery
units: mm
panel: {material: acrylic, width: ${width}, height: ${height}, thickness: 6}
holes: [{name: a, diameter: ${diameter}, from-left: ${x}, from-bottom: ${y}}]`);
      const [{ stops }] = chooseBoards(plan, new Set()).boards as [Board];
      const reach = (away: number) => away + (diameter + play) / 2 + wood;
      const corners = (['left', 'right'] as const).flatMap((side) => (['bottom', 'top'] as const).map((end) => ({ names: [`${side} edge`, `${end} edge`], over: [side === 'left' ? x : width - x, end === 'bottom' ? y : height - y] as [number, number] })));
      const near = corners.filter(({ over: [u, v] }) => Math.max(reach(u), reach(v)) <= 599);
      if (near.length === 0) {
        if (corners.every(({ over: [u, v] }) => Math.max(reach(u), reach(v)) > 601)) expect(stops.some(({ kind }) => kind === 'tape')).toBe(true);
        return;
      }
      // Strips for fences: 30 mm, or what leaves 40 mm of wood.
      const size = ([u, v]: readonly [number, number]) => [u, v].reduce((area, away) => area * (Math.max(100, Math.ceil(reach(away))) + Math.max(30, Math.ceil(wood + (diameter + play) / 2 - away))), 1);
      const least = Math.min(...near.map(({ over }) => size(over)));
      const chosen = corners.find(({ names }) => names.every((name) => stops.some(({ line }) => line.name === name)));
      expect(stops.map(({ kind }) => kind)).toEqual(['fence', 'fence']);
      expect(size((chosen as (typeof corners)[number]).over)).toBeLessThan(least + 1e-6);
      seen.add((chosen as (typeof corners)[number]).names.join());
    }));
    expect(seen.size).toBe(4);
  });

  test('no words are cut short, and with few holes none lie over each other or over circles', () => {
    forAll(anyPanel({ holes: 2, least: 400, diameter: 50, papers: ['A4', 'Letter', 'A3'] }), ({ plan, refused }) => {
      for (const one of pagesOf(plan, refused).plans) {
        const marks = drawBoard(one, plan, setter);
        const words = marks.filter((mark): mark is Text => mark.kind === 'text' && mark.text !== '');
        for (const mark of words) expect(mark.text).not.toContain('…');
        // Both lines that it is laid to are named along them.
        for (const { line: { name } } of one.board.stops) expect(words.filter((mark) => mark.layer === 'panel' && mark.text.includes(name)).length).toBeGreaterThan(0);
        const circles = marks.filter((mark): mark is Circle => mark.kind === 'circle');
        words.forEach((word, index) => {
          for (const other of words.slice(index + 1)) expect(depthOf(cornersOf(word), cornersOf(other)), `${word.text} / ${other.text}`).toBeLessThan(0.3);
          for (const { center, radius } of circles) expect(Math.min(...cornersOf(word).map((p) => Math.hypot(p.x - center.x, p.y - center.y)))).toBeGreaterThan(radius - 1e-6);
        });
      }
    }, 40);
  });

  test('every sheet of a board shows a part of it, and together they show each circle whole', () => {
    forAll(anyPanel({ holes: 4 }), ({ plan, refused }) => {
      const { plans, pages } = pagesOf(plan, refused);
      const sheets = plans.flatMap(({ layout }) => layout.cells);
      expect(pages.slice(pages.length - sheets.length).map(({ name }) => name)).toEqual(sheets.map(({ name }) => name));
      expect(new Set(sheets.map(({ name }) => name)).size).toBe(sheets.length);
      for (const { board, plan: own, layout } of plans) {
        for (const { window } of layout.cells) expect(depthOf(boxCorners(window), board.outline)).toBeGreaterThan(0);
        for (const { center, diameter } of own.holes) {
          for (let degrees = 0; degrees < 360; degrees += 5) {
            const at = { x: center.x + (diameter / 2) * Math.cos((degrees * Math.PI) / 180), y: center.y + (diameter / 2) * Math.sin((degrees * Math.PI) / 180) };
            expect(layout.cells.some(({ window: { left, right, bottom, top } }) => at.x >= left && at.x <= right && at.y >= bottom && at.y <= top)).toBe(true);
          }
        }
      }
    }, 40);
  });
});

describe('particular panels', () => {
  const wall = (holes: string, rest = '') => planOf(`
title: Coral nursery, long wall
units: mm
panel: {material: acrylic, width: 2400, height: 1500, thickness: 15${rest}}
holes: [${holes}]`);
  const kindsOf = ({ stops }: Board) => stops.map(({ kind }) => kind).sort();
  const wordsOn = (one: BoardPlan, plan: Plan) => drawBoard(one, plan, setter).flatMap((mark) => (mark.kind === 'text' ? [mark.text] : []));

  test('far from every corner one end is set with a tape, in the middle of a wall both; notes and plans say so', () => {
    const plan = wall('{name: weir, diameter: 60, from-left: 1000, from-top: 120}, {name: middle, diameter: 40, from-left: 1200, from-top: 740}');
    const { plans, notes } = pagesOf(plan);
    expect(plans.map(({ board }) => kindsOf(board))).toEqual([['fence', 'tape'], ['tape', 'tape']]);
    expect(notes.join('\n')).toMatch(/No corner within reach of guide board G1 \(weir\): one end is set with a tape measure/);
    expect(notes.join('\n')).toMatch(/No corner within reach of guide board G2 \(middle\): both ends are set/);
    // 1000 - 30.25 - 40 = 929.75, down to a whole millimetre: 36.575 in, by the nearest 1/32 36-9/16.
    expect(wordsOn(plans[0] as BoardPlan, plan)).toContain('set this end with a tape, 929 mm (36-9/16 in) from the left edge');
    expect(wordsOn(plans[0] as BoardPlan, plan)).toContain('71 mm (2.795 in) from end (left edge)');
  });

  test('close holes share a board, far ones do not', () => {
    const plan = wall('{name: a, diameter: 40, from-left: 90, from-top: 90}, {name: b, diameter: 40, from-left: 170, from-top: 90}, {name: c, diameter: 40, from-right: 90, from-top: 90}');
    expect(chooseBoards(plan, new Set()).boards.map(({ holes }) => holes.map(({ name }) => name))).toEqual([['a', 'b'], ['c']]);
  });

  test('the plan names hole, bit, board hole and the distances from both fences', () => {
    const plan = wall('{name: a, diameter: 45, from-left: 90, from-top: 110}');
    const words = wordsOn(pagesOf(plan).plans[0] as BoardPlan, plan);
    expect(words).toEqual(expect.arrayContaining(['a', 'board hole 45.5 mm for bit 45 mm', '90 mm (3.543 in) from fence (left edge)', '110 mm (4.331 in) from fence (top edge)', 'this way to the top edge', 'the OUTSIDE face lies under it']));
  });

  test('where there is little wood to a rim, the label says how little', () => {
    // From the rim line 35 mm to the centre: 35 - 20.25 = 14.75 mm of wood.
    const plan = wall('{name: a, diameter: 40, from-left: 150, from-top: 60}', ', rim: {top: 25}');
    expect(wordsOn(pagesOf(plan).plans[0] as BoardPlan, plan)).toContain('only 14.8 mm of board to rim line (top edge)');
  });

  test('a board over a keep-clear area is told; a corner whose board covers none is preferred', () => {
    const near = '{name: a, diameter: 40, from-left: 300, from-top: 90}';
    const free = pagesOf(wall(near));
    expect(free.notes).toEqual([]);
    const covered = pagesOf(wall(near, ', keep-clear: [{name: heater bracket, from-left: 100, from-top: 60, width: 60, height: 60}]'));
    expect(covered.notes.join()).toContain('lies over heater bracket');
    const beside = pagesOf(wall('{name: a, diameter: 40, from-left: 340, from-top: 340}', ', keep-clear: [{name: heater bracket, from-left: 250, from-top: 100, width: 20, height: 20}]'));
    expect(beside.plans[0]?.board.covers.map(({ name }) => name)).toEqual(['heater bracket']);
  });

  test('names of boards that overlap lie apart on the page that shows them all', () => {
    const plan = planOf(`
title: Frag shelf tank
units: mm
panel: {material: acrylic, width: 438, height: 457, thickness: 9.5}
holes:
  - {name: pass, diameter: 44.5, from-left: 155.5, from-top: 152.4}
  - {name: second pass, diameter: 60.3, from-left: 269.9, from-top: 146}`);
    const { plans, pages } = pagesOf(plan);
    expect(plans.map(({ name }) => name)).toEqual(['G1', 'G2']);
    // Names in the table stand apart from those in the drawing by their size.
    const names = (pages[0] as (typeof pages)[number]).groups.flatMap(({ marks }) => marks).filter((mark): mark is Text => mark.kind === 'text' && mark.size === 3 && /^G\d$/.test(mark.text));
    expect(names.map(({ text }) => text).sort()).toEqual(['G1', 'G2']);
    // 2 mm apart.
    expect(depthOf(cornersOf(names[0] as Text), cornersOf(names[1] as Text))).toBeLessThan(-1.9);
  });

  test("the label of a hole within a keep-clear area is whole on the sheet of the hole", () => {
    // The area takes the board from beside the hole to its far sides: every place near the hole lies over it.
    const plan = planOf(`
title: Coral nursery, hang-on box
units: mm
panel: {material: acrylic, width: 440, height: 460, thickness: 9, keep-clear: [{name: hang-on box, from-left: 90, from-top: 25, width: 255, height: 205}]}
holes: [{name: wide pass, diameter: 60, from-left: 270, from-top: 146}]
sheets: {paper: Letter}`);
    const [one] = pagesOf(plan).plans as [BoardPlan];
    const hole = one.plan.holes[0] as (typeof one.plan.holes)[number];
    const words = drawBoard(one, plan, setter).filter((mark): mark is Text => mark.kind === 'text' && mark.layer === 'label');
    expect(words.map(({ text }) => text)).toEqual(expect.arrayContaining(['wide pass', 'board hole 60.5 mm for bit 60 mm']));
    const { core } = one.layout.cells.find(({ core: { left, right, bottom, top } }) => hole.center.x > left && hole.center.x < right && hole.center.y > bottom && hole.center.y < top) ?? expect.fail();
    for (const word of words) for (const { x, y } of cornersOf(word)) expect([x > core.left, x < core.right, y > core.bottom, y < core.top], word.text).toEqual([true, true, true, true]);
  });

  test('on a narrow board the words of its two tie lines do not lie over each other, and each line is told whole at one end', () => {
    // Both upper crosses stand on one sheet, 71 mm apart and at near one height; whole words of both would need 80 mm and more.
    const plan = planOf(`
title: Coral nursery, slanted end
units: mm
panel:
  material: acrylic
  thickness: 5
  outline: [[0, 0], [400, 0], [340, 360], [160, 400], [0, 280]]
  rim: {top: 6}
holes: [{name: probe, diameter: 8, from-left: 49, from-bottom: 199}]
sheets: {paper: A4, overlap: 10}`);
    const [one] = pagesOf(plan).plans as [BoardPlan];
    const words = drawBoard(one, plan, setter).filter((mark): mark is Text => mark.kind === 'text' && mark.text !== '');
    words.forEach((word, index) => {
      for (const other of words.slice(index + 1)) expect(depthOf(cornersOf(word), cornersOf(other)), `${word.text} / ${other.text}`).toBeLessThan(0);
    });
    const ties = words.filter(({ layer }) => layer === 'tie').map((mark) => mark.text.replace(/:.*/, ''));
    expect(ties).toEqual(expect.arrayContaining(['tie line 1', 'tie line 2', 'tie 2']));
  });

  test('a side with a hole close to it is named along it all the same, beside the hole', () => {
    // Of the side of 100 mm, 42 mm are left before the hole; the name takes some 35 mm.
    const plan = planOf(`
title: Snail hatchery, weir wall
units: mm
panel: {material: acrylic, width: 819, height: 560, thickness: 5, drilled-from: inside, measured-from: inside, joints: {top: 0, right: 0, bottom: 5, left: 0}}
holes: [{name: drip, diameter: 12, from-left: 22, from-bottom: 7}]
sheets: {paper: A4}`);
    const [one] = pagesOf(plan).plans as [BoardPlan];
    const marks = drawBoard(one, plan, setter);
    const words = marks.filter((mark): mark is Text => mark.kind === 'text' && mark.layer === 'panel' && mark.text.includes('inner face at the bottom edge'));
    expect(words).toHaveLength(1);
    for (const { center, radius } of marks.filter((mark): mark is Circle => mark.kind === 'circle')) expect(distanceToShape(center, cornersOf(words[0] as Text))).toBeGreaterThan(radius);
  });

  test('between rims all round a board still moves: 2 mm of play at the side that it is not pushed to', () => {
    const plan = planOf(`
title: Narrow sump lid
units: mm
panel: {material: acrylic, width: 500, height: 140, thickness: 8, rim: {top: 20, right: 20, bottom: 20, left: 20}}
holes: [{name: a, diameter: 30, from-left: 80, from-bottom: 70}]`);
    const [board] = chooseBoards(plan, new Set()).boards as [Board];
    const ys = board.outline.map(({ y }) => y);
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(98, 9);
    expect([Math.min(...ys) - 20, 120 - Math.max(...ys)].map((gap) => Math.round(gap)).sort()).toEqual([0, 2]);
  });

  test('a refused hole gets no board hole, and makes no page', () => {
    const plan = planOf(`
title: Frag shelf, first plan
units: mm
panel: {material: toughened glass, width: 500, height: 400, thickness: 8}
holes: [{name: a, diameter: 30, from-left: 80, from-bottom: 70}]`);
    const jig = makeJig(plan, checkPlan(plan), setter, { isDraft: true, isBoard: true, isMask: true });
    if ('problem' in jig) throw new Error(jig.problem);
    expect(jig.board).toEqual([]);
    expect(jig.mask).toEqual([]);
  });

  test('without being asked for, a jig has neither boards nor masks', () => {
    const plan = wall('{name: a, diameter: 45, from-left: 90, from-top: 110}');
    const jig = makeJig(plan, checkPlan(plan), setter);
    if ('problem' in jig) throw new Error(jig.problem);
    expect([jig.board, jig.boards, jig.mask]).toEqual([[], [], []]);
  });

  test('200 holes have their boards', () => {
    const holes = Array.from({ length: 200 }, (_, index) => `{name: h${index}, diameter: ${10 + (index % 5) * 4}, from-left: ${60 + ((index * 7919) % 2280)}, from-bottom: ${60 + ((index * 104729) % 1380)}}`);
    const plan = wall(holes.join(', '));
    const { boards } = chooseBoards(plan, new Set());
    expect(boards.flatMap((board) => board.holes)).toHaveLength(200);
  });
});
