/** What a build needs, counted: against counts made by hand, and against the geometry of the sheets. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeJig, type JigOfPanel, type JigOptions } from '../src/jig.ts';
import { buildList, gasketsOf, listRows, tapeLength, type List, type ListRow } from '../src/list.ts';
import { readBuild, type Build } from '../src/plan/build.ts';
import type { Rect } from '../src/plan/plan.ts';
import { latinTypesetter } from '../src/render/type.ts';
import { checkBuild } from '../src/report.ts';
import { problemText } from '../src/spec/problem.ts';
import type { Unit } from '../src/trade/units.ts';
import { loadLatin } from './fonts.ts';

const setter = latinTypesetter(loadLatin());

function buildOf(text: string): Build {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return reading.build;
}

function jigsOf(build: Build, options: JigOptions = {}): JigOfPanel[] {
  return checkBuild(build).flatMap(({ plan, report }) => {
    const jig = report.verdict === 'refused' ? null : makeJig(plan, report, setter, options);
    return jig && 'layout' in jig ? [{ plan, report, jig }] : [];
  });
}

/** @param jigs the jigs to count, where they matter */
function listOf(build: Build, jigs: readonly JigOfPanel[] = [], unit?: Unit): List {
  return buildList(build, checkBuild(build), jigs, undefined, unit);
}

const inGroup = (list: List, group: ListRow['group']) => list.rows.filter((row) => row.group === group);
const counts = (list: List, group: ListRow['group']) => inGroup(list, group).map(({ item, count }) => [item, count]);

/** Two tanks with two boxes each, three walls of a cabinet, and what only lies about. */
const hatchery = `
title: Limpet hatchery
units: mm
fittings:
  drain: {hole: [44, 46], flange: 66, nut: 62, grip: [2, 40], thread: G 1, pipe: 1, gasket: {inside: 44, outside: 63, thickness: 3}}
bits: [45, {diameter: 45, kind: hole saw}]
boxes:
  weir box:
    width: 240
    height: 200
    depth: 120
    wall: 6
    back: 8
    holes:
      - {name: main, fitting: drain, from-left: 70, from-bottom: 70, outside: elbow, inside: pipe}
      - {name: spare, fitting: drain, from-right: 70, from-bottom: 70, outside: elbow}
tanks:
  nursery:
    quantity: 2
    material: annealed glass
    length: 1000
    width: 400
    height: 450
    thickness: 10
    bottom: under walls
    ends: between front and back
    panels:
      back:
        holes: [{name: return, fitting: bulkhead 3/4 in, from-center-x: 0, from-top: 80, outside: pipe}]
        boxes: [{box: weir box, name: left box, from-left: 60, from-top: 40}, {box: weir box, name: right box, from-right: 60, from-top: 40}]
panels:
  cabinet wall: {material: acrylic, width: 500, height: 400, thickness: 8, quantity: 3, holes: [{name: cable, diameter: 40, from-left: 100, from-top: 100}, {name: drain, fitting: drain, from-left: 300, from-top: 100}]}
  lid: {material: acrylic, outline: [[0, 0], [300, 0], [300, 200], [0, 300]], thickness: 5, quantity: 2}
`;

