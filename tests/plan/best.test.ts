/**
 * Holes whose place the tool finds. The oracle knows acrylic alone, by its own words: a ligament of one diameter is good
 * practice, half a diameter and no less than the thickness the minimum; it looks on a grid, ever finer.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BestPlace } from '../../src/geometry/best.ts';
import type { Hole, Panel } from '../../src/geometry/panel.ts';
import { readBuild } from '../../src/plan/build.ts';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { checkBuild, checkPlan } from '../../src/report.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';

/** Room to spare over what plain holes in a rectangle of acrylic ask. */
function spareAt(panel: Panel, hole: Pick<Hole, 'diameter'>, others: readonly Hole[], { x, y }: Point, level: BestPlace['level']): number {
  const asked = (d: number) => (level === 'good practice' ? d : Math.max(panel.thickness, d / 2));
  const [width, height] = [Math.max(...panel.outline.map((p) => p.x)), Math.max(...panel.outline.map((p) => p.y))];
  const toEdges = Math.min(x, width - x, y, height - y) - hole.diameter / 2 - asked(hole.diameter);
  return others.reduce((least, other) => Math.min(least, Math.hypot(x - other.center.x, y - other.center.y) - (hole.diameter + other.diameter) / 2 - asked(Math.max(hole.diameter, other.diameter))), toEdges);
}

/** The best of a grid, then of finer grids round it. */
function onGrid(panel: Panel, hole: Hole, others: readonly Hole[], within: Rect): BestPlace | undefined {
  for (const level of ['good practice', 'minimum'] as const) {
    let range: Rect = within;
    let best = { center: { x: NaN, y: NaN }, spare: -Infinity };
    for (let round = 0; round < 12; round += 1) {
      const steps = round === 0 ? 60 : 8;
      for (let i = 0; i <= steps; i += 1) {
        for (let j = 0; j <= steps; j += 1) {
          const center = { x: range.left + ((range.right - range.left) * i) / steps, y: range.bottom + ((range.top - range.bottom) * j) / steps };
          const spare = spareAt(panel, hole, others, center, level);
          if (spare > best.spare + 1e-9) best = { center, spare };
        }
      }
      const [dx, dy] = [(1.5 * (range.right - range.left)) / steps, (1.5 * (range.top - range.bottom)) / steps];
      const { x, y } = best.center;
      range = { left: Math.max(within.left, x - dx), right: Math.min(within.right, x + dx), bottom: Math.max(within.bottom, y - dy), top: Math.min(within.top, y + dy) };
    }
    if (best.spare >= 0) return { ...best, level };
  }
  return undefined;
}

/** A lid of acrylic, 6 mm thick. */
const lid = (holes: readonly string[], { width = 400, height = 300, more = '' } = {}) => `title: Snail hatchery, lid\nunits: mm\npanel: {material: acrylic, width: ${width}, height: ${height}, thickness: 6${more}}\nholes:\n${holes.map((hole) => `  - {${hole}}`).join('\n')}\n`;

function plansOf(text: string): readonly Plan[] {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(`${reading.problems.map((problem) => problemText(problem, 'spec')).join('\n')}\n${text}`);
  return reading.build.panels;
}

const planOf = (text: string): Plan => plansOf(text)[0] ?? expect.fail();
const centerOf = (plan: Plan, name: string): Point => plan.holes.find((hole) => hole.name === name)?.center ?? expect.fail(name);

function problemAtMark(textWithMark: string): Problem {
  const before = (textWithMark.split('§')[0] as string).split('\n');
  const reading = readBuild(textWithMark.replace('§', ''));
  const problem = ('problems' in reading ? reading.problems[0] : undefined) ?? expect.fail('no problem');
  expect([problem.line, problem.column], problemText(problem, 'spec')).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
  return problem;
}

function expectNear(point: Point, x: number, y: number, by = 0.01): void {
  expect(Math.hypot(point.x - x, point.y - y), `${point.x}, ${point.y}`).toBeLessThan(by);
}

