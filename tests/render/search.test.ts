/**
 * The search for the best division, against every division there is: on fields of whole millimetres all runs, all sheets
 * of each run and all gaps are tried one by one. Costs are counted here anew, from the words that describe them.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bestDivision, type Cost, type Division, type Field, type Room, type Run, type Span, type Stretch } from '../../src/render/search.ts';
import { convexPolygon, starPolygon } from '../geometry/polygons.ts';

type Corner = readonly [u: number, v: number];

/** Lines round a polygon. */
function ring(corners: readonly Corner[]): Stretch[] {
  return corners.map(([u, v], index) => {
    const [nextU, nextV] = corners[(index + 1) % corners.length] as Corner;
    return { from: { u, v }, to: { u: nextU, v: nextV } };
  });
}

const rectangle = (width: number, height: number) => ring([[0, 0], [width, 0], [width, height], [0, height]]);
const hole = (u: number, v: number, along: number, across = along) => ({ u: { lo: u, hi: u + along }, v: { lo: v, hi: v + across } });
const span = (lo: number, hi: number): Span => ({ lo, hi });

// ---------------------------------------------------------------- costs, by their words

/** Cuts, sheets, lines, chain: in the order in which they are compared. */
type Tuple = readonly [number, number, number, number];

const none: Tuple = [0, 0, 0, 0];
const sum = (tuples: readonly Tuple[]): Tuple => tuples.reduce((a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]], none);
const isLess = (a: Tuple, b: Tuple): boolean => {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at >= 0 && (a[at] as number) < (b[at] as number);
};
const tupleOf = ({ cuts, sheets, lines, chain }: Cost): Tuple => [cuts, sheets, lines, chain];

/** Floating point may be off by this, mm. */
const near = 1e-6;
const count = <T>(things: readonly T[], isCounted: (thing: T) => boolean) => things.filter(isCounted).length;
const middleOf = ({ lo, hi }: Span) => (lo + hi) / 2;
const cuts = (seam: number, { lo, hi }: Span) => lo < seam - near && hi > seam + near;

/**
 * What the seams along one way cost: holes that they cut, lines that they run along within 3 mm, and for each hole the
 * seams (or gaps) between it and the end that its middle is nearer to, the far end where it is in the very middle.
 */
function seamsCost(seams: readonly number[], gaps: readonly Span[], holes: readonly Span[], lines: readonly number[], whole: Span): Tuple {
  const chainOf = (box: Span) => {
    const isBetween = middleOf(box) < middleOf(whole) ? (hi: number, _lo: number) => hi <= box.lo + near : (_hi: number, lo: number) => lo >= box.hi - near;
    return count(seams, (seam) => isBetween(seam, seam)) + count(gaps, ({ lo, hi }) => isBetween(hi, lo));
  };
  return [
    seams.reduce((total, seam) => total + count(holes, (box) => cuts(seam, box)), 0),
    0,
    seams.reduce((total, seam) => total + count(lines, (line) => Math.abs(line - seam) < 3 - near), 0),
    holes.reduce((total, box) => total + chainOf(box), 0),
  ];
}

/** What lies on a run: spans along it, and the places of the lines across it. */
interface Strip {
  readonly holes: readonly Span[];
  readonly lines: readonly Span[];
  readonly across: readonly number[];
  /** From the start of the first core to the end of the last. */
  readonly whole: Span;
}

const isAlong = ({ from, to }: Stretch) => from.v === to.v && Math.abs(from.u - to.u) > 10;
const isAcross = ({ from, to }: Stretch) => from.u === to.u && Math.abs(from.v - to.v) > 10;

