/** The drilling sheet: what stands on it and where, over made and random panels. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { makeJig } from '../../src/jig.ts';
import type { Plan, PlannedHole, Rect } from '../../src/plan/plan.ts';
import { drillingSheet } from '../../src/render/bench.ts';
import { visibleBounds } from '../../src/render/draw.ts';
import { orientationOf, tieLines } from '../../src/render/guides.ts';
import { chooseLayout, contentOf } from '../../src/render/layout.ts';
import { boxOf, type Mark, type Text } from '../../src/render/mark.ts';
import type { Page } from '../../src/render/sheet.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { checkPlan } from '../../src/report.ts';
import { cautions } from '../../src/trade/cautions.ts';
import { drillingSteps } from '../../src/trade/drilling.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';
import { anyPanel, cornersOf, depthOf } from './random-panels.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Snail hatchery']);
});

interface Wanted {
  readonly material?: string;
  readonly holes?: number;
  readonly paper?: 'A4' | 'Letter';
  readonly units?: 'mm' | 'in';
  readonly face?: 'outside' | 'inside';
  readonly thickness?: number;
  readonly diameter?: number;
  readonly lies?: 'drilled-face' | 'far-face';
}

/** A snail hatchery: rows of holes for drip elbows, far from each other and from the edges. */
function hatchery({ material = 'annealed glass', holes = 3, paper = 'A4', units = 'mm', face = 'outside', thickness = 8, diameter = 40, lies = 'drilled-face' }: Wanted = {}, change: Partial<Plan> = {}): Plan {
  const lines = Array.from({ length: holes }, (_, at) => `  - {name: drip ${at + 1}, diameter: ${diameter} mm, from-left: ${150 + (at % 8) * 180} mm, from-top: ${150 + Math.floor(at / 8) * 180} mm}`);
  const plan = planOf(`
title: Snail hatchery
units: ${units}
panel: {material: ${material}, width: 1600 mm, height: 1100 mm, thickness: ${thickness} mm, drilled-from: ${face}}
holes:
${lines.join('\n')}
sheets: {paper: ${paper}, lies-on: ${lies}}`);
  return { ...plan, ...change };
}

const changed = (plan: Plan, change: (hole: PlannedHole, at: number) => Partial<PlannedHole>): Plan => ({ ...plan, holes: plan.holes.map((hole, at) => ({ ...hole, ...change(hole, at) })) });

function frontOf(plan: Plan, options: { isDraft?: boolean; isPatches?: boolean } = {}): readonly Page[] {
  const jig = makeJig(plan, checkPlan(plan), setter, options);
  if ('problem' in jig) throw new Error(jig.problem);
  return jig.front;
}

const benchOf = (plan: Plan, options = {}): readonly Page[] => frontOf(plan, options).filter(({ name }) => name.startsWith('drilling sheet'));

const marksOf = (pages: readonly Page[]): readonly Mark[] => pages.flatMap(({ groups }) => groups.flatMap(({ marks }) => marks));
const isText = (mark: Mark): mark is Text => mark.kind === 'text';
const textsOf = (pages: readonly Page[]): Text[] => marksOf(pages).filter(isText);
/** All words in the order they were set, on one line. */
const wordsOf = (pages: readonly Page[]): string => textsOf(pages).map(({ text }) => text).join(' ');

/** Boxes to tick: closed squares of 3 to 4 mm with nothing in them. */
function boxesOf(page: Page): Rect[] {
  return marksOf([page]).flatMap((mark) => {
    if (mark.kind !== 'path' || !mark.isClosed || mark.fill !== null) return [];
    const box = boxOf(mark.points);
    const [width, height] = [box.right - box.left, box.top - box.bottom];
    return Math.abs(width - height) < 1e-9 && width > 3 && width < 4 ? [box] : [];
  });
}

/** The boxes before a line of text: left of it, with its middle between their top and their foot. */
function boxesBefore(page: Page, { at, size }: Text): Rect[] {
  const middle = at.y + size * 0.3;
  return boxesOf(page).filter(({ right, top, bottom }) => right < at.x && top > middle && bottom < middle);
}

/** Where a sentence starts on the pages: the first line that it begins with, longest first. */
function startOf(pages: readonly Page[], sentence: string): { page: Page; text: Text } {
  const found = pages.flatMap((page) => textsOf([page]).filter(({ text }) => text.length > 8 && sentence.startsWith(text)).map((text) => ({ page, text })));
  expect(found, `where "${sentence}" starts`).toHaveLength(1);
  return found[0] as { page: Page; text: Text };
}

