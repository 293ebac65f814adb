/** What a build's check says beyond that of each panel: a hole through a panel and a box's back wall is one hole. */
import { describe, expect, it } from 'vitest';
import { makeJig } from '../src/jig.ts';
import { readBuild } from '../src/plan/build.ts';
import { latinTypesetter } from '../src/render/type.ts';
import { checkBuild, faultyFindings, findingLines, type Checked } from '../src/report.ts';
import { problemText } from '../src/spec/problem.ts';
import { loadLatin } from './fonts.ts';

const setter = latinTypesetter(loadLatin());

interface Snails {
  readonly panels?: readonly { readonly name: string; readonly material?: string; readonly fromTop?: number }[];
  readonly boxMaterial?: string;
  readonly drainFromLeft?: number;
}

/** A box with two drains on each panel; as it stands here, all of it is clear. */
function snails({ panels = [{ name: 'back' }], boxMaterial = 'acrylic', drainFromLeft = 80 }: Snails): Checked[] {
  const listed = panels.map(
    ({ name, material = 'annealed glass', fromTop = 60 }) => `
  ${name}:
    material: ${material}
    width: 700
    height: 420
    thickness: 10
    boxes: [{box: snail box, from-center-x: 0, from-top: ${fromTop}}]
    holes: [{name: drain, diameter: 30, from-left: 80, from-bottom: 80}]`,
  );
  const reading = readBuild(`
title: Snail hatchery
units: mm
boxes:
  snail box:
    material: ${boxMaterial}
    width: 320
    height: 200
    wall: 6
    holes:
      - {name: drain, diameter: 40, from-left: ${drainFromLeft}, from-bottom: 90}
      - {name: spare, diameter: 40, from-right: 80, from-bottom: 90}
panels:${listed.join('')}
`);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return checkBuild(reading.build);
}

const verdicts = (checked: readonly Checked[]) => Object.fromEntries(checked.map(({ plan: { part, holes }, report }) => [part, Object.fromEntries(holes.map(({ name }) => [name, report.byHole.get(name)]))]));

/** Diameters of the drilling circles on the sheets of a draft. */
function circlesOf({ plan, report }: Checked): number[] {
  const jig = makeJig(plan, report, setter, { isDraft: true });
  if ('problem' in jig) throw new Error(jig.problem);
  const circles = jig.sheets.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'circle' && mark.layer === 'hole' ? [[mark.center.x, mark.center.y, mark.radius].map((mm) => mm.toFixed(4)).join(' ')] : []))));
  return [...new Set(circles)].map((key) => 2 * Number(key.split(' ')[2])).sort((a, b) => a - b);
}

describe('a hole through a panel and the back wall of a box', () => {
  it('is clear where both are', () => {
    const all = snails({});
    expect(verdicts(all)).toEqual({ back: { drain: 'clear', 'snail box drain': 'clear', spare: 'clear' }, 'snail box, back wall': { drain: 'clear', spare: 'clear' } });
    expect(all.map(circlesOf)).toEqual([[30, 40, 40], [40, 40]]);
  });

  it('is refused on the panel where the wall refuses it, and has a circle on neither; other holes stay', () => {
    // 8 mm of acrylic to the edge, where half a diameter is the least (from memory).
    const all = snails({ drainFromLeft: 28 });
    expect(verdicts(all)).toEqual({ back: { drain: 'clear', 'snail box drain': 'refused', spare: 'clear' }, 'snail box, back wall': { drain: 'refused', spare: 'clear' } });
    expect(all.map(({ report }) => report.verdict)).toEqual(['refused', 'refused']);
    expect(all.map(circlesOf)).toEqual([[30, 40], [40]]);
    const [finding, ...more] = faultyFindings((all[0] as Checked).report);
    expect(more).toEqual([]);
    expect(finding && findingLines(finding, 'mm')).toEqual([
      'refused: snail box drain: hole through panel and back wall of a box (snail box, back wall): refused measured, clear or tight needed',
      'fix: mend it on snail box, back wall first: no hole is drilled in one of the two alone',
      'source: a fitting through both needs its hole in both',
    ]);
  });

  it('a box of toughened glass: no hole of it is drilled in the panel', () => {
    const all = snails({ boxMaterial: 'toughened glass' });
    expect(verdicts(all)).toEqual({ back: { drain: 'clear', 'snail box drain': 'refused', spare: 'refused' }, 'snail box, back wall': { drain: 'refused', spare: 'refused' } });
    expect(circlesOf(all[0] as Checked)).toEqual([30]);
  });

  it.each([
    ['of toughened glass', { material: 'toughened glass' }],
    ['of glass that nobody can name', { material: 'unknown glass' }],
    ['that the box reaches over', { fromTop: -20 }],
  ])('is refused on the wall where its only panel is one %s', (_what, panel) => {
    const [back, wall] = snails({ panels: [{ name: 'back', ...panel }] }) as [Checked, Checked];
    expect(back.report.verdict).toBe('refused');
    expect(Object.fromEntries(wall.report.byHole)).toEqual({ drain: 'refused', spare: 'refused' });
    expect(faultyFindings(wall.report).map(({ rule, other }) => [rule, other])).toEqual([['drilled-with', 'back'], ['drilled-with', 'back']]);
    expect(circlesOf(wall)).toEqual([]);
  });

  it('a wall that another panel still takes keeps its holes, and so does that panel', () => {
    const all = snails({ panels: [{ name: 'back' }, { name: 'old back', material: 'toughened glass' }] });
    expect(all.map(({ plan, report }) => [plan.part, report.verdict])).toEqual([['back', 'clear'], ['old back', 'refused'], ['snail box, back wall', 'clear']]);
  });
});
