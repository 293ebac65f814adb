/**
 * True sizes of a tank's panels. The oracle knows no formula for a size: it stands the five panels in space as solid
 * boxes (x left to right, y front to back, z up), from how they are said to meet, and looks whether they make the tank.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBuild, type Build } from '../../src/plan/build.ts';
import { tankPanelSizes, type TankPanelSize } from '../../src/plan/tank.ts';
import { bottoms, ends, tankPanels, type SpecTank, type TankPanel } from '../../src/spec/schema.ts';
import { problemText } from '../../src/spec/problem.ts';
import { panelLines } from '../../src/render/lines.ts';
import { coordinate } from '../geometry/polygons.ts';

type Tank = Pick<SpecTank, 'length' | 'width' | 'height' | 'thickness' | 'bottom' | 'ends' | 'gap' | 'sealant'>;
type Sizes = Record<TankPanel, TankPanelSize>;
type Range = readonly [from: number, to: number];
interface Solid {
  readonly x: Range;
  readonly y: Range;
  readonly z: Range;
}

const volume = ({ x, y, z }: Solid) => Math.max(0, x[1] - x[0]) * Math.max(0, y[1] - y[0]) * Math.max(0, z[1] - z[0]);
const common = (a: Range, b: Range): Range => [Math.max(a[0], b[0]), Math.min(a[1], b[1])];
const intersection = (a: Solid, b: Solid): Solid => ({ x: common(a.x, b.x), y: common(a.y, b.y), z: common(a.z, b.z) });
const hull = (all: readonly Solid[]): Solid => {
  const over = (ranges: readonly Range[]): Range => [Math.min(...ranges.map(([from]) => from)), Math.max(...ranges.map(([, to]) => to))];
  return { x: over(all.map(({ x }) => x)), y: over(all.map(({ y }) => y)), z: over(all.map(({ z }) => z)) };
};

/**
 * The panels in space. What is flush with the outside starts there; what meets a face with its edge starts a gap from that
 * face. Each then runs as far as its size says: whether it ends where it must is for the test to see.
 */
function stood({ length, width, thickness: t, bottom, ends: how, gap = 0 }: Tank, sizes: Sizes): Record<TankPanel, Solid> {
  const from = (start: number, size: number): Range => [start, start + size];
  const isUnder = bottom === 'under walls';
  const isBetween = how === 'between front and back';
  const base = isUnder ? t.bottom + gap : 0;
  const endStart = isBetween ? t.front + gap : 0;
  const faceStart = isBetween ? 0 : t.left + gap;
  const [floorX, floorY] = isUnder ? [0, 0] : [t.left + gap, t.front + gap];
  const { front, back, left, right, bottom: floor } = sizes;
  return {
    front: { x: from(faceStart, front.width), y: from(0, front.thickness), z: from(base, front.height) },
    back: { x: from(faceStart, back.width), y: from(width - back.thickness, back.thickness), z: from(base, back.height) },
    left: { x: from(0, left.thickness), y: from(endStart, left.width), z: from(base, left.height) },
    right: { x: from(length - right.thickness, right.thickness), y: from(endStart, right.width), z: from(base, right.height) },
    bottom: { x: from(floorX, floor.width), y: from(floorY, floor.height), z: from(0, floor.thickness) },
  };
}

/** The space in the tank: between the inner faces, open at the top. */
const spaceIn = ({ length, width, height, thickness: t }: Tank): Solid => ({ x: [t.left, length - t.right], y: [t.front, width - t.back], z: [t.bottom, height] });

/** Across and up on a panel as one looks at it from outside, from its lower left corner; the bottom from below, its front edge up. */
const seen: Record<TankPanel, (of: Solid, panel: Solid) => { u: Range; v: Range }> = {
  front: ({ x, z }, panel) => ({ u: [x[0] - panel.x[0], x[1] - panel.x[0]], v: [z[0] - panel.z[0], z[1] - panel.z[0]] }),
  back: ({ x, z }, panel) => ({ u: [panel.x[1] - x[1], panel.x[1] - x[0]], v: [z[0] - panel.z[0], z[1] - panel.z[0]] }),
  left: ({ y, z }, panel) => ({ u: [panel.y[1] - y[1], panel.y[1] - y[0]], v: [z[0] - panel.z[0], z[1] - panel.z[0]] }),
  right: ({ y, z }, panel) => ({ u: [y[0] - panel.y[0], y[1] - panel.y[0]], v: [z[0] - panel.z[0], z[1] - panel.z[0]] }),
  bottom: ({ x, y }, panel) => ({ u: [x[0] - panel.x[0], x[1] - panel.x[0]], v: [panel.y[1] - y[1], panel.y[1] - y[0]] }),
};