describe('one hole', () => {
  it('alone on a square lies in the middle, with the room that is left over one diameter', () => {
    const plan = planOf(lid(['name: feed, diameter: 20, place: best'], { width: 300 }));
    expectNear(centerOf(plan, 'feed'), 150, 150);
    // 150 to the edge, less the radius and one diameter.
    expect(plan.found).toEqual([{ name: 'feed', spare: expect.closeTo(120, 2) as number, level: 'good practice' }]);
  });

  it('on a line that the spec fixes lies where that line has the most room', () => {
    const plan = planOf(lid(['name: feed, diameter: 20, from-left: 200, place: best', 'name: air, diameter: 20, from-left: 200, from-top: 60']));
    // As far from the bottom edge (y - 30) as from the other hole (240 - y - 40): 115.
    expectNear(centerOf(plan, 'feed'), 200, 115);
    expect(plan.holes[0]?.offsets).toEqual([{ from: 'left', mm: 200 }, { from: 'bottom', mm: expect.closeTo(115, 2) as number }]);
  });

  it('keeps the terms of the distance that is given, and is told from the nearer side along the other', () => {
    const [hole] = planOf(lid(['name: feed, diameter: 20, from-right: 100, place: best, within: {from-top: 40, from-bottom: 200}'])).holes;
    // Between 200 and 260 up, the lowest has the most room to the top.
    expect(hole?.offsets).toEqual([{ from: 'right', mm: 100 }, { from: 'top', mm: expect.closeTo(100, 2) as number }]);
  });

  it('stays within its limits, measured from where distances start', () => {
    const plan = planOf(lid(['name: feed, diameter: 20, place: best, within: {from-left: 250, from-bottom: 200}'], { more: ', measured-from: rim, rim: {top: 0, right: 0, bottom: 12, left: 10}' }));
    // As low as it may be, 212, it has 88 mm to the top: so it has anywhere from 260 to 400 - 88 across, and lies in the middle of that.
    expectNear(centerOf(plan, 'feed'), 286, 212);
  });

  it('comes from its entry, and is not alone at distances of its own', () => {
    expect(planOf(lid(['name: air, diameter: 20, from-left: 60, from-top: 60', 'name: feed, diameter: 20, place: best'])).holes.map(({ name, from }) => [name, from.path.join('.'), from.isAlone])).toEqual([['air', 'holes.0', true], ['feed', 'holes.1', false]]);
  });

  it('takes the minimum where good practice has no place', () => {
    const plan = planOf(lid(['name: drain, diameter: 40, place: best'], { width: 300, height: 100 }));
    // 50 to the edges, less the radius: 30, under the diameter of 40 and over half of it, 20.
    expect(plan.found).toEqual([{ name: 'drain', spare: expect.closeTo(10, 2) as number, level: 'minimum' }]);
    expect(checkPlan(plan).byHole.get('drain')).toBe('tight');
    expect(checkPlan(plan).notes).toEqual(['drain: put where it has the most room: 10 mm more than the published minimum asks; no place keeps good practice.']);
  });

  it('the check says how much room was found', () => {
    expect(checkPlan(planOf(lid(['name: feed, diameter: 20, place: best']))).notes).toEqual(['feed: put where it has the most room: 120 mm more than good practice asks.']);
  });
});