/** Texts on the same line of a table as a text, left to right. */
const rowOf = (page: Page, { at }: Text): Text[] => textsOf([page]).filter((other) => Math.abs(other.at.y - at.y) < 1e-6).sort((a, b) => a.at.x - b.at.x);

function rowOfHole(pages: readonly Page[], name: string): { page: Page; first: Text; row: Text[] } {
  const found = pages.flatMap((page) => textsOf([page]).filter(({ text }) => text === name).map((first) => ({ page, first, row: rowOf(page, first) })));
  expect(found, `the row of ${name}`).toHaveLength(1);
  return found[0] as { page: Page; first: Text; row: Text[] };
}

/** The sentences of the steps that the sheet takes from the tables of the trade. */
const tabledSteps = (plan: Plan): string[] => {
  const steps = drillingSteps[plan.panel.material];
  if (!steps) throw new Error('no steps');
  return [steps.support, steps.ready, ...steps.after];
};

describe('order of work', () => {
  test.each([
    ['annealed glass', 1], ['annealed glass', 2], ['annealed glass', 4], ['acrylic', 1], ['acrylic', 3],
  ])('every step for %s has a box to tick for each of %i', (material, quantity) => {
    const plan = hatchery({ material }, { quantity });
    const pages = benchOf(plan);
    for (const step of tabledSteps(plan)) {
      const { page, text } = startOf(pages, step);
      expect(boxesBefore(page, text), step).toHaveLength(quantity);
    }
    const [first] = pages as [Page];
    for (const start of ['Measure each fitting', 'Print at 100 %', 'Put the jig together', 'Measure', 'Put tape on', 'Leave the', 'Check the distances', 'Leak test:']) {
      for (const text of textsOf([first]).filter((one) => one.text.startsWith(`${start} `) && one.at.x > 15 && one.weight === 'regular')) expect(boxesBefore(first, text), text.text).toHaveLength(quantity);
    }
    // No box stands by itself: each belongs to a line of words on its right.
    for (const box of boxesOf(first)) expect(textsOf([first]).some(({ at, size }) => at.x > box.right && at.y + size * 0.3 < box.top && at.y + size * 0.3 > box.bottom)).toBe(true);
  });

  test('the groups follow each other: before, drill, after', () => {
    const [page] = benchOf(hatchery());
    const heights = ['Cautions', 'Before', 'Drill from the outside face', 'After'].map((heading) => textsOf([page as Page]).find(({ text, weight }) => weight === 'bold' && text === heading)?.at.y ?? NaN);
    expect(heights).toEqual([...heights].sort((a, b) => b - a));
    expect(heights.every(Number.isFinite)).toBe(true);
  });

  test('more than four alike share one box, and the groups say so', () => {
    const pages = benchOf(hatchery({}, { quantity: 5 }));
    for (const group of ['Before, for each of 5', 'Drill from the outside face, for each of 5', 'After, for each of 5']) expect(wordsOf(pages)).toContain(group);
    expect(boxesBefore(...(({ page, first }) => [page, first] as const)(rowOfHole(pages, 'drip 2')))).toHaveLength(1);
    expect(wordsOf(benchOf(hatchery()))).not.toMatch(/for each of|make \d/);
    expect(wordsOf(benchOf(hatchery({}, { quantity: 3 })))).toContain('make 3: a tick box for each');
  });

  test('blanks tell what must be measured: rulers, tie lines, the panel', () => {
    const plan = hatchery();
    const layout = chooseLayout(contentOf(plan), plan.sheets);
    if ('problem' in layout) throw new Error(layout.problem);
    const words = wordsOf(benchOf(plan));
    for (const { number, length } of tieLines(plan, layout)) expect(words).toContain(`tie line ${number}: ${length} mm`);
    expect(words).toMatch(/across \d+ mm down \d+ mm/);
    expect(words).toContain('width 1600 mm height 1100 mm thickness 8 mm');
    expect(wordsOf(benchOf(plan, { isPatches: true }))).not.toContain('tie line');
  });

  test('the jig is taped to the face it was made for', () => {
    expect(wordsOf(benchOf(hatchery({ face: 'inside' })))).toContain('Tape the jig to the inside face, print towards you.');
    expect(wordsOf(benchOf(hatchery({ face: 'outside', lies: 'far-face' })))).toMatch(/Tape the jig to the inside face, print against the panel; the drill goes in at the\s+outside face\./);
  });

  test('the plug falls to the face that the drill does not go in at', () => {
    // A drill pushes away from the hand: from outside into the tank, and the other way.
    expect(wordsOf(benchOf(hatchery({ face: 'outside' })))).toContain('Upright: it falls into the tank');
    expect(wordsOf(benchOf(hatchery({ face: 'inside' })))).toContain('Upright: it falls outside');
    // The outside of a box's back wall lies against the panel: from there the drill pushes into the box.
    expect(wordsOf(benchOf(hatchery({ face: 'outside' }, { isBoxWall: true })))).toContain('Upright: it falls into the box');
    expect(wordsOf(benchOf(hatchery({ face: 'inside' }, { isBoxWall: true })))).toContain('Upright: it falls out of its back');
  });

  test("the face is told by the dry side of the tank; a box's back wall, whose outside looks at the water where the box stands outside, by the panel", () => {
    expect(wordsOf(frontOf(hatchery()))).toContain('as seen from outside (the dry side of the tank)');
    const wall = wordsOf(frontOf(hatchery({}, { isBoxWall: true })));
    expect(wall).toContain('as seen from outside (the face that lies against the panel)');
    expect(wall).not.toContain('dry side');
  });

  test('thick glass is finished from the other face, thin glass is not', () => {
    // From 10 mm: common practice, no source.
    expect(wordsOf(benchOf(hatchery({ thickness: 10 })))).toMatch(/finish from there, if jig or centre mark is carried over/);
    expect(wordsOf(benchOf(hatchery({ thickness: 8 })))).not.toMatch(/finish from there/);
  });

  test('acrylic is never said to need diamond, water dams or seaming', () => {
    const words = wordsOf(benchOf(hatchery({ material: 'acrylic', thickness: 10 })));
    for (const [sentence] of words.matchAll(/[^.;]*diamond[^.;]*/g)) expect(sentence).toContain('not needed');
    expect(words).not.toMatch(/dam of putty|[Ss]eam the|slurry/);
    // Solvents craze stressed acrylic: common practice, no source.
    expect(words).toMatch(/No solvent, glass cleaner or alcohol near drilled edges/);
    expect(words).toMatch(/Anneal/);
  });

  test.each(['toughened glass', 'unknown glass'])('%s has no steps, no boxes and no speeds, only the word that it must not be drilled', (material) => {
    const pages = benchOf(hatchery({ material }), { isDraft: true });
    expect(wordsOf(pages)).toContain('must not be drilled');
    expect(pages.flatMap(boxesOf)).toEqual([]);
    expect(wordsOf(pages)).not.toMatch(/rpm|Before|drip 1/);
    expect(wordsOf(pages)).toContain('DRAFT, DO NOT DRILL');
  });
});

