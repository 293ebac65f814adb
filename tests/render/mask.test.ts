/** Discs that mask sealing faces, over random panels and by examples. Lengths in mm. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { makeJig } from '../../src/jig.ts';
import type { Plan } from '../../src/plan/plan.ts';
import { sheetFormat } from '../../src/render/layout.ts';
import { discsOf, packDiscs, type Disc, type PlacedDisc } from '../../src/render/mask.ts';
import type { Mark } from '../../src/render/mark.ts';
import type { Page } from '../../src/render/sheet.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { checkPlan } from '../../src/report.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';
import { anyPanel, cornersOf, isInside, type Made } from './random-panels.ts';

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['Frag shelf']);
});

/** Beyond flange or nut all round; a ring for a hole whose fitting is not known (common practice, no source). */
const [margin, ring] = [3, 15];

const none: ReadonlySet<string> = new Set();
const diameterOf = ({ diameter, flange }: Made['holes'][number]) => (flange > 0 ? flange + 2 * margin : diameter + 2 * ring);

function jigOf(plan: Plan) {
  const jig = makeJig(plan, checkPlan(plan), setter, { isDraft: true, isMask: true });
  if ('problem' in jig) throw new Error(jig.problem);
  return jig;
}

/** Marks of a page, moved to their place on it. */
function marksOn(page: Page): { mark: Mark; shift: { x: number; y: number } }[] {
  return page.groups.flatMap(({ marks, shift }) => marks.map((mark) => ({ mark, shift })));
}

/** The box that a disc, or half of one, takes up. */
function boxOf({ disc: { diameter }, half, center: { x, y } }: PlacedDisc) {
  const r = diameter / 2;
  return { left: x - r, right: x + r, bottom: half === 'upper' ? y : y - r, top: half === 'lower' ? y : y + r };
}

const windows = fc.record({ width: fc.integer({ min: 100, max: 400 }), height: fc.integer({ min: 100, max: 400 }) });
const panels = anyPanel({ holes: 12, diameter: 150, least: 400 });

/** A pump cabinet's wall with these holes. */
const cabinet = (holes: string, rest = '') => planOf(`title: Pump cabinet\nunits: mm\npanel: {material: acrylic, width: 400, height: 400, thickness: 8}\nholes: [${holes}]\n${rest}`);

describe('discs', () => {
  test('two for each hole and copy, one a face, as wide as the flange and 3 mm all round; without a flange a ring of 15 mm', () => {
    fc.assert(fc.property(panels, fc.integer({ min: 1, max: 4 }), (made, quantity) => {
      const discs = discsOf({ ...planOf(made.spec), quantity }, none);
      expect(discs).toHaveLength(2 * quantity * made.holes.length);
      for (const hole of made.holes) {
        const own = discs.filter((disc) => disc.hole.name === hole.name);
        const keys = own.map(({ face, copy }) => `${face} ${copy}`).sort();
        expect(keys).toEqual(Array.from({ length: quantity }, (_, index) => [`inside ${index + 1}`, `outside ${index + 1}`]).flat().sort());
        for (const disc of own) {
          expect(disc.diameter).toBeCloseTo(diameterOf(hole), 9);
          expect(disc.drilled).toBeCloseTo(hole.diameter, 9);
          expect(disc.isBare).toBe(hole.flange === 0);
        }
      }
    }), { numRuns: 60 });
  });

  test('are as wide as the nut where that is wider than the flange', () => {
    const plan = cabinet('{name: a, fitting: {hole: 45, flange: 60, nut: 70}, from-left: 100, from-top: 100}');
    expect(discsOf(plan, none).map(({ diameter }) => diameter)).toEqual([76, 76]);
  });

  test('on the face of a box are named after it and no wider than the fitting', () => {
    const plan = cabinet('{name: a, fitting: {hole: 45, flange: 66}, from-left: 100, from-top: 100}, {name: b, diameter: 20, from-left: 300, from-top: 100}');
    const boxed: Plan = {
      ...plan,
      panel: { ...plan.panel, boxes: [{ name: 'weir box', rect: { left: 50, right: 200, bottom: 200, top: 400 }, wall: 6, crest: null, stands: 'inside' }] },
      holes: plan.holes.map((hole) => (hole.name === 'a' ? { ...hole, box: 'weir box' } : hole)),
    };
    expect(discsOf(boxed, none).map(({ hole, face, diameter }) => [hole.name, face, diameter])).toEqual([['a', 'outside', 72], ['a', 'inside, against weir box', 66], ['b', 'outside', 50], ['b', 'inside', 50]]);
    const words = jigOf(boxed).mask.flatMap((page) => marksOn(page).flatMap(({ mark }) => (mark.kind === 'text' ? [mark.text] : [])));
    expect(words).toContain('inside, against weir box');
    expect(words.join(' ')).toContain('Against a box the disc is no wider than the fitting');
  });

  test('refused holes have none', () => {
    const plan = planOf(`
title: Frag shelf, first plan
units: mm
panel: {material: annealed glass, width: 400, height: 400, thickness: 8}
holes: [{name: sound, diameter: 30, from-left: 150, from-top: 150}, {name: at edge, diameter: 30, from-left: 20, from-top: 150}]`);
    const report = checkPlan(plan);
    expect(report.byHole.get('at edge')).toBe('refused');
    const words = jigOf(plan).mask.flatMap((page) => marksOn(page).flatMap(({ mark }) => (mark.kind === 'text' ? [mark.text] : [])));
    expect(words.filter((word) => word === 'sound')).toHaveLength(2);
    expect(words).not.toContain('at edge');
    expect(words).toContain('DRAFT, DO NOT DRILL');
  });
});

