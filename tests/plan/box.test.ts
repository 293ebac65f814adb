/**
 * Boxes on a panel: the pattern of holes is written once and drilled twice. The oracle lays the box's back wall against the
 * panel, face to face, and looks through both.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { readBuild } from '../../src/plan/build.ts';
import { checkPlan } from '../../src/report.ts';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { coordinate } from '../geometry/polygons.ts';

function plansOf(text: string): readonly Plan[] {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(`${reading.problems.map((problem) => problemText(problem, 'spec')).join('\n')}\n${text}`);
  return reading.build.panels;
}

function problemsOf(text: string): readonly Problem[] {
  const reading = readBuild(text);
  return 'problems' in reading ? reading.problems : [];
}

/** The text without its § mark must have its first problem where the mark stood. */
function problemAtMark(textWithMark: string): Problem {
  const before = (textWithMark.split('§')[0] as string).split('\n');
  const problem = problemsOf(textWithMark.replace('§', ''))[0] ?? expect.fail('no problem');
  expect([problem.line, problem.column], problemText(problem, 'spec')).toEqual([before.length, (before[before.length - 1] as string).length + 1]);
  return problem;
}

/** The only panel of that name. */
const partOf = (plans: readonly Plan[], part: string): Plan => plans.find((plan) => plan.part === part) ?? expect.fail(`no ${part} among ${plans.map((plan) => plan.part).join('; ')}`);

interface Drawn {
  readonly stands: 'inside' | 'outside';
  readonly drilledFrom: 'inside' | 'outside';
  readonly measuredFrom: 'edges' | 'inside';
  readonly panelFrom: 'edges' | 'rim' | 'inside';
  readonly wall: number;
  readonly place: readonly [across: string, up: string, mm: number, mm: number];
  readonly holes: readonly (readonly [across: string, up: string, mm: number, mm: number])[];
}

const ways = fc.tuple(fc.constantFrom('from-left', 'from-right', 'from-center-x'), fc.constantFrom('from-top', 'from-bottom', 'from-center-y'));
const anyDrawn: fc.Arbitrary<Drawn> = fc.record({
  stands: fc.constantFrom('inside', 'outside'),
  drilledFrom: fc.constantFrom('inside', 'outside'),
  measuredFrom: fc.constantFrom('edges', 'inside'),
  panelFrom: fc.constantFrom('edges', 'rim', 'inside'),
  wall: coordinate(3, 12),
  place: fc.tuple(fc.constantFrom('from-left', 'from-right', 'from-center-x'), fc.constantFrom('from-top', 'from-bottom'), coordinate(-100, 140), coordinate(-80, 140)),
  // The middle of a box of 300 by 200 lies 150 and 100 mm from its sides: a centre stays on it.
  holes: fc.array(fc.tuple(ways, coordinate(13, 80), coordinate(13, 80)).map(([[across, up], x, y]) => [across, up, x, y] as const), { minLength: 1, maxLength: 5 }),
});

/** The box's inside face to the box's, its outside against the panel. */
function boxSpec({ stands, drilledFrom, measuredFrom, panelFrom, wall, place, holes }: Drawn): string {
  const list = holes.map(([across, up, x, y], index) => `      - {name: h${index}, diameter: 12.5, ${across}: ${x}, ${up}: ${y}}`).join('\n');
  return `title: Frag shelf tank
units: mm
boxes:
  weir box:
    width: 300
    height: 200
    wall: ${wall}
    stands: ${stands}
    drilled-from: ${drilledFrom}
    measured-from: ${measuredFrom}
    holes:
${list}
panel:
  material: annealed glass
  width: 900
  height: 500
  thickness: 10
  measured-from: ${panelFrom}
  rim: {top: 20, right: 14, bottom: 25, left: 12}
  joints: {top: 0, right: 11, bottom: 9, left: 8}
  boxes:
    - {box: weir box, ${place[0]}: ${place[2]}, ${place[1]}: ${place[3]}}
`;
}

/** Where a point of the back wall comes to lie on the panel. One looks at the wall from the face that is against the panel: through the panel where the box stands inside, from behind where it stands outside. */
function laidToPanel({ x, y }: Point, rect: Rect, stands: 'inside' | 'outside'): Point {
  return { x: stands === 'inside' ? rect.left + x : rect.right - x, y: rect.bottom + y };
}