describe('a hatchery counted by hand', () => {
  const build = buildOf(hatchery);
  const list = listOf(build);

  it('panels: all five of each tank, those by themselves, and a back wall for each box', () => {
    expect(inGroup(list, 'panels').map(({ item, count, detail }) => [item, count, detail])).toEqual([
      ['cabinet wall', 3, '500 mm x 400 mm acrylic, 8 mm thick'],
      ['lid', 2, '300 mm x 300 mm acrylic, 5 mm thick; cut to its outline within this size'],
      // The bottom is 10 mm of the height of 450; the ends stand between two panels of 10 mm in the width of 400.
      ['nursery, front', 2, '1000 mm x 440 mm annealed glass, 10 mm thick'],
      ['nursery, back', 2, '1000 mm x 440 mm annealed glass, 10 mm thick'],
      ['nursery, left', 2, '380 mm x 440 mm annealed glass, 10 mm thick'],
      ['nursery, right', 2, '380 mm x 440 mm annealed glass, 10 mm thick'],
      ['nursery, bottom', 2, '1000 mm x 400 mm annealed glass, 10 mm thick'],
      ['weir box, back wall', 4, '240 mm x 200 mm acrylic, 8 mm thick'],
    ]);
    // Two tanks with two boxes each.
    expect(counts(list, 'boxes')).toEqual([['weir box', 4]]);
  });

  it('fittings: two for each of four boxes, one for each of three walls, one for each of two tanks; none for the cable', () => {
    expect(counts(list, 'fittings')).toEqual([['drain', 3 + 4 * 2], ['bulkhead 3/4 in', 2]]);
    expect(list.notes).toContain('Holes with a diameter and no fitting: 3. What goes into them is not known, and not counted.');
    expect(inGroup(list, 'fittings').map(({ detail }) => /typical: measure/.test(detail))).toEqual([false, true]);
  });

  it('gaskets: two for each of the eight through a box, one for each other', () => {
    expect(counts(list, 'gaskets')).toEqual([['gasket of drain', 3 + 2 * 8], ['gasket of bulkhead 3/4 in', 2]]);
    expect(inGroup(list, 'gaskets')[0]?.detail).toBe('inside 44 mm, outside 63 mm, 3 mm thick; 11 under the flange, 8 between box and panel');
  });

  it('elbows and ends of pipe, by its size', () => {
    expect(counts(list, 'pipe')).toEqual([['pipe end, 3/4 in', 2], ['elbow, 1 in', 8], ['pipe end, 1 in', 4]]);
  });

  it('bits: the walls of boxes are drilled too', () => {
    expect(inGroup(list, 'bits').map(({ item, count, detail }) => [item, count, detail])).toEqual([
      ['diamond core bit, 36 mm', 2, 'to buy; 2 through 10 mm annealed glass'],
      ['diamond core bit, 45 mm', 8, 'at hand; 8 through 10 mm annealed glass'],
      ['hole saw, 40 mm', 3, 'to buy; 3 through 8 mm acrylic'],
      ['hole saw, 45 mm', 11, 'at hand; 11 through 8 mm acrylic'],
    ]);
  });

  it('masking tape for both faces of 24 holes, a dam for each of ten in glass', () => {
    expect(counts(list, 'tape and putty')).toEqual([['masking tape over a hole', 48], ['putty for a dam', 10]]);
  });

  it('as a table: titles, then every row as text', () => {
    const [titles, first] = listRows(list);
    expect(titles).toEqual(['group', 'item', 'count', 'unit', 'detail']);
    expect(first).toEqual(['panels', 'cabinet wall', '3', 'piece', '500 mm x 400 mm acrylic, 8 mm thick']);
    expect(listRows(list)).toHaveLength(list.rows.length + 1);
  });
});

describe('gaskets of a fitting', () => {
  // A box drilled through needs two gaskets per fitting, on the wet side and between (common practice, no source).
  it('one through a panel, two through a box and its panel', () => {
    const [back] = buildOf(hatchery).panels.filter(({ part }) => part === 'nursery, back');
    expect(back?.holes.map((hole) => [hole.name, gasketsOf(hole)])).toEqual([
      ['return', 1],
      ['left box main', 2],
      ['left box spare', 2],
      ['right box main', 2],
      ['right box spare', 2],
    ]);
  });

  it('say so where their size is not given', () => {
    expect(inGroup(listOf(buildOf(plate({ holes: '{name: drain, fitting: {hole: 30, flange: 45}, from-left: 70, from-top: 90}' }))), 'gaskets')).toEqual([
      { group: 'gaskets', item: 'gasket of own fitting of drain', count: 1, unit: 'piece', detail: 'size not given; under the flange' },
    ]);
  });
});