describe('packing', () => {
  const disc = (diameter: number, index: number): Disc => ({ hole: { name: `h${index}` } as Disc['hole'], face: 'outside', diameter, drilled: diameter / 2, isBare: false, copy: 1, copies: 1 });

  test('every disc is placed whole, in two halves, or told to have no room; none overlap, all lie in the window', () => {
    fc.assert(fc.property(windows, fc.array(fc.double({ min: 20, max: 450, noNaN: true }), { maxLength: 40 }), fc.integer({ min: 0, max: 60 }), (window, diameters, band) => {
      const discs = diameters.map(disc);
      const { placed, pages, without } = packDiscs(discs, window, band);
      for (const one of discs) {
        const parts = placed.filter((part) => part.disc === one).map(({ half }) => half);
        const room = { width: window.width - 2, height: window.height - 2 };
        if (one.diameter <= room.width && one.diameter <= room.height) expect(parts).toEqual([null]);
        else if (one.diameter <= room.width && one.diameter / 2 <= room.height) expect([...parts].sort()).toEqual(['lower', 'upper']);
        else expect(parts).toEqual([]);
        expect(without.includes(one)).toBe(parts.length === 0);
      }
      placed.forEach((part, index) => {
        const box = boxOf(part);
        expect(part.page).toBeLessThan(pages);
        expect(box.left).toBeGreaterThan(0);
        expect(box.right).toBeLessThan(window.width);
        expect(box.bottom).toBeGreaterThan(0);
        expect(box.top).toBeLessThan(window.height - (part.page === 0 ? band - 1e-6 : 0));
        for (const other of placed.slice(index + 1)) {
          if (other.page !== part.page) continue;
          const next = boxOf(other);
          // White of at least 3 mm between the boxes one way or the other.
          expect(Math.max(next.left - box.right, box.left - next.right, next.bottom - box.top, box.bottom - next.top)).toBeGreaterThan(3 - 1e-6);
        }
      });
    }), { numRuns: 300 });
  });

  test('uses no more pages than discs that are wider than half a page would need, and shelves of equal discs are full', () => {
    // 250 mm hold 3 discs of 70 mm and white between; 180 mm hold 2 shelves: 6 a page.
    expect(packDiscs(Array.from({ length: 18 }, (_, index) => disc(70, index)), { width: 250, height: 180 }, 0).pages).toBe(3);
    expect(packDiscs(Array.from({ length: 19 }, (_, index) => disc(70, index)), { width: 250, height: 180 }, 0).pages).toBe(4);
  });
});

