/**
 * Every rule against an oracle: distances by the independent library @flatten-js/core, every pair looked at, limits
 * written out again below. Sources of the limits: EN 12150-1:2015 clause 7 as restated by infoglass.cz; US fabrication
 * practice after ASTM C1048 as published by wagnercompanies.com and germansystemwindows.com. One diameter of glass:
 * common practice, no source. Acrylic: from memory. Room of 3 mm round parts: common practice, no source.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { check, verdictsByHole } from '../../src/geometry/check.ts';
import { mostTold, worst, type Finding, type Verdict } from '../../src/geometry/finding.ts';
import { makePanel, rectangle, rectangleNames, type Hole, type Panel } from '../../src/geometry/panel.ts';
import type { Point } from '../../src/geometry/shape.ts';
import { parseLength } from '../../src/spec/length.ts';
import { convexPolygon, coordinate, flatCircle, flatPoint, flatPolygon, flatSegment, ringOf, starPolygon } from './polygons.ts';

type Material = 'annealed glass' | 'acrylic';

/** The published floors, mm. */
function floorsOf(material: Material, t: number, d: number) {
  if (material === 'acrylic') return { edge: Math.max(t, d / 2), between: Math.max(t, d / 2), corner: undefined };
  return {
    edge: Math.max(2 * t, 6.4), // EN: 2t; US: 1/4 in or 2t
    between: Math.max(2 * t, 9.5), // EN: 2t; US: 3/8 in or 2t
    corner: Math.max(6 * t, 6.5 * t), // EN: 6t; US: 6.5t
  };
}

/** Least width over all directions: one of them runs along a line through two of the points. */
function leastWidth(points: readonly Point[]): number {
  const widths = points.flatMap((p) =>
    points.filter((q) => q !== p).map((q) => {
      const along = points.map((r) => ((r.x - p.x) * (p.y - q.y) + (r.y - p.y) * (q.x - p.x)) / Math.hypot(p.x - q.x, p.y - q.y));
      return Math.max(...along) - Math.min(...along);
    }),
  );
  return Math.min(...widths);
}

interface Work {
  readonly material: Material;
  readonly t: number;
  readonly outline: readonly Point[];
  /** Width of the strips along each edge of the outline. */
  readonly rim: readonly number[];
  readonly joint: readonly number[];
  readonly keepClear: readonly { name: string; rect: { left: number; right: number; bottom: number; top: number } }[];
  readonly holes: readonly Hole[];
}

/** What the oracle says of one hole and one thing: its verdict and what it measures. */
type Oracle = Map<string, { verdict: Verdict; measured: number }>;

const slack = 1e-6;
const verdictOf = (measured: number, floor: number | undefined, good: number | undefined): Verdict =>
  floor !== undefined && measured < floor - slack ? 'refused' : good !== undefined && measured < good - slack ? 'tight' : 'clear';

function keyOf(hole: string, rule: string, other: string | null): string {
  return `${rule}: ${hole} to ${other}`;
}

function reachOf(hole: Hole): number {
  return Math.max(hole.diameter, hole.flange ?? 0, hole.nut ?? 0) / 2;
}

