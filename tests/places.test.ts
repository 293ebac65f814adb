/**
 * Other places for faulty holes, worked out by hand from the limits: EN 12150-1:2015, clause 7 (2 t to edges, as restated by
 * infoglass.cz) and 6.5 t to corners, 2 t between holes (US fabrication practice after ASTM C1048, wagnercompanies.com);
 * good practice of one diameter: common practice, no source.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { shownAreas } from '../src/areas.ts';
import { allowedPlaces } from '../src/geometry/allowed.ts';
import { readBuild } from '../src/plan/build.ts';
import type { Plan } from '../src/plan/plan.ts';
import { areaSizes, mostPlaced, otherPlaces, placeLines, placeWords, type OtherPlace, type Place } from '../src/places.ts';
import { checkBuild, checkPlan } from '../src/report.ts';

function planOf(text: string): Plan {
  const reading = readBuild(text);
  if ('problems' in reading) throw new Error(JSON.stringify(reading.problems));
  return reading.build.panels[0] as Plan;
}

const spec = (panel: string, holes: readonly string[], units = 'mm') => planOf(`
title: Snail hatchery
units: ${units}
panel: {material: annealed glass, ${panel}}
holes:
${holes.map((hole) => `  - {${hole}}`).join('\n')}
`);

/** What is said of each hole, by level. */
function words(plan: Plan): Record<string, Record<string, string>> {
  const all = otherPlaces(plan, checkPlan(plan));
  return Object.fromEntries([...all].map(([hole, places]) => [hole, Object.fromEntries(places.map((place) => [place.level, placeWords(place, plan)]))]));
}

/** The place for the first level that is told. */
function placeOf(plan: Plan, hole: string): OtherPlace {
  const [first] = otherPlaces(plan, checkPlan(plan)).get(hole) as readonly Place[];
  if (!first || 'noRoom' in first) throw new Error(`${hole} has no place`);
  return first.place;
}