describe('pages', () => {
  test('draw every disc once at true size, with its drilling circle, within what the printer reaches; words lie within their disc and are whole', () => {
    fc.assert(fc.property(anyPanel({ holes: 8, diameter: 90, papers: ['A4', 'Letter', 'Legal', 'A3'] }), (made) => {
      const plan = planOf(made.spec);
      const report = checkPlan(plan);
      const holes = made.holes.filter(({ name }) => report.byHole.get(name) !== 'refused');
      const { mask } = jigOf(plan);
      const drawn = mask.flatMap((page) => marksOn(page).map((one) => ({ ...one, page })));
      const circles = (layer: string) => drawn.flatMap(({ mark, shift, page }) => (mark.kind === 'circle' && mark.layer === layer ? [{ page, r: mark.radius, x: mark.center.x + shift.x, y: mark.center.y + shift.y }] : []));
      const wanted = holes.flatMap((hole) => [diameterOf(hole) / 2, diameterOf(hole) / 2]).sort((a, b) => a - b);
      const found = circles('hole').map(({ r }) => r).sort((a, b) => a - b);
      expect(found).toHaveLength(wanted.length);
      found.forEach((radius, index) => expect(radius).toBeCloseTo(wanted[index] as number, 9));
      for (const { page, r, x, y } of circles('hole')) {
        const { margin: white } = plan.sheets;
        expect(Math.min(x - r, y - r, page.width - x - r, page.height - y - r)).toBeGreaterThan(white);
        expect(circles('part').filter((one) => one.page === page && Math.hypot(one.x - x, one.y - y) < 1e-9 && one.r < r)).toHaveLength(1);
        // The labels in it: names are those of holes.
        const within = drawn.filter((one) => one.page === page && one.mark.kind === 'text' && one.mark.layer === 'label' && Math.hypot(one.mark.at.x + one.shift.x - x, one.mark.at.y + one.shift.y - y) < r);
        expect(within.length).toBeGreaterThanOrEqual(4);
        for (const { mark, shift } of within) {
          if (mark.kind === 'text') expect(mark.text).not.toContain('…');
          for (const corner of cornersOf(mark)) expect(Math.hypot(corner.x + shift.x - x, corner.y + shift.y - y)).toBeLessThan(r);
        }
      }
    }), { numRuns: 60 });
  });

  test('a printer that draws 2 % short across and 1 % long down: discs lie within its margins, the page keeps the paper\'s size', () => {
    const plan = cabinet('{name: a, fitting: {hole: 45, flange: 66}, from-left: 100, from-top: 100}');
    const printer = { kind: 'panejig printer profile', version: 1, name: 'office', paper: { name: 'A4', width: 210, height: 297 }, across: { nominal: 180, measured: 176.4 }, down: { nominal: 240, measured: 242.4 } } as const;
    const { mask } = jigOf({ ...plan, sheets: { ...plan.sheets, printer } });
    const [page] = mask as [Page];
    expect([page.width * (page.scale?.x ?? 1), page.height * (page.scale?.y ?? 1)].map((size) => Math.round(size * 1e6) / 1e6).sort()).toEqual([210, 297]);
    const scales = [180 / 176.4, 240 / 242.4].sort();
    expect([page.scale?.x ?? 1, page.scale?.y ?? 1].sort().map((scale) => scale.toFixed(9))).toEqual(scales.map((scale) => scale.toFixed(9)));
    for (const { mark, shift } of marksOn(page)) {
      if (mark.kind !== 'circle') continue;
      for (const [at, size, scale] of [[mark.center.x + shift.x, page.width, page.scale?.x ?? 1], [mark.center.y + shift.y, page.height, page.scale?.y ?? 1]] as const) {
        expect((at - mark.radius) * scale).toBeGreaterThan(10);
        expect((size - at - mark.radius) * scale).toBeGreaterThan(10);
      }
    }
  });

  test('a disc wider than the paper comes in halves that make a whole circle; one wider than both sides is told, with its radius', () => {
    const spec = (diameter: number) => planOf(`
title: Snail hatchery
units: mm
panel: {material: acrylic, width: 1200, height: 1200, thickness: 10}
holes: [{name: porthole, diameter: ${diameter}, from-left: 600, from-top: 600}]`);
    // 180 + 2 x 15 = 210 mm: A4 shows 177 x 247 or 264 x 160 mm.
    const halves = jigOf(spec(180)).mask.flatMap((page) => marksOn(page)).flatMap(({ mark }) => (mark.kind === 'path' && mark.layer === 'hole' ? [mark.points] : []));
    expect(halves).toHaveLength(4);
    for (const points of halves) {
      const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
      expect(Math.max(...xs) - Math.min(...xs)).toBeCloseTo(210, 6);
      expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(105, 6);
      // Area of a half circle, by the shoelace formula: the arc is drawn by points, short of it by less than 1e-5.
      const area = Math.abs(points.reduce((sum, a, index) => sum + a.x * (points[(index + 1) % points.length] as typeof a).y - a.y * (points[(index + 1) % points.length] as typeof a).x, 0)) / 2;
      expect(area / ((Math.PI * 105 * 105) / 2)).toBeCloseTo(1, 5);
      expect(isInside({ x: (Math.min(...xs) + Math.max(...xs)) / 2, y: (Math.min(...ys) + Math.max(...ys)) / 2 }, points)).toBe(true);
    }
    const large = jigOf(spec(300));
    expect(large.notes.join('\n')).toMatch(/No mask for porthole: its disc of 330 mm does not fit A4, not even in halves\. .*radius 165 mm/);
  });

  test('say what paint on the thread does, and who knows the coats', () => {
    const words = jigOf(cabinet('{name: a, diameter: 20, from-left: 100, from-top: 100}')).mask.flatMap((page) => marksOn(page).flatMap(({ mark }) => (mark.kind === 'text' ? [mark.text] : []))).join(' ');
    expect(words).toContain('Paint that reaches the nut or the thread locks them');
    expect(words).toContain("Coats and drying times are the paint maker's");
    expect(words).toContain('no flange known');
  });

  test('lie the way that the spec asks for', () => {
    const plan = cabinet('{name: a, diameter: 20, from-left: 100, from-top: 100}', 'sheets: {paper: A4, orientation: landscape}');
    const [page] = jigOf(plan).mask as [Page];
    const format = sheetFormat(plan.sheets, 'landscape');
    expect([page.width, page.height]).toEqual([format.width, format.height]);
  });
});
