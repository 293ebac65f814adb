/** A spec of several panels, boxes and tanks, with fittings and bits in files of their own: what is drilled, with what, and what is wrong. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { readBuild, readPlan, type Build, type Included } from '../../src/plan/build.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { checkPlan } from '../../src/report.ts';
import { spoiledCharacters, spoiledLines } from '../spec/spoiled.ts';

/** The files that a spec may include, by name. */
type Files = Readonly<Record<string, string>>;

const includeFrom = (files: Files) => (name: string): Included => {
  const text = Object.hasOwn(files, name) ? files[name] : undefined;
  return text === undefined ? { found: 'there is no such file', fix: 'check the path' } : { text, file: `bench/${name}` };
};

function buildOf(text: string, files: Files = {}): Build {
  const reading = readBuild(text, includeFrom(files));
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return reading.build;
}

function problemsOf(text: string, files: Files = {}): readonly Problem[] {
  const reading = readBuild(text, includeFrom(files));
  return 'problems' in reading ? reading.problems : [];
}

/** One of the texts carries a § mark: the first problem must stand there, in that file. */
function problemAtMark(text: string, files: Files = {}): Problem {
  const marked = [text, ...Object.values(files)].find((one) => one.includes('§')) ?? expect.fail('no mark');
  const before = (marked.split('§')[0] as string).split('\n');
  const plain = Object.fromEntries(Object.entries(files).map(([name, one]) => [name, one.replace('§', '')]));
  const problem = problemsOf(text.replace('§', ''), plain)[0] ?? expect.fail('no problem');
  expect([problem.line, problem.column], problemText(problem, 'spec')).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
  const file = Object.keys(files).find((name) => files[name] === marked);
  expect(problem.file).toBe(file === undefined ? undefined : `bench/${file}`);
  return problem;
}

/** A panel of a pump cabinet with one hole, and lines before it. */
const cabinet = (hole: string, { lines = '', material = 'annealed glass', units = 'mm' } = {}) => `title: Pump cabinet sump
units: ${units}
${lines}panel: {material: ${material}, width: 700 mm, height: 400 mm, thickness: 10 mm}
holes: [{name: drain, ${hole}, from-left: 300 mm, from-top: 200 mm}]
`;

const drawer = `units: mm
fittings:
  weir elbow: {hole: [34, 36], flange: 52, grip: [3, 20]}
bits: [35, 60]
`;

