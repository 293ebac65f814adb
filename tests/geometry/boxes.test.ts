/**
 * What is said of boxes on a panel, and of fittings that clamp a box to it, against an oracle: distances by the independent
 * library @flatten-js/core; how far a box reaches over something, by moving it until the library finds it free. Room of
 * 3 mm round parts, 3 mm of seal, 25 mm over a weir: common practice, no source.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { check, verdictsByHole } from '../../src/geometry/check.ts';
import { mostTold, type Finding, type Rule, type Verdict } from '../../src/geometry/finding.ts';
import { makePanel, rectangle, type Hole, type Panel, type PlacedBox } from '../../src/geometry/panel.ts';
import type { Point, Rect, Segment } from '../../src/geometry/shape.ts';
import { readBuild } from '../../src/plan/build.ts';
import { problemText } from '../../src/spec/problem.ts';
import { checkPlan } from '../../src/report.ts';
import { convexPolygon, coordinate, flatPoint, flatPolygon, flatSegment, ringOf, starPolygon } from './polygons.ts';

interface Work {
  readonly outline: readonly Point[];
  readonly rim: readonly number[];
  readonly joint: readonly number[];
  readonly areas: readonly Rect[];
  readonly boxes: readonly Rect[];
}

const cornersOf = ({ left, right, bottom, top }: Rect): Point[] => [{ x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }, { x: left, y: top }];
const moved = ({ left, right, bottom, top }: Rect, x: number, y: number): Rect => ({ left: left + x, right: right + x, bottom: bottom + y, top: top + y });
const grown = ({ left, right, bottom, top }: Rect, by: number): Rect => ({ left: left - by, right: right + by, bottom: bottom - by, top: top + by });

/** Whether a segment passes through a rectangle's inside; touching its border is none. */
function passes(rect: Rect, edge: Segment): boolean {
  const within = cornersOf(grown(rect, -1e-5));
  const segment = flatSegment(edge);
  return flatPolygon(within).contains(flatPoint(edge.a)) || flatPolygon(within).contains(flatPoint(edge.b)) || ringOf(within).some((side) => segment.intersect(flatSegment(side)).length > 0);
}

const apart = (rect: Rect, edge: Segment) => Math.min(...ringOf(cornersOf(rect)).map((side) => flatSegment(side).distanceTo(flatSegment(edge))[0]));
const middleOf = ({ left, right, bottom, top }: Rect) => flatPoint({ x: (left + right) / 2, y: (bottom + top) / 2 });
const overlap = (a: Rect, b: Rect) => ringOf(cornersOf(a)).some((side) => passes(b, side)) || flatPolygon(cornersOf(a)).contains(middleOf(b));

/** Whether a box lies on no part of the panel. */
const isOff = (rect: Rect, outline: readonly Point[]) => !ringOf(outline).some((edge) => passes(rect, edge)) && !flatPolygon(outline).contains(middleOf(rect));

function panelOf({ outline, rim, joint, areas, boxes }: Work, more: { water?: number; crests?: readonly (number | null)[]; stands?: readonly PlacedBox['stands'][] } = {}): Panel {
  const names = { edges: outline.map((_, index) => `edge ${index}`), corners: outline.map((_, index) => `corner ${index}`) };
  const [rb = 0, rr = 0, rt = 0, rl = 0] = rim;
  const [jb = 0, jr = 0, jt = 0, jl = 0] = joint;
  return makePanel({
    material: 'acrylic',
    thickness: 8,
    outline,
    names,
    rim: { bottom: rb, right: rr, top: rt, left: rl },
    joints: { bottom: jb, right: jr, top: jt, left: jl },
    keepClear: areas.map((rect, index) => ({ name: `area ${index}`, rect })),
    boxes: boxes.map((rect, index) => ({ name: `box ${index}`, rect, wall: 6, crest: more.crests?.[index] ?? null, stands: more.stands?.[index] ?? 'inside' })),
    water: more.water ?? null,
  });
}

const verdictOf = (measured: number): Verdict => (measured < -1e-6 ? 'refused' : measured < 3 - 1e-6 ? 'tight' : 'clear');