function oracleOf({ material, t, outline, rim, joint, keepClear, holes }: Work): Oracle {
  const oracle: Oracle = new Map();
  const tell = (hole: string, rule: string, other: string | null, measured: number, floor?: number, good?: number) =>
    oracle.set(keyOf(hole, rule, other), { verdict: verdictOf(measured, floor, good), measured });

  for (const hole of holes) {
    const d = hole.diameter;
    const center = flatPoint(hole.center);
    const reach = reachOf(hole);
    const floors = floorsOf(material, t, d);
    if (material === 'annealed glass') {
      oracle.set(keyOf(hole.name, 'least-diameter', null), { verdict: d < Math.max(t, 6.4, t + 1.6) - slack ? 'refused' : 'clear', measured: d });
      oracle.set(keyOf(hole.name, 'largest-diameter', null), { verdict: d > leastWidth(outline) / 3 + slack ? 'refused' : 'clear', measured: d });
    }
    ringOf(outline).forEach((edge, index) => {
      const toEdge = center.distanceTo(flatSegment(edge))[0];
      tell(hole.name, 'to-edge', `edge ${index}`, toEdge - d / 2, floors.edge, d);
      if (reach > d / 2) tell(hole.name, 'part-to-edge', `edge ${index}`, toEdge - reach, 0, 3);
      if (rim[index]) tell(hole.name, 'part-to-rim', `rim at edge ${index}`, toEdge - reach - rim[index], 0, 3);
      if (joint[index]) tell(hole.name, 'part-to-joint', `joint at edge ${index}`, toEdge - reach - joint[index], 0, 3);
      if (floors.corner !== undefined) tell(hole.name, 'to-corner', `corner ${index}`, center.distanceTo(flatPoint(edge.a))[0] - d / 2, floors.corner);
    });
    // A bit cuts 0.5 mm over its size, and 3 mm of seal all round is good practice (common practice, no source).
    if (hole.flange !== undefined) tell(hole.name, 'cover', 'flange', (hole.flange - (d + 0.5)) / 2, 0, 3);
    for (const { name, rect } of keepClear) {
      const box = flatPolygon([{ x: rect.left, y: rect.bottom }, { x: rect.right, y: rect.bottom }, { x: rect.right, y: rect.top }, { x: rect.left, y: rect.top }]);
      const toOutline = Math.min(...ringOf(box.vertices.map(({ x, y }) => ({ x, y }))).map((edge) => center.distanceTo(flatSegment(edge))[0]));
      tell(hole.name, 'part-to-keep-clear', name, (box.contains(center) ? -toOutline : toOutline) - reach, 0, 3);
    }
  }
  for (const hole of holes) {
    for (const other of holes.filter((one) => one !== hole)) {
      const apart = flatPoint(hole.center).distanceTo(flatPoint(other.center))[0];
      const larger = Math.max(hole.diameter, other.diameter);
      tell(hole.name, 'between-holes', other.name, apart - (hole.diameter + other.diameter) / 2, floorsOf(material, t, larger).between, larger);
      if (reachOf(hole) > hole.diameter / 2 || reachOf(other) > other.diameter / 2) tell(hole.name, 'between-parts', other.name, apart - reachOf(hole) - reachOf(other), 0, 3);
    }
  }
  return oracle;
}

function panelOf({ material, t, outline, rim, joint, keepClear }: Omit<Work, 'holes'>): Panel {
  const names = { edges: outline.map((_, index) => `edge ${index}`), corners: outline.map((_, index) => `corner ${index}`) };
  const [rb = 0, rr = 0, rt = 0, rl = 0] = rim;
  const [jb = 0, jr = 0, jt = 0, jl = 0] = joint;
  return makePanel({ material, thickness: t, outline, names, keepClear, rim: { bottom: rb, right: rr, top: rt, left: rl }, joints: { bottom: jb, right: jr, top: jt, left: jl } });
}

const faulty = (findings: readonly Finding[]) => findings.filter((finding) => finding.verdict !== 'clear');

/** A hole of random size, with parts on some. Diameters in whole and half millimetres. */
const anyHole = fc.record({
  diameter: fc.integer({ min: 10, max: 200 }).map((count) => count / 2),
  flange: fc.option(fc.integer({ min: 1, max: 40 }), { nil: undefined }),
  nut: fc.option(fc.integer({ min: 1, max: 30 }), { nil: undefined }),
  x: coordinate(0, 600),
  y: coordinate(0, 600),
});

type Drawn = { diameter: number; flange: number | undefined; nut: number | undefined; x: number; y: number };

function holesOf(drawn: readonly Drawn[]): Hole[] {
  return drawn.map(({ diameter, flange, nut, x, y }, index) => ({
    name: `h${String(index).padStart(2, '0')}`,
    center: { x, y },
    diameter,
    flange: flange === undefined ? undefined : diameter + flange,
    nut: nut === undefined ? undefined : diameter + nut,
  }));
}

const anyMaterial = fc.constantFrom<Material>('annealed glass', 'acrylic');
const anyThickness = fc.constantFrom(3, 4, 6, 8, 10, 12, 15, 19, 25);

