/**
 * Rows, repeats and mirrors: what one entry stands for. The oracle works on the panel's coordinates, not on distances:
 * even gaps, translation and reflection.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBuild, readPlan } from '../../src/plan/build.ts';
import type { Plan, PlannedHole, Point, Rect } from '../../src/plan/plan.ts';
import { checkPlan, fingerprint } from '../../src/report.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { coordinate } from '../geometry/polygons.ts';

const size = { width: 900, height: 500 };
/** A panel for a snail hatchery's manifold, of 900 by 500 mm, with strips on all sides. */
const manifold = (entries: string, measuredFrom = 'edges') => `title: Snail hatchery, manifold
units: mm
panel:
  material: acrylic
  width: ${size.width}
  height: ${size.height}
  thickness: 10
  measured-from: ${measuredFrom}
  rim: {top: 20, right: 14, bottom: 25, left: 12}
  joints: {top: 0, right: 11, bottom: 9, left: 8}
holes:
${entries}
`;

function planOf(text: string): Plan {
  const reading = readPlan(text);
  if ('problems' in reading) throw new Error(`${reading.problems.map((problem) => problemText(problem, 'spec')).join('\n')}\n${text}`);
  return reading.plan;
}

function problemAtMark(textWithMark: string): Problem {
  const before = (textWithMark.split('§')[0] as string).split('\n');
  const reading = readBuild(textWithMark.replace('§', ''));
  const problem = ('problems' in reading ? reading.problems[0] : undefined) ?? expect.fail('no problem');
  expect([problem.line, problem.column], problemText(problem, 'spec')).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
  return problem;
}

const centers = (holes: readonly PlannedHole[]) => holes.map(({ center }) => center);
const names = ({ holes }: Plan) => holes.map(({ name }) => name);
const middleOf = ({ left, right, bottom, top }: Rect): Point => ({ x: (left + right) / 2, y: (bottom + top) / 2 });

/** Both lists hold the same points, in any order. */
function expectSamePoints(found: readonly Point[], wanted: readonly Point[]): void {
  const sorted = (points: readonly Point[]) => points.map(({ x, y }) => ({ x: Math.round(x * 1e6) / 1e6, y: Math.round(y * 1e6) / 1e6 })).sort((a, b) => a.x - b.x || a.y - b.y);
  const [a, b] = [sorted(found), sorted(wanted)];
  expect(a.length).toBe(b.length);
  for (const [index, p] of a.entries()) expect(Math.hypot(p.x - (b[index] as Point).x, p.y - (b[index] as Point).y)).toBeLessThan(1e-5);
}

/** Each offset, set out from the line that it names, leads to the centre. */
function expectOffsetsTrue({ datum, holes }: Plan): void {
  for (const { center, offsets: [across, up] } of holes) {
    expect(across.from === 'left' ? datum.left + across.mm : datum.right - across.mm).toBeCloseTo(center.x, 9);
    expect(up.from === 'bottom' ? datum.bottom + up.mm : datum.top - up.mm).toBeCloseTo(center.y, 9);
  }
}

const anyStart = fc.constantFrom('edges', 'rim', 'inside');
const acrossKeys = ['from-left', 'from-right', 'from-center-x'] as const;
const upKeys = ['from-top', 'from-bottom', 'from-center-y'] as const;