/** What the oracle measures from a box to everything, by what findings call it: undefined where the box reaches over it. */
function oracleOf(rect: Rect, index: number, { outline, rim, joint, areas, boxes }: Work): Map<string, number | undefined> {
  const oracle = new Map<string, number | undefined>();
  for (const [at, edge] of ringOf(outline).entries()) {
    const distance = passes(rect, edge) ? undefined : apart(rect, edge);
    oracle.set(`box-to-edge edge ${at}`, distance);
    if (rim[at]) oracle.set(`box-to-rim rim at edge ${at}`, distance === undefined ? undefined : distance - rim[at]);
    if (joint[at]) oracle.set(`box-to-joint joint at edge ${at}`, distance === undefined ? undefined : distance - joint[at]);
  }
  const toRect = (other: Rect) => (overlap(rect, other) ? undefined : Math.min(...ringOf(cornersOf(other)).map((side) => apart(rect, side))));
  for (const [at, area] of areas.entries()) oracle.set(`box-to-keep-clear area ${at}`, toRect(area));
  for (const [at, other] of boxes.entries()) if (at !== index) oracle.set(`between-boxes box ${at}`, toRect(other));
  return oracle;
}

const boxRules: readonly Rule[] = ['box-to-edge', 'box-to-rim', 'box-to-joint', 'box-to-keep-clear', 'between-boxes'];

function expectAgreement(work: Work): void {
  const findings = check(panelOf(work), []);
  for (const [index, rect] of work.boxes.entries()) {
    if (isOff(rect, work.outline)) continue;
    const oracle = oracleOf(rect, index, work);
    const ofBox = findings.filter(({ hole }) => hole === `box ${index}`);
    for (const rule of boxRules) {
      const told = ofBox.filter((finding) => finding.rule === rule);
      const all = [...oracle].filter(([key]) => key.startsWith(`${rule} `)).map(([key, measured]) => ({ key, measured, verdict: measured === undefined ? ('refused' as const) : verdictOf(measured) }));
      const faulty = all.filter(({ verdict }) => verdict !== 'clear');
      expect(told.length).toBe(Math.min(mostTold, faulty.length || Math.min(1, all.length)));
      for (const { other, verdict, measured } of told) {
        const expected = all.find(({ key }) => key === `${rule} ${other}`) ?? expect.fail();
        expect(`${rule} ${other}: ${verdict}`).toBe(`${expected.key}: ${expected.verdict}`);
        if (expected.measured !== undefined) expect(measured).toBeCloseTo(expected.measured, 6);
        else expect(measured).toBeLessThan(0);
        if (faulty.length === 0) expect(measured).toBeCloseTo(Math.min(...all.map((one) => one.measured as number)), 6);
      }
      if (faulty.length > mostTold) expect(told.some(({ verdict }) => verdict === 'refused')).toBe(faulty.some(({ verdict }) => verdict === 'refused'));
    }
  }
}

const anyRect = (most: number): fc.Arbitrary<Rect> => fc.record({ x: coordinate(-20, most), y: coordinate(-20, most), w: coordinate(5, 200), h: coordinate(5, 200) }).map(({ x, y, w, h }) => ({ left: x, right: x + w, bottom: y, top: y + h }));

const anyRectangleWork: fc.Arbitrary<Work> = fc.record({
  outline: fc.tuple(coordinate(150, 600), coordinate(150, 600)).map(([width, height]) => rectangle(width, height)),
  rim: fc.array(fc.integer({ min: 0, max: 30 }), { minLength: 4, maxLength: 4 }),
  joint: fc.array(fc.integer({ min: 0, max: 20 }), { minLength: 4, maxLength: 4 }),
  areas: fc.array(anyRect(500), { maxLength: 3 }),
  boxes: fc.array(anyRect(500), { minLength: 1, maxLength: 4 }),
});

const anyPolygonWork: fc.Arbitrary<Work> = fc.record({ outline: fc.oneof(starPolygon, convexPolygon), rim: fc.constant([]), joint: fc.constant([]), areas: fc.constant([]), boxes: fc.array(anyRect(550), { minLength: 1, maxLength: 3 }) });

/** An L, 400 by 400 mm, without its upper right quarter from (300, 200): two edges meet there at an inward corner. */
const ell: readonly Point[] = [{ x: 0, y: 0 }, { x: 400, y: 0 }, { x: 400, y: 200 }, { x: 300, y: 200 }, { x: 300, y: 400 }, { x: 0, y: 400 }];
const rect = (left: number, right: number, bottom: number, top: number): Rect => ({ left, right, bottom, top });
const alone = (outline: readonly Point[], box: Rect): Work => ({ outline, rim: [], joint: [], areas: [], boxes: [box] });