describe('several holes', () => {
  const wide = fc.integer({ min: 6, max: 30 });
  it('each lies where it has the most room beside all others, whatever the panel', () => {
    fc.assert(
      fc.property(fc.array(wide, { minLength: 1, maxLength: 3 }), fc.array(fc.tuple(wide, fc.integer({ min: 40, max: 360 }), fc.integer({ min: 40, max: 260 })), { maxLength: 3 }), (sought, standing) => {
        const text = lid([...sought.map((d, index) => `name: s${index}, diameter: ${d}, place: best`), ...standing.map(([d, x, y], index) => `name: f${index}, diameter: ${d}, from-left: ${x}, from-bottom: ${y}`)]);
        const reading = readBuild(text);
        if ('problems' in reading) return;
        expectBestOfEach(reading.build.panels[0] ?? expect.fail());
      }),
      { numRuns: 40 },
    );
  }, 120_000);

  function expectBestOfEach(plan: Plan): void {
    for (const [index, { spare, level }] of plan.found.entries()) {
      const hole = plan.holes[index] ?? expect.fail();
      const others = plan.holes.filter((other) => other !== hole);
      // What is told is true.
      expect(spareAt(plan.panel, hole, others, hole.center, level)).toBeCloseTo(spare, 3);
      const best = onGrid(plan.panel, hole, others, plan.bounds);
      expect(best?.level).toBe(level);
      expect(best?.spare ?? NaN).toBeLessThan(spare + 0.06);
    }
  }

  it('so do two that come to rest by many small steps', () => {
    expectBestOfEach(planOf(lid(['name: a, diameter: 6, place: best', 'name: b, diameter: 27, place: best', 'name: c, diameter: 6, from-left: 268, from-bottom: 145', 'name: d, diameter: 26, from-left: 199, from-bottom: 231'])));
  }, 60_000);

  it('what is told of each is true where they were placed for as long as they may be', () => {
    const plan = planOf(lid(Array.from({ length: 12 }, (_, index) => `name: s${index}, diameter: ${6 + 2 * index}, place: best`)));
    for (const [index, { spare, level }] of plan.found.entries()) {
      const hole = plan.holes[index] ?? expect.fail();
      expect(spareAt(plan.panel, hole, plan.holes.filter((other) => other !== hole), hole.center, level)).toBeCloseTo(spare, 3);
    }
  }, 60_000);

  it('the first does not take the room of the second', () => {
    // In the middle of 230 by 130 the first would leave 115 - 20 to either side: no place for another of 40, which needs 60 to the edge and 80 to the next.
    const plan = planOf(lid(['name: a, diameter: 40, place: best', 'name: b, diameter: 40, place: best'], { width: 230, height: 130 }));
    expect(plan.found.map(({ level }) => level)).toEqual(['good practice', 'good practice']);
    expect(Math.abs(centerOf(plan, 'a').x - centerOf(plan, 'b').x)).toBeGreaterThan(80);
    expect(checkPlan(plan).verdict).toBe('clear');
  });

  it('lie in the order of the spec, and the same each time', () => {
    const text = lid(['name: a, diameter: 12, place: best', 'name: drain, diameter: 40, from-left: 90, from-top: 90', 'name: b, diameter: 20, place: best, within: {from-left: 200}']);
    expect(planOf(text).holes.map(({ name }) => name)).toEqual(['a', 'drain', 'b']);
    expect(planOf(text)).toEqual(planOf(text));
  });
});

describe('the check agrees', () => {
  it('that what is found keeps the level that is told, in glass with strips, an area and flanges too', () => {
    const across = fc.integer({ min: 0, max: 500 });
    const up = fc.integer({ min: 0, max: 300 });
    const seen = { 'good practice': 0, minimum: 0 };
    fc.assert(
      fc.property(fc.integer({ min: 12, max: 60 }), across, up, across, up, fc.integer({ min: 0, max: 60 }), (wide, x, y, left, bottom, limit) => {
        const text = `title: Frag shelf tank, back\nunits: mm
panel:
  {material: annealed glass, outline: [[0, 0], [600, 0], [600, 300], [500, 400], [0, 400]], thickness: 6, measured-from: rim, rim: {top: 20, right: 0, bottom: 15, left: 10}, joints: {left: 6, right: {panel: 6, sealant: 4}}, keep-clear: [{name: pump, from-left: ${left}, from-bottom: ${bottom}, width: 90, height: 70}]}
holes:
  - {name: drain, fitting: {hole: ${wide}, flange: ${wide + 24}, nut: ${wide + 18}}, place: best, within: {from-left: ${limit}, from-top: ${limit}}}
  - {name: air, diameter: 12, from-left: ${x}, from-bottom: ${y}}
`;
        const reading = readBuild(text);
        if ('problems' in reading) return;
        const plan = reading.build.panels[0] ?? expect.fail();
        const [found] = plan.found;
        const { level } = found ?? expect.fail();
        seen[level] += 1;
        const { center } = plan.holes[0] ?? expect.fail();
        expect(center.x).toBeGreaterThan(plan.datum.left + limit - 1e-5);
        expect(center.y).toBeLessThan(plan.datum.top - limit + 1e-5);
        const ofPlace = checkPlan(plan).findings.filter(({ hole, rule }) => hole === 'drain' && /^(to|part-to|between)-/.test(rule));
        expect(ofPlace.length).toBeGreaterThan(4);
        expect(ofPlace.filter(({ verdict }) => verdict === 'refused')).toEqual([]);
        // It is told as the minimum only where something is tight.
        expect(ofPlace.some(({ verdict }) => verdict === 'tight')).toBe(level === 'minimum');
      }),
      { numRuns: 40 },
    );
    expect(seen['good practice']).toBeGreaterThan(0);
  }, 120_000);
});