describe('another place', () => {
  it('is square to the edge that is too near: 2 t for the minimum, one diameter for good practice', () => {
    // t = 10, d = 40: the centre must be 20 + 20 = 40 from the edge, 20 + 40 = 60 for good practice.
    const plan = spec('width: 600, height: 400, thickness: 10', ['name: drain, diameter: 40, from-left: 30.5, from-top: 200']);
    expect(words(plan)).toEqual({ drain: { minimum: 'move 9.5 mm right: from-left 40 mm, from-top 200 mm', 'good practice': 'move 29.5 mm right: from-left 60 mm, from-top 200 mm' } });
  });

  it('is told for good practice alone where the hole is tight, and not at all where it is clear', () => {
    const plan = spec('width: 600, height: 400, thickness: 10', ['name: drain, diameter: 40, from-right: 50, from-bottom: 200', 'name: return, diameter: 40, from-left: 200, from-bottom: 200']);
    expect(words(plan)).toEqual({ drain: { 'good practice': 'move 10 mm left: from-right 60 mm, from-bottom 200 mm' } });
  });

  it('mends two rules at once where they ask for moves at an angle', () => {
    // 6.5 t = 65 from the tip of the corner to the hole's edge: the centre stays 85 from it.
    const plan = spec('width: 600, height: 400, thickness: 10', ['name: drain, diameter: 40, from-left: 50, from-bottom: 50']);
    const place = placeOf(plan, 'drain');
    expect(Math.hypot(place.exact.x, place.exact.y)).toBeCloseTo(85, 5);
    expect(place.exact.x).toBeCloseTo(85 / Math.SQRT2, 3);
    // 61 and 60 in whole millimetres: 85.56 from the tip; 60 and 60 are 84.85.
    expect(Math.hypot(place.center.x, place.center.y)).toBeGreaterThanOrEqual(85);
    expect([place.center.x, place.center.y].sort()).toEqual([60, 61]);
  });

  it('keeps off the other holes too, and counts from the lines that the hole is set out from', () => {
    // Between holes 2 t = 20, so centres 60 apart: from 250 on the right of 190.
    const plan = spec('width: 600, height: 400, thickness: 10, measured-from: rim, rim: {left: 10, top: 25, right: 10, bottom: 10}', ['name: a, diameter: 40, from-left: 180, from-top: 175', 'name: b, diameter: 40, from-left: 230, from-top: 175']);
    expect(words(plan)['b']?.['minimum']).toBe('move 10 mm right: from-left 240 mm, from-top 175 mm');
    expect(words(plan)['a']?.['minimum']).toBe('move 10 mm left: from-left 170 mm, from-top 175 mm');
  });

  it('comes in sixteenths of an inch where the spec works in inches', () => {
    const plan = spec('width: 24, height: 16, thickness: 3/8', ['name: drain, diameter: 1 1/2, from-left: 1.3, from-top: 8'], 'in');
    // 2 t = 3/4 in and half of 1 1/2 in: 1 1/2 in from the edge.
    expect(words(plan)['drain']?.['minimum']).toBe('move 0.2 in right: from-left 1-1/2 in, from-top 8 in');
    expect(placeOf(plan, 'drain').center.x / (25.4 / 16)).toBeCloseTo(24, 9);
  });

  it('is told with as many digits as it takes to be allowed as told', () => {
    // Acrylic: d / 2 to the edge (from memory), so the centre stays one diameter, 40.05, off both edges: from 40.05 to 40.08.
    const narrow = planOf('{title: Weir tank, units: mm, panel: {material: acrylic, width: 200, height: 80.13, thickness: 5}, holes: [{name: drain, diameter: 40.05, from-left: 60, from-bottom: 30}]}');
    expect(words(narrow)['drain']?.['minimum']).toBe('move 10.05 mm up: from-left 60 mm, from-bottom 40.05 mm');
    // Its distance from the left stays, and is exactly what is needed.
    const kept = planOf('{title: Weir tank, units: mm, panel: {material: acrylic, width: 200, height: 100, thickness: 5}, holes: [{name: drain, diameter: 40.04, from-left: 40.04, from-bottom: 30}]}');
    expect(words(kept)['drain']?.['minimum']).toBe('move 11 mm up: from-left 40.04 mm, from-bottom 41 mm');
  });

  it('is allowed as it is told, in whatever unit', () => {
    const length = fc.integer({ min: 30_000, max: 45_000 }).map((count) => count / 1000);
    fc.assert(
      fc.property(length, length, fc.integer({ min: 0, max: 40 }), fc.constantFrom('mm', 'cm', 'in'), (diameter, left, spare, units) => {
        const written = (mm: number) => `${mm} mm`;
        const text = (fromLeft: string, fromBottom: string) => `{title: Weir tank, units: ${units}, panel: {material: acrylic, width: 400 mm, height: ${written(2 * diameter + spare / 1000)}, thickness: 5 mm}, holes: [{name: drain, diameter: ${written(diameter)}, from-left: ${fromLeft}, from-bottom: ${fromBottom}}]}`;
        const told = words(planOf(text(written(left), written(diameter - 1))))['drain']?.['minimum'] ?? '';
        const [, fromLeft = '', fromBottom = ''] = /from-left (.*), from-bottom (.*)$/.exec(told) ?? [];
        expect(checkPlan(planOf(text(fromLeft, fromBottom))).byHole.get('drain'), told).not.toBe('refused');
      }),
      { numRuns: 100 },
    );
  });

  it('takes a finer step where the area is too narrow for a whole one', () => {
    // 2 t + d / 2 = 18 from both edges of a panel 36.45 wide: from 18 to 18.45.
    const whole = spec('width: 36.45, height: 400, thickness: 6', ['name: drain, diameter: 12, from-right: 23.3, from-top: 200']);
    expect(placeOf(whole, 'drain').step).toBe(1);
    expect(words(whole)['drain']?.['minimum']).toBe('move 5.3 mm right: from-right 18 mm, from-top 200 mm');
    // 18.2 from both edges: from 18.2 to 18.25.
    const tenths = spec('width: 36.45, height: 400, thickness: 6.1', ['name: drain, diameter: 12, from-right: 23.3, from-top: 200']);
    expect(placeOf(tenths, 'drain').step).toBe(0.1);
    expect(words(tenths)['drain']?.['minimum']).toBe('move 5.1 mm right: from-right 18.2 mm, from-top 200 mm');
    // 18.212 from both edges of 36.4243: from 18.212 to 18.2123, on no hundredth.
    const exact = spec('width: 36.4243, height: 400, thickness: 6.106', ['name: drain, diameter: 12, from-right: 23.3, from-top: 200']);
    expect(placeOf(exact, 'drain').step).toBeNull();
    expect(words(exact)['drain']?.['minimum']).toBe('move 5.088 mm right: from-right 18.212 mm, from-top 200 mm');
  });

  it('is none where two edges are too near to each other, which is told with what is short', () => {
    // t = 10: 20 + 30 on either side of a panel 90 wide is 5 too much on each.
    const plan = spec('width: 90, height: 600, thickness: 10', ['name: drain, diameter: 60, from-left: 45, from-top: 300']);
    expect(words(plan)['drain']?.['minimum']).toBe('no place on this panel: 5 mm too little to right edge (ligament to edge) and left edge (ligament to edge); what would help: a hole, flange and nut 10 mm narrower');
  });

  it('is told how much narrower a hole would have one, which is less than twice what is short where limits shrink with the hole', () => {
    // Good practice asks one diameter on either side: 3 d in 55 mm, so 18.33 of 45, whatever the joint and the part ask besides.
    const strip = spec('width: 400, height: 55, thickness: 5', ['name: drain, fitting: {hole: 45 mm, flange: 66 mm}, from-left: 100, from-top: 27']);
    expect(words(strip)['drain']?.['good practice']).toBe('no place on this panel: 40 mm too little to bottom edge (ligament to edge) and top edge (ligament to edge); what would help: a hole, flange and nut 26.7 mm narrower');
    // 2 t on either side: 65 - 55 for the hole, but 66 - 55 for the flange.
    expect(words(strip)['drain']?.['minimum']).toContain('what would help: a hole, flange and nut 11 mm narrower');
  });

  it('is not sought where moving is no cure', () => {
    expect(words(spec('width: 600, height: 400, thickness: 10', ['name: pin, diameter: 5, from-left: 300, from-top: 200']))).toEqual({});
  });

  it('is sought for no more holes than are told', () => {
    const crowd = spec('width: 600, height: 400, thickness: 6', Array.from({ length: 300 }, (_, index) => `name: h${index}, diameter: 20, from-left: ${100 + (index % 20) * 10}, from-top: ${100 + Math.floor(index / 20) * 10}`));
    expect(otherPlaces(crowd, checkPlan(crowd)).size).toBe(mostPlaced);
  });

  it('is none in a crowd that covers the panel, and areas are not told there', () => {
    const crowd = spec('width: 400, height: 300, thickness: 6', Array.from({ length: 3000 }, (_, index) => `name: h${index}, diameter: 12, from-left: ${20 + (index % 60) * 6.1}, from-top: ${20 + Math.floor(index / 60) * 5.3}`));
    const all = otherPlaces(crowd, checkPlan(crowd));
    expect(all.size).toBe(mostPlaced);
    expect(new Set([...all.values()].flat().map((place) => placeWords(place, crowd)))).toContain('no place on this panel: too much of it is taken by other holes, keep-clear areas or boxes');
    expect(areaSizes(crowd)).toBeNull();
  });

  it('passes the check on random panels, and says how far it is', () => {
    const place = fc.record({ x: fc.integer({ min: 10, max: 4990 }), y: fc.integer({ min: 10, max: 2990 }), d: fc.constantFrom(16, 25, 38.5), flange: fc.constantFrom(0, 55) });
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 6 }), fc.constantFrom('mm', 'in'), (made, units) => {
        const mm = (tenths: number) => `${tenths / 10} mm`;
        const plan = spec(
          'width: 500 mm, height: 300 mm, thickness: 6 mm, rim: {top: 20 mm}, keep-clear: [{name: brace, from-left: 200 mm, from-top: 100 mm, width: 60 mm, height: 40 mm}]',
          made.map(({ x, y, d, flange }, index) => `name: h${index}, ${flange > 0 ? `fitting: {hole: ${d} mm, flange: ${flange} mm}` : `diameter: ${d} mm`}, from-left: ${mm(x)}, from-bottom: ${mm(y)}`),
          units,
        );
        for (const [name, found] of otherPlaces(plan, checkPlan(plan))) {
          for (const one of found) {
            if ('noRoom' in one) continue;
            const { center, move, offsets } = one.place;
            const moved = { ...plan, holes: plan.holes.map((hole) => (hole.name === name ? { ...hole, center } : hole)) };
            const verdict = checkPlan(moved).byHole.get(name);
            expect(verdict).not.toBe('refused');
            if (one.level === 'good practice') expect(verdict).toBe('clear');
            const hole = plan.holes.find((other) => other.name === name) as Plan['holes'][number];
            expect(hole.center.x + move.right).toBeCloseTo(center.x, 9);
            expect(hole.center.y + move.up).toBeCloseTo(center.y, 9);
            expect(offsets[0].mm).toBeCloseTo(center.x, 9);
            expect(offsets[1].mm).toBeCloseTo(center.y, 9);
          }
        }
      }),
      { numRuns: 60 },
    );
  });
});