/** A small acrylic plate, 150 by 200 mm: one sheet of A4, whose window is 177 by 247 mm. */
function plate({ size = 'width: 150, height: 200', holes = '{name: tap, diameter: 20, from-left: 70, from-top: 90}', more = '', top = '', units = 'mm' } = {}): string {
  return `title: Sieve plate\nunits: ${units}\n${top}panel: {material: acrylic, ${size}, thickness: 5 mm${more}}\nholes: [${holes}]\nsheets: {paper: A4, overlap: 16 mm, margin: 10 mm}\n`;
}

describe('kinds of things that are told apart', () => {
  it('fittings of one name and two sizes, written in the hole', () => {
    const holes = '{name: a, fitting: {hole: 20, flange: 35}, from-left: 40, from-top: 50}, {name: b, fitting: {hole: 22, flange: 35}, from-left: 110, from-top: 50}, {name: c, fitting: {hole: 20, flange: 35}, from-left: 70, from-top: 140}';
    expect(counts(listOf(buildOf(plate({ holes }))), 'fittings')).toEqual([['own fitting of a, c', 2], ['own fitting of b', 1]]);
  });

  it('bits at hand, to buy, and where the spec lists none', () => {
    const owned = (top: string) => inGroup(listOf(buildOf(plate({ top }))), 'bits')[0]?.detail.split(';')[0];
    expect(['', 'bits: [20]\n', 'bits: [30]\n'].map(owned)).toEqual(['own or to buy', 'at hand', 'to buy']);
  });

  it('pipe whose size the spec does not give', () => {
    expect(counts(listOf(buildOf(plate({ holes: '{name: a, fitting: {hole: 20, flange: 35}, from-left: 70, from-top: 90, outside: elbow, inside: pipe}' }))), 'pipe')).toEqual([['elbow, size not given', 1], ['pipe end, size not given', 1]]);
  });

  it('sizes in the unit that is asked for', () => {
    const build = buildOf(plate({ size: 'width: 6, height: 8', holes: '{name: tap, diameter: 1-3/4, from-left: 3, from-top: 4}', units: 'in' }));
    const [panel, bit] = [undefined, 'mm' as const].map((unit) => listOf(build, [], unit)).map((list) => [inGroup(list, 'panels')[0]?.detail, inGroup(list, 'bits')[0]?.item]);
    expect(panel).toEqual(['6 in x 8 in acrylic, 0.197 in thick', 'hole saw, 1-3/4 in']);
    // 1-3/4 in is 44.45 mm, told whole: rounded to 44.5 it would be another bit.
    expect(bit).toEqual(['152.4 mm x 203.2 mm acrylic, 5 mm thick', 'hole saw, 44.45 mm']);
  });

  it('a rectangle given by its outline is one, whichever way it goes round', () => {
    const detail = (outline: string) => inGroup(listOf(buildOf(plate({ size: `outline: ${outline}` }))), 'panels')[0]?.detail;
    expect(detail('[[0, 0], [150, 0], [150, 200], [0, 200]]')).toBe('150 mm x 200 mm acrylic, 5 mm thick');
    expect(detail('[[0, 0], [0, 200], [150, 200], [150, 0]]')).toBe('150 mm x 200 mm acrylic, 5 mm thick');
    expect(detail('[[0, 0], [0, 200], [150, 150], [150, 0]]')).toMatch(/cut to its outline/);
  });
});

