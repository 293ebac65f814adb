/** From a spec to a plan: every distance turned into a coordinate, as seen from outside, y upwards. */
import { describe, expect, it } from 'vitest';
import { readPlan } from '../../src/plan/build.ts';
import type { Plan } from '../../src/plan/plan.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { checkPlan, fingerprint } from '../../src/report.ts';
import { typicalFittings } from '../../src/trade/fittings.ts';

/** A spec for the Marsh tank's side panel, 600 by 400 mm, from its panel lines and its holes. */
function spec(panelLines: string, holes: string, more = ''): string {
  return `title: Marsh, side panel\nunits: mm\npanel:\n  material: annealed glass\n  thickness: 10\n${indented(panelLines)}\nholes:\n${indented(holes)}\n${more}`;
}

function indented(text: string): string {
  return text
    .trim()
    .split('\n')
    .map((line) => `  ${line.trim()}`)
    .join('\n');
}

const sized = 'width: 600\nheight: 400\n';
const oneHole = '- {name: drain, diameter: 40, from-left: 100, from-top: 90}';

function planOf(text: string): Plan {
  const reading = readPlan(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return reading.plan;
}

function problemsOf(text: string): readonly Problem[] {
  const reading = readPlan(text);
  return 'problems' in reading ? reading.problems : [];
}

function centreOf(panelLines: string, across: string, up: string) {
  return planOf(spec(panelLines, `- {name: drain, diameter: 40, ${across}, ${up}}`)).holes[0]?.center;
}

/** The text without its § mark must have its first problem where the mark stood. */
function problemAtMark(textWithMark: string): Problem {
  const before = (textWithMark.split('§')[0] as string).split('\n');
  const problem = problemsOf(textWithMark.replace('§', ''))[0];
  expect(problem && [problem.line, problem.column]).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
  return problem as Problem;
}

const strips = 'rim: {left: 20, right: 25, top: 30, bottom: 35}\njoints: {left: 10, right: {panel: 12, sealant: 3}, top: 8, bottom: 6}\n';

describe('distances become coordinates from where they are measured', () => {
  it.each([
    ['edges', 'from-left: 100', 'from-top: 90', 100, 310],
    ['edges', 'from-right: 100', 'from-bottom: 90', 500, 90],
    ['edges', 'from-center-x: 0', 'from-center-y: 0', 300, 200],
    ['edges', 'from-center-x: -50', 'from-center-y: 25', 250, 225],
    ['rim', 'from-left: 100', 'from-top: 90', 120, 280],
    ['rim', 'from-right: 100', 'from-bottom: 90', 475, 125],
    ['rim', 'from-center-x: 0', 'from-center-y: 0', (20 + 575) / 2, (35 + 370) / 2],
    ['inside', 'from-left: 100', 'from-top: 90', 110, 302],
    // The sealant does not move the inner face of the neighbouring panel: 600 - 12 - 100.
    ['inside', 'from-right: 100', 'from-bottom: 90', 488, 96],
    ['inside', 'from-center-x: 10', 'from-center-y: -10', (10 + 588) / 2 + 10, (6 + 392) / 2 - 10],
  ])('%s: %s, %s', (from, across, up, x, y) => {
    expect(centreOf(`${sized}measured-from: ${from}\n${strips}`, across, up)).toEqual({ x, y });
  });

  it('a hole measured from the inside face lies as seen from outside: left stays left', () => {
    expect(centreOf(`${sized}drilled-from: inside`, 'from-left: 100', 'from-top: 90')).toEqual({ x: 100, y: 310 });
  });

  it('the offsets to set out by are the spec\'s own', () => {
    const { holes } = planOf(spec(`${sized}measured-from: rim\n${strips}`, '- {name: drain, diameter: 40, from-right: 100, from-bottom: 90}'));
    expect(holes[0]?.offsets).toEqual([{ from: 'right', mm: 100 }, { from: 'bottom', mm: 90 }]);
  });

  it('from the middle, the offsets are from the nearer lines', () => {
    const offsets = (x: number, y: number) => planOf(spec(sized, `- {name: drain, diameter: 40, from-center-x: ${x}, from-center-y: ${y}}`)).holes[0]?.offsets;
    expect(offsets(-50, -20)).toEqual([{ from: 'left', mm: 250 }, { from: 'bottom', mm: 180 }]);
    expect(offsets(50, 20)).toEqual([{ from: 'right', mm: 250 }, { from: 'top', mm: 180 }]);
  });

  it('an offset and its line give the centre back, whatever they are measured from', () => {
    for (const from of ['edges', 'rim', 'inside']) {
      const { datum, holes } = planOf(spec(`${sized}measured-from: ${from}\n${strips}`, '- {name: a, diameter: 30, from-left: 90, from-bottom: 80}\n- {name: b, diameter: 30, from-right: 70, from-top: 60}\n- {name: c, diameter: 30, from-center-x: 33, from-center-y: 44}'));
      for (const { center, offsets } of holes) {
        const [across, up] = offsets;
        expect(across.from === 'left' ? datum.left + across.mm : datum.right - across.mm).toBeCloseTo(center.x, 9);
        expect(up.from === 'bottom' ? datum.bottom + up.mm : datum.top - up.mm).toBeCloseTo(center.y, 9);
      }
    }
  });

  it('keep-clear areas are held by the same lines as holes', () => {
    const areas = (from: string) => planOf(spec(`${sized}measured-from: ${from}\n${strips}keep-clear: [{name: heater, from-right: 40, from-top: 50, width: 90, height: 120}, {name: shelf, from-left: 40, from-bottom: 50, width: 90, height: 20}]`, '- {name: a, diameter: 30, from-left: 300, from-bottom: 200}')).panel.keepClear;
    expect(areas('edges')).toEqual([
      { name: 'heater', rect: { left: 470, right: 560, top: 350, bottom: 230 } },
      { name: 'shelf', rect: { left: 40, right: 130, top: 70, bottom: 50 } },
    ]);
    expect(areas('rim')[0]?.rect).toEqual({ left: 445, right: 535, top: 320, bottom: 200 });
  });

  it('the strips of rim and joints lie along their own edges, the joint with its sealant', () => {
    const { panel, rimLine, jointLine } = planOf(spec(`${sized}${strips}`, '- {name: a, diameter: 30, from-left: 300, from-bottom: 200}'));
    const byName = Object.fromEntries(panel.edges.map((edge) => [edge.name, [edge.rim, edge.joint]]));
    expect(byName).toEqual({ 'left edge': [20, 10], 'right edge': [25, 15], 'top edge': [30, 8], 'bottom edge': [35, 6] });
    expect(rimLine).toEqual([{ x: 20, y: 35 }, { x: 575, y: 35 }, { x: 575, y: 370 }, { x: 20, y: 370 }]);
    expect(jointLine).toEqual([{ x: 10, y: 6 }, { x: 585, y: 6 }, { x: 585, y: 392 }, { x: 10, y: 392 }]);
  });

  it('a panel without strips has neither line', () => {
    const plan = planOf(spec(sized, oneHole));
    expect(plan.rimLine).toBeNull();
    expect(plan.jointLine).toBeNull();
  });
});

describe('a side that is measured from must be known', () => {
  it('no rim on the left', () => {
    const problem = problemAtMark(spec(`${sized}measured-from: rim\nrim: {top: 30}`, '- §{name: drain, diameter: 40, from-left: 100, from-top: 90}'));
    expect(problem.found).toMatch(/rim.* no left/);
    expect(problem.fix).toMatch(/add left under panel\.rim/);
  });

  it('no joint at the bottom', () => {
    const problem = problemAtMark(spec(`${sized}measured-from: inside\njoints: {left: 10}`, '- §{name: drain, diameter: 40, from-left: 100, from-bottom: 90}'));
    expect(problem.found).toMatch(/joints has no bottom/);
    expect(problem.fix).toMatch(/add bottom under panel\.joints/);
  });

  it('each missing side is told once, however many holes need it', () => {
    const holes = '- {name: a, diameter: 40, from-left: 100, from-top: 90}\n- {name: b, diameter: 40, from-left: 300, from-top: 90}';
    expect(problemsOf(spec(`${sized}measured-from: rim`, holes)).map((problem) => problem.found.match(/no (\w+)$/)?.[1])).toEqual(['left', 'top']);
  });

  it('the middle needs both sides', () => {
    const found = problemsOf(spec(`${sized}measured-from: rim\nrim: {left: 20, top: 20, bottom: 20}`, '- {name: a, diameter: 40, from-center-x: 0, from-center-y: 0}'));
    expect(found.map((problem) => problem.fix)).toEqual([expect.stringMatching(/add right under panel\.rim/)]);
  });

  it('a rim of 0 is known, and sides that nothing is measured from need none', () => {
    expect(problemsOf(spec(`${sized}measured-from: rim\nrim: {left: 0, top: 30}`, oneHole))).toEqual([]);
  });

  it('a rim on a sloping side cannot be measured from', () => {
    const outline = 'outline: [[0, 0], [600, 0], [500, 400], [100, 400]]\n';
    const problem = problemAtMark(spec(`${outline}measured-from: rim\nrim: {left: 20, bottom: 20}`, '- §{name: drain, diameter: 40, from-left: 300, from-bottom: 100}'));
    expect(problem.found).toMatch(/no straight left edge/);
    expect(problem.fix).toMatch(/measure from the edges/);
  });
});

describe('an outline', () => {
  const cornerL = [[0, 0], [600, 0], [600, 400], [300, 400], [300, 200], [0, 200]] as const;
  const written = (points: readonly (readonly [number, number])[]) => `outline: [${points.map(([x, y]) => `[${x}, ${y}]`).join(', ')}]\n`;
  const expected = cornerL.map(([x, y]) => ({ x, y }));
  const hole = '- {name: drain, diameter: 40, from-right: 100, from-bottom: 100}';

  function outlineOf(points: readonly (readonly [number, number])[]) {
    return planOf(spec(written(points), hole)).panel.outline;
  }

  it('counter-clockwise is kept', () => {
    expect(outlineOf(cornerL)).toEqual(expected);
  });

  it('clockwise is turned round', () => {
    expect(new Set(outlineOf([...cornerL].reverse()).map(({ x, y }) => `${x},${y}`))).toEqual(new Set(cornerL.map(([x, y]) => `${x},${y}`)));
    const area = outlineOf([...cornerL].reverse()).reduce((sum, p, index, all) => sum + p.x * (all[(index + 1) % all.length]?.y ?? 0) - (all[(index + 1) % all.length]?.x ?? 0) * p.y, 0) / 2;
    expect(area).toBe(600 * 200 + 300 * 200);
  });

  it('far from the origin is moved there', () => {
    expect(outlineOf(cornerL.map(([x, y]) => [x - 1000, y + 500] as const))).toEqual(expected);
  });

  it('closed by its first point again is the same', () => {
    expect(outlineOf([...cornerL, [0, 0]])).toEqual(expected);
  });

  it.each([['counter-clockwise', cornerL], ['clockwise', [...cornerL].reverse()]] as const)('keeps the numbers of its points in the names of edges and corners, given %s', (_way, points) => {
    const { edges, corners } = planOf(spec(written(points), hole)).panel;
    const numbered = edges.filter(({ name }) => name.startsWith('edge '));
    expect(numbered.length).toBeGreaterThan(0);
    for (const { name, a, b } of numbered) {
      const [from = 0, to = 0] = name.slice('edge '.length).split('-').map(Number);
      expect([points[from - 1], points[to - 1]]).toEqual([[a.x, a.y], [b.x, b.y]]);
    }
    // The reflex corner is none: no glass stands out there.
    expect(corners).toHaveLength(5);
    for (const { name, at } of corners) expect(points[Number(name.slice('corner '.length)) - 1]).toEqual([at.x, at.y]);
  });

  it('names an edge after its side where it alone looks there', () => {
    const { edges } = planOf(spec(written(cornerL), hole)).panel;
    expect(edges.map(({ name }) => name)).toEqual(['bottom edge', 'right edge', 'edge 3-4', 'edge 4-5', 'edge 5-6', 'edge 6-1']);
  });

  it.each([
    ['crosses itself', [[0, 0], [600, 400], [600, 0], [0, 400]], /edges 1-2 and 3-4 cross or touch/],
    ['touches itself', [[0, 0], [600, 0], [600, 400], [300, 0], [0, 400]], /cross or touch/],
    ['folds back', [[0, 0], [600, 0], [300, 0], [300, 400]], /cross or touch/],
    ['has no area', [[0, 0], [300, 0], [600, 0]], /cross or touch/],
  ] as const)('that %s is refused', (_what, points, found) => {
    const problem = problemAtMark(spec(written(points).replace('[[', '§[['), hole));
    expect(problem.found).toMatch(found);
    expect(problem.fix).not.toBe('');
  });

  it('with a point twice is refused at the second', () => {
    const problem = problemAtMark(spec('outline: [[0, 0], [600, 0], [600, 400], §[600, 0], [0, 400]]', hole));
    expect(problem.found).toMatch(/point 4 stands where an earlier point stands/);
  });

  it('an edge at 45° takes the wider strip of its two sides', () => {
    const { panel } = planOf(spec('outline: [[0, 0], [600, 0], [600, 300], [500, 400], [0, 400]]\nrim: {top: 30, right: 12}', '- {name: drain, diameter: 40, from-left: 100, from-bottom: 100}'));
    expect(panel.edges.map((edge) => [edge.name, edge.rim])).toContainEqual(['edge 3-4', 30]);
  });
});

describe('what only the resolved work shows is told at its place', () => {
  it.each([
    ['left of the panel', 'from-left: -1, from-top: 90'],
    ['right of the panel', 'from-left: 601, from-top: 90'],
    ['above the panel', 'from-left: 100, from-bottom: 401'],
    ['below the panel', 'from-left: 100, from-top: 401'],
  ])('a hole centre %s', (_what, where) => {
    const problem = problemAtMark(spec(sized, `- §{name: drain, diameter: 40, ${where}}`));
    expect(problem.found).toMatch(/"drain" has its centre off the panel/);
    expect(problem.accepted).toMatch(/600 mm by 400 mm/);
  });

  it('a hole centre in the notch of an L is off the panel', () => {
    const problem = problemAtMark(spec('outline: [[0, 0], [600, 0], [600, 400], [300, 400], [300, 200], [0, 200]]', '- §{name: drain, diameter: 40, from-left: 100, from-top: 90}'));
    expect(problem.found).toMatch(/off the panel/);
  });

  it('two holes of one name', () => {
    const problem = problemAtMark(spec(sized, `${oneHole}\n- {name: §drain, diameter: 40, from-left: 300, from-top: 90}`));
    expect(problem.key).toBe('holes[1].name');
    expect(problem.found).toMatch(/"drain" is also the name of hole 1/);
    expect(problem.fix).toMatch(/"drain 2"/);
  });

  it('a keep-clear area wholly off the panel; one that reaches over its edge is fine', () => {
    const area = (left: number) => spec(`${sized}keep-clear: [§{name: heater, from-left: ${left}, from-top: 50, width: 90, height: 120}]`, '- {name: drain, diameter: 40, from-left: 300, from-top: 300}');
    expect(problemAtMark(area(600)).found).toMatch(/"heater" lies wholly off the panel/);
    expect(problemAtMark(area(-90)).found).toMatch(/off the panel/);
    expect(problemsOf(area(599).replace('§', ''))).toEqual([]);
  });

  it('a panel as thick as it is wide', () => {
    const problem = problemAtMark(spec('width: 600\nheight: 400\n', oneHole).replace('thickness: 10', 'thickness: §400'));
    expect(problem.key).toBe('panel.thickness');
    expect(problem.fix).toMatch(/units/);
  });
});

describe('fittings', () => {
  const own = 'fittings:\n  weir elbow: {hole: [44, 46], flange: 70, nut: 62, grip: [4, 20]}\n  bulkhead 1 in: {hole: 50}\n';
  const fitted = (fitting: string, units = 'mm') => planOf(spec(sized, `- {name: drain, fitting: ${fitting}, from-left: 100, from-top: 90}`, own).replace('units: mm', `units: ${units}`).replace(/: (600|400|10|100|90)\b/g, ': $1 mm')).holes[0];

  it('one of your own is not typical', () => {
    expect(fitted('weir elbow')).toMatchObject({ fitting: 'weir elbow', diameter: 45, flange: 70, nut: 62, grip: { min: 4, max: 20 }, isTypical: false });
  });

  it('one of your own goes before a typical one of that name', () => {
    expect(fitted('bulkhead 1 in')).toMatchObject({ diameter: 50, isTypical: false });
  });

  it('one written at the hole has no name', () => {
    expect(fitted('{hole: [20, 22], flange: 30}')).toMatchObject({ fitting: 'own fitting', diameter: 21, flange: 30, isTypical: false });
  });

  it.each([
    ["'Bulkhead 2\"'", 'bulkhead 2 in'],
    ['bulkhead 1 1/4 in', 'bulkhead 1-1/4 in'],
    ['BULKHEAD ¾ inch', 'bulkhead 3/4 in'],
  ])('%s is the typical %s, and the report says to measure', (written, name) => {
    const plan = planOf(spec(sized, `- {name: drain, fitting: ${written}, from-left: 200, from-top: 190}`));
    expect(plan.holes[0]).toMatchObject({ fitting: name, isTypical: true });
    expect(checkPlan(plan).notes).toEqual([expect.stringMatching(new RegExp(`^${name}: typical values, from memory.*[Mm]easure`))]);
  });

  it('a fitting in hand brings no note', () => {
    expect(checkPlan(planOf(spec(sized, oneHole))).notes).toEqual([]);
  });

  it('a typical fitting used twice brings one note', () => {
    const holes = `- {name: a, fitting: bulkhead 1 in, from-left: 150, from-top: 190}\n- {name: b, fitting: 'Bulkhead 1"', from-left: 400, from-top: 190}`;
    const plan = planOf(spec(sized, holes));
    expect(checkPlan(plan).notes).toHaveLength(1);
  });

  it.each([
    ['weir elbo', /did you mean weir elbow\?/],
    ['bulkhed 3/4 in', /did you mean bulkhead 3\/4 in\?/],
    ['skimmer', /measure the fitting/],
    ['constructor', /measure the fitting/],
  ])('%s is unknown', (written, fix) => {
    const problem = problemAtMark(spec(sized, `- {name: drain, fitting: §${written}, from-left: 100, from-top: 90}`, own));
    expect(problem.found).toMatch(/unknown fitting/);
    expect(problem.accepted).toMatch(/weir elbow/);
    expect(problem.fix).toMatch(fix);
  });

  it('the drilling diameter lies within the hole range, in whole bits where one fits (common practice, no source)', () => {
    const drilled = (range: string, units: 'mm' | 'in') => fitted(`{hole: ${range}}`, units)?.diameter as number;
    expect(drilled('[44 mm, 46 mm]', 'mm')).toBe(45);
    expect(drilled('[44 mm, 45 mm]', 'mm')).toBe(44);
    expect(drilled('[44.2 mm, 44.8 mm]', 'mm')).toBeCloseTo(44.5, 9);
    expect(drilled('1 3/4 in', 'in')).toBeCloseTo(1.75 * 25.4, 9); // NIST SP 811: 1 in = 25.4 mm
    expect(drilled('[1 3/4 in, 1 7/8 in]', 'in')).toBeCloseTo(1.75 * 25.4, 9);
    for (const { hole } of typicalFittings.values()) {
      for (const units of ['mm', 'in'] as const) {
        const diameter = drilled(`[${hole.min} mm, ${hole.max} mm]`, units);
        expect(diameter).toBeGreaterThanOrEqual(hole.min);
        expect(diameter).toBeLessThanOrEqual(hole.max);
      }
    }
  });
});

describe('sheets', () => {
  it('are A4 for metric specs and Letter for inch specs, unless the spec says', () => {
    const paperOf = (text: string) => planOf(text).sheets.paper.name;
    expect(paperOf(spec(sized, oneHole))).toBe('A4');
    expect(paperOf(spec(sized, oneHole, 'sheets: {paper: A3}\n'))).toBe('A3');
    expect(paperOf('title: Kelp\nunits: in\npanel: {material: acrylic, width: 24, height: 18, thickness: 1/2}\nholes: [{name: a, diameter: 2, from-left: 6, from-top: 6}]\n')).toBe('Letter');
  });
});

describe('the fingerprint stands for the work', () => {
  const base = spec(sized, oneHole, 'sheets: {paper: A4}\n');
  const print = (text: string) => fingerprint(planOf(text));

  it('is eight hex digits, the same for the same work', () => {
    expect(print(base)).toMatch(/^[0-9a-f]{4}-[0-9a-f]{4}$/);
    expect(print(base)).toBe(print(base.replace(/\n/g, '\r\n')));
  });

  it('is that of a spec without placement where placement is 0', () => {
    expect(print(`${base}placement: 0\n`)).toBe(print(base));
  });

  it('does not depend on the paper', () => {
    expect(print(base.replace('A4', 'A3'))).toBe(print(base));
  });

  it.each([
    ['a hole moved by 0.1 mm', 'from-left: 100', 'from-left: 100.1'],
    ['another diameter', 'diameter: 40', 'diameter: 41'],
    ['another face', 'material:', 'drilled-from: inside\n  material:'],
    ['another thickness', 'thickness: 10', 'thickness: 12'],
    ['another title', 'Marsh', 'Kelp'],
    ['another placement', 'sheets:', 'placement: 1.5\nsheets:'],
  ])('changes with %s', (_what, part, into) => {
    expect(print(base.replace(part, into))).not.toBe(print(base));
  });
});