describe('the distances and verdicts of boxes are those of the oracle', () => {
  it('on rectangles with rims, joints, keep-clear areas and other boxes', () => {
    fc.assert(fc.property(anyRectangleWork, expectAgreement), { numRuns: 250 });
  });

  it('on convex and concave outlines', () => {
    fc.assert(fc.property(anyPolygonWork, expectAgreement), { numRuns: 250 });
  });

  it('on an L, in whole steps, where boxes lie flush with its edges', () => {
    const step = (most: number) => fc.integer({ min: 0, max: most / 50 }).map((count) => 50 * count);
    const box = fc.record({ x: step(350), y: step(350), w: fc.constantFrom(50, 100, 150), h: fc.constantFrom(50, 100, 250) }).map(({ x, y, w, h }) => rect(x, x + w, y, y + h));
    fc.assert(fc.property(box, (one) => expectAgreement(alone(ell, one))), { numRuns: 300 });
  });

  it('a box under the inward corner of an L, flush with it, reaches over neither of its edges', () => {
    const findings = check(panelOf(alone(ell, rect(300, 350, 100, 200))), []);
    expect(findings.filter(({ verdict }) => verdict === 'refused')).toEqual([]);
    expect(findings.map(({ measured }) => measured)).toEqual([0, 0]);
  });

  it('a box that only touches the tip of a spike lies off the panel', () => {
    const spike: readonly Point[] = [{ x: 0, y: 0 }, { x: 400, y: 0 }, { x: 400, y: 400 }, { x: 350, y: 400 }, { x: 350, y: 100 }, { x: 150, y: 100 }, { x: 100, y: 300 }, { x: 50, y: 100 }, { x: 0, y: 100 }];
    for (const left of [50, 75, 100]) expect(check(panelOf(alone(spike, rect(left, left + 50, 300, 350))), []).map(({ rule, verdict }) => `${rule} ${verdict}`)).toEqual(['box-to-edge refused']);
  });

  it('no box that lies off the panel is told as clear of its edges', () => {
    fc.assert(
      fc.property(anyPolygonWork, (work) => {
        const findings = check(panelOf(work), []);
        for (const [index, box] of work.boxes.entries()) {
          if (!isOff(box, work.outline)) continue;
          expect(findings.some(({ hole, rule, verdict }) => hole === `box ${index}` && rule === 'box-to-edge' && verdict === 'refused')).toBe(true);
        }
      }),
      { numRuns: 400 },
    );
  });
});

describe('how far a box reaches over something is how far it must be moved', () => {
  /** Moved by a little more than it reaches over, a box is free; by a little less, it is not. */
  const expectReach = (measured: number, isFree: (distance: number) => boolean) => {
    expect(isFree(-measured + 1e-3)).toBe(true);
    expect(isFree(-measured - 1e-3)).toBe(false);
  };

  it('over an edge: square to it, into the panel', () => {
    fc.assert(
      fc.property(fc.oneof(anyPolygonWork, anyRectangleWork), (work) => {
        const findings = check(panelOf({ ...work, rim: [], joint: [] }), []);
        for (const { hole, rule, other, measured } of findings) {
          const box = work.boxes[Number(hole.slice(4))] as Rect;
          if (rule !== 'box-to-edge' || typeof measured !== 'number' || measured > -0.01 || isOff(box, work.outline)) continue;
          const edge = ringOf(work.outline)[Number(other?.slice(5))] as Segment;
          const length = Math.hypot(edge.b.x - edge.a.x, edge.b.y - edge.a.y);
          const inwards = { x: -(edge.b.y - edge.a.y) / length, y: (edge.b.x - edge.a.x) / length };
          expectReach(measured, (distance) => !passes(moved(box, distance * inwards.x, distance * inwards.y), edge));
        }
      }),
      { numRuns: 300 },
    );
  });

  it('over a keep-clear area or another box: the shortest of left, right, up and down', () => {
    fc.assert(
      fc.property(anyRectangleWork, (work) => {
        for (const { hole, rule, other, measured } of check(panelOf(work), [])) {
          if ((rule !== 'box-to-keep-clear' && rule !== 'between-boxes') || typeof measured !== 'number' || measured > -1e-3) continue;
          const box = work.boxes[Number(hole.slice(4))] as Rect;
          const inTheWay = (rule === 'between-boxes' ? work.boxes[Number(other?.slice(4))] : work.areas[Number(other?.slice(5))]) as Rect;
          expectReach(measured, (distance) => [[1, 0], [-1, 0], [0, 1], [0, -1]].some(([x = 0, y = 0]) => !overlap(moved(box, x * distance, y * distance), inTheWay)));
        }
      }),
      { numRuns: 200 },
    );
  });

  it('the move of a finding makes its verdict better', () => {
    const rank = (verdict: Verdict) => ['clear', 'tight', 'refused'].indexOf(verdict);
    fc.assert(
      fc.property(fc.oneof(anyRectangleWork, anyPolygonWork), (work) => {
        for (const finding of check(panelOf(work), [])) {
          const index = Number(finding.hole.slice(4));
          const box = work.boxes[index] as Rect;
          if (!finding.move || isOff(box, work.outline)) continue;
          const there = moved(box, finding.move.right, finding.move.up);
          if (isOff(there, work.outline)) continue;
          const after = check(panelOf({ ...work, boxes: work.boxes.map((one, at) => (at === index ? there : one)) }), []).find(({ hole, rule, other }) => hole === finding.hole && rule === finding.rule && other === finding.other);
          expect(rank(after?.verdict ?? 'clear'), `${finding.rule} ${finding.other}: ${finding.measured}`).toBeLessThan(rank(finding.verdict));
        }
      }),
      { numRuns: 150 },
    );
  });
});

