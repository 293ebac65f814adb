/** Starters: whatever is answered, the spec that comes of it is read, and the check finds every hole clear. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { readBuild } from '../../src/plan/build.ts';
import { checkBuild, faultyFindings, verdictOf } from '../../src/report.ts';
import { problemText } from '../../src/spec/problem.ts';
import { starterSpec, type Starter, type StarterAnswers, type StarterTrouble } from '../../src/spec/starter.ts';
import { typicalFittings } from '../../src/trade/fittings.ts';
import { materials } from '../../src/trade/limits.ts';
import { units } from '../../src/trade/units.ts';
import { schemaErrorsOfText } from './against-schema.ts';

const hatchery = { title: 'Snail hatchery, end panel', units: 'mm', material: 'annealed glass', width: 600, height: 400, thickness: 10, fitting: 'bulkhead 1 in', holes: 2, kind: 'panel' } as const satisfies StarterAnswers;
const nursery = { ...hatchery, title: 'Coral nursery', kind: 'tank', length: 900, width: 450, height: 450, box: true } as const satisfies StarterAnswers;

function made(answers: StarterAnswers): Starter {
  const starter = starterSpec(answers);
  if ('found' in starter) throw new Error(`${starter.found}; accepted: ${starter.accepted}; fix: ${starter.fix}`);
  return starter;
}

function troubleOf(answers: StarterAnswers): StarterTrouble {
  const starter = starterSpec(answers);
  if ('text' in starter) throw new Error(`a spec was made:\n${starter.text}`);
  return starter;
}

function built(text: string) {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(`${reading.problems.map((problem) => problemText(problem, 'starter')).join('\n')}\n${text}`);
  return reading.build;
}

/** All that a check says against a text; empty where all is clear. */
function against(text: string): string[] {
  const checked = checkBuild(built(text));
  const said = checked.flatMap(({ plan, report }) => faultyFindings(report).map(({ hole, rule, verdict, measured, needed }) => `${plan.part} ${hole}: ${rule} ${verdict}, ${measured} of ${needed}`));
  return verdictOf(checked) === 'clear' ? said : [...said, verdictOf(checked)];
}

const length = (min: number, max: number) =>
  fc.oneof(fc.integer({ min, max }), fc.double({ min, max, noNaN: true }), fc.integer({ min: Math.ceil((min / 25.4) * 32), max: Math.floor((max / 25.4) * 32) }).map((count) => (count / 32) * 25.4));
const common = {
  title: fc.oneof(fc.string({ minLength: 1, maxLength: 60 }), fc.string({ unit: 'grapheme', minLength: 1, maxLength: 60 }), fc.constantFrom('a: b', '# x', '2031', 'null', '- a', "it's", '"x"', 'true', '{', 'x #y', '*a', '1-3/8')).map((text) => text.replace(/[\p{Cc}\u2028\u2029\s]+/gu, ' ').trim()).filter((text) => text !== ''),
  units: fc.constantFrom(...units),
  material: fc.constantFrom('annealed glass', 'acrylic'),
  width: length(60, 1500),
  height: length(60, 900),
  thickness: length(2, 25),
  fitting: fc.constantFrom(...typicalFittings.keys()),
  holes: fc.integer({ min: 1, max: 30 }),
};
const anyAnswers: fc.Arbitrary<StarterAnswers> = fc.oneof(
  fc.record({ ...common, kind: fc.constant('panel') }),
  fc.record({ ...common, kind: fc.constant('tank'), length: length(60, 2500), box: fc.boolean() }),
) as fc.Arbitrary<StarterAnswers>;