/** Only for lines along u or v. A line on the seam between two runs is the later one's. */
function stripOf({ lines, holes }: Field, v: Span, isFirst: boolean, isLast: boolean, inset: number): Strip {
  const [from, to] = [isFirst ? -Infinity : v.lo, isLast ? Infinity : v.hi];
  const on = lines.filter((line) => Math.min(line.from.v, line.to.v) < to - near && Math.max(line.from.v, line.to.v) > from - near);
  const spans = on.map((line) => span(Math.min(line.from.u, line.to.u), Math.max(line.from.u, line.to.u)));
  const start = Math.min(...spans.map(({ lo }) => lo)) + inset;
  return {
    holes: holes.filter((box) => box.v.lo < to - near && box.v.hi > from + near).map(({ u }) => u),
    lines: spans,
    across: on.filter(isAcross).map((line) => line.from.u),
    whole: span(start, Math.max(start, Math.max(...spans.map(({ hi }) => hi)) - inset)),
  };
}

function stripCost(cells: readonly Span[], { holes, across, whole }: Strip): Tuple {
  const [seams, gaps]: [number[], Span[]] = [[], []];
  cells.slice(1).forEach(({ lo }, index) => {
    const { hi } = cells[index] as Span;
    if (lo - hi < near) seams.push(hi);
    else gaps.push(span(hi, lo));
  });
  return sum([seamsCost(seams, gaps, holes, across, whole), [0, cells.length, 0, 0]]);
}

const isFree = (gap: Span, { lines, holes }: Strip) => [...lines, ...holes].every(({ lo, hi }) => hi <= gap.lo + near || lo >= gap.hi - near);
const isMet = (part: Span, { lines }: Strip) => lines.some(({ lo, hi }) => lo <= part.hi + near && hi >= part.lo - near);

/** All of the field across the runs. */
function wholeOf({ lines }: Field, { inset }: Room): Span {
  const levels = lines.flatMap(({ from, to }) => [from.v, to.v]);
  const start = Math.min(...levels) + inset;
  return span(start, Math.max(start, Math.max(...levels) - inset));
}

function acrossCost(field: Field, room: Room, seams: readonly number[]): Tuple {
  return seamsCost(seams, [], field.holes.map(({ v }) => v), field.lines.filter(isAlong).map(({ from }) => from.v), wholeOf(field, room));
}

// ---------------------------------------------------------------- every division

/** The least cost of one run: every way to lay sheets on it, left out only where the first of them already cost too much. */
function leastOfStrip(strip: Strip, { along, least }: Room): Tuple {
  const { whole } = strip;
  let best: Tuple = [Infinity, 0, 0, 0];
  const go = (cells: readonly Span[], place: number, isGapOpen: boolean): void => {
    const [cut, sheets] = stripCost(cells, strip);
    if (isLess(best, [cut, sheets + 1, 0, 0])) return;
    if (whole.hi - place <= along && (whole.hi - place >= least || cells.length === 0)) {
      const cost = stripCost([...cells, span(place, whole.hi)], strip);
      if (isLess(cost, best)) best = cost;
    }
    for (let to = Math.min(place + along, whole.hi - least); to >= place + least; to -= 1) {
      const cell = span(place, to);
      const isStillOpen = isGapOpen && !isMet(cell, strip);
      go([...cells, cell], to, isStillOpen);
      if (isStillOpen) continue;
      for (let next = to + least + 1; next <= whole.hi - least; next += 1) if (isFree(span(to, next), strip)) go([...cells, cell], next, true);
    }
  };
  go([], whole.lo, false);
  return best;
}