/** Length of the edge of all that boxes cover together, by the grid of their sides. */
function edgeOfAll(boxes: readonly Rect[]): number {
  const sidesOf = (pick: (box: Rect) => readonly number[]) => [...new Set(boxes.flatMap(pick).map((at) => Math.round(at * 1e6) / 1e6))].sort((a, b) => a - b);
  const [xs, ys] = [sidesOf(({ left, right }) => [left, right]), sidesOf(({ bottom, top }) => [bottom, top])];
  const size = (all: readonly number[], at: number) => (all[at + 1] as number) - (all[at] as number);
  const isCovered = (column: number, row: number) => {
    const [x, y] = [(xs[column] as number) + size(xs, column) / 2, (ys[row] as number) + size(ys, row) / 2];
    return boxes.some(({ left, right, bottom, top }) => x > left && x < right && y > bottom && y < top);
  };
  let length = 0;
  for (let column = 0; column < xs.length - 1; column++) {
    for (let row = 0; row < ys.length - 1; row++) {
      if (!isCovered(column, row)) continue;
      for (const [right, up] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) if (!isCovered(column + right, row + up)) length += right === 0 ? size(xs, column) : size(ys, row);
    }
  }
  return length;
}

describe('paper and tape', () => {
  const listed = (text: string) => {
    const build = buildOf(text);
    const jigs = jigsOf(build);
    return { list: listOf(build, jigs), jigs };
  };

  it('a jig of one sheet, three times: three sheets, and its front pages once', () => {
    const { list, jigs } = listed(plate({ more: ', quantity: 3' }));
    const front = jigs[0]?.jig.front.length as number;
    expect(front).toBeGreaterThan(0);
    expect(inGroup(list, 'paper')).toEqual([{ group: 'paper', item: 'A4', count: 3 + front, unit: 'sheet', detail: `210 mm x 297 mm; 3 for jigs, a new jig for each piece; ${front} front pages, once` }]);
  });

  it('tape of a jig of one sheet: once round it, 2 x (150 + 200) mm, three times, in whole metres', () => {
    const { list, jigs } = listed(plate({ more: ', quantity: 3' }));
    expect(jigs.map(tapeLength)).toEqual([700]);
    expect(counts(list, 'tape and putty')[0]).toEqual(['tape for the jigs', 3]);
    expect(inGroup(list, 'tape and putty')[0]?.detail).toMatch(/^estimate: .*\(common practice, no source\)$/);
  });

  it('behind a rim of 10 mm the jig is smaller: 2 x (130 + 180) mm', () => {
    expect(jigsOf(buildOf(plate({ more: ', rim: {top: 10, right: 10, bottom: 10, left: 10}' }))).map(tapeLength)).toEqual([620]);
  });

  it('along the seams: what the edges of the sheets have more than the edge of the whole, by halves', () => {
    const jigs = jigsOf(buildOf(hatchery));
    expect(jigs).toHaveLength(3);
    const round = ({ left, right, bottom, top }: Rect) => 2 * (right - left + top - bottom);
    const seamed = jigs.filter(({ jig }) => jig.layout.cells.length > 1);
    expect(seamed.length).toBeGreaterThan(1);
    for (const one of seamed) {
      const cores = one.jig.layout.cells.map(({ core }) => core);
      const seams = (cores.reduce((total, core) => total + round(core), 0) - edgeOfAll(cores)) / 2;
      expect(seams).toBeGreaterThan(100);
      expect(tapeLength(one)).toBeCloseTo(seams + round(one.plan.bounds), 3);
    }
  });

  it('patches are taped round by themselves', () => {
    const build = buildOf(hatchery);
    const jigs = jigsOf(build, { isPatches: true });
    const edges = jigs.flatMap(({ plan, jig }) => (jig.patches ?? []).map(({ cell: { window } }) => 2 * (window.right - window.left + window.top - window.bottom) * plan.quantity));
    expect(edges.length).toBeGreaterThan(3);
    expect(counts(listOf(build, jigs), 'tape and putty')[0]).toEqual(['tape for the jigs', Math.ceil(edges.reduce((total, edge) => total + edge, 0) / 1000)]);
  });

  it('a mask, which holds the discs of all pieces, and a guide board are printed once', () => {
    const build = buildOf(plate({ more: ', quantity: 3' }));
    const count = (options: JigOptions) => (inGroup(listOf(build, jigsOf(build, options)), 'paper')[0] as ListRow).count;
    const [{ jig }] = jigsOf(build, { isMask: true, isBoard: true }) as [JigOfPanel];
    expect([jig.mask.length, jig.board.length].every((pages) => pages > 0)).toBe(true);
    expect(count({ isMask: true }) - count({})).toBe(jig.mask.length);
    expect(count({ isBoard: true }) - count({})).toBe(jig.board.length);
    const all = jigsOf(build, { isMask: true, isBoard: true });
    expect(inGroup(listOf(build, all), 'paper')[0]?.detail).toMatch(new RegExp(`; ${3 * jig.sheets.length} for jigs, a new jig for each piece; ${jig.front.length} front pages, ${jig.board.length} for guide boards, ${jig.mask.length} for masks, once$`));
  });

  it('a build of several panels has one page more before its jigs', () => {
    const build = buildOf(hatchery);
    const jigs = jigsOf(build);
    const front = jigs.reduce((total, { jig }) => total + jig.front.length, 0);
    expect(inGroup(listOf(build, jigs), 'paper')[0]?.detail).toMatch(new RegExp(` ${front + 1} front pages, once$`));
  });

  it('sheets of a plotter have front pages on office paper', () => {
    const { list, jigs } = listed(plate().replace('paper: A4', 'paper: 700 x 1000 mm'));
    expect(counts(list, 'paper')).toEqual([['700 mm x 1000 mm', 1], ['A4', jigs[0]?.jig.front.length]]);
  });

  it('panels whose jig fits no paper are told', () => {
    const build = buildOf(hatchery);
    const all = jigsOf(build);
    const { notes } = listOf(build, all.filter(({ plan }) => plan.part !== 'cabinet wall'));
    expect(notes.filter((note) => /no jig fits/.test(note))).toEqual(['cabinet wall: no jig fits its paper: see panejig template. Its paper and its tape for the jig are not counted.']);
  });
});