describe('a starter', () => {
  it('is read without problems, fits the JSON Schema, and has every hole clear, whatever was answered', () => {
    const counts = { whole: 0, cut: 0, none: 0 };
    fc.assert(
      fc.property(anyAnswers, (answers) => {
        const starter = starterSpec(answers);
        if ('found' in starter) {
          counts.none += 1;
          expect(starter.found && starter.accepted && starter.fix).toBeTruthy();
          return;
        }
        counts[starter.holes < answers.holes ? 'cut' : 'whole'] += 1;
        expect(starter.holes).toBeGreaterThan(0);
        expect(starter.holes).toBeLessThanOrEqual(answers.holes);
        expect(schemaErrorsOfText(starter.text)).toEqual([]);
        const build = built(starter.text);
        expect(build.title).toBe(answers.title);
        expect(build.panels[0]?.holes).toHaveLength(starter.holes);
        expect(against(starter.text)).toEqual([]);
      }),
      { numRuns: 800 },
    );
    // The answers are not all of one kind.
    expect(Math.min(counts.whole, counts.cut, counts.none)).toBeGreaterThan(50);
  });

  it('keeps the sizes that were answered, to a thousandth of a millimetre', () => {
    fc.assert(
      fc.property(anyAnswers, (answers) => {
        const starter = starterSpec(answers);
        if ('found' in starter) return;
        const { bounds, panel } = (built(starter.text).panels[0] as ReturnType<typeof built>['panels'][0]);
        expect(bounds.right).toBeCloseTo(answers.kind === 'tank' ? answers.length : answers.width, 3);
        expect(bounds.top).toBeCloseTo(answers.height, 3);
        expect(panel.thickness).toBeCloseTo(answers.thickness, 3);
      }),
      { numRuns: 300 },
    );
  });

  it.each<[string, StarterAnswers]>([
    ['panel in mm', hatchery],
    ['panel in inches', { ...hatchery, units: 'in', width: 24 * 25.4, height: 16 * 25.4, thickness: 9.525 }],
    ['tank with a box', nursery],
    ['tank without a box', { ...nursery, box: false }],
  ])('of a %s has a comment at every key, lines of at most 135 characters, and examples that may be used', (_what, answers) => {
    const { text } = made(answers);
    const keys = text.split('\n').filter((line) => /^ *[a-z-]+: \S/.test(line) && !/^ *(right|bottom|left): \{/.test(line));
    expect(keys.length).toBeGreaterThan(8);
    for (const line of keys) expect(line).toMatch(/ {2}# \S/);
    for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(135);
    // Taking the # away from an example leaves a spec that is read, with the examples more.
    const used = text.replace(/^( *)# (?=(?:keep-clear|fittings|bits):| {2}|- )/gm, '$1');
    expect(used).not.toBe(text);
    const [panel] = built(used).panels;
    expect(panel?.panel.keepClear).toHaveLength(1);
    if (!text.includes('boxes:')) expect(panel?.holes.map(({ name }) => name)).toContain('air line');
    expect(parse(used)).toHaveProperty('fittings');
    expect(parse(used)).toHaveProperty('bits');
  });

  it('places holes on whole millimetres, or eighths of an inch', () => {
    for (const [unit, step] of [['mm', 1], ['cm', 1], ['in', 25.4 / 8]] as const) {
      const [panel] = built(made({ ...hatchery, units: unit, holes: 5 }).text).panels;
      for (const { offsets } of panel?.holes ?? []) for (const { mm } of offsets) expect(mm / step).toBeCloseTo(Math.round(mm / step), 6);
    }
  });

  it('spreads one row over the width of the panel', () => {
    const [panel] = built(made({ ...hatchery, holes: 3 }).text).panels;
    const across = panel?.holes.map(({ center }) => center.x) ?? [];
    expect(new Set(panel?.holes.map(({ center }) => center.y)).size).toBe(1);
    expect(across[1]).toBeCloseTo(300, -1);
    expect((across[1] as number) - (across[0] as number)).toBeCloseTo(200, -1);
  });
});

/**
 * Worked by hand from the published limits (EN 12150-1:2015, clause 7; US fabrication practice) and the usual good practice of
 * one diameter: a bulkhead 1 in is drilled with 45 mm, its flange is 66 mm. In 10 mm glass its middle stays 45 / 2 + 45 =
 * 67.5, so 68 mm from edges, and 90 mm from the next.
 */
describe('as many holes as fit', () => {
  const narrow = { ...hatchery, width: 136, height: 400, thickness: 4 } as const;
  it('one column of 136 mm takes 3 holes of 45 mm in 400 mm, not 4', () => {
    // 68, 158 and 248 from the top; 338 would leave 62 to the bottom.
    expect(made({ ...narrow, holes: 3 }).holes).toBe(3);
    expect(made({ ...narrow, holes: 4 }).holes).toBe(3);
  });

  it('and a panel of 135 mm takes none', () => {
    const trouble = troubleOf({ ...narrow, width: 134 });
    expect(trouble.about).toBe('size');
    expect(trouble.fix).toMatch(/larger panel; or take bulkhead 1\/2 in, bulkhead 3\/4 in$/);
  });

  it('the corner of thick glass is kept: 6.5 t from the tip', () => {
    // 19 mm glass: 6.5 × 19 + 22.5 = 146 mm from the tip, where 68 mm from both edges would be 96 mm.
    const [panel] = built(made({ ...hatchery, width: 220, height: 600, thickness: 19, holes: 1 }).text).panels;
    const { x, y } = panel?.holes[0]?.center as { x: number; y: number };
    expect(Math.hypot(Math.min(x, 220 - x), 600 - y)).toBeGreaterThanOrEqual(146);
  });
});

describe('what no clear spec can be made from is told with a way out', () => {
  it.each(materials.filter((material) => material !== 'annealed glass' && material !== 'acrylic'))('%s', (material) => {
    expect(troubleOf({ ...hatchery, material })).toMatchObject({ about: 'material', accepted: 'annealed glass, acrylic' });
  });

  it.each<[string, StarterAnswers, StarterTrouble['about'], RegExp]>([
    ['a hole over a third of the narrowest side', { ...hatchery, height: 130 }, 'size', /more than a third/],
    ['a hole smaller than glass of that thickness takes', { ...hatchery, thickness: 35, fitting: 'bulkhead 1/2 in', width: 2000, height: 2000 }, 'fitting', /too small for glass of 35 mm/],
    ['a panel thicker than the fitting clamps', { ...hatchery, thickness: 24 }, 'fitting', /clamps 2 mm to 25 mm.* 27 mm together/],
    ['a box wall that makes the stack too thick', { ...nursery, thickness: 15 }, 'fitting', /27 mm together/],
    ['panels that leave nothing of the tank', { ...nursery, thickness: 240 }, 'thickness', /leaves nothing/],
    ['a tank too low for a box', { ...nursery, height: 190, fitting: 'bulkhead 1 in' }, 'size', /no room for one box with a hole/],
  ])('%s', (_what, answers, about, found) => {
    const trouble = troubleOf(answers);
    expect(trouble.about).toBe(about);
    expect(trouble.found).toMatch(found);
  });

  it('the fittings that it names instead do fit', () => {
    fc.assert(
      fc.property(anyAnswers, (answers) => {
        const starter = starterSpec(answers);
        if ('text' in starter) return;
        for (const fitting of /; or take (.*)$/.exec(starter.fix)?.[1]?.split(', ') ?? []) expect(made({ ...answers, fitting }).holes).toBeGreaterThan(0);
      }),
      { numRuns: 300 },
    );
  });
});