/** The least cost of a field: every division across, and the least cost of each of its runs. */
function leastOf(field: Field, room: Room): Tuple {
  const whole = wholeOf(field, room);
  const known = new Map<string, Tuple>();
  const runCost = (v: Span) => {
    const strip = stripOf(field, v, v.lo === whole.lo, v.hi === whole.hi, room.inset);
    const key = JSON.stringify(strip);
    const cost = known.get(key) ?? leastOfStrip(strip, room);
    known.set(key, cost);
    return cost;
  };
  let best: Tuple = [Infinity, 0, 0, 0];
  const go = (seams: readonly number[], place: number, soFar: Tuple): void => {
    const [cut, sheets] = sum([soFar, acrossCost(field, room, seams)]);
    if (isLess(best, [cut, sheets + 1, 0, 0])) return;
    if (whole.hi - place <= room.across && (whole.hi - place >= room.least || seams.length === 0)) {
      const cost = sum([soFar, runCost(span(place, whole.hi)), acrossCost(field, room, seams)]);
      if (isLess(cost, best)) best = cost;
    }
    for (let to = Math.min(place + room.across, whole.hi - room.least); to >= place + room.least; to -= 1) {
      go([...seams, to], to, sum([soFar, runCost(span(place, to))]));
    }
  };
  go([], whole.lo, none);
  return best;
}

// ---------------------------------------------------------------- what a division must keep to

/** Whether spans follow each other from start to end, none shorter than `least` (unless alone) or longer than `most`. */
function expectSound(spans: readonly Span[], whole: Span, least: number, most: number): void {
  expect(spans.length).toBeGreaterThan(0);
  expect(spans[0]?.lo).toBeCloseTo(whole.lo, 6);
  expect(spans[spans.length - 1]?.hi).toBeCloseTo(whole.hi, 6);
  for (const { lo, hi } of spans) {
    expect(hi - lo).toBeLessThan(most + near);
    if (spans.length > 1) expect(hi - lo).toBeGreaterThan(least - near);
  }
}

function stripOfRun(field: Field, room: Room, runs: readonly Run[], index: number): Strip {
  return stripOf(field, (runs[index] as Run).v, index === 0, index === runs.length - 1, room.inset);
}

function expectValid({ runs }: Division, field: Field, room: Room): void {
  expectSound(runs.map(({ v }) => v), wholeOf(field, room), room.least, room.across);
  runs.slice(1).forEach(({ v }, index) => expect(v.lo).toBeCloseTo(runs[index]?.v.hi ?? NaN, 6));
  runs.forEach(({ cells }, index) => {
    const strip = stripOfRun(field, room, runs, index);
    expectSound(cells, strip.whole, room.least, room.along);
    let isGapOpen = false;
    cells.forEach((cell, at) => {
      isGapOpen = isGapOpen && !isMet(cell, strip);
      const next = cells[at + 1];
      if (!next || next.lo - cell.hi < near) return expect(next?.lo ?? cell.hi).toBeCloseTo(cell.hi, 6);
      expect(isGapOpen, 'a second gap with no line since the first').toBe(false);
      isGapOpen = true;
      expect(next.lo - cell.hi, 'a gap where the paper on both sides meets').toBeGreaterThan(room.least + 1 - near);
      expect(isFree(span(cell.hi, next.lo), strip), 'something in a gap').toBe(true);
    });
  });
}

/** The cost of a division, counted by its words. */
function costOf({ runs }: Division, field: Field, room: Room): Tuple {
  return sum([acrossCost(field, room, runs.slice(1).map(({ v }) => v.lo)), ...runs.map(({ cells }, index) => stripCost(cells, stripOfRun(field, room, runs, index)))]);
}

/** A division that keeps to all that it must, and costs what it says. */
function expectSoundDivision(field: Field, room: Room): Division {
  const division = bestDivision(field, room);
  expectValid(division, field, room);
  expect(costOf(division, field, room), 'the cost that is told').toEqual(tupleOf(division.cost));
  return division;
}

function expectBest(field: Field, room: Room): Division {
  const division = expectSoundDivision(field, room);
  expect(tupleOf(division.cost), 'the least cost of all').toEqual(leastOf(field, room));
  return division;
}

// ---------------------------------------------------------------- random fields

const whole = (min: number, max: number) => fc.integer({ min, max });

