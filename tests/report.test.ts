/** What a build's check says beyond that of each panel: a hole through a panel and a box's back wall is one hole. */
import { describe, expect, it } from 'vitest';
import { makeJig } from '../src/jig.ts';
import { readBuild, readPlan } from '../src/plan/build.ts';
import { latinTypesetter } from '../src/render/type.ts';
import { checkBuild, checkPlan, faultyFindings, findingLines, fingerprint, holeRows, marginColumns, marginWords, type Checked } from '../src/report.ts';
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

/** One wall of the coral nursery: annealed glass, 600 by 400 by 10 mm, 20 mm to an edge and between holes (EN 12150-1:2015, clause 7). */
function nursery(holes: readonly string[], more = '', units = 'mm') {
  const reading = readPlan(`title: Coral nursery\nunits: ${units}\npanel: {material: annealed glass, width: 600 mm, height: 400 mm, thickness: 10 mm}\nholes:\n${holes.map((hole) => `  - ${hole}\n`).join('')}${more}`);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  return { plan: reading.plan, report: checkPlan(reading.plan) };
}

const drain = '{name: drain, diameter: 40 mm, from-left: 55 mm, from-bottom: 200 mm}';
const wordsOf = ({ plan, report }: Pick<Checked, 'plan' | 'report'>) => marginWords(plan, report);

describe('margins in words', () => {
  it('say which hole has the least, of what, and how far off its place it bears drilling', () => {
    expect(wordsOf(nursery([drain]))).toBe('drain has the least margin: 1.75 times the minimum (ligament to left edge); it bears drilling 15 mm off its place.');
  });

  it('are rounded down: no margin is told larger than it is', () => {
    // 35.19 mm of 20 are 1.7595 times, and 15.19 mm over.
    expect(wordsOf(nursery([drain.replace('55', '55.19')]))).toMatch(/: 1\.75 times .* bears drilling 15\.1 mm off/);
    // 15.19 mm are 19.1 of 1/32 in.
    expect(wordsOf(nursery([drain.replace('55', '55.19')], '', 'in'))).toMatch(/bears drilling 19\/32 in off/);
    // 34.9 mm are 14.9 over, however 54.9 is held in binary.
    expect(wordsOf(nursery([drain.replace('55', '54.9')]))).toMatch(/bears drilling 14\.9 mm off/);
  });

  it('name the hole that bears least drift where it is another, and what it would meet', () => {
    // The two are 63 mm apart: 23 mm of 20 between the holes, and 63 less the flange between the flanges.
    const pair = (flange: number) => [['drain', 225] as const, ['spare', 288] as const].map(([name, left]) => `{name: ${name}, fitting: {hole: 40, flange: ${flange}}, from-left: ${left} mm, from-bottom: 200 mm}`);
    expect(wordsOf(nursery(pair(60)))).toBe('drain has the least margin: 1.15 times the minimum (ligament to spare); it bears drilling 3 mm off its place.');
    expect(wordsOf(nursery(pair(62)))).toBe('drain has the least margin: 1.15 times the minimum (ligament to spare); it bears drilling 1 mm off its place, until hole or part meets that of spare.');
    const corner = '{name: air line, diameter: 12 mm, from-left: 51 mm, from-bottom: 51 mm}';
    // (51² + 51²)^½ - 6 = 66.125 mm of 65 to the tip of the corner.
    expect(wordsOf(nursery([corner, ...pair(62.5)]))).toBe('air line has the least margin: 1.01 times the minimum (ligament to bottom left corner); drain bears drilling off its place least: 0.5 mm, until hole or part meets that of spare.');
  });

  it('of a hole under its minimum promise nothing', () => {
    expect(wordsOf(nursery([drain.replace('55', '35')]))).toBe('drain has the least margin: 0.75 times the minimum (ligament to left edge); it bears no drilling off its place.');
    expect(wordsOf(nursery([drain, drain.replace('drain', 'spare')]))).toBe('drain has the least margin: no ligament to spare is left; it bears no drilling off its place.');
  });

  it('say of a hole that is refused for another reason than its place that it is', () => {
    const { plan, report } = nursery(['{name: air line, diameter: 8 mm, from-left: 200 mm, from-bottom: 200 mm}']);
    expect(marginWords(plan, report)).toMatch(/bears drilling 176 mm off its place.*; but it is refused for what the findings tell\.$/);
    // (200² + 200²)^½ - 4 = 278.84 mm to the tip of the corner, of 65.
    expect(marginColumns(plan, report)[1]).toEqual(['4.28 times', '']);
  });

  it('stand beside each hole on the front page, and nowhere where nothing is drilled', () => {
    const { plan, report } = nursery([drain]);
    expect(marginColumns(plan, report)).toEqual([['margin', 'drift'], ['1.75 times', '15 mm']]);
    expect(marginColumns(plan, report)).toHaveLength(holeRows(plan, report).length);
    const toughened = { ...plan, panel: { ...plan.panel, material: 'toughened glass' as const } };
    expect(marginWords(toughened, checkPlan(toughened))).toBe('');
    expect(marginColumns(toughened, checkPlan(toughened))[1]).toEqual(['', '']);
  });
});