describe('a hole that goes through the panel alone', () => {
  it('keeps off boxes, its parts too; one that is drilled with a box may lie on that box', () => {
    const hole = fc.record({ x: coordinate(0, 400), y: coordinate(0, 400), diameter: fc.integer({ min: 10, max: 60 }), flange: fc.option(fc.integer({ min: 5, max: 40 }), { nil: undefined }), box: fc.constantFrom(null, 'box 0') });
    fc.assert(
      fc.property(hole, anyRect(350), ({ x, y, diameter, flange, box }, one) => {
        const center = { x, y };
        const drilled: Hole = { name: 'drain', center, diameter, flange: flange === undefined ? undefined : diameter + flange, box };
        const told = check(panelOf(alone(rectangle(400, 400), one)), [drilled]).filter(({ rule }) => rule === 'part-to-box');
        if (box === 'box 0') {
          expect(told).toEqual([]);
          return;
        }
        const border = Math.min(...ringOf(cornersOf(one)).map((side) => flatPoint(center).distanceTo(flatSegment(side))[0]));
        const measured = (flatPolygon(cornersOf(one)).contains(flatPoint(center)) ? -border : border) - Math.max(diameter, diameter + (flange ?? 0)) / 2;
        expect(told).toHaveLength(1);
        expect(told[0]).toMatchObject({ other: 'box 0', verdict: verdictOf(measured) });
        expect(told[0]?.measured).toBeCloseTo(measured, 6);
      }),
      { numRuns: 200 },
    );
  });

  it('a refused box takes the holes that are drilled with it along, and no others', () => {
    const holes: Hole[] = [{ name: 'drain', center: { x: 40, y: 100 }, diameter: 20, box: 'box 0' }, { name: 'top-up', center: { x: 350, y: 350 }, diameter: 20, box: null }];
    const findings = check(panelOf(alone(rectangle(400, 400), rect(-5, 145, 50, 150))), holes);
    expect([...verdictsByHole(holes, findings)]).toEqual([['drain', 'refused'], ['top-up', 'clear'], ['box 0', 'refused']]);
  });

  it('a box that stands outside meets neither the neighbours\' inner joints nor a box that stands inside', () => {
    const work: Work = { outline: rectangle(400, 400), rim: [], joint: [10, 10, 10, 10], areas: [], boxes: [rect(4, 154, 100, 200), rect(20, 120, 80, 180)] };
    const refused = (stands: readonly PlacedBox['stands'][]) => check(panelOf(work, { stands }), []).filter(({ verdict }) => verdict === 'refused').map(({ hole, rule }) => `${hole} ${rule}`);
    expect(refused(['outside', 'inside'])).toEqual([]);
    expect(refused(['inside', 'inside'])).toEqual(['box 0 box-to-joint', 'box 0 between-boxes', 'box 1 between-boxes']);
    expect(refused(['outside', 'outside'])).toEqual(['box 0 between-boxes', 'box 1 between-boxes']);
  });
});