describe('a row', () => {
  it('is worked by hand: four returns, 60 mm from either side of 400 mm, are 280 / 3 mm apart', () => {
    const { holes, spacings } = planOf('title: Frag shelf\nunits: mm\npanel: {material: acrylic, width: 400, height: 300, thickness: 8}\nholes: [{row: {name: return, fitting: bulkhead 1 in, count: 4, from-left: 60 mm, from-right: 60 mm, from-top: 80 mm}}]\n');
    expect(holes.map(({ name, center }) => [name, center.x, center.y])).toEqual([['return 1', 60, 220], ['return 2', 60 + 280 / 3, 220], ['return 3', 60 + 560 / 3, 220], ['return 4', 340, 220]]);
    expect(holes.map(({ offsets }) => offsets)).toEqual([60, 60 + 280 / 3, 60 + 560 / 3, 340].map((mm) => [{ from: 'left', mm }, { from: 'top', mm: 80 }]));
    expect(spacings).toEqual([{ name: 'return', count: 4, apart: 280 / 3, rows: 1 }]);
    expect(holes.map(({ fitting, isTypical }) => [fitting, isTypical])).toEqual(Array(4).fill(['bulkhead 1 in', true]));
  });

  it('lies: its centres are even from the first bound to the last, and all at the other distance', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 30 }), coordinate(5, 400), coordinate(5, 400), fc.constantFrom(...upKeys), coordinate(5, 150), anyStart, (count, left, right, upKey, up, start) => {
        const plan = planOf(manifold(`  - row: {name: return, diameter: 9, count: ${count}, from-left: ${left}, from-right: ${right}, ${upKey}: ${up}}`, start));
        const { datum, holes, spacings } = plan;
        const xs = holes.map(({ center }) => center.x);
        expect(xs[0]).toBeCloseTo(datum.left + left, 9);
        expect(xs[count - 1]).toBeCloseTo(datum.right - right, 9);
        for (let at = 1; at < count - 1; at += 1) expect((xs[at] as number) - (xs[at - 1] as number)).toBeCloseTo((xs[at + 1] as number) - (xs[at] as number), 9);
        expect(spacings[0]?.apart).toBeCloseTo((xs[1] as number) - (xs[0] as number), 9);
        const y = { 'from-top': datum.top - up, 'from-bottom': datum.bottom + up, 'from-center-y': middleOf(datum).y + up }[upKey];
        for (const { center } of holes) expect(center.y).toBeCloseTo(y, 9);
        expect(names(plan)).toEqual(holes.map((_, index) => `return ${index + 1}`));
        expectOffsetsTrue(plan);
      }),
      { numRuns: 60 },
    );
  });

  it('stands: from the top down', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 30 }), coordinate(5, 200), coordinate(5, 200), fc.constantFrom(...acrossKeys), coordinate(5, 350), anyStart, (count, top, bottom, acrossKey, across, start) => {
        const plan = planOf(manifold(`  - row: {name: air, diameter: 9, count: ${count}, from-top: ${top}, from-bottom: ${bottom}, ${acrossKey}: ${across}}`, start));
        const { datum, holes } = plan;
        const ys = holes.map(({ center }) => center.y);
        expect(ys[0]).toBeCloseTo(datum.top - top, 9);
        expect(ys[count - 1]).toBeCloseTo(datum.bottom + bottom, 9);
        for (let at = 1; at < count - 1; at += 1) expect((ys[at] as number) - (ys[at - 1] as number)).toBeCloseTo((ys[at + 1] as number) - (ys[at] as number), 9);
        const x = { 'from-left': datum.left + across, 'from-right': datum.right - across, 'from-center-x': middleOf(datum).x + across }[acrossKey];
        for (const { center } of holes) expect(center.x).toBeCloseTo(x, 9);
        expect(holes.every(({ offsets }) => offsets[1].from === 'top')).toBe(true);
        expectOffsetsTrue(plan);
      }),
      { numRuns: 60 },
    );
  });

  it('stands on a part of an outline that is no rectangle, measured from its bounds', () => {
    const { holes } = planOf('title: Shelf\nunits: mm\npanel: {material: acrylic, outline: [[100, 50], [700, 50], [700, 350], [620, 430], [100, 430]], thickness: 8}\nholes: [{row: {name: air, diameter: 9, count: 3, from-left: 100, from-right: 100, from-bottom: 40}}]\n');
    // The bounds are 600 wide: 100, 300, 500.
    expect(centers(holes)).toEqual([{ x: 100, y: 40 }, { x: 300, y: 40 }, { x: 500, y: 40 }]);
  });
});

interface Drawn {
  readonly across: (typeof acrossKeys)[number];
  readonly up: (typeof upKeys)[number];
  readonly x: number;
  readonly y: number;
  readonly start: string;
}

/** A hole in the lower left quarter or near it, off both middle lines by more than 20 mm. */
const anyHole: fc.Arbitrary<Drawn> = fc.record({ across: fc.constantFrom(...acrossKeys), up: fc.constantFrom(...upKeys), x: coordinate(30, 200), y: coordinate(30, 120), start: anyStart });
const anyRepeat = fc.record({ count: fc.integer({ min: 2, max: 5 }), x: fc.constantFrom('right', 'left', null), y: fc.constantFrom('up', 'down', null), dx: coordinate(1, 7), dy: coordinate(1, 7) }).filter(({ x, y }) => x !== null || y !== null);
const repeatText = ({ count, x, y, dx, dy }: (typeof anyRepeat extends fc.Arbitrary<infer T> ? T : never)) => `repeat: {count: ${count}${x ? `, ${x}: ${dx}` : ''}${y ? `, ${y}: ${dy}` : ''}}`;
const holeText = ({ across, up, x, y }: Drawn, more = '') => `  - {name: weep, diameter: 1, ${across}: ${x}, ${up}: ${y}${more ? `, ${more}` : ''}}`;