describe('a panel that is refused', () => {
  const text = `${hatchery}  old end: {material: toughened glass, width: 500, height: 400, thickness: 8, quantity: 2, holes: [{name: inlet, fitting: drain, from-left: 200, from-top: 200}]}\n`;

  it('is counted, but has no jig, and the list says so', () => {
    const [build, sound] = [buildOf(text), buildOf(hatchery)];
    const [list, before] = [listOf(build, jigsOf(build)), listOf(sound, jigsOf(sound))];
    expect(counts(list, 'fittings')[0]).toEqual(['drain', 11 + 2]);
    expect(counts(list, 'paper')).toEqual(counts(before, 'paper'));
    expect(list.notes[0]).toMatch(/^old end: refused\. Do not drill it/);
    expect(before.notes.join()).not.toMatch(/refused/);
  });

  it('marks the holes that its bit would drill', () => {
    expect(inGroup(listOf(buildOf(text)), 'bits').find(({ item }) => item === 'diamond core bit, 45 mm')?.detail).toMatch(/to buy; 2 through 8 mm toughened glass, which is refused/);
  });
});

/** Random builds of tanks with boxes and panels, and what they were made of. */
const anyBuild = fc.record({
  quantities: fc.tuple(fc.integer({ min: 1, max: 9 }), fc.integer({ min: 1, max: 9 })),
  boxes: fc.integer({ min: 0, max: 3 }),
  inBox: fc.integer({ min: 1, max: 2 }),
  own: fc.array(fc.constantFrom('diameter: 30', 'fitting: bulkhead 1/2 in, outside: elbow', 'fitting: {hole: 25, flange: 40}, inside: pipe'), { minLength: 1, maxLength: 5 }),
  loose: fc.integer({ min: 1, max: 4 }),
  bits: fc.constantFrom('', 'bits: [30, 29]\n', 'bits: [{diameter: 25, kind: hole saw}]\n'),
});

type Made = typeof anyBuild extends fc.Arbitrary<infer T> ? T : never;