describe('a placement of 1.5 mm', () => {
  const placement = 'placement: 1.5 mm\n';
  const line = (checked: ReturnType<typeof nursery>, rule: string) => checked.report.findings.filter((finding) => finding.rule === rule).map((finding) => findingLines(finding, 'mm', checked.plan.panel.placement)[0]);

  it('is taken off every ligament once, and twice between two holes, as both may be off; the finding says so', () => {
    // To the edge 40 - 20 - 1.5 = 18.5 mm; between the two 76 - 40 - 3 = 33 mm.
    const placed = nursery([drain.replace('55', '40'), '{name: spare, diameter: 40 mm, from-left: 116 mm, from-bottom: 200 mm}'], placement);
    expect(line(placed, 'to-edge')[0]).toBe('refused: drain: ligament to edge (left edge): 18.5 mm measured, 1.5 mm of placement taken off, 20 mm needed');
    expect(line(placed, 'between-holes')[0]).toBe('tight: drain: ligament between holes (spare): 33 mm measured, 3 mm of placement taken off, 40 mm needed');
    expect(wordsOf(nursery([drain], placement))).toBe('drain has the least margin: 1.67 times the minimum (ligament to left edge); it bears drilling 13.5 mm off its place besides the 1.5 mm of placement.');
  });

  it('is not taken off a diameter, nor told where there is none', () => {
    const placed = nursery(['{name: air line, diameter: 8 mm, from-left: 200 mm, from-bottom: 200 mm}'], placement);
    expect(line(placed, 'least-diameter')).toEqual(['refused: air line: least diameter: 8 mm measured, 11.6 mm needed']);
    expect(line(nursery([drain.replace('55', '40')]), 'to-edge')).toEqual(['tight: drain: ligament to edge (left edge): 20 mm measured, 40 mm needed']);
  });

  it('counts in the back wall of a box too, and not between a box and the edge, where nothing is drilled', () => {
    const text = `title: Snail hatchery
units: mm
boxes:
  snail box: {width: 320, height: 200, wall: 6, holes: [{name: drain, diameter: 40, from-left: 80, from-bottom: 90}]}
panel: {material: annealed glass, width: 700, height: 420, thickness: 10, boxes: [{box: snail box, from-center-x: 0, from-top: 40}]}
holes: [{name: return, diameter: 30, from-left: 80, from-bottom: 80}]
`;
    const measures = (of: string) => {
      const reading = readBuild(of);
      if ('problems' in reading) throw new Error('it can be read');
      return checkBuild(reading.build).flatMap(({ plan, report }) => report.findings.filter(({ rule }) => rule === 'to-edge' || rule === 'box-to-edge').map(({ hole, rule, measured }) => [plan.part, hole, rule, measured]));
    };
    const without = measures(text);
    expect(without).toContainEqual(['snail box, back wall', 'drain', 'to-edge', 60]);
    expect(measures(text + placement)).toEqual(without.map(([part, hole, rule, measured]) => [part, hole, rule, rule === 'to-edge' ? (measured as number) - 1.5 : measured]));
  });

  it('is told on the front page, and on the drilling sheet where the distances are checked', () => {
    const jigWords = ({ plan, report }: ReturnType<typeof nursery>) => {
      const jig = makeJig(plan, report, setter);
      if ('problem' in jig) throw new Error(jig.problem);
      return jig.front.map(({ groups }) => groups.flatMap(({ marks }) => marks.flatMap((mark) => (mark.kind === 'text' ? [mark.text] : []))).join(' '));
    };
    const pages = jigWords(nursery([drain], placement));
    expect(pages[0]).toMatch(/placement: a hole may be drilled up to 1\.5 mm off its place/);
    expect(pages.at(-1)).toMatch(/against the table: over 1\.5 mm off, do not drill\./);
    expect(jigWords(nursery([drain])).join(' ')).not.toMatch(/placement|do not drill\./);
  });

  it('makes another work of it, and 0 does not', () => {
    expect(fingerprint(nursery([drain], placement).plan)).not.toBe(fingerprint(nursery([drain]).plan));
    expect(fingerprint(nursery([drain], 'placement: 0\n').plan)).toBe(fingerprint(nursery([drain]).plan));
  });
});