/** Where a panel's inner face is, and the side of another panel that may lie on it. */
const innerFace: Record<TankPanel, (panel: Solid) => { axis: 'x' | 'y' | 'z'; at: number; of: 0 | 1 }> = {
  front: ({ y }) => ({ axis: 'y', at: y[1], of: 0 }),
  back: ({ y }) => ({ axis: 'y', at: y[0], of: 1 }),
  left: ({ x }) => ({ axis: 'x', at: x[1], of: 0 }),
  right: ({ x }) => ({ axis: 'x', at: x[0], of: 1 }),
  bottom: ({ z }) => ({ axis: 'z', at: z[1], of: 0 }),
};

const anyTank = (gap: fc.Arbitrary<number>): fc.Arbitrary<Tank> => {
  const thick = coordinate(2, 30);
  return fc.record({
    length: coordinate(100, 3000),
    width: coordinate(100, 1000),
    height: coordinate(100, 1000),
    thickness: fc.record({ front: thick, back: thick, left: thick, right: thick, bottom: thick }),
    bottom: fc.constantFrom(...bottoms),
    ends: fc.constantFrom(...ends),
    gap,
    sealant: coordinate(0, 8),
  });
};
const noGap = fc.constant(0);

describe('five panels make the tank', () => {
  it('no two take the same place, together they are as large as the tank, and all of it but its space is panel', () => {
    fc.assert(
      fc.property(anyTank(noGap), (tank) => {
        const solids = stood(tank, tankPanelSizes(tank));
        const all = Object.values(solids);
        const space = spaceIn(tank);
        const outside: Solid = { x: [0, tank.length], y: [0, tank.width], z: [0, tank.height] };
        for (const [index, solid] of all.entries()) {
          expect(volume(intersection(solid, space))).toBe(0);
          for (const other of all.slice(index + 1)) expect(volume(intersection(solid, other))).toBe(0);
        }
        expect(hull(all)).toEqual(outside);
        expect(all.reduce((sum, solid) => sum + volume(solid), 0)).toBeCloseTo(volume(outside) - volume(space), 3);
      }),
      { numRuns: 500 },
    );
  });

  it('the joint strips are what neighbours touch of the inner face, left and right as seen from outside', () => {
    fc.assert(
      fc.property(anyTank(noGap), (tank) => {
        const sizes = tankPanelSizes(tank);
        const solids = stood(tank, sizes);
        for (const which of tankPanels) {
          const [panel, { width, height, joints }] = [solids[which], sizes[which]];
          const { axis, at, of } = innerFace[which](panel);
          const touching = tankPanels.filter((other) => other !== which && solids[other][axis][of] === at).map((other) => seen[which](solids[other], panel));
          const strips = [
            { u: [0, joints.left.panel], v: [0, height] },
            { u: [width - joints.right.panel, width], v: [0, height] },
            { u: [0, width], v: [0, joints.bottom.panel] },
            { u: [0, width], v: [height - joints.top.panel, height] },
          ];
          // Between all lines that either has, each cell is covered by both or by none.
          const steps = (way: 'u' | 'v', most: number) => [...new Set([0, most, ...[...touching, ...strips].flatMap((one) => one[way] as Range)])].filter((line) => line >= 0 && line <= most).sort((a, b) => a - b);
          const covers = (one: { u: readonly number[]; v: readonly number[] }, u: number, v: number) => u > (one.u[0] as number) && u < (one.u[1] as number) && v > (one.v[0] as number) && v < (one.v[1] as number);
          const [us, vs] = [steps('u', width), steps('v', height)];
          for (let i = 1; i < us.length; i += 1) {
            for (let j = 1; j < vs.length; j += 1) {
              const [u, v] = [((us[i - 1] as number) + (us[i] as number)) / 2, ((vs[j - 1] as number) + (vs[j] as number)) / 2];
              expect(strips.some((one) => covers(one, u, v)), `${which} at ${u}, ${v}`).toBe(touching.some((one) => covers(one, u, v)));
            }
          }
        }
      }),
      { numRuns: 500 },
    );
  });

  it('a bead of sealant runs along every side but the open top', () => {
    fc.assert(
      fc.property(anyTank(noGap), (tank) => {
        for (const [which, { joints }] of Object.entries(tankPanelSizes(tank))) {
          for (const side of ['left', 'right', 'bottom', 'top'] as const) expect(joints[side].sealant).toBe(side === 'top' && which !== 'bottom' ? 0 : tank.sealant);
        }
      }),
    );
  });

  it('with a gap the outside stays, and every edge that meets a face ends the gap before it', () => {
    fc.assert(
      fc.property(anyTank(coordinate(0, 4)), (tank) => {
        const { gap = 0 } = tank;
        const s = stood(tank, tankPanelSizes(tank));
        expect(hull(Object.values(s))).toEqual({ x: [0, tank.length], y: [0, tank.width], z: [0, tank.height] });
        const isBetween = tank.ends === 'between front and back';
        const [along, butting, faced] = isBetween ? (['y', ['left', 'right'], ['front', 'back']] as const) : (['x', ['front', 'back'], ['left', 'right']] as const);
        for (const edge of butting) {
          expect(s[edge][along][0] - s[faced[0]][along][1]).toBe(gap);
          expect(s[faced[1]][along][0] - s[edge][along][1]).toBe(gap);
        }
        if (tank.bottom === 'under walls') {
          for (const wall of ['front', 'back', 'left', 'right'] as const) expect([s[wall].z[0] - s.bottom.z[1], s[wall].z[1]]).toEqual([gap, tank.height]);
        } else {
          expect([s.bottom.x[0] - s.left.x[1], s.right.x[0] - s.bottom.x[1], s.bottom.y[0] - s.front.y[1], s.back.y[0] - s.bottom.y[1]]).toEqual([gap, gap, gap, gap]);
        }
      }),
      { numRuns: 300 },
    );
  });
});