const anyRectangleWork: fc.Arbitrary<Work> = fc
  .record({
    material: anyMaterial,
    t: anyThickness,
    width: coordinate(150, 600),
    height: coordinate(150, 600),
    rim: fc.array(fc.integer({ min: 0, max: 30 }), { minLength: 4, maxLength: 4 }),
    joint: fc.array(fc.integer({ min: 0, max: 20 }), { minLength: 4, maxLength: 4 }),
    areas: fc.array(fc.record({ x: coordinate(0, 500), y: coordinate(0, 500), w: coordinate(5, 200), h: coordinate(5, 200) }), { maxLength: 3 }),
    drawn: fc.array(anyHole, { minLength: 1, maxLength: 8 }),
  })
  .map(({ material, t, width, height, rim, joint, areas, drawn }) => ({
    material,
    t,
    outline: rectangle(width, height),
    rim,
    joint,
    keepClear: areas.map(({ x, y, w, h }, index) => ({ name: `area ${index}`, rect: { left: x, right: x + w, bottom: y, top: y + h } })),
    holes: holesOf(drawn.map((hole) => ({ ...hole, x: (hole.x / 600) * width, y: (hole.y / 600) * height }))),
  }));

const anyPolygonWork: fc.Arbitrary<Work> = fc
  .record({ material: anyMaterial, t: anyThickness, outline: fc.oneof(starPolygon, convexPolygon), drawn: fc.array(anyHole, { minLength: 1, maxLength: 10 }) })
  .map(({ material, t, outline, drawn }) => ({
    material,
    t,
    outline,
    rim: [],
    joint: [],
    keepClear: [],
    holes: holesOf(drawn.filter(({ x, y }) => flatPolygon(outline).contains(flatPoint({ x, y })))),
  }))
  .filter(({ holes, outline }) => holes.length > 0 && outline.every((_, index) => cornerAngle(outline, index) < 169 || cornerAngle(outline, index) > 171));

/** Interior angle at a point of a counter-clockwise outline, degrees, by the law of cosines and the turn's sign. */
function cornerAngle(outline: readonly Point[], index: number): number {
  const at = (offset: number) => outline[(index + offset + outline.length) % outline.length] as Point;
  const [before, tip, after] = [at(-1), at(0), at(1)];
  const length = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);
  const [a, b, c] = [length(before, tip), length(tip, after), length(before, after)];
  const angle = (Math.acos(Math.min(1, Math.max(-1, (a * a + b * b - c * c) / (2 * a * b)))) * 180) / Math.PI;
  const turnsLeft = (tip.x - before.x) * (after.y - tip.y) - (tip.y - before.y) * (after.x - tip.x) > 0;
  return turnsLeft ? angle : 360 - angle;
}

/** Corners wider than 170° are none: our choice, no source. */
function withoutWideCorners(oracle: Oracle, { outline }: Work): Oracle {
  return new Map([...oracle].filter(([key]) => !outline.some((_, index) => key.endsWith(` to corner ${index}`) && cornerAngle(outline, index) > 170)));
}

/** Faulty findings of one hole by one rule, as the oracle or the check has them. */
function byHoleAndRule(entries: readonly (readonly [key: string, verdict: Verdict])[]): Map<string, string[]> {
  const groups = new Map<string, string[]>();
  for (const [key, verdict] of entries) {
    const group = key.slice(0, key.indexOf(' to ', key.indexOf(': ')));
    groups.set(group, [...(groups.get(group) ?? []), `${key}: ${verdict}`]);
  }
  return groups;
}

function expectAgreement(work: Work): void {
  const oracle = withoutWideCorners(oracleOf(work), work);
  const findings = check(panelOf(work), work.holes);
  const told = byHoleAndRule(faulty(findings).map((finding) => [keyOf(finding.hole, finding.rule, finding.other), finding.verdict]));
  const expected = byHoleAndRule([...oracle].flatMap(([key, { verdict }]) => (verdict === 'clear' ? [] : [[key, verdict] as const])));
  expect([...told.keys()].sort()).toEqual([...expected.keys()].sort());
  for (const [group, all] of expected) {
    const some = told.get(group) ?? [];
    // Of many only the worst are told, the refused first.
    if (all.length <= mostTold) expect([...some].sort()).toEqual([...all].sort());
    else {
      expect(some).toHaveLength(mostTold);
      expect(all).toEqual(expect.arrayContaining(some));
      expect(some.some((one) => one.endsWith('refused'))).toBe(all.some((one) => one.endsWith('refused')));
    }
  }
  for (const finding of findings) {
    if (typeof finding.measured !== 'number') continue;
    expect(finding.measured).toBeCloseTo(oracle.get(keyOf(finding.hole, finding.rule, finding.other))?.measured as number, 6);
  }
}