describe('what is said with a place', () => {
  it('names what else is drilled with the hole, on the panel and on the back wall', () => {
    // In the wall 3 mm is left to the edge, in the panel all is clear but the ligament between the two.
    const reading = readBuild(`
title: Snail hatchery
units: mm
boxes:
  snail box: {material: acrylic, width: 260, height: 200, depth: 110, wall: 6, holes: [{name: drain, diameter: 40, from-left: 23, from-bottom: 60}, {name: spare, diameter: 40, from-left: 93, from-bottom: 60}]}
panels:
  back: {material: annealed glass, width: 900, height: 500, thickness: 10, boxes: [{box: snail box, from-left: 200, from-top: 30}]}
`);
    if ('problems' in reading) throw new Error(JSON.stringify(reading.problems));
    const checked = checkBuild(reading.build);
    const [back, wall] = checked.map(({ plan, report }) => placeLines(plan, report).map(([first]) => first));
    const onPanel = ', the others staying (by this panel alone: the back wall of snail box must allow it too, and panejig settle looks at both):';
    expect(back).toEqual([`drain${onPanel}`, `spare${onPanel}`]);
    expect(wall).toEqual(['drain', 'spare'].map((name) => `${name}, the others staying (by this back wall alone: the panel that it stands on must allow it too, and panejig settle looks at both):`));
    // What the wall refuses for its place is shaded on the panel, too: another place may mend it.
    const { plan, report } = checked[0] ?? expect.fail();
    expect(report.byHole.get('drain')).toBe('refused');
    const { areas, notes } = shownAreas(plan, report, allowedPlaces(plan.panel, plan.holes));
    expect(areas).toHaveLength(2);
    expect(notes).toEqual(['Drilled in a back wall, too, which may leave them less room: see its own page for drain, spare.']);
  });

  it('says that a hole of a row must be written by itself to go there', () => {
    const plan = spec('width: 600, height: 400, thickness: 10', ['row: {name: air, diameter: 20, count: 3, from-left: 35, from-right: 100, from-top: 200}', 'name: feed, diameter: 20, from-left: 300, from-top: 25']);
    expect(placeLines(plan, checkPlan(plan)).map(([first]) => first)).toEqual(['feed, the others staying:']);
    const near = spec('width: 600, height: 400, thickness: 10', ['row: {name: air, diameter: 20, count: 3, from-left: 25, from-right: 100, from-top: 200}']);
    expect(placeLines(near, checkPlan(near))).toEqual([['air 1, the others staying (written as an entry of its own):', 'published minimum: move 5 mm right: from-left 30 mm, from-top 200 mm', 'good practice: move 5 mm right: from-left 30 mm, from-top 200 mm']]);
  });
});