describe('the crest of a weir', () => {
  const of = (crest: number, water?: number) => check(panelOf(alone(rectangle(400, 400), rect(100, 250, 200, 390)), { crests: [crest], ...(water === undefined ? {} : { water }) }), []).filter(({ rule }) => rule.startsWith('weir'));

  // Under a top edge at 400 mm: 25 mm are good, none is refused.
  it.each([[375, 'clear', 25], [380, 'tight', 20], [400, 'tight', 0], [401, 'refused', -1]] as const)('at %d mm, the panel\'s top at 400: %s', (crest, verdict, measured) => {
    expect(of(crest)).toEqual([expect.objectContaining({ rule: 'weir-to-top', verdict, measured, other: 'top edge' })]);
  });

  // Water that does not stand over the crest does not run into the box.
  it.each([[360, 'clear', 10], [370, 'clear', 0], [371, 'refused', -1]] as const)('at %d mm, the water at 370: %s', (crest, verdict, measured) => {
    expect(of(crest, 370)[1]).toMatchObject({ rule: 'weir-to-water', verdict, measured, other: 'water' });
  });

  it('a crest over the water is lowered with its box', () => {
    expect(of(371, 370)[1]).toMatchObject({ move: { right: 0, up: -1 }, fix: 'move 1 mm down' });
  });
});

/** The findings of one rule on the panel, from a spec with a box of 6 mm walls on a panel of 10 mm. */
function findingsOf(rule: Rule, fitting: string, { hole = '', panel = '', boxed = true } = {}): Finding[] {
  const drilled = `holes: [{name: drain, fitting: ${fitting}, from-left: 100, from-top: 75${hole}}]`;
  const text = `title: Pump cabinet sump
units: mm
${boxed ? `boxes:\n  pump box: {width: 200, height: 150, wall: 6, ${drilled}}\n` : ''}panel:
  material: annealed glass
  width: 700
  height: 400
  thickness: 10
${panel}${boxed ? '  boxes: [{box: pump box, from-left: 200, from-top: 100}]\n' : drilled}
`;
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return checkPlan(reading.build.panels[0] ?? expect.fail()).findings.filter((finding) => finding.rule === rule);
}

describe('what a fitting clamps', () => {
  const gasket = 'gasket: {inside: 34, outside: 50, thickness: 3}';

  it.each([
    // Panel, gasket, wall of the box, gasket: 10 + 3 + 6 + 3.
    ['panel, gasket, wall and gasket', `{hole: 35, flange: 54, grip: [3, 22], ${gasket}}`, true, 22, 'clear'],
    ['the same, where the grip ends a little before', `{hole: 35, flange: 54, grip: [3, 21.9], ${gasket}}`, true, 22, 'refused'],
    ['the same, of a fitting that needs more', `{hole: 35, flange: 54, grip: [22.1, 40], ${gasket}}`, true, 22, 'refused'],
    ['gaskets of 2 mm', '{hole: 35, flange: 54, grip: [3, 22], gasket: {inside: 34, outside: 50, thickness: 2}}', true, 20, 'clear'],
    // Gaskets that nobody has measured are taken for 3 mm, typical, from memory.
    ['gaskets of no known thickness', '{hole: 35, flange: 54, grip: [3, 22]}', true, 22, 'clear'],
    ['without a box, panel and gasket', `{hole: 35, flange: 54, grip: [3, 22], ${gasket}}`, false, 13, 'clear'],
    ['without box and gasket, the panel', '{hole: 35, flange: 54, grip: [3, 22]}', false, 10, 'clear'],
    // A typical grip is nobody's measure: 10 + 3 + 6 + 3 over its 20 mm is tight.
    ['of a typical fitting', 'bulkhead 1/2 in', true, 22, 'tight'],
  ])('%s', (_what, fitting, boxed, measured, verdict) => {
    expect(findingsOf('grip', fitting, { boxed })).toEqual([expect.objectContaining({ measured, verdict })]);
  });

  it('a stack that is too thick is told as a stack', () => {
    expect(findingsOf('grip', `{hole: 35, flange: 54, grip: [3, 20], ${gasket}}`)[0]?.fix).toBe('the fitting clamps 3 mm to 20 mm: choose one that clamps a stack of 22 mm');
  });
});