const outline = fc.record({ width: whole(8, 30), height: whole(8, 26), notch: fc.constantFrom('none', 'corner', 'first', 'last', 'early', 'late'), from: whole(2, 12), to: whole(2, 12), depth: whole(2, 24) }).map(({ width: w, height: h, notch, from, to, depth }) => {
  // Arms beside a notch are at least 2 mm wide, what is left behind it too.
  const [u, v] = [Math.min(depth, w - 2), Math.min(depth, h - 2)];
  const [left, right] = [Math.min(from, w - 5), Math.max(Math.min(from, w - 5) + 1, w - to)];
  const [low, high] = [Math.min(from, h - 5), Math.max(Math.min(from, h - 5) + 1, h - to)];
  const corners: Record<string, Corner[]> = {
    none: [[0, 0], [w, 0], [w, h], [0, h]],
    corner: [[0, 0], [left, 0], [left, v], [w, v], [w, h], [0, h]],
    first: [[0, 0], [left, 0], [left, v], [right, v], [right, 0], [w, 0], [w, h], [0, h]],
    last: [[0, 0], [w, 0], [w, h], [right, h], [right, h - v], [left, h - v], [left, h], [0, h]],
    early: [[0, 0], [w, 0], [w, h], [0, h], [0, high], [u, high], [u, low], [0, low]],
    late: [[0, 0], [w, 0], [w, low], [w - u, low], [w - u, high], [w, high], [w, h], [0, h]],
  };
  return { w, h, lines: ring(corners[notch] as Corner[]) };
});

const field: fc.Arbitrary<Field> = outline.chain(({ w, h, lines }) =>
  fc.array(fc.record({ u: whole(0, w - 1), v: whole(0, h - 1), along: whole(1, 10), across: whole(1, 10) }), { maxLength: 5 }).map((boxes) => ({
    lines,
    holes: boxes.map(({ u, v, along, across }) => hole(u, v, Math.min(along, w - u), Math.min(across, h - v))),
  })),
);

const room: fc.Arbitrary<Room> = fc.record({ along: whole(6, 14), across: whole(6, 12), least: whole(2, 3), inset: fc.constantFrom(0, 0, -1, 1, 2) });

describe('random fields', () => {
  test('no division there is costs less, and the one found is sound and costs what it says', () => {
    fc.assert(fc.property(field, room, (where, size) => void expectBest(where, size)), { numRuns: 250 });
  }, 120_000);
});