describe('files with fittings and bits', () => {
  it('what is in them is at hand', () => {
    const [plan] = buildOf(cabinet('fitting: weir elbow', { lines: 'include: bench.yaml\n' }), { 'bench.yaml': drawer }).panels;
    expect(plan?.holes[0]).toMatchObject({ fitting: 'weir elbow', flange: 52, grip: { min: 3, max: 20 }, isTypical: false, diameter: 35, bit: { isAtHand: true } });
  });

  it('bare numbers in them are in their own unit', () => {
    const inches = 'units: in\nfittings: {weir elbow: {hole: 1 3/8}}\nbits: [1 3/8]\n';
    const [plan] = buildOf(cabinet('fitting: weir elbow', { lines: 'include: [inches.yaml]\n' }), { 'inches.yaml': inches }).panels;
    // 1 3/8 in is 34.925 mm by NIST SP 811: 25.4 mm to the inch.
    expect(plan?.holes[0]?.diameter).toBeCloseTo(34.925, 9);
  });

  it('bits of the spec and of all files are one list', () => {
    const files = { 'a.yaml': 'units: mm\nbits: [44]\n', 'b.yaml': 'units: mm\nbits: [57]\n' };
    const diameters = [25, 44, 57].map((wide) => buildOf(cabinet(`diameter: ${wide}`, { lines: 'include: [a.yaml, b.yaml]\nbits: [25]\n' }), files).panels[0]?.holes[0]?.bit.isAtHand);
    expect(diameters).toEqual([true, true, true]);
  });

  it('one that cannot be had is told where it is named', () => {
    const problem = problemAtMark(cabinet('diameter: 40', { lines: 'include: [a.yaml, §gone.yaml]\n' }), { 'a.yaml': drawer });
    expect(problem).toMatchObject({ key: 'include[1]', found: '"gone.yaml": there is no such file', fix: 'check the path' });
  });

  it('where nothing can be included, the spec says what to do', () => {
    const reading = readBuild(cabinet('diameter: 40', { lines: 'include: a.yaml\n' }));
    expect('problems' in reading && reading.problems[0]).toMatchObject({ line: 3, found: '"a.yaml": no file can be included here', fix: 'write fittings and bits into the spec itself' });
  });

  it.each([
    ['an unknown key', 'units: mm\n§fitings: {}\n', 'unknown key "fitings"'],
    ['a key of a spec', 'units: mm\n§panel: {}\n', 'unknown key "panel"'],
    ['a length that is none', 'units: mm\nfittings:\n  elbow: {hole: §wide}\n', '"wide" is not a length'],
    ['a bit without a unit', 'bits: [§35]\n', '35'],
    ['a range turned round', 'units: mm\nfittings:\n  elbow: {hole: §[36, 34]}\n', 'smallest value above its largest'],
    ['a flange that covers nothing', 'units: mm\nfittings:\n  elbow: {hole: 36, flange: §36}\n', 'does not cover'],
    ['a thread wider than the hole', 'units: mm\nfittings:\n  elbow: {hole: 30, thread: §G 1}\n', 'does not pass'],
    ['YAML that is none', 'units: mm\nfittings: {elbow: §', ''],
    ['nothing', '§', 'the file is empty'],
  ])('%s in one is told with its name, line and column', (_what, text, found) => {
    const problem = problemAtMark(cabinet('diameter: 40', { lines: 'include: a.yaml\n' }), { 'a.yaml': text });
    expect(problem.found).toContain(found);
    expect(problem.fix).not.toBe('');
    expect(problemText(problem, 'spec.yaml')).toMatch(/^bench\/a\.yaml:\d+:\d+: /);
  });

  it('a fitting of the spec again in a file', () => {
    const lines = 'include: a.yaml\nfittings: {weir elbow: {hole: 36}}\n';
    expect(problemAtMark(cabinet('fitting: weir elbow', { lines }), { 'a.yaml': drawer.replace('weir', '§weir') })).toMatchObject({ key: 'fittings.weir elbow', found: '"weir elbow" is also a fitting of the spec, or of a file that it includes before' });
  });

  it('a fitting in two files is told in the second', () => {
    expect(problemAtMark(cabinet('fitting: weir elbow', { lines: 'include: [a.yaml, b.yaml]\n' }), { 'a.yaml': drawer, 'b.yaml': drawer.replace('weir', '§weir') }).found).toMatch(/"weir elbow" is also a fitting/);
  });

  it('the same slip in two files is told of both', () => {
    const slip = 'units: mm\nfitings: {}\n';
    expect(problemsOf(cabinet('diameter: 40', { lines: 'include: [a.yaml, b.yaml]\n' }), { 'a.yaml': slip, 'b.yaml': slip }).map(({ file }) => file)).toEqual(['bench/a.yaml', 'bench/b.yaml']);
  });

  it('the problems of the spec and of a file are told at once', () => {
    const problems = problemsOf(cabinet('fitting: weir elbow', { lines: 'include: [gone.yaml, a.yaml]\n' }), { 'a.yaml': 'bits: [35]\n' });
    expect(problems.map(({ file, key }) => [file, key])).toEqual(expect.arrayContaining([[undefined, 'include[0]'], ['bench/a.yaml', 'bits[0]']]));
  });

  it('fittings with the names of JavaScript methods are names like others', () => {
    expect(problemsOf(cabinet('fitting: toString'))[0]).toMatchObject({ key: 'holes[0].fitting', found: 'unknown fitting "toString"' });
    expect(buildOf(cabinet('fitting: constructor', { lines: 'fittings: {constructor: {hole: 36}}\n' })).panels[0]?.holes[0]?.diameter).toBe(36);
  });
});