const all = (mm: number) => ({ front: mm, back: mm, left: mm, right: mm, bottom: mm });
const sizesOf = (tank: Tank, unit = 1) => Object.fromEntries(Object.entries(tankPanelSizes(tank)).map(([which, { width, height }]) => [which, [width / unit, height / unit]]));

describe('worked by hand', () => {
  it('a snail hatchery of 600 by 300 by 350 mm, walls of 8 on a bottom of 10, ends between', () => {
    // Walls: 350 - 10 high. Ends: 300 - 8 - 8 wide.
    expect(sizesOf({ length: 600, width: 300, height: 350, thickness: { ...all(8), bottom: 10 }, bottom: 'under walls', ends: 'between front and back' })).toEqual({ front: [600, 340], back: [600, 340], left: [284, 340], right: [284, 340], bottom: [600, 300] });
  });

  it('the same with the bottom between and ends over, 1 mm of sealant in the joints', () => {
    // Front and back: 600 - 8 - 8 - 1 - 1. Bottom: the same by 300 - 8 - 8 - 1 - 1.
    expect(sizesOf({ length: 600, width: 300, height: 350, thickness: { ...all(8), bottom: 10 }, bottom: 'between walls', ends: 'over front and back', gap: 1 })).toEqual({ front: [582, 350], back: [582, 350], left: [300, 350], right: [300, 350], bottom: [582, 282] });
  });

  it('a frag shelf tank of 24 by 12 by 16 in, 1/4 in throughout, the bottom between the walls', () => {
    // In inches: ends 12 - 1/2, bottom 24 - 1/2 by 12 - 1/2.
    const inch = 25.4;
    const sizes = sizesOf({ length: 24 * inch, width: 12 * inch, height: 16 * inch, thickness: all(inch / 4), bottom: 'between walls', ends: 'between front and back' }, inch);
    const expected = { front: [24, 16], back: [24, 16], left: [11.5, 16], right: [11.5, 16], bottom: [23.5, 11.5] };
    for (const which of tankPanels) for (const way of [0, 1]) expect(sizes[which]?.[way]).toBeCloseTo(expected[which][way] as number, 9);
  });
});