describe('repeat', () => {
  it('is the same hole, so many in all, each a step on', () => {
    fc.assert(
      fc.property(anyHole, anyRepeat, (hole, repeat) => {
        const [alone] = planOf(manifold(holeText(hole), hole.start)).holes;
        const plan = planOf(manifold(holeText(hole, repeatText(repeat)), hole.start));
        const { x, y } = alone?.center ?? expect.fail();
        const step = { x: repeat.x === null ? 0 : repeat.x === 'right' ? repeat.dx : -repeat.dx, y: repeat.y === null ? 0 : repeat.y === 'up' ? repeat.dy : -repeat.dy };
        expect(plan.holes).toHaveLength(repeat.count);
        for (const [index, { name, center }] of plan.holes.entries()) {
          expect(name).toBe(`weep ${index + 1}`);
          expect(center.x).toBeCloseTo(x + index * step.x, 9);
          expect(center.y).toBeCloseTo(y + index * step.y, 9);
        }
        // From-left stays from-left; of what is measured from the middle the nearer side is told.
        if (hole.across !== 'from-center-x') expect(new Set(plan.holes.map(({ offsets }) => offsets[0].from))).toEqual(new Set([alone?.offsets[0].from]));
        expect(plan.spacings[0]).toMatchObject({ count: repeat.count, rows: 1 });
        expect(plan.spacings[0]?.apart).toBeCloseTo(Math.hypot(step.x, step.y), 9);
        expectOffsetsTrue(plan);
      }),
      { numRuns: 80 },
    );
  });

  it('of a row is a grid: called by row and hole', () => {
    const plan = planOf(manifold('  - row: {name: weep, diameter: 8, count: 3, from-left: 100, from-right: 600, from-bottom: 200, repeat: {count: 2, down: 60}}'));
    expect(plan.holes.map(({ name, center: { x, y } }) => [name, x, y])).toEqual([['weep 1-1', 100, 200], ['weep 1-2', 200, 200], ['weep 1-3', 300, 200], ['weep 2-1', 100, 140], ['weep 2-2', 200, 140], ['weep 2-3', 300, 140]]);
    expect(plan.spacings).toEqual([{ name: 'weep', count: 3, apart: 100, rows: 2 }]);
  });
});