/** The bit that is chosen, from a list of bits as the spec has it. */
function bitOf(hole: string, bits: string, more: { material?: string; units?: string } = {}) {
  const [plan] = buildOf(cabinet(hole, { lines: bits ? `bits: ${bits}\n` : '', ...more })).panels;
  return { ...(plan?.holes[0]?.bit ?? expect.fail()), circle: plan?.holes[0]?.diameter, notes: checkPlan(plan ?? expect.fail()).notes };
}

describe('the bit for a hole', () => {
  const range = 'fitting: {hole: [44, 46]}';

  // A bit cuts up to 0.5 mm over its size (common practice, no source): the largest that fits whole is 45.5.
  it.each([
    ['the nearest to the middle of 45', range, '[44, 45.2, 45.5, 60]', 45.2],
    ['of two as near, the smaller', range, '[45.25, 44.75]', 44.75],
    ['one that fits whole before one nearer the middle that does not', 'fitting: {hole: [44, 44.6]}', '[44.3, 44]', 44],
    ['one whose own size only fits, where none fits whole', range, '[46, 47]', 46],
    ['an exact diameter, a bit that is 0.05 mm off (our choice, no source)', 'diameter: 40', '[39.9, 40.05]', 40],
  ])('%s', (_what, hole, bits, circle) => {
    expect(bitOf(hole, bits)).toMatchObject({ isAtHand: true, circle });
  });

  it('one that fits only by its own size is told', () => {
    expect(bitOf(range, '[46]').notes).toEqual([expect.stringMatching(/drain: the bit of 46 mm fits a hole of 44 mm to 46 mm, but.*0\.5 mm/)]);
    expect(bitOf(range, '[45]').notes).toEqual([]);
  });

  it.each([
    ['a range', range, '[43.9, 46.1]', 'no bit at hand fits a hole of 44 mm to 46 mm. Buy a diamond core bit of 45 mm.'],
    ['a diameter', 'diameter: 40', '[39, 41]', 'no bit at hand fits a hole of 40 mm. Buy a diamond core bit of 40 mm.'],
    ['an empty drawer', 'diameter: 40', '[]', 'no bit at hand fits a hole of 40 mm. Buy a diamond core bit of 40 mm.'],
    ['a saw for glass', 'diameter: 40', '[{diameter: 40, kind: hole saw}]', 'no bit at hand fits a hole of 40 mm. Buy a diamond core bit of 40 mm.'],
  ])('none fits: %s, and what to buy', (_what, hole, bits, note) => {
    const { isAtHand, notes } = bitOf(hole, bits);
    expect(isAtHand).toBe(false);
    expect(notes).toEqual([`drain: ${note}`]);
  });

  it('in inches, what to buy is in eighths', () => {
    // 44 to 46 mm: 1 3/4 in is 44.45 mm.
    const { circle, notes } = bitOf(range.replace('[44, 46]', '[44 mm, 46 mm]'), '[2]', { units: 'in' });
    expect(circle).toBeCloseTo(44.45, 9);
    expect(notes.join()).toContain('Buy a diamond core bit of 1-3/4 in.');
  });

  it('a saw before a core bit in acrylic, a core bit where there is no saw', () => {
    const both = '[40, {diameter: 40, kind: hole saw}]';
    expect(bitOf('diameter: 40', both, { material: 'acrylic' }).kind).toBe('hole saw');
    expect(bitOf('diameter: 40', both).kind).toBe('diamond core bit');
    expect(bitOf('diameter: 40', '[40]', { material: 'acrylic' })).toMatchObject({ kind: 'diamond core bit', isAtHand: true });
  });

  it('without a list nothing is said of what is at hand', () => {
    expect(bitOf('diameter: 40', '')).toMatchObject({ isAtHand: null, notes: [] });
  });

  it('a box of acrylic on glass: each is drilled with its own kind', () => {
    const text = `title: Hatchery\nunits: mm\nbits: [36, {diameter: 35, kind: hole saw}]\nboxes:\n  trap: {width: 200, height: 150, wall: 5, holes: [{name: drain, fitting: {hole: [34, 37]}, from-left: 100, from-top: 75}]}\npanel: {material: annealed glass, width: 700, height: 400, thickness: 8, boxes: [{box: trap, from-left: 200, from-top: 100}]}\n`;
    expect(buildOf(text).panels.map(({ part, holes: [hole] }) => [part, hole?.bit.kind, hole?.diameter])).toEqual([['panel', 'diamond core bit', 36], ['trap, back wall', 'hole saw', 35]]);
  });
});