function buildOf(text: string): Build {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return reading.build;
}

/** A spec of one tank with a hole of 30 mm on one panel. */
function tankSpec(tank: Tank, which: TankPanel, hole: string, from = 'edges', rim?: { top?: number; bottom?: number }): string {
  return `title: Coral nursery
units: mm
tanks:
  nursery:
    material: annealed glass
    length: ${tank.length}
    width: ${tank.width}
    height: ${tank.height}
    thickness: ${JSON.stringify(tank.thickness)}
    bottom: ${tank.bottom}
    ends: ${tank.ends}
    gap: ${tank.gap ?? 0}
    sealant: ${tank.sealant ?? 0}
    rim: ${JSON.stringify(rim ?? {})}
    panels:
      ${which}:
        measured-from: ${from}
        holes: [{name: drain, diameter: 30, ${hole}}]
`;
}

/** The space beside which a panel stands, as one looks at that panel: how its sides lie in the tank. */
function holeInSpace(tank: Tank, which: TankPanel, { x, y }: { x: number; y: number }) {
  const panel = stood(tank, tankPanelSizes(tank))[which];
  return {
    front: { x: panel.x[0] + x, z: panel.z[0] + y },
    back: { x: panel.x[1] - x, z: panel.z[0] + y },
    left: { y: panel.y[1] - x, z: panel.z[0] + y },
    right: { y: panel.y[0] + x, z: panel.z[0] + y },
    bottom: { x: panel.x[0] + x, y: panel.y[1] - y },
  }[which] as { x?: number; y?: number; z?: number };
}

describe('a tank that its panels fill', () => {
  const text = (tank: Tank, box = '') => tankSpec(tank, 'front', 'from-left: 50, from-top: 50').replace(/holes: .*/, `holes: [{name: drain, diameter: 30, from-left: 50, from-top: 50}]${box && `\n        boxes: [{box: ${box}, from-left: 0, from-top: 0}]\nboxes: {${box}: {width: 80, height: 80, wall: 5, holes: [{name: out, diameter: 20, from-left: 40, from-top: 40}]}}`}`);
  const told = (tank: Tank, box?: string) => {
    const reading = readBuild(text(tank, box));
    return 'problems' in reading ? reading.problems.map(({ key, found }) => `${key}: ${found}`) : [];
  };
  const sized = { length: 600, width: 300, height: 350, bottom: 'under walls', ends: 'between front and back' } as const;

  it('across its ends is told, though no panel is of no size', () => {
    // Ends of 55 mm in 100 mm: each panel can be cut, but 100 - 55 - 55 leaves nothing between.
    expect(told({ ...sized, length: 100, thickness: { ...all(8), left: 55, right: 55 } })).toEqual(['tanks.nursery.thickness: its panels leave no room in a tank of 100 mm by 300 mm by 350 mm']);
    expect(told({ ...sized, length: 120, thickness: { ...all(8), left: 55, right: 55 } })).toEqual([]);
  });

  it('is told once: a box on one of its panels is not said to stand nowhere', () => {
    expect(told({ ...sized, width: 12, thickness: all(6) }, 'trap')).toEqual(['tanks.nursery.thickness: its panels leave nothing of the left in a tank of 600 mm by 12 mm by 350 mm']);
  });
});

