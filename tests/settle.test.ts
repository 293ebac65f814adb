/** Random specs: what settling claims is held against the new text, read and checked again. */
import fc from 'fast-check';
import { parseDocument } from 'yaml';
import { describe, expect, it } from 'vitest';
import { placeRules } from '../src/geometry/obstacles.ts';
import { readBuild, type Build } from '../src/plan/build.ts';
import { checkBuild } from '../src/report.ts';
import { calledOf, settleSpec, usualSteps, type Settlement, type SettleOptions } from '../src/settle.ts';

const noFiles = () => ({ found: 'none', fix: '' });
const whole = (least: number, most: number) => fc.integer({ min: least, max: most });

/** A length as people write it, of so many millimetres or nearly. */
const written = (mm: number) => fc.constantFrom(String(mm), `${mm} mm`, `${mm / 10} cm`, `'${mm}.0 mm'`, `${(mm / 25.4).toFixed(2)} in`, `${Math.round(mm / 25.4)} ${1 + (mm % 15)}/16 in`);

const aHole = (width: number, height: number) =>
  fc
    .record({ x: whole(2, width - 50), y: whole(2, height - 50), fitting: fc.constantFrom('diameter: 30', 'diameter: 12 mm', 'diameter: 1 1/4 in', 'fitting: bulkhead 1/2 in', 'fitting: {hole: [28, 30], flange: 45, nut: 40}') })
    .chain(({ x, y, fitting }) =>
      fc.record({ across: fc.tuple(fc.constantFrom('from-left', 'from-right'), written(x)), up: fc.tuple(fc.constantFrom('from-top', 'from-bottom'), written(y)) }).map(({ across, up }) => ({ fitting, across: `${across[0]}: ${across[1]}`, up: `${up[0]}: ${up[1]}` })),
    );

const holeLines = (holes: readonly { fitting: string; across: string; up: string }[], indent: string) =>
  holes.map(({ fitting, across, up }, index) => (index % 2 === 0 ? `${indent}- {name: h${index},  ${across}, ${fitting}, ${up}}  # so\n` : `${indent}-   ${up}   # then this\n${indent}    ${fitting}\n${indent}    name: h${index}\n${indent}    ${across}\n`)).join('');

/** One panel with a strip along its foot and an area to keep clear, and too many holes. */
const panelSpec = fc
  .record({ material: fc.constantFrom('annealed glass', 'acrylic'), thickness: whole(5, 12), joint: whole(0, 14), placement: whole(0, 2), holes: fc.array(aHole(400, 300), { minLength: 1, maxLength: 6 }) })
  .map(({ material, thickness, joint, placement, holes }) => `# a comment\ntitle: Hatchery\nunits: mm\nplacement: ${placement} mm\nholes:\n${holeLines(holes, '  ')}\npanel:\n  thickness: ${thickness}\n  width: 400\n  height: 300\n  material: ${material}\n  joints: {bottom: ${joint}, left: ${joint}}\n  keep-clear: [{name: bracket, from-left: 150, from-top: 120, width: 60, height: 50}]\n`);

/** A box on two panels, with holes of its own and of the panels. */
const boxSpec = fc
  .record({ stands: fc.constantFrom('inside', 'outside'), from: whole(20, 160), wall: whole(4, 8), inBox: fc.array(aHole(220, 160), { minLength: 1, maxLength: 4 }), own: fc.array(aHole(400, 300), { minLength: 1, maxLength: 3 }) })
  .map(({ stands, from, wall, inBox, own }) => `title: Weir\nunits: mm\nboxes:\n  weir:\n    stands: ${stands}\n    holes:\n${holeLines(inBox, '      ')}    width: 220\n    height: 160\n    wall: ${wall}\npanels:\n  one: {material: annealed glass, width: 420, height: 320, thickness: 8, boxes: [{box: weir, from-left: ${from}, from-top: 30}]}\n  two:\n    material: acrylic\n    width: 400\n    height: 300\n    thickness: 10\n    boxes: [{box: weir, from-right: ${from}, from-top: 40}]\n    holes:\n${holeLines(own, '      ').replace(/name: h/g, 'name: own ')}`);