describe('fields whose best division can be told by eye', () => {
  const tall = { across: 60, least: 2, inset: 0 };
  /** Cells of a field of a single run. */
  const cellsOf = (where: Field, size: Room) => {
    const { runs } = expectBest(where, size);
    expect(runs).toHaveLength(1);
    return runs[0]?.cells ?? [];
  };

  test('what fits one sheet is on one sheet', () => {
    const division = expectBest({ lines: rectangle(14, 12), holes: [hole(3, 3, 8)] }, { along: 14, across: 12, least: 3, inset: 0 });
    expect(division).toEqual({ runs: [{ v: span(0, 12), cells: [span(0, 14)] }], cost: { cuts: 0, sheets: 1, lines: 0, chain: 0 } });
  });

  test('a panel thinner than two insets is one sheet', () => {
    const { runs, cost } = bestDivision({ lines: rectangle(30, 2), holes: [] }, { along: 14, across: 12, least: 3, inset: 2 });
    expect(runs.map(({ v }) => v)).toEqual([span(2, 2)]);
    expect(cost.sheets).toBe(2);
  });

  test('with no hole, as few sheets as cover the length, their seams away from the edges', () => {
    expect(cellsOf({ lines: rectangle(40, 12), holes: [] }, { ...tall, along: 14 })).toHaveLength(3);
    expect(cellsOf({ lines: rectangle(42, 12), holes: [] }, { ...tall, along: 14 }).map(({ hi }) => hi)).toEqual([14, 28, 42]);
    expect(cellsOf({ lines: rectangle(43, 12), holes: [] }, { ...tall, along: 14 })).toHaveLength(4);
  });

  // A hole of length d on cores of length c is cut by at least ceil(d / c) - 1 seams.
  test.each([[13, 0], [14, 0], [15, 1], [28, 1], [29, 2], [42, 2]])('a hole of %i mm on cores of 14 mm is cut %i times', (length, times) => {
    expect(bestDivision({ lines: rectangle(60, 12), holes: [hole(7, 2, length, 8)] }, { ...tall, along: 14 }).cost.cuts).toBe(times);
    expect(bestDivision({ lines: ring([[0, 0], [12, 0], [12, 60], [0, 60]]), holes: [hole(2, 7, 8, length)] }, { along: 60, across: 14, least: 2, inset: 0 }).cost.cuts).toBe(times);
  });

  test('a hole that just fits a core has it for itself, at the price of a sheet', () => {
    const division = expectBest({ lines: rectangle(25, 10), holes: [hole(5, 1, 14, 8)] }, { ...tall, along: 14 });
    expect(division.runs[0]?.cells).toEqual([span(0, 5), span(5, 19), span(19, 25)]);
  });

  test('between two holes that touch, the seam is where they touch', () => {
    const cells = cellsOf({ lines: rectangle(20, 10), holes: [hole(3, 1, 7), hole(10, 1, 7)] }, { ...tall, along: 11 });
    expect(cells).toEqual([span(0, 10), span(10, 20)]);
  });

  test('between two holes that leave a slit, the seam is in the middle of the slit', () => {
    const cells = cellsOf({ lines: rectangle(20, 10), holes: [hole(2, 1, 7), hole(10, 1, 7)] }, { ...tall, along: 12 });
    expect(cells).toEqual([span(0, 9.5), span(9.5, 20)]);
  });

  test('holes that all but coincide leave no gap between sheets', () => {
    for (const off of [1e-8, 5e-8, 9e-8, 1e-7, 1.1e-7, 2e-7, 5e-7, 1e-6]) {
      const holes = [hole(9, 1, 8), hole(9 - off, 1, 8), hole(9 + off / 2, 1, 8)];
      const { runs } = bestDivision({ lines: rectangle(24, 10), holes }, { ...tall, along: 16 });
      expect(runs.map(({ cells }) => cells.length), `${off} mm apart`).toEqual([2]);
      expect(runs[0]?.cells[1]?.lo).toBe(runs[0]?.cells[0]?.hi);
    }
  });

  test('each run has seams of its own where one seam through both would cut', () => {
    // No place is free in both rows of holes, and a run as tall as both cuts one of them.
    const holes = [hole(1, 1, 8), hole(9, 1, 8), hole(5, 11, 8), hole(13, 11, 6, 8)];
    const { runs, cost } = expectBest({ lines: rectangle(20, 20), holes }, { along: 13, across: 12, least: 2, inset: 0 });
    expect(cost).toMatchObject({ cuts: 0, sheets: 4 });
    expect(runs.map(({ cells }) => cells.map(({ hi }) => hi))).toEqual([[9, 20], [expect.any(Number), 20]]);
    expect(runs[1]?.cells[0]?.hi).not.toBe(9);
  });

  test('two runs in a row of the smallest height, where only they spare the holes', () => {
    // A notch between two arms; the seam at 6 lies two smallest runs before the end.
    const lines = ring([[0, 0], [3, 0], [3, 11], [11, 11], [11, 0], [20, 0], [20, 13], [0, 13]]);
    const holes = [hole(0, 0, 1, 5), hole(4, 10, 6, 1), hole(0, 7, 5, 1)];
    expect(expectBest({ lines, holes }, { along: 6, across: 6, least: 3, inset: 1 }).cost).toMatchObject({ cuts: 0, sheets: 10 });
  });

  test('the middle of a wide panel with nothing on it is left out', () => {
    const { runs } = expectSoundDivision({ lines: rectangle(50, 36), holes: [] }, { along: 8, across: 12, least: 2, inset: 0 });
    expect(runs.map(({ cells }) => cells.length)).toEqual([7, 2, 7]);
  });

  test('a run that meets lines four times may have a gap between each two', () => {
    const notch = ring([[0, 0], [25, 0], [25, 30], [45, 30], [45, 0], [70, 0], [70, 36], [0, 36]]);
    const { runs } = expectSoundDivision({ lines: notch, holes: [] }, { along: 8, across: 12, least: 2, inset: 0 });
    expect(runs.map(({ cells }) => cells.length)).toEqual([8, 4, 9]);
    expect(runs[1]?.cells.map(({ lo, hi }) => hi - lo)).toEqual([8, 8, 8, 8]);
  });

  test('a hole in the middle is joined to one side, not left between two gaps', () => {
    const { runs, cost } = expectSoundDivision({ lines: rectangle(50, 36), holes: [hole(20, 16, 4)] }, { along: 8, across: 12, least: 2, inset: 0 });
    expect(cost).toMatchObject({ cuts: 0, sheets: 7 + 4 + 7 });
    expect(runs[1]?.cells).toHaveLength(4);
  });
});