describe('through the reader', () => {
  it('a plan has the size of its panel, and all panels are to be cut', () => {
    fc.assert(
      fc.property(anyTank(coordinate(0, 3)), fc.constantFrom(...tankPanels), (tank, which) => {
        const { panels, cut } = buildOf(tankSpec(tank, which, 'from-center-x: 0, from-center-y: 0'));
        const sizes = tankPanelSizes(tank);
        expect(panels.map(({ part }) => part)).toEqual([`nursery, ${which}`]);
        const [{ bounds, panel } = expect.fail()] = panels;
        expect({ width: bounds.right - bounds.left, height: bounds.top - bounds.bottom, thickness: panel.thickness }).toEqual({ width: sizes[which].width, height: sizes[which].height, thickness: sizes[which].thickness });
        expect(cut).toEqual(tankPanels.map((one) => ({ name: `nursery, ${one}`, width: sizes[one].width, height: sizes[one].height, thickness: sizes[one].thickness, material: 'annealed glass', quantity: 1 })));
      }),
      { numRuns: 100 },
    );
  });

  it('a hole 40 mm from the left of the back, as one stands behind it, is 40 mm from the tank\'s right', () => {
    const tank: Tank = { length: 600, width: 300, height: 350, thickness: { ...all(8), bottom: 10 }, bottom: 'under walls', ends: 'between front and back' };
    const [{ holes: [hole] = [] } = expect.fail()] = buildOf(tankSpec(tank, 'back', 'from-left: 40, from-bottom: 50')).panels;
    // On the bottom of 10 mm, and 50 mm up the wall.
    expect(holeInSpace(tank, 'back', hole?.center ?? expect.fail())).toEqual({ x: 560, z: 60 });
  });

  it('measured from the inside, a hole lies so far from the inner faces of its neighbours, however the panels meet', () => {
    const faces = fc.constantFrom(['from-left', 'from-bottom'], ['from-left', 'from-top'], ['from-right', 'from-bottom'], ['from-right', 'from-top']);
    fc.assert(
      fc.property(anyTank(coordinate(0, 3)), fc.constantFrom(...tankPanels), faces, (tank, which, [across = '', up = '']) => {
        const [{ holes: [hole] = [] } = expect.fail()] = buildOf(tankSpec(tank, which, `${across}: 35, ${up}: 25`, 'inside')).panels;
        const space = spaceIn(tank);
        const at = holeInSpace(tank, which, hole?.center ?? expect.fail());
        const isLeft = across === 'from-left';
        const isBottom = up === 'from-bottom';
        // Which of the space's two limits lies on that side, as one looks at the panel.
        const near = (range: Range, isLow: boolean, mm: number) => (isLow ? range[0] + mm : range[1] - mm);
        const expected = {
          front: { x: near(space.x, isLeft, 35) },
          back: { x: near(space.x, !isLeft, 35) },
          left: { y: near(space.y, !isLeft, 35) },
          right: { y: near(space.y, isLeft, 35) },
          bottom: { x: near(space.x, isLeft, 35), y: near(space.y, !isBottom, 25) },
        }[which] as { x?: number; y?: number };
        if (expected.x !== undefined) expect(at.x).toBeCloseTo(expected.x, 9);
        if (expected.y !== undefined) expect(at.y).toBeCloseTo(expected.y, 9);
        if (which !== 'bottom') expect(at.z).toBeCloseTo(near(space.z, isBottom, 25), 9);
      }),
      { numRuns: 120 },
    );
  });

  it('water finds the space between the inner faces, whatever the gaps, and a hole as deep under the top edge as it stands in space', () => {
    const walls = fc.constantFrom('front', 'back', 'left', 'right');
    fc.assert(
      fc.property(anyTank(coordinate(0, 3)), walls, (tank, which) => {
        const water = 'water: {pump: {flow: 900 L/h}, tanks: {nursery: {returns: [{name: hose, opening-from-top: 0}], drains: [{hole: drain, runs: open, rated: 900 L/h}]}}, sump: {length: 300, width: 300, working-level: 100, top-level: 200}}\n';
        const { panels, water: system } = buildOf(`${tankSpec(tank, which, 'from-center-x: 0, from-center-y: 0')}${water}`);
        const solids = stood(tank, tankPanelSizes(tank));
        const inner = { x: solids.right.x[0] - solids.left.x[1], y: solids.back.y[0] - solids.front.y[1], z: solids[which].z[1] - solids.bottom.z[1] };
        const [found = expect.fail()] = system?.tanks ?? [];
        expect(found.area).toBeCloseTo(inner.x * inner.y, 3);
        expect(found.height).toBeCloseTo(inner.z, 9);
        const at = holeInSpace(tank, which, panels[0]?.holes[0]?.center ?? expect.fail());
        expect(found.drains[0]?.opening).toBeCloseTo(solids[which].z[1] - (at.z ?? NaN), 9);
      }),
      { numRuns: 120 },
    );
  });

  it("measured from the rim, a hole lies so far from the frame's visible line, which stands as high over the tank's underside as the frame does", () => {
    const walls = fc.constantFrom('front', 'back', 'left', 'right');
    fc.assert(
      fc.property(anyTank(coordinate(0, 3)), walls, coordinate(1, 40), coordinate(0, 40), fc.boolean(), (tank, which, low, high, isBottom) => {
        const height = isBottom ? low + 30 : tank.height - high - 30;
        // A hole must lie on its wall, which stands on a thick bottom in some of these tanks.
        fc.pre(height > tank.thickness.bottom + (tank.gap ?? 0) + 1 && tankPanelSizes(tank)[which].width > 36);
        const [plan = expect.fail()] = buildOf(tankSpec(tank, which, `from-left: 35, ${isBottom ? 'from-bottom' : 'from-top'}: 30`, 'rim', { top: high, bottom: low })).panels;
        const at = holeInSpace(tank, which, plan.holes[0]?.center ?? expect.fail());
        expect(at.z).toBeCloseTo(height, 9);
        // Of a wall it covers no more than reaches over its lower edge.
        const edge = stood(tank, tankPanelSizes(tank))[which].z[0];
        expect(plan.panel.edges.find(({ name }) => name === 'bottom edge')?.rim).toBeCloseTo(Math.max(0, low - edge), 9);
      }),
      { numRuns: 120 },
    );
  });

  it('a frame at the top alone covers nothing at the bottom', () => {
    const tank: Tank = { length: 600, width: 300, height: 350, thickness: all(8), bottom: 'under walls', ends: 'between front and back' };
    const [plan = expect.fail()] = buildOf(tankSpec(tank, 'back', 'from-left: 40, from-bottom: 50', 'rim', { top: 20 })).panels;
    expect(plan.panel.edges.map(({ rim }) => rim)).toEqual([0, 0, 20, 0]);
    expect(plan.datum).toEqual({ left: 0, right: 600, bottom: 0, top: 322 });
  });

  it('paper is laid to the edges that butt on a neighbour, and to the inner faces of those that stand on the panel', () => {
    const tank: Tank = { length: 600, width: 300, height: 350, thickness: { ...all(8), bottom: 10 }, bottom: 'under walls', ends: 'between front and back', gap: 2 };
    const [plan = expect.fail()] = buildOf(tankSpec(tank, 'back', 'from-left: 40, from-bottom: 50', 'inside')).panels;
    // The ends stand on the back, 8 mm from its edges; it stands itself on the bottom, 2 mm over it. There is no bead, and no joint where nothing stands.
    expect(plan.panel.edges.map(({ name, joint }) => [name, joint])).toEqual([['bottom edge', 0], ['right edge', 8], ['top edge', 0], ['left edge', 8]]);
    expect(plan.datum).toEqual({ left: 8, right: 592, bottom: -2, top: 338 });
    const laid = panelLines(plan, 'inside').map(({ name, inset, isInnerFace }) => [name, inset, isInnerFace]);
    expect(laid).toEqual([['bottom edge', 0, false], ['inner face at the right edge', 8, true], ['top edge', 0, false], ['inner face at the left edge', 8, true]]);
  });

  it('with a bead wider than the gap, paper is still laid to the edge that butts', () => {
    const tank: Tank = { length: 600, width: 300, height: 350, thickness: all(8), bottom: 'under walls', ends: 'between front and back', gap: 2, sealant: 6 };
    const [plan = expect.fail()] = buildOf(tankSpec(tank, 'left', 'from-left: 40, from-bottom: 50', 'inside')).panels;
    // The bead of 6 mm reaches 4 mm over the edge of a panel that ends 2 mm before it.
    expect(plan.panel.edges.map(({ joint }) => joint)).toEqual([4, 4, 0, 4]);
    expect(panelLines(plan, 'inside').map(({ inset, isInnerFace }) => [inset, isInnerFace])).toEqual([[0, false], [0, false], [0, false], [0, false]]);
  });

  it('a tank that its panels fill is told at its thickness', () => {
    const text = tankSpec({ length: 600, width: 300, height: 350, thickness: { ...all(8), front: 150, back: 150 }, bottom: 'under walls', ends: 'between front and back' }, 'back', 'from-left: 40, from-bottom: 50');
    const reading = readBuild(text);
    const [problem] = 'problems' in reading ? reading.problems : [];
    expect(problem).toMatchObject({ line: 9, column: 16, key: 'tanks.nursery.thickness' });
    expect(problem?.found).toMatch(/nothing of the left .*600 mm by 300 mm by 350 mm/);
  });
});