/** A build with all that it may have. */
const full = `title: Coral nursery
units: mm
include: bench.yaml
fittings:
  bulk: {hole: [34, 37], flange: 54, nut: 50, grip: [3, 30], pipe: 3/4, gasket: {inside: 34, outside: 52, thickness: 3}, stands-out: {flange: 18, nut: 42}}
bits: [35, {diameter: 25, kind: hole saw}]
boxes:
  weir box:
    width: 200
    height: 150
    depth: 120
    wall: 5
    back: 6
    stands: outside
    measured-from: inside
    weir-from-top: 30
    keep-clear: [{name: baffle, from-left: 10, from-bottom: 5, width: 8, height: 30}]
    holes:
      - {name: drain, fitting: bulk, from-left: 55, from-top: 75, outside: elbow}
      - {name: return, diameter: 20, from-right: 45, from-top: 75}
panels:
  lid:
    material: acrylic
    outline: [[0, 0], [500, 0], [500, 300], [100, 300], [0, 200]]
    thickness: 6
    quantity: 2
    holes: [{name: feed, diameter: 25, from-left: 250, from-bottom: 150}]
  shelf: {material: acrylic, width: 400, height: 200, thickness: 8}
tanks:
  tray:
    quantity: 3
    material: annealed glass
    length: 900
    width: 500
    height: 400
    thickness: {front: 8, back: 8, left: 8, right: 8, bottom: 10}
    bottom: under walls
    ends: between front and back
    gap: 1
    sealant: 4
    rim: {top: 15}
    water-from-top: 40
    panels:
      back:
        measured-from: inside
        room: {outside: 300}
        boxes: [{name: west weir, box: weir box, from-left: 100, from-top: 30}]
        keep-clear: [{name: brace, from-right: 10, from-top: 20, width: 60, height: 60}]
        holes: [{name: top-up, diameter: 25, from-right: 250, from-top: 150}]
      bottom:
        material: acrylic
        holes: [{name: drain, fitting: bulkhead 1 in, from-center-x: 0, from-center-y: 0}]
sheets: {paper: A3}
`;
const bench = { 'bench.yaml': drawer };