describe('the verdicts are those of the oracle', () => {
  it('for rectangles with rims, joints and keep-clear areas', () => {
    fc.assert(fc.property(anyRectangleWork, expectAgreement), { numRuns: 500 });
  });

  it('for convex and concave polygons', () => {
    fc.assert(fc.property(anyPolygonWork, expectAgreement), { numRuns: 400 });
  });

  it('for many holes of very different sizes: searching by index misses no pair', () => {
    const size = fc.constantFrom(8, 12, 20, 45, 90);
    const drawn = fc.array(fc.record({ diameter: size, flange: fc.constantFrom(undefined, 5, 60), nut: fc.constantFrom(undefined, 4), x: coordinate(0, 4000), y: coordinate(0, 2000) }), { minLength: 40, maxLength: 80 });
    fc.assert(
      fc.property(drawn, anyMaterial, (list, material) => expectAgreement({ material, t: 10, outline: rectangle(4000, 2000), rim: [], joint: [], keepClear: [], holes: holesOf(list) })),
      { numRuns: 40 },
    );
  });

  it('a hole with every neighbour clear is told the one with the least ligament between', () => {
    const drawn = fc.array(fc.record({ diameter: fc.constantFrom(8, 12, 20), flange: fc.constantFrom(undefined, undefined, 5), nut: fc.constant(undefined), x: coordinate(0, 4000), y: coordinate(0, 2000) }), { minLength: 2, maxLength: 12 });
    fc.assert(
      fc.property(drawn, (list) => {
        const work: Work = { material: 'annealed glass', t: 4, outline: rectangle(4000, 2000), rim: [], joint: [], keepClear: [], holes: holesOf(list) };
        const oracle = oracleOf(work);
        const findings = check(panelOf(work), work.holes);
        for (const { name } of work.holes) {
          const all = work.holes.flatMap((other) => oracle.get(keyOf(name, 'between-holes', other.name)) ?? []);
          if (all.some(({ verdict }) => verdict !== 'clear')) continue;
          const told = findings.filter((finding) => finding.hole === name && finding.rule === 'between-holes');
          expect(told).toHaveLength(1);
          expect(told[0]?.measured).toBeCloseTo(Math.min(...all.map(({ measured }) => measured)), 6);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('whatever the order of the holes', () => {
    const shuffled = anyRectangleWork.chain((work) => fc.shuffledSubarray([...work.holes], { minLength: work.holes.length }).map((holes) => ({ work, holes })));
    fc.assert(
      fc.property(shuffled, ({ work, holes }) => {
        const panel = panelOf(work);
        const [first, second] = [check(panel, work.holes), check(panel, holes)];
        const byName = (findings: readonly Finding[]) => Object.fromEntries([...verdictsByHole(work.holes, findings)].sort());
        expect(byName(second)).toEqual(byName(first));
        expect(worst(verdictsByHole(holes, second).values())).toBe(worst(verdictsByHole(work.holes, first).values()));
        const pairs = (findings: readonly Finding[]) => faulty(findings).map((finding) => keyOf(finding.hole, finding.rule, finding.other)).sort();
        expect(pairs(second)).toEqual(pairs(first));
      }),
      { numRuns: 200 },
    );
  });

  it('whatever the place of the panel in the plane', () => {
    fc.assert(
      fc.property(anyPolygonWork, fc.integer({ min: -1000, max: 1000 }), fc.integer({ min: -1000, max: 1000 }), (work, right, up) => {
        const moved = (p: Point) => ({ x: p.x + right, y: p.y + up });
        const there = { ...work, outline: work.outline.map(moved), holes: work.holes.map((hole) => ({ ...hole, center: moved(hole.center) })) };
        const verdictsOf = (of: Work) => [...verdictsByHole(of.holes, check(panelOf(of), of.holes))];
        expect(verdictsOf(there)).toEqual(verdictsOf(work));
      }),
      { numRuns: 100 },
    );
  });

  it('two holes overlap by their verdict whenever their circles meet (@flatten-js/core)', () => {
    fc.assert(
      fc.property(coordinate(100, 300), coordinate(100, 300), fc.integer({ min: 20, max: 90 }), fc.integer({ min: 20, max: 90 }), (x, y, d, e) => {
        const holes: Hole[] = [{ name: 'a', center: { x: 200, y: 200 }, diameter: d }, { name: 'b', center: { x, y }, diameter: e }];
        fc.pre(flatCircle({ x: 200, y: 200 }, d / 2).intersect(flatCircle({ x, y }, e / 2)).length > 0);
        const panel = panelOf({ material: 'acrylic', t: 10, outline: rectangle(400, 400), rim: [], joint: [], keepClear: [] });
        expect(check(panel, holes).filter((finding) => finding.rule === 'between-holes').map((finding) => finding.verdict)).toEqual(['refused', 'refused']);
      }),
    );
  });
});

describe('following a fix mends what it was given for', () => {
  function moved(work: Work, finding: Finding): Finding[] {
    const holes = work.holes.map((hole) => (hole.name === finding.hole && finding.move ? { ...hole, center: { x: hole.center.x + finding.move.right, y: hole.center.y + finding.move.up } } : hole));
    return check(panelOf(work), holes);
  }

  it.each(['mm', 'in'] as const)('a refused rule is not refused, a tight one clear; steps in %s', (unit) => {
    fc.assert(
      fc.property(fc.oneof(anyRectangleWork, anyPolygonWork), (work) => {
        for (const finding of faulty(check(panelOf(work), work.holes, unit))) {
          if (!finding.move) continue;
          const key = keyOf(finding.hole, finding.rule, finding.other);
          const after = moved(work, finding).find((other) => keyOf(other.hole, other.rule, other.other) === key)?.verdict ?? 'clear';
          if (finding.verdict === 'tight') expect(after).toBe('clear');
          else expect(after).not.toBe('refused');
        }
      }),
      { numRuns: 60 },
    );
  });

  it.each(['mm', 'cm', 'in'] as const)('drilling the diameter that a fix names is not refused again; words in %s', (unit) => {
    const anySize = fc.record({ t: anyThickness, width: coordinate(20, 700), height: coordinate(20, 700), diameter: fc.integer({ min: 1, max: 250 }) });
    fc.assert(
      fc.property(anySize, ({ t, width, height, diameter }) => {
        const panel = panelOf({ material: 'annealed glass', t, outline: rectangle(width, height), rim: [], joint: [], keepClear: [] });
        const ofDiameter = (d: number) => check(panel, [{ name: 'drain', center: { x: width / 2, y: height / 2 }, diameter: d }], unit);
        for (const { rule, fix } of faulty(ofDiameter(diameter)).filter((finding) => finding.rule.endsWith('diameter'))) {
          const reading = parseLength(/^drill at (?:least|most) (.*?(?:mm|cm|in))\b/.exec(fix)?.[1] ?? '', undefined);
          expect(reading).toHaveProperty('mm');
          if ('mm' in reading) expect(faulty(ofDiameter(reading.mm)).map((finding) => finding.rule)).not.toContain(rule);
        }
      }),
      { numRuns: 500 },
    );
  });

  it('the words of a fix say its move, no more and no less', () => {
    fc.assert(
      fc.property(anyRectangleWork, (work) => {
        for (const { move, fix } of faulty(check(panelOf(work), work.holes))) {
          if (!move) continue;
          const [, first = ''] = /^move (.*?)(?: for .*)?(?:; another.*)?$/.exec(fix) ?? [];
          const parts = Object.fromEntries(first.split(' and ').map((part) => part.split(' mm ').reverse() as [string, string]));
          const told = { right: Number(parts['right'] ?? 0) - Number(parts['left'] ?? 0), up: Number(parts['up'] ?? 0) - Number(parts['down'] ?? 0) };
          expect(told.right).toBeCloseTo(move.right, 6);
          expect(told.up).toBeCloseTo(move.up, 6);
        }
      }),
      { numRuns: 100 },
    );
  });
});

/** The end panel of the Kelp tank: annealed glass, 600 by 400 by 10 mm. */
function kelp(more: Partial<Parameters<typeof makePanel>[0]> = {}): Panel {
  return makePanel({ material: 'annealed glass', thickness: 10, outline: rectangle(600, 400), names: rectangleNames, rim: {}, joints: {}, keepClear: [], ...more });
}

function hole(x: number, y: number, diameter = 30, more: Partial<Hole> = {}): Hole {
  return { name: 'drain', center: { x, y }, diameter, ...more };
}

function findingOf(panel: Panel, holes: readonly Hole[], rule: Finding['rule'], verdict?: Verdict): Finding {
  const found = check(panel, holes).find((finding) => finding.rule === rule && (verdict === undefined || finding.verdict === verdict));
  if (!found) throw new Error(`no ${verdict ?? ''} finding on ${rule}`);
  return found;
}

describe('a fix points away from what is too near, as seen from outside', () => {
  it.each([
    ['left', 20, 200, 'right'],
    ['right', 580, 200, 'left'],
    ['bottom', 300, 20, 'up'],
    ['top', 300, 380, 'down'],
  ])('from the %s edge', (side, x, y, direction) => {
    const finding = findingOf(kelp(), [hole(x, y)], 'to-edge');
    // Ligament 20 - 15 = 5 mm; the floor is 2t = 20 mm, good practice one diameter = 30 mm.
    expect(finding).toMatchObject({ verdict: 'refused', other: `${side} edge`, measured: 5, needed: 20, floor: 20, good: 30 });
    expect(finding.fix).toBe(`move 15 mm ${direction} for the minimum, 25 mm ${direction} for good practice`);
  });

  it('from a corner, along the line from it', () => {
    // 50√2 - 10 = 60.711 mm to the tip; the floor is 6.5t = 65 mm: 4.289 mm further, 3.033 each way, set out as 3.1.
    const finding = findingOf(kelp(), [hole(50, 350, 20)], 'to-corner');
    expect(finding).toMatchObject({ verdict: 'refused', other: 'top left corner', floor: 65, good: null });
    expect(finding.fix).toBe('move 3.1 mm right and 3.1 mm down');
  });

  it('from another hole', () => {
    const findings = check(kelp(), [hole(300, 200), { ...hole(300, 240), name: 'return' }]).filter((finding) => finding.rule === 'between-holes');
    expect(findings).toMatchObject([
      { hole: 'drain', other: 'return', measured: 10, verdict: 'refused', fix: 'move 10 mm down for the minimum, 20 mm down for good practice' },
      { hole: 'return', other: 'drain', measured: 10, verdict: 'refused', fix: 'move 10 mm up for the minimum, 20 mm up for good practice' },
    ]);
  });

  it('from inside a keep-clear area, out by the nearest side', () => {
    const keepClear = [{ name: 'heater', rect: { left: 200, right: 400, bottom: 100, top: 300 } }];
    const finding = findingOf(kelp({ keepClear }), [hole(390, 200)], 'part-to-keep-clear');
    expect(finding).toMatchObject({ verdict: 'refused', other: 'heater', measured: -25 });
    expect(finding.fix).toBe('move 25 mm right for the minimum, 28 mm right for good practice');
  });

  it('from the very middle of a keep-clear area there is a way out too', () => {
    const keepClear = [{ name: 'heater', rect: { left: 200, right: 400, bottom: 100, top: 300 } }];
    const { move } = findingOf(kelp({ keepClear }), [hole(300, 200)], 'part-to-keep-clear');
    expect(Math.abs(move?.right ?? 0) + Math.abs(move?.up ?? 0)).toBeCloseTo(115, 6);
  });

  it('from a coinciding hole, to the right', () => {
    const finding = findingOf(kelp(), [hole(300, 200), { ...hole(300, 200), name: 'return' }], 'between-holes');
    expect(finding).toMatchObject({ verdict: 'refused', measured: -30, move: { up: 0 } });
    expect(finding.fix).toMatch(/^move 50 mm right/);
  });

  it('a tight hole is led to good practice only', () => {
    expect(findingOf(kelp(), [hole(40, 200)], 'to-edge').fix).toBe('move 5 mm right for good practice');
  });

  it('in an inch spec, in 1/32 in', () => {
    const finding = check(kelp(), [hole(20, 200)], 'in').find((other) => other.rule === 'to-edge');
    // 15 mm = 0.5906 in, up to 19/32 in; 25 mm = 0.9843 in, up to 1 in.
    expect(finding?.fix).toBe('move 19/32 in right for the minimum, 1 in right for good practice');
  });

  it('from an edge that the centre lies on, into the panel, wherever along it', () => {
    const panel = kelp({ outline: rectangle(150.125, 150) });
    const finding = check(panel, [hole(0.03127604166666667, 150, 12)]).find((one) => one.rule === 'to-edge' && one.other === 'top edge');
    expect(finding?.move?.up).toBeCloseTo(-26, 6);
    expect(finding?.move?.right).toBeCloseTo(0, 6);
  });

  it('two refusals that pull apart say that no place between helps', () => {
    const strip = kelp({ outline: rectangle(600, 60) });
    const findings = check(strip, [hole(300, 30, 24)]).filter((finding) => finding.rule === 'to-edge');
    expect(findings.map((finding) => finding.verdict)).toEqual(['refused', 'refused']);
    for (const { fix } of findings) expect(fix).toMatch(/another rule asks for the opposite/);
  });
});

describe('a hole exactly at a limit keeps it', () => {
  it.each([
    ['to the edge', hole(35, 200), 'to-edge', 'tight'],
    ['to the edge by decimals that binary cannot hold', hole(0.1 + 0.2 + 34.7, 200), 'to-edge', 'tight'],
    ['good practice to the edge', hole(45, 200), 'to-edge', 'clear'],
    ['to the corner', hole(80, 0), 'to-corner', 'clear'],
    ['the least diameter', hole(300, 200, 11.6), 'least-diameter', 'clear'],
    ['the largest diameter', hole(300, 200, 400 / 3), 'largest-diameter', 'clear'],
  ] as const)('%s', (_what, at, rule, verdict) => {
    expect(findingOf(kelp(), [at], rule).verdict).toBe(verdict);
  });

  it('a flange that touches a rim is tight, not refused; one that overlaps it is refused', () => {
    const panel = kelp({ rim: { left: 20 } });
    expect(findingOf(panel, [hole(55, 200, 30, { flange: 70 })], 'part-to-rim')).toMatchObject({ verdict: 'tight', measured: 0, other: 'rim at left edge' });
    expect(findingOf(panel, [hole(54.9, 200, 30, { flange: 70 })], 'part-to-rim').verdict).toBe('refused');
    expect(findingOf(panel, [hole(58, 200, 30, { flange: 70 })], 'part-to-rim').verdict).toBe('clear');
  });
});

describe('the inside of an outline counts like its outside', () => {
  const cornerL = [{ x: 0, y: 0 }, { x: 400, y: 0 }, { x: 400, y: 400 }, { x: 200, y: 400 }, { x: 200, y: 200 }, { x: 0, y: 200 }];
  const names = { edges: cornerL.map((_, index) => `edge ${index}`), corners: cornerL.map((_, index) => `corner ${index}`) };

  it('a hole beside the reflex corner of an L is measured to that corner and away from it', () => {
    const finding = findingOf(kelp({ outline: cornerL, names }), [hole(220, 180, 20)], 'to-edge');
    expect(finding.verdict).toBe('refused');
    expect(finding.measured).toBeCloseTo(20 * Math.SQRT2 - 10, 9);
    expect(Math.sign(finding.move?.right ?? 0)).toBe(1);
    expect(Math.sign(finding.move?.up ?? 0)).toBe(-1);
  });

  it('a sharp corner under 30° refuses a hole that both its edges crowd', () => {
    const sliver = [{ x: 0, y: 0 }, { x: 600, y: 0 }, { x: 600, y: 160 }];
    const panel = kelp({ outline: sliver, names: { edges: ['a', 'b', 'c'], corners: ['A', 'B', 'C'] } });
    const findings = check(panel, [hole(100, 14, 12)]).filter((finding) => finding.rule === 'to-edge' && finding.verdict === 'refused');
    expect(findings.map((finding) => finding.other).sort()).toEqual(['a', 'c']);
  });
});

describe('parts and grip', () => {
  it('the widest of flange and nut counts, and a nut smaller than its hole does not', () => {
    const panel = kelp({ rim: { left: 20 } });
    expect(findingOf(panel, [hole(60, 200, 30, { flange: 50, nut: 70 })], 'part-to-rim').measured).toBe(5);
    expect(findingOf(panel, [hole(60, 200, 30, { flange: 70, nut: 50 })], 'part-to-rim').measured).toBe(5);
    expect(findingOf(panel, [hole(60, 200, 30, { nut: 20 })], 'part-to-rim').measured).toBe(25);
  });

  it.each([
    [{ min: 3, max: 10 }, 'clear'],
    [{ min: 10, max: 25 }, 'clear'],
    [{ min: 3, max: 9.9 }, 'refused'],
    [{ min: 10.1, max: 25 }, 'refused'],
  ])('a fitting that clamps %j is %s on 10 mm', (grip, verdict) => {
    const finding = findingOf(kelp(), [hole(300, 200, 30, { grip })], 'grip');
    expect(finding.verdict).toBe(verdict);
    if (verdict === 'refused') expect(finding.fix).toMatch(/clamps a panel of 10 mm/);
  });
});

describe('findings in general', () => {
  it('one hole that is clear everywhere is told the nearest of each rule, with no fix and no move', () => {
    const findings = check(kelp(), [hole(300, 200)]);
    expect(findings.map((finding) => finding.rule)).toEqual(['material', 'least-diameter', 'largest-diameter', 'to-edge', 'to-corner']);
    for (const finding of findings) expect(finding).toMatchObject({ verdict: 'clear', fix: '', move: null });
  });

  it('a pair counts for both holes', () => {
    const holes = [hole(300, 200), { ...hole(300, 240), name: 'return' }];
    expect([...verdictsByHole(holes, check(kelp(), holes))]).toEqual([['drain', 'refused'], ['return', 'refused']]);
  });

  it('ten holes, each doubled on the same spot, are all refused, and each pair is told from both sides', () => {
    const ten = Array.from({ length: 10 }, (_, index) => ({ ...hole(300 + index * 300, 500), name: `h${index}` }));
    const holes = [...ten, ...ten.map((one) => ({ ...one, name: `${one.name} again` }))];
    const findings = check(kelp({ outline: rectangle(3600, 1000) }), holes);
    const sides = ten.flatMap(({ name }) => [[name, 'between-holes', `${name} again`], [`${name} again`, 'between-holes', name]]);
    expect(faulty(findings).map((finding) => [finding.hole, finding.rule, finding.other]).sort()).toEqual(sides.sort());
    expect(new Set(verdictsByHole(holes, findings).values())).toEqual(new Set(['refused']));
  });

  it('of many findings of one rule the worst are told, and one that is refused never hides behind tight ones', () => {
    // In acrylic the floor grows with the diameter: the large hole is further away than the small ones, yet nearer than its own floor.
    const small = Array.from({ length: 12 }, (_, index) => ({ ...hole(1000 + 28 * Math.cos(index * 0.5), 1000 + 28 * Math.sin(index * 0.5), 10), name: `s${index}` }));
    const holes = [{ ...hole(1000, 1000, 24), name: 'middle' }, ...small, { ...hole(1000, 1000 - 12 - 40 - 150, 300), name: 'large' }];
    const findings = check(kelp({ material: 'acrylic', outline: rectangle(2000, 2000), thickness: 5 }), holes);
    const ofMiddle = findings.filter((finding) => finding.hole === 'middle' && finding.rule === 'between-holes');
    expect(ofMiddle).toHaveLength(mostTold);
    expect(ofMiddle.find((finding) => finding.other === 'large')?.verdict).toBe('refused');
  });

  it('the worst of no verdicts is clear', () => {
    expect(worst([])).toBe('clear');
    expect(worst(['tight', 'clear'])).toBe('tight');
    expect(worst(['tight', 'refused', 'clear'])).toBe('refused');
  });

  it('the holes and the panel are left as they were', () => {
    const [panel, holes] = [kelp(), [hole(20, 20), { ...hole(30, 30), name: 'return' }]];
    const before = JSON.stringify([panel, holes]);
    check(panel, holes);
    expect(JSON.stringify([panel, holes])).toBe(before);
  });
});