describe('what has no place is told', () => {
  it('at place, by name', () => {
    const problem = problemAtMark(lid(['name: feed, diameter: 20, from-left: 60, from-top: 60', 'name: drain, diameter: 60, place: §best'], { width: 150, height: 110 }));
    expect(problem).toMatchObject({ key: 'holes[1].place', found: expect.stringMatching(/^"drain" has no place/) as string });
    expect(problem.fix).not.toBe('');
  });

  it('where its line or its limits leave none', () => {
    expect(problemAtMark(lid(['name: drain, diameter: 30, from-top: 10, place: §best'])).found).toMatch(/no place/);
    expect(problemAtMark(lid(['name: drain, diameter: 30, place: §best, within: {from-left: 390}'])).found).toMatch(/no place/);
  });

  it('limits that overlap', () => {
    expect(problemAtMark(lid(['name: drain, diameter: 30, place: best, within: §{from-left: 300, from-right: 150}']))).toMatchObject({ key: 'holes[0].within', found: 'its limits from left and right overlap by 50 mm, so that no place is left between them', accepted: 'limits that leave room on a panel of 400 mm by 300 mm' });
  });
});

describe('in a box', () => {
  const box = (stands: string, holes: string, from = 'edges') => `title: Snail hatchery\nunits: mm\nboxes:\n  comb: {width: 300, height: 200, wall: 6, stands: ${stands}, measured-from: ${from}, holes: [${holes}]}\npanel: {material: acrylic, width: 700, height: 400, thickness: 8, boxes: [{box: comb, from-left: 100, from-top: 40}]}\n`;
  it.each(['inside', 'outside'])('that stands %s, the place is found on its back wall, and the panel has it there', (stands) => {
    const [panel, wall] = plansOf(box(stands, '{name: drain, diameter: 20, place: best, within: {from-left: 200}}, {name: air, diameter: 20, from-left: 60, from-top: 60}', 'inside'));
    // From 206 to the right of the box's outside the most room is 100 from top and bottom, and from the right edge no nearer than that: within, at 206.
    const found = centerOf(wall as Plan, 'drain');
    const fromLeft = stands === 'inside' ? found.x : 300 - found.x;
    expect(fromLeft).toBeGreaterThan(206 - 0.01);
    expectNear(centerOf(panel as Plan, 'drain'), 100 + fromLeft, 400 - 40 - 200 + found.y);
    expect(wall?.found.map(({ name }) => name)).toEqual(['drain']);
    const [whole, back] = [checkPlan(panel as Plan), checkPlan(wall as Plan)];
    expect([whole.notes, back.notes]).toEqual([[], [expect.stringMatching(/^drain: put where it has the most room/)]]);
  });

  it('without a place on the wall it is told once, at the box', () => {
    const problem = problemAtMark(box('inside', '{name: drain, diameter: 110, place: §best}'));
    expect(problem).toMatchObject({ key: 'boxes.comb.holes[0].place' });
    const reading = readBuild(box('inside', '{name: drain, diameter: 110, place: best}'));
    expect('problems' in reading && reading.problems).toHaveLength(1);
  });

  it('a build with one is checked as any other', () => {
    const reading = readBuild(box('inside', '{name: drain, diameter: 20, place: best}'));
    expect('build' in reading && checkBuild(reading.build).map(({ report }) => report.byHole.get('drain'))).toEqual(['clear', 'clear']);
  });
});