describe('what a build is made of', () => {
  it('its panels in the order of the text, then the back walls of its boxes; each by its name', () => {
    const { title, panels } = buildOf(full, bench);
    expect(title).toBe('Coral nursery');
    expect(panels.map(({ part, title: own, quantity, panel: { material } }) => [part, own, quantity, material])).toEqual([
      ['lid', 'lid · Coral nursery', 2, 'acrylic'],
      ['tray, back', 'tray, back · Coral nursery', 3, 'annealed glass'],
      ['tray, bottom', 'tray, bottom · Coral nursery', 3, 'acrylic'],
      ['weir box, back wall', 'weir box, back wall · Coral nursery', 3, 'acrylic'],
    ]);
    for (const { sheets } of panels) expect(sheets.paper.name).toBe('A3');
  });

  it('all its panels are listed, drilled or not: those of tanks, and those of none', () => {
    const { cut, loose } = buildOf(full, bench);
    const told = (panels: typeof cut) => panels.map(({ name, width, height, thickness, material, quantity }) => [name, width, height, thickness, material, quantity]);
    expect(told(loose)).toEqual([
      ['lid', 500, 300, 6, 'acrylic', 2],
      ['shelf', 400, 200, 8, 'acrylic', 1],
    ]);
    // By hand: walls 400 - 10 - 1 high; ends 500 - 16 - 2 wide.
    expect(told(cut)).toEqual([
      ['tray, front', 900, 389, 8, 'annealed glass', 3],
      ['tray, back', 900, 389, 8, 'annealed glass', 3],
      ['tray, left', 482, 389, 8, 'annealed glass', 3],
      ['tray, right', 482, 389, 8, 'annealed glass', 3],
      ['tray, bottom', 900, 500, 10, 'acrylic', 3],
    ]);
  });

  it('the frame and the water of a tank belong to its walls, not to its bottom', () => {
    const [back, bottom] = ['tray, back', 'tray, bottom'].map((part) => buildOf(full, bench).panels.find((plan) => plan.part === part));
    // The water stands 40 mm under the top of a wall of 389 mm.
    expect([back?.panel.water, bottom?.panel.water]).toEqual([349, null]);
    expect(back?.panel.edges.map(({ name, rim }) => [name, rim])).toEqual([['bottom edge', 0], ['right edge', 0], ['top edge', 15], ['left edge', 0]]);
    expect(bottom?.panel.edges.map(({ rim }) => rim)).toEqual([0, 0, 0, 0]);
  });

  it('each panel of a tank says how it stands', () => {
    const standings = buildOf(full, bench).panels.map(({ standing }) => standing);
    expect(standings[1]).toMatch(/left edge is the tank's right/);
    expect(standings[2]).toMatch(/top edge is the tank's front/);
    expect(standings[0]).toBe('');
  });

  it('a single panel has no name but its title', () => {
    const [plan, ...more] = buildOf(cabinet('diameter: 40')).panels;
    expect(more).toEqual([]);
    expect([plan?.part, plan?.title, plan?.quantity]).toEqual(['', 'Pump cabinet sump', 1]);
  });

  it('a spec of several panels is no spec of one', () => {
    const reading = readPlan(full.replace('include: bench.yaml\n', ''));
    expect('problems' in reading && reading.problems[0]).toMatchObject({ found: 'the spec has 4 panels to drill', line: 1, column: 1 });
  });
});

describe('builds that cannot be', () => {
  const changed = (from: string | RegExp, to: string) => {
    const text = full.replace(from, to);
    expect(text).not.toBe(full);
    return text;
  };

  it.each([
    ['a panel beside tanks', changed('panels:\n  lid:', 'panel: §{material: acrylic, width: 400, height: 200, thickness: 8}\npanels:\n  lid:'), /stands beside panels/],
    ['holes without a panel', changed('sheets:', 'holes: §[{name: a, diameter: 20, from-left: 50, from-top: 50}]\nsheets:'), /stands without a panel/],
    ['a panel that is named twice', changed('  shelf:', '  §lid:'), /"lid" stands twice/],
    ['a tank that is named twice', changed('sheets:', '  §tray: {}\nsheets:'), /"tray" stands twice/],
    ['a quantity of none', changed('quantity: 2', 'quantity: §0'), /too small/],
    ['a quantity of half', changed('quantity: 3', 'quantity: §1.5'), /not a whole number/],
    ['a quantity past counting', changed('quantity: 3', 'quantity: §1001'), /too large/],
    ['a panel that no tank has', changed('      bottom:\n        material', '      §top:\n        material'), /unknown key "top"/],
    ['how the ends meet', changed('between front and back', '§around'), /found "around"/],
    ['how the bottom meets', changed('under walls', '§below'), /found "below"/],
    ['a thickness for some panels only', changed('front: 8, back: 8, left: 8, right: 8, bottom: 10', 'front: 8'), /is missing/],
    ['a hole off its panel', changed('{name: top-up, diameter: 25, from-right: 250', '§{name: top-up, diameter: 25, from-right: 2500'), /"top-up" has its centre off the panel/],
    ['a size for a tank\'s panel', changed('material: acrylic\n        holes', '§width: 300\n        holes'), /unknown key "width"/],
    ['joints for a tank\'s panel', changed('material: acrylic\n        holes', '§joints: {left: 8}\n        holes'), /unknown key "joints"/],
    ['an empty list of holes', changed('[{name: feed, diameter: 25, from-left: 250, from-bottom: 150}]', '§[]'), /empty list/],
    ['an unknown fitting', changed('bulkhead 1 in', '§bulkhead 9 in'), /unknown fitting/],
  ])('%s', (_what, text, found) => {
    const problem = text.includes('§') ? problemAtMark(text, bench) : (problemsOf(text, bench)[0] ?? expect.fail('no problem'));
    expect(problem.found).toMatch(found);
    expect(problem.accepted).not.toBe('');
    expect(problem.fix).not.toBe('');
  });

  it('nothing to drill', () => {
    expect(problemAtMark('title: Nursery\nunits: mm\npanels:\n  §shelf: {material: acrylic, width: 400, height: 200, thickness: 8}\n')).toMatchObject({ found: 'no panel has anything to drill' });
    expect(problemsOf('title: Nursery\nunits: mm\n')[0]).toMatchObject({ key: 'panel', found: 'is missing', accepted: 'panel with holes, or panels, or tanks' });
    expect(problemsOf('title: Nursery\nunits: mm\npanels: {}\n')[0]?.found).toBe('no panel has anything to drill');
    expect(problemsOf('title: Nursery\nunits: mm\npanel: {material: acrylic, width: 400, height: 200, thickness: 8}\n')[0]).toMatchObject({ key: 'holes', found: 'is missing' });
  });

  it('two panels of one name, one of them a tank\'s', () => {
    const text = changed('  lid:', '  §tray, back:');
    expect(problemAtMark(text, bench)).toMatchObject({ found: 'two panels are called "tray, back"' });
  });

  it('more panels than anyone drills', () => {
    const panels = (count: number) => `title: Nursery\nunits: mm\npanels:\n${Array.from({ length: count }, (_, index) => `  p${index}: {material: acrylic, width: 400, height: 200, thickness: 8, holes: [{name: a, diameter: 20, from-left: 200, from-top: 100}]}\n`).join('')}`;
    expect(problemsOf(panels(200))).toEqual([]);
    expect(problemsOf(panels(201))[0]).toMatchObject({ found: 'the build has 201 panels to drill', accepted: 'at most 200' });
  });
});

describe('whatever the text, the answer is a build or problems that can be acted on', () => {
  const laidOut = full.replace('holes: [{name: feed, diameter: 25, from-left: 250, from-bottom: 150}]', `holes:
      - {name: feed, diameter: 25, from-left: 250, from-bottom: 150}
      - row: {name: air, diameter: 8, count: 4, from-left: 120, from-right: 60, from-top: 20, repeat: {count: 2, down: 30}}
      - {name: weep, diameter: 8, from-center-x: -60, from-bottom: 25, repeat: {count: 3, right: 20, up: 12}, mirror: both}
      - {name: probe, diameter: 12, from-top: 75, place: best, within: {from-left: 80, from-right: 50}}`);

  function expectAnswer(text: string, files: Files = bench): void {
    const reading = readBuild(text, includeFrom(files));
    if ('build' in reading) {
      expect(reading.build.panels.length).toBeGreaterThan(0);
      for (const plan of reading.build.panels) expect(plan.holes.length + plan.panel.boxes.length).toBeGreaterThan(0);
      return;
    }
    expect(reading.problems.length).toBeGreaterThan(0);
    expect(reading.problems.length).toBeLessThanOrEqual(20);
    for (const problem of reading.problems) {
      const lines = (problem.file === undefined ? text : (files[problem.file.replace('bench/', '')] ?? expect.fail(problem.file))).split('\n');
      expect(problem.line).toBeGreaterThanOrEqual(1);
      expect(problem.line).toBeLessThanOrEqual(lines.length);
      expect(problem.column).toBeGreaterThanOrEqual(1);
      expect(problem.column).toBeLessThanOrEqual((lines[problem.line - 1] as string).length + 1);
      for (const words of [problem.found, problem.accepted, problem.fix]) {
        expect(words).not.toBe('');
        expect(words).not.toMatch(/undefined|\[object/);
      }
      expect(problemText(problem, 'spec').replace(/\n/g, ' ')).not.toMatch(/\p{Cc}/u);
    }
  }

  it('the full build itself, with rows, repeats, twins and a place to find', () => {
    expect(problemsOf(laidOut, bench)).toEqual([]);
  });

  it('with lines lost, doubled or swapped', () => {
    fc.assert(fc.property(spoiledLines(laidOut), (text) => expectAnswer(text)), { numRuns: 120 });
  });

  it('with characters lost or pieces put in', () => {
    fc.assert(fc.property(spoiledCharacters(laidOut), (text) => expectAnswer(text)), { numRuns: 120 });
  });

  /** Every place in a value, as a path. */
  function pathsIn(value: unknown, path: readonly (string | number)[] = []): (readonly (string | number)[])[] {
    if (typeof value !== 'object' || value === null) return [path];
    return [...(path.length > 0 ? [path] : []), ...Object.entries(value).flatMap(([key, inner]) => pathsIn(inner, [...path, Array.isArray(value) ? Number(key) : key]))];
  }

  const content = () => parse(laidOut) as Record<string | number, unknown>;
  const withValue = (path: readonly (string | number)[], change: (holder: Record<string | number, unknown>, key: string | number) => void) => {
    const whole = content();
    const holder = path.slice(0, -1).reduce<Record<string | number, unknown>>((at, step) => at[step] as Record<string | number, unknown>, whole);
    change(holder, path[path.length - 1] as string | number);
    return JSON.stringify(whole, null, 1);
  };

  it('with any value replaced by any JSON, or by a length that is odd', () => {
    const value = fc.oneof(fc.jsonValue({ maxDepth: 2 }), fc.constantFrom<string | number>(0, -1, 1e-9, 19_999, 1e300, '1 km', '5 in', 'weir box', 'tray', 'lid', 'inside', 'edges', 'rim'));
    fc.assert(
      fc.property(fc.constantFrom(...pathsIn(content())), value, (path, replacement) => {
        expectAnswer(withValue(path, (holder, key) => { holder[key] = replacement; }));
      }),
      { numRuns: 250 },
    );
  });

  it('with any key lost, or its value put elsewhere', () => {
    const paths = pathsIn(content());
    for (const path of paths) expectAnswer(withValue(path, (holder, key) => { if (Array.isArray(holder)) holder.splice(Number(key), 1); else delete holder[key]; }));
    fc.assert(
      fc.property(fc.constantFrom(...paths), fc.constantFrom(...paths), (path, other) => {
        const taken = other.reduce<unknown>((at, step) => (at as Record<string | number, unknown>)[step], content());
        expectAnswer(withValue(path, (holder, key) => { holder[key] = taken; }));
      }),
      { numRuns: 120 },
    );
  });

  it('whatever the file that is included', () => {
    const text = fc.oneof(spoiledCharacters(drawer), fc.string({ unit: 'binary', maxLength: 60 }), fc.constantFrom(laidOut));
    fc.assert(fc.property(text, (one) => expectAnswer(full, { 'bench.yaml': one })), { numRuns: 120 });
  });

  it('what can be built can be checked', () => {
    const lengths = fc.oneof(fc.integer({ min: -50, max: 900 }), fc.double({ min: 0.001, max: 500, noNaN: true }));
    const numbers = pathsIn(content()).filter((path) => typeof path.reduce<unknown>((at, step) => (at as Record<string | number, unknown>)[step], content()) === 'number');
    let checked = 0;
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.constantFrom(...numbers), lengths), { minLength: 1, maxLength: 2 }), (changes) => {
        const whole = content();
        for (const [path, mm] of changes) path.slice(0, -1).reduce<Record<string | number, unknown>>((at, step) => at[step] as Record<string | number, unknown>, whole)[path[path.length - 1] as string] = mm;
        const text = JSON.stringify(whole, null, 1);
        expectAnswer(text);
        const reading = readBuild(text, includeFrom(bench));
        if (!('build' in reading)) return;
        for (const plan of reading.build.panels) {
          checked += 1;
          for (const { verdict, fix, measured } of checkPlan(plan).findings) {
            expect(verdict === 'clear' || fix !== '').toBe(true);
            expect(measured).not.toBeNaN();
          }
        }
      }),
      { numRuns: 120 },
    );
    expect(checked).toBeGreaterThan(0);
  });
});