describe('the pattern is drilled twice', () => {
  it('the holes of the panel and of the back wall lie on each other, face to face', () => {
    fc.assert(
      fc.property(anyDrawn, (drawn) => {
        const plans = plansOf(boxSpec(drawn));
        expect(plans.map(({ part }) => part)).toEqual(['panel', 'weir box, back wall']);
        const [panel, wall] = [partOf(plans, 'panel'), partOf(plans, 'weir box, back wall')];
        const [placed] = panel.panel.boxes;
        const { rect } = placed ?? expect.fail();
        expect([rect.right - rect.left, rect.top - rect.bottom]).toEqual([300, 200]);
        expect(wall.bounds).toEqual({ left: 0, right: 300, bottom: 0, top: 200 });
        expect(panel.holes.map(({ name }) => name)).toEqual(drawn.holes.map((_, index) => `h${index}`));
        for (const [index, hole] of panel.holes.entries()) {
          const behind = wall.holes[index] ?? expect.fail();
          expect([hole.name, hole.diameter, hole.box]).toEqual([behind.name, behind.diameter, 'weir box']);
          const laid = laidToPanel(behind.center, rect, drawn.stands);
          expect(Math.hypot(laid.x - hole.center.x, laid.y - hole.center.y)).toBeLessThan(1e-9);
        }
        expect([wall.face, wall.panel.thickness, wall.isBoxWall, panel.isBoxWall]).toEqual([drawn.drilledFrom, drawn.wall, true, false]);
      }),
      { numRuns: 150 },
    );
  });

  it('the offsets of a hole, set out on the panel from the lines that they name, lead to its centre', () => {
    fc.assert(
      fc.property(anyDrawn, (drawn) => {
        const { datum, holes } = partOf(plansOf(boxSpec(drawn)), 'panel');
        for (const { center, offsets: [across, up] } of holes) {
          expect(across.from === 'left' ? datum.left + across.mm : datum.right - across.mm).toBeCloseTo(center.x, 9);
          expect(up.from === 'bottom' ? datum.bottom + up.mm : datum.top - up.mm).toBeCloseTo(center.y, 9);
          expect([across.from, up.from]).toEqual([drawn.place[0] === 'from-right' ? 'right' : 'left', drawn.place[1] === 'from-top' ? 'top' : 'bottom']);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('so do those of the back wall', () => {
    fc.assert(
      fc.property(anyDrawn, (drawn) => {
        const { datum, holes } = partOf(plansOf(boxSpec(drawn)), 'weir box, back wall');
        for (const { center, offsets: [across, up] } of holes) {
          expect(across.from === 'left' ? datum.left + across.mm : datum.right - across.mm).toBeCloseTo(center.x, 9);
          expect(up.from === 'bottom' ? datum.bottom + up.mm : datum.top - up.mm).toBeCloseTo(center.y, 9);
        }
      }),
      { numRuns: 50 },
    );
  });

  /** A box of 200 by 150 with walls of 5 at 100 mm from the left and 30 from the top of a panel of 600 by 400. */
  const byHand = (stands: string, from: string) => plansOf(`title: Snail hatchery\nunits: mm\nboxes:\n  box:\n    {width: 200, height: 150, wall: 5, stands: ${stands}, measured-from: ${from}, holes: [{name: drain, diameter: 30, from-left: 45, from-top: 60}]}\npanel: {material: annealed glass, width: 600, height: 400, thickness: 8, boxes: [{box: box, from-left: 100, from-top: 30}]}\n`);

  it.each([
    // On the panel 100 + 45 from the left, 30 + 60 from the top: 400 - 90 up. On the wall 45 across, or 200 - 45 from behind; 150 - 60 up.
    ['inside', 'edges', { x: 145, y: 310 }, { x: 45, y: 90 }],
    ['outside', 'edges', { x: 145, y: 310 }, { x: 155, y: 90 }],
    // From the inner face of a wall of 5 mm; the top is open.
    ['inside', 'inside', { x: 150, y: 310 }, { x: 50, y: 90 }],
    ['outside', 'inside', { x: 150, y: 310 }, { x: 150, y: 90 }],
  ])('worked by hand: a box that stands %s, measured from %s', (stands, from, onPanel, onWall) => {
    const [panel, wall] = byHand(stands, from);
    expect(panel?.holes[0]?.center).toEqual(onPanel);
    expect(wall?.holes[0]?.center).toEqual(onWall);
  });

  it('each hole, of the panel, its box and the back wall, says where in the spec it stands', () => {
    const text = 'title: Snail hatchery\nunits: mm\nboxes:\n  box: {width: 200, height: 150, wall: 5, stands: outside, holes: [{name: drain, diameter: 30, from-left: 45, from-top: 60}]}\npanels:\n  back: {material: acrylic, width: 600, height: 400, thickness: 8, boxes: [{box: box, from-left: 100, from-top: 30}], holes: [{name: air, diameter: 12, from-left: 40, from-top: 300}, {name: feed, diameter: 12, from-right: 40, from-top: 300}]}\n';
    expect(plansOf(text).map(({ holes }) => holes.map(({ name, from }) => [name, from.path.join('.'), from.isAlone, from.isMirrored]))).toEqual([
      [['air', 'panels.back.holes.0', true, false], ['feed', 'panels.back.holes.1', true, false], ['drain', 'boxes.box.holes.0', true, false]],
      [['drain', 'boxes.box.holes.0', true, true]],
    ]);
  });

  it('the back wall says which of its faces is which, and whether left and right are exchanged', () => {
    expect(byHand('outside', 'edges')[1]?.standing).toMatch(/Outside is the face that lies against the panel.*exchanged/);
    expect(byHand('inside', 'edges')[1]?.standing).not.toMatch(/exchanged/);
  });

  it('keep-clear areas of the back wall go with it', () => {
    const wallOf = (stands: string) => partOf(plansOf(`title: Hatchery\nunits: mm\nboxes:\n  box:\n    {width: 200, height: 150, wall: 5, stands: ${stands}, keep-clear: [{name: baffle, from-left: 120, from-bottom: 10, width: 6, height: 80}], holes: [{name: drain, diameter: 30, from-left: 45, from-top: 60}]}\npanel: {material: acrylic, width: 600, height: 400, thickness: 8, boxes: [{box: box, from-left: 100, from-top: 30}]}\n`), 'box, back wall');
    expect(wallOf('inside').panel.keepClear[0]?.rect).toEqual({ left: 120, right: 126, bottom: 10, top: 90 });
    expect(wallOf('outside').panel.keepClear[0]?.rect).toEqual({ left: 74, right: 80, bottom: 10, top: 90 });
  });

  it('the crest of the weir is so far under the top of the box', () => {
    const [panel] = plansOf(`title: Hatchery\nunits: mm\nboxes:\n  box: {width: 200, height: 150, wall: 5, weir-from-top: 12, holes: [{name: drain, diameter: 30, from-left: 100, from-top: 75}]}\npanel: {material: acrylic, width: 600, height: 400, thickness: 8, water-from-top: 35, boxes: [{box: box, from-left: 100, from-top: 30}]}\n`);
    // 400 - 30 - 12, and the water at 400 - 35.
    expect([panel?.panel.boxes[0]?.crest, panel?.panel.water]).toEqual([358, 365]);
  });
});

/** Two boxes of two holes each on one panel, which has a hole of its own. */
function several({ first = '', second = 'name: east, ', own = 'top-up', quantity = 1, holes = ['drain', 'spare'] } = {}): string {
  return `title: Coral nursery
units: mm
boxes:
  weir:
    {width: 150, height: 120, wall: 5, holes: [{name: ${holes[0]}, diameter: 25, from-left: 45, from-top: 50}, {name: ${holes[1]}, diameter: 25, from-right: 45, from-top: 50}]}
panels:
  back:
    {material: acrylic, width: 900, height: 400, thickness: 8, quantity: ${quantity}, boxes: [{${first}box: weir, from-left: 100, from-top: 30}, {${second}box: weir, from-right: 100, from-top: 30}], holes: [{name: ${own}, diameter: 25, from-center-x: 0, from-top: 80}]}
  end:
    {material: acrylic, width: 500, height: 400, thickness: 8, quantity: 3, boxes: [{box: weir, from-center-x: 0, from-top: 30}]}
`;
}

describe('several boxes', () => {
  it('of one kind on a panel: the names of their holes tell them apart', () => {
    const { holes, panel } = partOf(plansOf(several()), 'back');
    expect(panel.boxes.map(({ name }) => name)).toEqual(['weir', 'east']);
    expect(holes.map(({ name, box }) => [name, box])).toEqual([['top-up', null], ['weir drain', 'weir'], ['weir spare', 'weir'], ['east drain', 'east'], ['east spare', 'east']]);
  });

  it('alone on a panel, a box leaves its holes their names', () => {
    expect(partOf(plansOf(several()), 'end').holes.map(({ name }) => name)).toEqual(['drain', 'spare']);
  });

  it('a hole of the panel keeps its name; the box\'s of the same name gets the box\'s before it', () => {
    const { holes } = partOf(plansOf(several({ own: 'drain' })), 'back');
    expect(holes.map(({ name }) => name)).toEqual(['drain', 'weir drain', 'weir spare', 'east drain', 'east spare']);
  });

  it('as many back walls are made as boxes are placed, on all panels made alike', () => {
    // Two on each of two backs, one on each of three ends.
    const plans = plansOf(several({ quantity: 2 }));
    expect(plans.map(({ part, quantity }) => [part, quantity])).toEqual([['back', 2], ['end', 3], ['weir, back wall', 2 * 2 + 3]]);
  });

  it('on the panels of tanks too', () => {
    const plans = plansOf(`title: Coral nursery\nunits: mm\nboxes:\n  weir: {width: 150, height: 120, wall: 5, holes: [{name: drain, diameter: 25, from-center-x: 0, from-top: 60}]}\ntanks:\n  tray:\n    quantity: 4\n    material: acrylic\n    length: 600\n    width: 400\n    height: 300\n    thickness: 8\n    bottom: under walls\n    ends: between front and back\n    panels:\n      back: {boxes: [{box: weir, from-left: 40, from-top: 20}, {name: other weir, box: weir, from-right: 40, from-top: 20}]}\n      left: {boxes: [{box: weir, from-center-x: 0, from-top: 20}]}\n`);
    expect(plans.map(({ part, quantity }) => [part, quantity])).toEqual([['tray, back', 4], ['tray, left', 4], ['weir, back wall', 12]]);
  });

  it('with one name are told at the name of the second, or at its place where it takes the box\'s', () => {
    expect(problemAtMark(several({ first: 'name: east, ', second: 'name: §east, ' }))).toMatchObject({ found: expect.stringMatching(/"east" is also the name of box 1/) as string, fix: expect.stringMatching(/name/) as string });
    const unnamed = problemsOf(several({ second: '' }))[0];
    expect(unnamed).toMatchObject({ line: 8, found: '"weir" is also the name of box 1', fix: 'give one a name of its own: name: weir 2' });
  });

  it('with one name, and an unknown one before them, are told at the same place', () => {
    const problems = problemsOf(several({ second: '' }).replace('boxes: [{box: weir', 'boxes: [{box: wier, from-left: 0, from-top: 30}, {box: weir'));
    expect(problems.map(({ key }) => key)).toEqual(['panels.back.boxes[0].box', 'panels.back.boxes[2].name']);
  });

  it('whose holes get the name of another hole are told', () => {
    const problem = problemsOf(several({ own: 'weir drain' }))[0];
    expect(problem).toMatchObject({ line: 8, key: 'panels.back.boxes[0].name', found: expect.stringMatching(/"weir drain"/) as string });
  });

  it('with the name of a hole are told: a verdict must say of which it speaks', () => {
    const problem = problemsOf(several({ own: 'east' }))[0];
    expect(problem).toMatchObject({ line: 8, key: 'panels.back.boxes[1].name', found: expect.stringMatching(/"east".*hole/) as string });
  });

  it('a box\'s hole of the box\'s own name gets that name before it', () => {
    expect(partOf(plansOf(several({ holes: ['weir', 'spare'] })), 'end').holes.map(({ name }) => name)).toEqual(['weir weir', 'spare']);
  });
});

describe("a fix for the back wall of a box that stands outside", () => {
  // 48 mm from the left as the spec sees it, which the wall sees from the other side: 30 mm of acrylic to the edge, 36 mm wanted.
  const spec = (fromLeft: number) => `title: Frag shelf\nunits: mm\nboxes:\n  trap: {width: 300, height: 200, wall: 5, stands: outside, holes: [{name: drain, diameter: 36, from-left: ${fromLeft}, from-top: 100}]}\npanel: {material: acrylic, width: 600, height: 400, thickness: 8, boxes: [{box: trap, from-left: 150, from-top: 60}]}\n`;
  const wallOf = (fromLeft: number) => partOf(plansOf(spec(fromLeft)), 'trap, back wall');

  it('says left of the wall, which is right in the spec, as the words on the wall tell', () => {
    const wall = wallOf(48);
    expect(checkPlan(wall).findings.filter(({ verdict }) => verdict === 'tight').map(({ fix }) => fix)).toEqual(['move 6 mm left for good practice']);
    expect(wall.standing).toContain('where a fix says left, move the hole right in the spec');
    expect(checkPlan(wallOf(48 + 6)).verdict).toBe('clear');
    expect(checkPlan(wallOf(48 - 6)).verdict).toBe('tight');
  });
});

describe('boxes that cannot be', () => {
  const text = (box: string, more = '') => `title: Hatchery\nunits: mm\nboxes:\n  egg trap:\n    {width: 200, height: 150, wall: 5, holes: [{name: drain, diameter: 30, from-left: 45, from-top: 60}]}\n${more}panel:\n  {material: acrylic, width: 600, height: 400, thickness: 8, boxes: [{box: ${box}, from-left: 100, from-top: 30}]}\n`;

  it('an unknown box: its place, what there is, the likely one', () => {
    expect(problemAtMark(text('§eg trap'))).toMatchObject({ found: 'unknown box "eg trap"', accepted: 'egg trap', fix: 'did you mean egg trap?' });
  });

  it('no boxes at all', () => {
    const problem = problemAtMark('title: Hatchery\nunits: mm\npanel:\n  {material: acrylic, width: 600, height: 400, thickness: 8, boxes: [{box: §egg trap, from-left: 100, from-top: 30}]}\n');
    expect(problem).toMatchObject({ found: 'unknown box "egg trap"', fix: 'write the box under boxes' });
  });

  it('a box that stands nowhere', () => {
    const problem = problemAtMark(text('egg trap', '  §spare trap:\n    {width: 200, height: 150, wall: 5, holes: [{name: drain, diameter: 30, from-left: 45, from-top: 60}]}\n'));
    expect(problem.found).toBe('the box "spare trap" stands on no panel');
  });

  it('two holes of one name in a box', () => {
    const problem = problemsOf(text('egg trap').replace('from-top: 60}]', 'from-top: 60}, {name: drain, diameter: 30, from-right: 45, from-top: 60}]'))[0];
    expect(problem).toMatchObject({ line: 5, key: 'boxes.egg trap.holes[1].name', found: '"drain" is also the name of hole 1' });
  });

  it('a hole whose centre is off its box', () => {
    const problem = problemsOf(text('egg trap').replace('from-left: 45', 'from-left: 245'))[0];
    expect(problem).toMatchObject({ line: 5, key: 'boxes.egg trap.holes[0]' });
    expect(problem?.found).toMatch(/centre off the panel/);
  });

  it('a box that lies wholly off the panel', () => {
    expect(problemAtMark(text('egg trap').replace('[{box: egg trap, from-left: 100', '[§{box: egg trap, from-left: 1100')).found).toBe('the box "egg trap" lies wholly off the panel');
  });

  it('an unknown fitting in a box is told once, in the box', () => {
    const problems = problemsOf(text('egg trap').replace('diameter: 30', 'fitting: bulkhaed 1 in'));
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ line: 5, key: 'boxes.egg trap.holes[0].fitting', fix: 'did you mean bulkhead 1 in?' });
  });
});