describe('table of holes', () => {
  test('each hole has a box, its bit, and a range of speed that a rim of 0.8 m/s lies in', () => {
    // Surface speed of a diamond core bit in glass about 0.6 to 1.0 m/s (common practice, from memory); n = 60 v / (π D).
    fc.assert(
      fc.property(fc.integer({ min: 10, max: 110 }), fc.integer({ min: 1, max: 40 }), (diameter, holes) => {
        const pages = benchOf(hatchery({ diameter, holes, thickness: 6 }));
        for (let at = 1; at <= holes; at += 1) {
          const { page, first, row } = rowOfHole(pages, `drip ${at}`);
          expect(boxesBefore(page, first)).toHaveLength(1);
          const speeds = row.flatMap(({ text }) => /^(\d+) to (\d+)$/.exec(text)?.slice(1).map(Number) ?? []);
          expect(speeds).toHaveLength(2);
          const rpm = (60 * 0.8) / (Math.PI * (diameter / 1000));
          expect(speeds[0]).toBeLessThanOrEqual(rpm);
          expect(speeds[1]).toBeGreaterThanOrEqual(rpm);
          expect(row.some(({ text }) => text.startsWith(`diamond core bit, ${diameter} mm`))).toBe(true);
        }
      }),
      { numRuns: 20 },
    );
  });

  test('an acrylic hole is cut more slowly than a glass one', () => {
    const fastest = (material: string) => Math.max(...rowOfHole(benchOf(hatchery({ material })), 'drip 1').row.flatMap(({ text }) => /^(\d+) to (\d+)$/.exec(text)?.slice(1).map(Number) ?? []));
    expect(fastest('acrylic')).toBeLessThan(fastest('annealed glass'));
  });

  test('inches come with millimetres, and a bit says whether it must be bought', () => {
    // NIST SP 811, appendix B: 1 in = 25.4 mm.
    const plan = changed(hatchery({ units: 'in', diameter: 44.45 }), ({ bit }, at) => ({ bit: { ...bit, isAtHand: [false, null, true][at] ?? null } }));
    const pages = benchOf(plan);
    for (const [at, stock] of ['to buy', 'own or to buy', 'at hand'].entries()) expect(rowOfHole(pages, `drip ${at + 1}`).row.some(({ text }) => text === `diamond core bit, 1-3/4 in (44.45 mm), ${stock}`)).toBe(true);
  });

  test('a hole through a box says so in its row, and only there', () => {
    const words = wordsOf(benchOf(changed(hatchery(), (_, at) => (at === 1 ? { box: 'overflow box' } : {}))));
    expect(words.match(/also through the back wall of overflow box, by the box's own jig/g)).toHaveLength(1);
    expect(words.indexOf('drip 2')).toBeLessThan(words.indexOf('overflow box'));
    expect(words.indexOf('drip 3')).toBeGreaterThan(words.indexOf('overflow box'));
  });

  test('what is known of the room behind stands under the table', () => {
    const plan = hatchery();
    const layout = chooseLayout(contentOf(plan), plan.sheets);
    if ('problem' in layout) throw new Error(layout.problem);
    const words = { title: plan.title, face: plan.face, lies: '', orientation: orientationOf(plan, layout), visible: visibleBounds(plan), outline: null, printer: '', panel: '', fingerprint: '0000-0000', isDraft: false, verdict: '' };
    const said = wordsOf(drillingSheet(plan, layout, [], words, setter, { isPatches: false, refused: new Set(), room: ['drip 1: the elbow needs 60 mm behind the panel.'] }));
    expect(said).toMatch(/drip 3.*drip 1: the elbow needs 60 mm behind the panel\..*After/);
  });

  test('a refused hole has neither box nor bit nor speed', () => {
    const plan = changed(hatchery(), (hole, at) => (at === 1 ? { center: { x: 30, y: hole.center.y } } : {}));
    const pages = benchOf(plan, { isDraft: true });
    const { page, first, row } = rowOfHole(pages, 'drip 2');
    expect(boxesBefore(page, first)).toEqual([]);
    expect(row.map(({ text }) => text)).toEqual(['drip 2', 'refused: do not drill']);
    expect(rowOfHole(pages, 'drip 1').row.some(({ text }) => / to \d/.test(text))).toBe(true);
    expect(wordsOf(pages)).toContain('DRAFT, DO NOT DRILL');
  });

  test('where every hole is refused there is nothing to tick', () => {
    const pages = benchOf(changed(hatchery(), ({ center }) => ({ center: { x: 21, y: center.y } })), { isDraft: true });
    expect(pages.flatMap(boxesOf)).toEqual([]);
    expect(wordsOf(pages)).toContain('No hole of this panel may be drilled');
    for (const name of ['drip 1', 'drip 2', 'drip 3']) expect(rowOfHole(pages, name).row.map(({ text }) => text)).toEqual([name, 'refused: do not drill']);
  });
});

describe('the page', () => {
  const cases = (['A4', 'Letter'] as const).flatMap((paper) => (['mm', 'in'] as const).flatMap((units) => ['annealed glass', 'acrylic'].flatMap((material) => [1, 4, 20].map((quantity) => ({ paper, units, material, quantity })))));
  test.each(cases)('six holes, $quantity of $material, and all cautions stand on one page of $paper ($units)', ({ paper, units, material, quantity }) => {
    const pages = benchOf(hatchery({ paper, units, material, holes: 6, thickness: 12, face: 'inside' }, { quantity, standing: "Left edge: the hatchery's back." }));
    expect(pages).toHaveLength(1);
    const words = wordsOf(pages);
    for (const [about, said] of cautions) expect(words).toContain(`${about} ${said}`);
    expect(Math.min(...textsOf(pages).filter(({ layer }) => layer === 'sheet').map(({ size }) => size))).toBeGreaterThan(2.1);
    expect(words).toContain("Left edge: the hatchery's back.");
  });

  test('up to four holes are set in letters of at least 2.5 mm, the notes under them and the foot apart', () => {
    for (const paper of ['A4', 'Letter'] as const) {
      const small = textsOf(benchOf(hatchery({ paper, holes: 4 }))).filter(({ size }) => size < 2.5);
      expect(small.every(({ text }) => /^from the|fingerprint|then the sheets/.test(text))).toBe(true);
    }
  });

  test('it is the last of the front pages, and their feet say what follows', () => {
    const front = frontOf(hatchery({ holes: 40 }));
    const feet = front.map((page) => textsOf([page]).map(({ text }) => text).find((text) => text.endsWith('then the sheets') || text.endsWith('and the sheets')));
    const [before, bench] = [front.filter(({ name }) => name.startsWith('front')), front.filter(({ name }) => name.startsWith('drilling'))];
    expect(bench.length).toBeGreaterThan(1);
    expect(feet).toEqual([
      ...before.map((_, at) => `page ${at + 1} of ${before.length}, then the drilling sheet and the sheets`),
      ...bench.map((_, at) => `drilling sheet, page ${at + 1} of ${bench.length}, then the sheets`),
    ]);
    // The table goes on with its titles.
    for (const page of bench.filter((page) => wordsOf([page]).includes('drip'))) expect(wordsOf([page])).toContain('hole bit rpm bit measured hole measured');
  });

  test('the cautions stand nowhere else', () => {
    const front = frontOf(hatchery());
    expect(wordsOf(front.filter(({ name }) => name.startsWith('front')))).not.toContain(cautions[1]?.[1]);
  });

  test('nothing lies over anything else, and all lies within the margins', () => {
    const materials = fc.constantFrom('acrylic', 'annealed glass', 'toughened glass');
    const long = fc.constantFrom('h', 'overflow of the far end with an unusually long name ');
    fc.assert(
      fc.property(anyPanel({ holes: 14, isSound: false }), materials, fc.integer({ min: 1, max: 6 }), fc.boolean(), long, fc.boolean(), (made, material, quantity, isPatches, name, isBoxed) => {
        const read = planOf(made.spec.replace('material: acrylic', `material: ${material}`).replace('Frag shelf', 'Frag shelf of the coral nursery by the window on the stairs'));
        const named = changed({ ...read, quantity, standing: quantity > 2 ? 'Left edge: the back. Right edge: the front.' : '' }, (_, at) => ({ name: `${name}${at + 1}`, box: isBoxed && at % 3 === 0 ? 'overflow box in the middle of the back' : null }));
        const jig = makeJig(named, checkPlan(named), setter, { isDraft: true, isPatches });
        if ('problem' in jig) return;
        const margin = 12;
        for (const page of jig.front) {
          const texts = textsOf([page]).filter(({ layer, angle }) => layer !== 'draft' && angle === 0);
          const shapes = texts.map((mark) => ({ mark, corners: cornersOf(mark) }));
          const isBench = page.name.startsWith('drilling');
          const corners = isBench ? marksOf([page]).filter(({ layer }) => layer !== 'draft').flatMap(cornersOf) : [];
          for (const { x, y } of corners) {
            expect(x).toBeGreaterThan(margin - 0.2);
            expect(x).toBeLessThan(page.width - margin + 0.2);
            expect(y).toBeGreaterThan(margin - 0.2);
            expect(y).toBeLessThan(page.height - margin + 0.2);
          }
          if (!isBench) continue;
          const others = marksOf([page]).filter((mark) => mark.kind === 'path' || mark.kind === 'line').map((mark) => ({ mark, corners: cornersOf(mark) }));
          shapes.forEach((one, at) => {
            for (const other of [...shapes.slice(at + 1), ...others]) {
              const depth = depthOf(one.corners, other.corners);
              expect(depth, `${one.mark.text} and ${isText(other.mark) ? other.mark.text : other.mark.kind}`).toBeLessThan(0.05);
            }
          });
        }
      }),
      { numRuns: 40 },
    );
  });
});

test('nothing that belongs to the cautions is lost', () => {
  // Usual workshop practice (common practice, no source), one word for each thing that can hurt.
  const said = cautions.map(([about, words]) => `${about}: ${words}`).join('\n');
  for (const word of ['glasses', 'gloves', 'sleeves', 'children', 'pets', 'battery', 'residual-current device (GFCI)', 'plugs', 'switches', 'uphill', 'tempered', 'shatters', 'Only the maker', 'cannot name', 'padded', 'backing board', 'under load', 'water in the tank', 'lungs', 'keep the cut wet', 'wipe up wet', 'mask', 'Light pressure', 'low speed', 'plenty of water', 'Ease off', 'plug', 'fitting', 'bit in your hand', 'watch it for a day', 'no promise', 'local codes', 'electrical and structural work', 'licensed people']) {
    expect(said).toContain(word);
  }
});

test('words of the tables need no further typeface', () => {
  const words = [...cautions.flat(), ...Object.values(drillingSteps).flatMap(({ bit, support, tape, ready, each, through, after }) => [bit, support, tape, ready, ...each.flat(), ...Object.values(through), ...after])];
  for (const one of words) expect(one).toMatch(/^[\x20-\x7e]+$/);
});