describe('mirror', () => {
  const words = { 'left-right': /^weep (left|right)$/, 'top-bottom': /^weep (top|bottom)$/, both: /^weep (top|bottom) (left|right)$/ };
  it.each(['left-right', 'top-bottom', 'both'] as const)('%s: the holes and their images in the middle lines, each called by the side it is on', (mirror) => {
    fc.assert(
      fc.property(anyHole, (hole) => {
        const plain = planOf(manifold(holeText(hole), hole.start));
        const plan = planOf(manifold(holeText(hole, `mirror: ${mirror}`), hole.start));
        const middle = middleOf(plain.datum);
        const { x, y } = plain.holes[0]?.center ?? expect.fail();
        const images = [{ x, y }, { x: 2 * middle.x - x, y }, { x, y: 2 * middle.y - y }, { x: 2 * middle.x - x, y: 2 * middle.y - y }];
        const wanted = mirror === 'both' ? images : mirror === 'left-right' ? images.slice(0, 2) : [images[0] as Point, images[2] as Point];
        expectSamePoints(centers(plan.holes), wanted);
        for (const { name, center } of plan.holes) {
          expect(name).toMatch(words[mirror]);
          if (/left|right/.test(name)) expect(name.endsWith(center.x < middle.x ? 'left' : 'right')).toBe(true);
          if (/top|bottom/.test(name)) expect(name.includes(center.y < middle.y ? 'bottom' : 'top')).toBe(true);
        }
        expect(new Set(names(plan)).size).toBe(plan.holes.length);
        expect(plan.spacings).toEqual([]);
        expectOffsetsTrue(plan);
      }),
      { numRuns: 80 },
    );
  });

  it('a twin is told from the other side', () => {
    const { holes } = planOf(manifold('  - {name: air, diameter: 8, from-left: 40, from-top: 90, mirror: both}'));
    expect(holes.map(({ name, offsets }) => [name, ...offsets.map(({ from, mm }) => `${from} ${mm}`)])).toEqual([
      ['air top left', 'left 40', 'top 90'],
      ['air top right', 'right 40', 'top 90'],
      ['air bottom left', 'left 40', 'bottom 90'],
      ['air bottom right', 'right 40', 'bottom 90'],
    ]);
  });

  it('goes after repeat, and after both a row, as the images of all of them', () => {
    const row = 'name: weep, diameter: 1, count: 3, from-left: 40, from-right: 700, from-bottom: 50, repeat: {count: 2, up: 40}';
    const plain = planOf(manifold(`  - row: {${row}}`));
    const plan = planOf(manifold(`  - row: {${row}, mirror: both}`));
    const all = centers(plain.holes).flatMap(({ x, y }) => [{ x, y }, { x: size.width - x, y }, { x, y: size.height - y }, { x: size.width - x, y: size.height - y }]);
    expectSamePoints(centers(plan.holes), all);
    expect(names(plan).slice(0, 5)).toEqual(['weep 1-1 bottom left', 'weep 1-1 bottom right', 'weep 1-1 top left', 'weep 1-1 top right', 'weep 1-2 bottom left']);
    expect(new Set(names(plan)).size).toBe(24);
    expect(plan.spacings).toEqual([{ name: 'weep', count: 3, apart: 80, rows: 8 }]);
  });

  it('a row that reaches over the middle keeps names that tell its holes apart', () => {
    const plan = planOf(manifold('  - row: {name: air, diameter: 8, count: 3, from-left: 100, from-right: 300, from-top: 90, mirror: left-right}'));
    // 100, 350, 600 of 900: their images at 800, 550, 300.
    expect(plan.holes.map(({ name, center }) => [name, center.x])).toEqual([['air 1 left', 100], ['air 1 right', 800], ['air 2 left', 350], ['air 2 right', 550], ['air 3 right', 600], ['air 3 left', 300]]);
  });
});

describe('what is the same whether written by entry or hole by hole', () => {
  it('the work, its check and its fingerprint', () => {
    const short = planOf(manifold('  - row: {name: weep, diameter: 8, count: 3, from-left: 100, from-right: 600, from-bottom: 200, flange-on: outside, repeat: {count: 2, down: 60}}\n  - {name: air, diameter: 12, from-left: 40, from-top: 90, mirror: left-right}'));
    const long = planOf(manifold([...[1, 2].flatMap((row) => [1, 2, 3].map((hole) => `  - {name: weep ${row}-${hole}, diameter: 8, from-left: ${hole * 100}, from-bottom: ${row === 1 ? 200 : 140}, flange-on: outside}`)), '  - {name: air left, diameter: 12, from-left: 40, from-top: 90}', '  - {name: air right, diameter: 12, from-right: 40, from-top: 90}'].join('\n')));
    const bare = (plan: Plan) => plan.holes.map(({ from: _from, ...hole }) => hole);
    expect(bare(short)).toEqual(bare(long));
    expect(checkPlan(short).findings).toEqual(checkPlan(long).findings);
    expect(fingerprint(short)).toBe(fingerprint(long));
  });

  it('but for the entry that each comes from', () => {
    const { holes } = planOf(manifold('  - {name: feed, diameter: 12, from-left: 40, from-top: 250}\n  - row: {name: weep, diameter: 8, count: 2, from-left: 100, from-right: 600, from-bottom: 200}\n  - {name: air, diameter: 12, from-left: 40, from-top: 90, mirror: left-right}'));
    expect(holes.map(({ name, from }) => [name, from.path.join('.'), from.isAlone])).toEqual([['feed', 'holes.0', true], ['weep 1', 'holes.1', false], ['weep 2', 'holes.1', false], ['air left', 'holes.2', false], ['air right', 'holes.2', false]]);
  });

  it('the check says how far apart the centres are', () => {
    expect(checkPlan(planOf(manifold('  - row: {name: return, diameter: 20, count: 4, from-left: 60, from-right: 580, from-top: 80, repeat: {count: 2, down: 90}}\n  - {name: weep, diameter: 8, from-left: 40, from-bottom: 60, repeat: {count: 3, right: 30, up: 40}}'))).notes).toEqual(['return: 2 rows of 4 holes, 86.7 mm between centres.', 'weep: 3 holes, 50 mm between centres.']);
  });
});