describe('outlines with slanted lines', () => {
  const polygon = fc.oneof(convexPolygon, starPolygon).map((corners) => corners.map(({ x, y }): Corner => [x, y]));
  const holes = fc.array(fc.record({ u: whole(100, 450), v: whole(100, 450), size: whole(5, 120) }).map(({ u, v, size }) => hole(u, v, size)), { maxLength: 12 });
  const sheet = fc.record({ along: whole(90, 260), across: whole(90, 260), least: whole(8, 45) }).map((size): Room => ({ ...size, inset: size.least / 2 - 8 }));

  /** Points every 2 mm along a line. */
  const pointsOn = ({ from, to }: Stretch) => {
    const steps = Math.ceil(Math.hypot(to.u - from.u, to.v - from.v) / 2);
    return Array.from({ length: steps + 1 }, (_, step) => ({ u: from.u + (step / steps) * (to.u - from.u), v: from.v + (step / steps) * (to.v - from.v) }));
  };

  test('sheets show every line, half an overlap round the cores taken in, and keep to their sizes', () => {
    fc.assert(
      fc.property(polygon, holes, sheet, (corners, boxes, size) => {
        const where = { lines: ring(corners), holes: boxes };
        const { runs, cost } = bestDivision(where, size);
        const points = where.lines.flatMap(pointsOn);
        expectSound(runs.map(({ v }) => v), wholeOf(where, size), size.least, size.across);
        expect(cost.sheets).toBe(runs.reduce((total, { cells }) => total + cells.length, 0));
        runs.forEach(({ v, cells }, index) => {
          const [from, to] = [index === 0 ? -Infinity : v.lo, index === runs.length - 1 ? Infinity : v.hi];
          // What lies on the seam between two runs is the later one's.
          const on = points.filter((point) => point.v >= from && point.v < to - near);
          expectSound(cells, span(cells[0]?.lo ?? NaN, cells[cells.length - 1]?.hi ?? NaN), size.least, size.along);
          const isShown = ({ lo, hi }: Span) => cells.some((cell) => cell.lo - size.least / 2 < lo + near && cell.hi + size.least / 2 > hi - near);
          expect(on.filter(({ u }) => !isShown(span(u, u))), `lines not shown on run ${index + 1}`).toEqual([]);
          cells.slice(1).forEach(({ lo }, at) => {
            const { hi } = cells[at] as Span;
            if (lo - hi < near) return;
            expect(lo - hi).toBeGreaterThan(size.least);
            const inGap = on.filter(({ u }) => u > hi + near && u < lo - near);
            expect(inGap).toEqual([]);
            for (const box of boxes) if (box.v.lo < to && box.v.hi > from) expect(box.u.hi <= hi + near || box.u.lo >= lo - near, 'a hole in a gap').toBe(true);
          });
        });
      }),
      { numRuns: 300 },
    );
  });
});