interface Settled {
  readonly before: Build;
  readonly after: Build;
  readonly settled: Settlement;
}

/** Undefined where the spec cannot be read, as a hole lies off the panel. */
function settleText(text: string, options: SettleOptions): Settled | undefined {
  const reading = readBuild(text);
  if ('problems' in reading) return undefined;
  const settled = settleSpec(text, reading.build, noFiles, options);
  const again = settled.text === null ? reading : readBuild(settled.text);
  if ('problems' in again) throw new Error(`${again.problems[0]?.found}\n${settled.text}`);
  return { before: reading.build, after: again.build, settled };
}

/** Keys and values of a text in their order, with distances of holes left out. */
const bones = (text: string) => JSON.stringify(parseDocument(text).toJS(), (key, value: unknown) => (/^from-/.test(key) ? key : value));
/** A text without its lengths. */
const frame = (text: string) => text.replace(/\d+\/\d+|\d+(?:\.\d+)?(?:[ -]\d+\/\d+)?/g, '#');

const anyOptions = fc.record({ isMinimum: fc.boolean(), steps: fc.constantFrom(usualSteps, { ...usualSteps, metric: 5 }, { metric: 0.5, inches: 25.4 / 8 }) });

describe('of random specs', () => {
  it.each([['one panel', panelSpec, 30], ['boxes on panels', boxSpec, 20]] as const)('%s: what is claimed is so when the new text is read and checked again, and nothing but distances has changed', (_what, specs, numRuns) => {
    fc.assert(
      fc.property(specs, anyOptions, (text, options) => {
        const result = settleText(text, options);
        fc.pre(result !== undefined);
        const { before, after, settled } = result as Settled;
        const checked = checkBuild(after);
        expect(bones(settled.text ?? text)).toBe(bones(text));
        expect(frame(settled.text ?? text)).toBe(frame(text));
        const claims = new Map(settled.holes.map((hole) => [calledOf(hole), hole]));
        let total = 0;
        for (const [at, plan] of before.panels.entries()) {
          for (const [index, hole] of plan.holes.entries()) {
            const now = after.panels[at]?.holes[index] as typeof hole;
            const name = hole.from.path[0] === 'boxes' ? `weir: ${hole.inWall?.name ?? hole.name}` : calledOf({ name: hole.name, of: before.panels.length > 1 ? plan.part : '' });
            const claim = claims.get(name);
            const moved = { right: (now.center.x - hole.center.x) * (hole.from.isMirrored ? -1 : 1), up: now.center.y - hole.center.y };
            if (claim?.outcome !== 'moved') {
              expect(Math.hypot(moved.right, moved.up)).toBe(0);
              continue;
            }
            // In all panels that it is drilled in it is moved as is told.
            expect(moved.right).toBeCloseTo(claim.moved.right, 5);
            expect(moved.up).toBeCloseTo(claim.moved.up, 5);
            if (!hole.box) total += Math.hypot(moved.right, moved.up);
            const faults = checked[at]?.report.findings.filter((finding) => finding.hole === now.name && placeRules.has(finding.rule) && finding.verdict !== 'clear') ?? [];
            expect(claim.level).not.toBeNull();
            if (claim.level === 'good practice') expect(faults).toEqual([]);
            else expect(faults.filter(({ verdict }) => verdict === 'refused')).toEqual([]);
          }
        }
        expect(settled.total).toBeCloseTo(total, 4);
        expect(settled.holes.every(({ outcome, why, level }) => outcome === 'moved' || (outcome === 'stays' && level !== null) || why !== '')).toBe(true);
      }),
      { numRuns },
    );
  });

  it('what is settled is not moved again', () => {
    fc.assert(
      fc.property(panelSpec, (text) => {
        const options = { isMinimum: true, steps: usualSteps };
        const result = settleText(text, options);
        fc.pre(result?.settled.text !== null && result?.settled.holes.every(({ outcome }) => outcome !== 'no room') === true);
        const again = settleText(result?.settled.text ?? '', options) as Settled;
        expect(again.settled.text).toBeNull();
        expect(again.settled.holes).toEqual([]);
      }),
      { numRuns: 10 },
    );
  });
});