function textOf({ quantities: [tanks, panels], boxes, inBox, own, loose, bits }: Made, times = 1): string {
  const holes = (count: number, y: number) => Array.from({ length: count }, (_, index) => `{name: h${index}, diameter: 30, from-left: ${60 + 80 * index}, from-bottom: ${y}}`).join(', ');
  return `title: Sponge rack\nunits: mm\n${bits}
${boxes > 0 ? `boxes:\n  bay: {width: 220, height: 150, wall: 6, holes: [${holes(inBox, 70)}]}\n` : ''}tanks:
  rack:
    {quantity: ${tanks * times}, material: annealed glass, length: 1400, width: 400, height: 500, thickness: 10, bottom: under walls, ends: between front and back,
    panels: {back: {holes: [${own.map((what, index) => `{name: o${index}, ${what}, from-left: ${100 + 120 * index}, from-bottom: 80}`).join(', ')}]${boxes > 0 ? `, boxes: [${Array.from({ length: boxes }, (_, index) => `{box: bay, name: bay ${index}, from-left: ${100 + 300 * index}, from-top: 30}`).join(', ')}]` : ''}}}}
panels:
  shelf: {material: acrylic, width: 600, height: 300, thickness: 8, quantity: ${panels * times}, holes: [${holes(loose, 100)}]}
`;
}

describe('whatever the build', () => {
  it('all but front pages is as many times as much as quantities are', () => {
    fc.assert(
      fc.property(anyBuild, fc.integer({ min: 2, max: 7 }), (made, times) => {
        const [once, more] = [buildOf(textOf(made)), buildOf(textOf(made, times))].map((build) => listOf(build).rows) as [readonly ListRow[], readonly ListRow[]];
        expect(more.map(({ group, item, count, unit }) => [group, item, count, unit])).toEqual(once.map(({ group, item, count, unit }) => [group, item, count * times, unit]));
      }),
      { numRuns: 60 },
    );
  });

  it('so are the sheets of jigs and, before it is rounded up, their tape', () => {
    fc.assert(
      fc.property(anyBuild, fc.integer({ min: 2, max: 5 }), (made, times) => {
        const [once, more] = [made, { ...made, quantities: made.quantities.map((quantity) => quantity * times) as [number, number] }].map((one) => {
          const build = buildOf(textOf(one));
          const jigs = jigsOf(build);
          const list = listOf(build, jigs);
          const sheets = /; (\d+) for jigs/.exec(inGroup(list, 'paper')[0]?.detail ?? '')?.[1];
          return { sheets: Number(sheets ?? 0), metres: inGroup(list, 'tape and putty').find(({ unit }) => unit === 'm')?.count ?? 0, front: jigs.reduce((total, { jig }) => total + jig.front.length, 1), paper: inGroup(list, 'paper')[0]?.count ?? 0 };
        }) as [Record<'sheets' | 'metres' | 'front' | 'paper', number>, Record<'sheets' | 'metres' | 'front' | 'paper', number>];
        expect(once.sheets).toBeGreaterThan(0);
        expect(more.sheets).toBe(once.sheets * times);
        expect([once.paper - once.sheets, more.paper - more.sheets]).toEqual([once.front, more.front]);
        expect(more.metres).toBeLessThanOrEqual(once.metres * times);
        expect(more.metres).toBeGreaterThan((once.metres - 1) * times);
      }),
      { numRuns: 5 },
    );
  });

  it('bits drill every hole: those of panels, and those of boxes twice, in the panel and in the wall', () => {
    fc.assert(
      fc.property(anyBuild, (made) => {
        const [tanks, panels] = made.quantities;
        const drilled = tanks * (made.own.length + 2 * made.boxes * made.inBox) + panels * made.loose;
        const list = listOf(buildOf(textOf(made)));
        expect(inGroup(list, 'bits').reduce((total, { count }) => total + count, 0)).toBe(drilled);
        expect(inGroup(list, 'tape and putty')[0]?.count).toBe(2 * drilled);
      }),
      { numRuns: 60 },
    );
  });
});