describe('what flange and gasket cover round the hole', () => {
  it.each([
    // (40 - 33 - 0.5) / 2 and so on: the bit cuts 0.5 mm over its size (common practice, no source).
    ['{hole: 33, flange: 40}', 'flange', 3.25, 'clear'],
    ['{hole: 33.5, flange: 40}', 'flange', 3, 'clear'],
    ['{hole: 34, flange: 40}', 'flange', 2.75, 'tight'],
    ['{hole: 39.75, flange: 40}', 'flange', -0.125, 'refused'],
    // The narrower of the two seals.
    ['{hole: 33, flange: 50, gasket: {inside: 33, outside: 38}}', 'gasket', 2.25, 'tight'],
    ['{hole: 33, flange: 38, gasket: {inside: 33, outside: 50}}', 'flange', 2.25, 'tight'],
    ['{hole: 33, gasket: {inside: 33, outside: 50}}', 'gasket', 8.25, 'clear'],
  ])('%s: %s, %d mm, %s', (fitting, other, measured, verdict) => {
    expect(findingsOf('cover', fitting, { boxed: false })).toEqual([expect.objectContaining({ other, measured, verdict })]);
  });

  it('without either there is nothing to say', () => {
    expect(findingsOf('cover', '{hole: 33, nut: 50}', { boxed: false })).toEqual([]);
  });
});

describe('a gasket that is wider than flange and nut, or the only part that is known', () => {
  it.each(['{hole: 33, gasket: {inside: 33, outside: 80}}', '{hole: 33, flange: 50, nut: 48, gasket: {inside: 33, outside: 80}}'])('takes up room as they do: %s', (fitting) => {
    // 100 - 80 / 2 mm from the left edge, of which a joint takes 58: 2 mm left, under 3 mm (common practice, no source).
    expect(findingsOf('part-to-joint', fitting, { panel: '  joints: {left: 58}\n', boxed: false })).toEqual([expect.objectContaining({ other: 'joint at left edge', measured: 2, verdict: 'tight' })]);
    // 75 - 80 / 2 mm from the top edge.
    expect(findingsOf('part-to-edge', fitting, { boxed: false })).toEqual([expect.objectContaining({ other: 'top edge', measured: 35, verdict: 'clear' })]);
  });
});

describe('room behind the panel', () => {
  const fitting = '{hole: 44, flange: 66, pipe: 1 in, stands-out: {flange: 20, nut: 48}}';
  const room = (mm: number) => `  room: {outside: ${mm}}\n`;

  it.each([
    // Flange inside, so the nut stands out outside: 48 mm.
    ['nothing joined', '', 48, 48, 'clear'],
    ['nothing joined', '', 47, 48, 'tight'],
    // Flange outside: 20 mm.
    ['the flange outside', ', flange-on: outside', 20, 20, 'clear'],
    // A coupling: two sockets of 7/8 in (ASTM D2466, from memory) and a stop of 3 mm (from memory) more: 48 + 44.45 + 3.
    ['pipe', ', outside: pipe', 95, 95.45, 'tight'],
    ['pipe', ', outside: pipe', 96, 95.45, 'clear'],
    // An elbow: 11/16 + 7/8 in to the middle of its leg, half of 1-5/8 in beyond (from memory): 48 + 60.325.
    ['an elbow', ', outside: elbow', 108, 108.325, 'tight'],
    ['an elbow', ', outside: elbow', 109, 108.325, 'clear'],
    ['an elbow inside, where the room is not the question', ', inside: elbow', 48, 48, 'clear'],
  ])('%s%s, %d mm free', (_what, hole, free, needed, verdict) => {
    const [finding, ...more] = findingsOf('room', fitting, { hole, panel: room(free), boxed: false });
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ other: 'outside', measured: free, verdict });
    expect(finding?.needed).toBeCloseTo(needed, 9);
  });

  it('what to keep free is told in what can be measured', () => {
    expect(findingsOf('room', fitting, { hole: ', outside: elbow', panel: room(90), boxed: false })[0]?.fix).toMatch(/^keep 10(8\.[4-9]|9) mm free outside/);
  });

  it('without a room, or a length, nothing is said', () => {
    expect(findingsOf('room', fitting, { boxed: false })).toEqual([]);
    expect(findingsOf('room', '{hole: 44, flange: 66}', { panel: room(10), boxed: false })).toEqual([]);
  });

  it('on the side where a box stands, the fitting stands out of the box\'s wall', () => {
    // The flange of 20 mm lies on the inside of a wall of 6, which a gasket of 3 mm (typical, from memory) parts from the panel.
    const [finding] = findingsOf('room', fitting, { panel: '  room: {inside: 25}\n' });
    expect(finding).toMatchObject({ other: 'inside', measured: 25, needed: 29, verdict: 'tight' });
  });
});