describe('in a box', () => {
  const box = (stands: string, from: string, holes: string) => `title: Snail hatchery\nunits: mm\nboxes:\n  comb: {width: 300, height: 200, wall: 6, stands: ${stands}, measured-from: ${from}, holes: [${holes}]}\npanel: {material: acrylic, width: 700, height: 400, thickness: 8, boxes: [{box: comb, from-left: 100, from-top: 40}]}\n`;
  it.each([['inside', 'edges'], ['inside', 'inside'], ['outside', 'edges'], ['outside', 'inside']])('that stands %s, measured from %s, panel and back wall have the same holes by the same names', (stands, from) => {
    const reading = readBuild(box(stands, from, '{row: {name: drain, diameter: 14, count: 3, from-left: 50, from-right: 90, from-top: 60}}, {name: air, diameter: 8, from-left: 40, from-bottom: 40, mirror: left-right}'));
    if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
    const [panel, wall] = reading.build.panels;
    const wide = from === 'inside' ? 6 : 0;
    // From the box's left: the row between its bounds, and the twins 40 mm from either side.
    const across = { 'drain 1': 50 + wide, 'drain 2': (50 + wide + 300 - 90 - wide) / 2, 'drain 3': 300 - 90 - wide, 'air left': 40 + wide, 'air right': 300 - 40 - wide };
    const told = (holes: readonly PlannedHole[] = [], at: (x: number) => number) => Object.fromEntries(holes.map(({ name, center }) => [name, at(center.x)]));
    expect(told(panel?.holes, (x) => x - 100)).toEqual(across);
    expect(told(wall?.holes, (x) => (stands === 'inside' ? x : 300 - x))).toEqual(across);
    expect(panel?.holes.map(({ inWall }) => inWall?.name)).toEqual(wall?.holes.map(({ name }) => name));
    expect([wall?.spacings[0]?.name, wall?.spacings[0]?.count, panel?.spacings]).toEqual(['drain', 3, []]);
    expect(wall?.holes.map(({ from: { path, isAlone, isMirrored } }) => [path.join('.'), isAlone, isMirrored])[0]).toEqual(['boxes.comb.holes.0', false, stands === 'outside']);
  });

  it('two of one kind on a panel: the names of boxes tell the rows apart', () => {
    const reading = readBuild(box('inside', 'edges', '{row: {name: drain, diameter: 14, count: 2, from-left: 50, from-right: 90, from-top: 60}}').replace('from-top: 40}]', 'from-top: 40}, {box: comb, name: east, from-left: 410, from-top: 40}]').replace('width: 700', 'width: 800'));
    if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
    expect(reading.build.panels[0]?.holes.map(({ name }) => name)).toEqual(['comb drain 1', 'comb drain 2', 'east drain 1', 'east drain 2']);
  });
});

describe('what cannot be is told at its place', () => {
  it.each<[string, string, RegExp, RegExp, RegExp]>([
    ['bounds that cross', '  - row: {name: a, diameter: 8, count: 3, from-left: 500, from-right: §450, from-top: 60}', /^450 mm leaves the row no room: with from-left 500 mm it takes 950 mm of the 900 mm that there are$/, /less than 900 mm/, /units/],
    ['bounds that meet', '  - row: {name: a, diameter: 8, count: 3, from-top: 250, from-bottom: §250, from-left: 60}', /takes 500 mm of the 500 mm/, /less than 500 mm/, /units/],
    ['a hole on the middle line', '  - {name: a, diameter: 8, from-left: 450, from-top: 60, mirror: §left-right}', /"a" lies on the middle line/, /off the middle/, /remove mirror/],
    ['a hole on one middle line of two', '  - {name: a, diameter: 8, from-center-x: 0, from-top: 60, mirror: §both}', /"a" lies on the middle line/, /off the middle/, /^write mirror: top-bottom$/],
    ['the middle hole of a row', '  - row: {name: a, diameter: 8, count: 3, from-left: 60, from-right: 60, from-top: 60, mirror: §left-right}', /"a 2" lies on the middle line/, /off the middle/, /remove mirror/],
    ['a row that is its own image', '  - row: {name: a, diameter: 8, count: 4, from-left: 60, from-right: 60, from-top: 60, mirror: §left-right}', /"a 2 right" and "a 3 right" would lie in one place/, /place of its own/, /remove mirror/],
    ['a step onto the next hole', '  - row: {name: a, diameter: 8, count: 3, from-left: 100, from-right: 600, from-top: 60, repeat: §{count: 2, right: 100}}', /"a 1-2" and "a 2-1" would lie in one place/, /place of its own/, /check the step/],
    ['a repeat that runs off the panel', '  - §{name: a, diameter: 8, from-left: 100, from-top: 60, repeat: {count: 9, right: 200}}', /"a 6" has its centre off the panel, 1100 mm from the left/, /900 mm by 500 mm/, /distances/],
    ['more holes than a panel may have', '  - {name: b, diameter: 8, from-left: 100, from-top: 60}\n  - §{name: a, diameter: 1, from-left: 100, from-top: 60, repeat: {count: 10000, right: 0.01}, mirror: left-right}', /makes 20000 holes, after 1 before/, /at most 20000/, /counts/],
    ['a name that another hole has', '  - {name: a 2, diameter: 8, from-left: 100, from-top: 60}\n  - {name: §a, diameter: 8, from-left: 100, from-top: 160, repeat: {count: 3, right: 50}}', /"a 2" is also the name of hole 1/, /name of its own/, /rename/],
    ['two rows of one name', '  - row: {name: a, diameter: 8, count: 3, from-left: 60, from-right: 60, from-top: 60}\n  - row: {name: §a, diameter: 8, count: 3, from-left: 60, from-right: 60, from-top: 160}', /"a 1" is also the name of a hole of entry 1/, /name of its own/, /rename/],
    ['a name that leaves no room for numbers', `  - {name: §${'n'.repeat(55)}, diameter: 8, from-left: 100, from-top: 60, mirror: both}`, /makes names of 68 characters/, /at most 47 characters/, /shorten/],
    ['a bulkhead without a size, misspelled', '  - row: {name: a, fitting: §bulkheads, count: 3, from-left: 60, from-right: 60, from-top: 60}', /unknown fitting/, /bulkhead 1 in/, /did you mean bulkhead\?/],
    ['a fitting that is not known', '  - row: {name: a, fitting: §bulkhed 1 in, count: 3, from-left: 60, from-right: 60, from-top: 60}', /unknown fitting/, /bulkhead 1 in/, /did you mean bulkhead 1 in\?/],
  ])('%s', (_what, entries, found, accepted, fix) => {
    const problem = problemAtMark(manifold(entries));
    expect(problem.found).toMatch(found);
    expect(problem.accepted).toMatch(accepted);
    expect(problem.fix).toMatch(fix);
  });

  it('a line to measure from that the spec does not give', () => {
    const text = 'title: Shelf\nunits: mm\npanel: {material: acrylic, width: 400, height: 300, thickness: 8, measured-from: rim, rim: {left: 10, top: 10}}\nholes: [{row: §{name: a, diameter: 8, count: 3, from-left: 60, from-right: 60, from-top: 60}}]\n';
    expect(problemAtMark(text)).toMatchObject({ accepted: 'panel.rim.right, 0 if there is none on that side' });
  });

  it('20,000 holes of one entry are planned, and no more with those of boxes', () => {
    const grid = (count: number) => `{name: a, diameter: 1, from-left: 10, from-top: 20, repeat: {count: ${count}, right: 0.04}}`;
    const text = (count: number) => `title: Sieve\nunits: mm\nboxes: {comb: {width: 100, height: 100, wall: 5, holes: [{name: b, diameter: 9, from-left: 50, from-top: 50}]}}\npanels: {lid: {material: acrylic, width: 900, height: 500, thickness: 5, boxes: §[{box: comb, from-left: 100, from-top: 40}], holes: [${grid(count)}]}}\n`;
    const reading = readBuild(text(19_999).replace('§', ''));
    expect('build' in reading && reading.build.panels[0]?.holes.length).toBe(20_000);
    expect(problemAtMark(text(20_000))).toMatchObject({ found: 'the panel has 20001 holes with those of its boxes' });
  });
});
