/** The marks of a jig, before any PDF: plain objects in mm. Checked against the spec's numbers and plain geometry. */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { specWords } from '../../src/jig.ts';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { drawJig } from '../../src/render/draw.ts';
import { chooseLayout, contentOf } from '../../src/render/layout.ts';
import type { Circle, Line, Mark, Text } from '../../src/render/mark.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';

const example = readFileSync(new URL('../../templates-spec/quarantine-end-panel.yaml', import.meta.url), 'utf8');

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(specWords(planOf(example)));
});

function marksOf(plan: Plan, refused: readonly string[] = []): Mark[] {
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  return drawJig(plan, layout, setter, { withoutCircle: new Set(refused) });
}

const isCircle = (mark: Mark): mark is Circle => mark.kind === 'circle';
const isLine = (mark: Mark): mark is Line => mark.kind === 'line';
const isText = (mark: Mark): mark is Text => mark.kind === 'text';
const drillingCircles = (marks: readonly Mark[]) => marks.filter(isCircle).filter(({ layer }) => layer === 'hole');
const holeLines = (marks: readonly Mark[]) => marks.filter(isLine).filter(({ layer }) => layer === 'center');
const apart = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);

/** Distance of a point from a segment. */
function fromSegment(p: Point, { a, b }: { a: Point; b: Point }): number {
  const length = apart(a, b) ** 2;
  const share = Math.max(0, Math.min(1, ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length));
  return apart(p, { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) });
}

/** A hole of a diameter in mm, with a flange half as wide again if there is one. */
function oneHole(diameter: number, face = 'outside', hasFlange = false): Plan {
  const size = hasFlange ? `fitting: {hole: ${diameter}, flange: ${diameter * 1.5}}` : `diameter: ${diameter}`;
  return planOf(`
title: One hole
units: mm
panel: {material: acrylic, width: 3000, height: 2500, thickness: 6, drilled-from: ${face}}
holes: [{name: hole, ${size}, from-left: 1000.25, from-bottom: 1100.5}]
sheets: {paper: 1000 x 1200 mm}`);
}

/** Diameters in steps of 0.01 mm. */
const diameters = fc.integer({ min: 200, max: 100000 }).map((hundredths) => hundredths / 100);

describe('a hole', () => {
  test('has a drilling circle of exactly half its diameter, at exactly its place', () => {
    fc.assert(
      fc.property(diameters, (diameter) => {
        const circles = drillingCircles(marksOf(oneHole(diameter)));
        expect(circles).toHaveLength(1);
        expect(circles[0]?.center).toEqual({ x: 1000.25, y: 1100.5 });
        expect(circles[0]?.radius).toBe(diameter / 2);
      }),
    );
  });

  test('has four ticks, along the four ways, wholly outside the drilling circle', () => {
    fc.assert(
      fc.property(diameters, (diameter) => {
        const marks = marksOf(oneHole(diameter));
        const [circle] = drillingCircles(marks) as [Circle];
        const ticks = holeLines(marks).filter((line) => fromSegment(circle.center, line) > 1e-6);
        expect(ticks).toHaveLength(4);
        for (const tick of ticks) {
          const inkFree = fromSegment(circle.center, tick) - tick.pen.width / 2 - (circle.radius + circle.pen.width / 2);
          expect(inkFree).toBeGreaterThan(1);
          expect(apart(tick.a, tick.b)).toBeGreaterThanOrEqual(5);
        }
        const ways = ticks.map(({ a }) => Math.round((Math.atan2(a.y - circle.center.y, a.x - circle.center.x) * 180) / Math.PI + 360) % 360);
        expect(ways.sort((p, q) => p - q)).toEqual([0, 90, 180, 270]);
      }),
    );
  });

  test('has a cross whose arms meet in the centre and stay within the circle', () => {
    const marks = marksOf(oneHole(44));
    const [circle] = drillingCircles(marks) as [Circle];
    const arms = holeLines(marks).filter((line) => fromSegment(circle.center, line) < 1e-9);
    expect(arms).toHaveLength(2);
    for (const { a, b } of arms) {
      expect((a.x + b.x) / 2).toBeCloseTo(circle.center.x, 9);
      expect((a.y + b.y) / 2).toBeCloseTo(circle.center.y, 9);
      expect(apart(a, circle.center)).toBeLessThan(circle.radius);
    }
  });

  test('shows its flange, dashed, so that no one takes it for the drilling circle', () => {
    const marks = marksOf(oneHole(44, 'outside', true));
    const parts = marks.filter(isCircle).filter(({ layer }) => layer === 'part');
    expect(parts.map(({ radius }) => radius)).toEqual([33]);
    expect(parts[0]?.pen.dashes?.length).toBeGreaterThan(0);
    expect(drillingCircles(marks).map(({ radius, pen }) => ({ radius, dashes: 'dashes' in pen }))).toEqual([{ radius: 22, dashes: false }]);
  });

  test('that is refused has no circle of any kind, and says so', () => {
    const marks = marksOf(oneHole(44, 'outside', true), ['hole']);
    expect(marks.filter(isCircle)).toEqual([]);
    expect(marks.filter(isText).map(({ text }) => text).join('\n')).toContain('REFUSED');
  });
});

/** The box of a line of text: from a quarter em under the baseline to nine tenths of an em above. */
function textBox({ at, width, size, align }: Text): Rect {
  const left = at.x - { left: 0, center: width / 2, right: width }[align];
  return { left, right: left + width, bottom: at.y - 0.25 * size, top: at.y + 0.9 * size };
}

/** Labels as boxes: lines that begin with the name of a hole and go on until the next name. */
function labelBoxes(plan: Plan, marks: readonly Mark[]): Rect[] {
  const names = new Set(plan.holes.map(({ name }) => name));
  const boxes: Rect[] = [];
  for (const mark of marks.filter(isText).filter(({ layer }) => layer === 'label')) {
    const box = textBox(mark);
    if (names.has(mark.text)) {
      boxes.push(box);
      continue;
    }
    const last = boxes.pop();
    if (!last) throw new Error('a label with no name');
    boxes.push({ left: Math.min(last.left, box.left), right: Math.max(last.right, box.right), bottom: Math.min(last.bottom, box.bottom), top: Math.max(last.top, box.top) });
  }
  return boxes;
}

const fromBox = (p: Point, box: Rect) => Math.hypot(Math.max(box.left - p.x, 0, p.x - box.right), Math.max(box.bottom - p.y, 0, p.y - box.top));

const overlap = (a: Rect, b: Rect) => a.left < b.right && b.left < a.right && a.bottom < b.top && b.bottom < a.top;

describe('labels of the example', () => {
  test('do not touch each other, a drilling circle or a flange', () => {
    const plan = planOf(example);
    const marks = marksOf(plan);
    const boxes = labelBoxes(plan, marks);
    expect(boxes).toHaveLength(3);
    boxes.forEach((box, index) => boxes.slice(index + 1).forEach((other) => expect(overlap(box, other)).toBe(false)));
    for (const box of boxes) {
      for (const { center, radius } of marks.filter(isCircle)) expect(fromBox(center, box)).toBeGreaterThan(radius);
    }
  });

  test('give the diameter and the distances in millimetres and inches', () => {
    const words = marksOf(planOf(example)).filter(isText).filter(({ layer }) => layer === 'label').map(({ text }) => text);
    // 45 / 25.4 = 1.7717; 100 / 25.4 = 3.9370; 3 1/2 in = 88.9 mm (NIST SP 811: 1 in = 25.4 mm).
    expect(words).toContain('drill 45 mm (1.772 in)');
    expect(words.some((line) => line.startsWith('100 mm (3.937 in) from left'))).toBe(true);
    expect(words.some((line) => /^88\.9 mm \(3[- ]1\/2 in\) from right/.test(line))).toBe(true);
  });

  test('lie wholly on the core of one sheet, so that no seam cuts them', () => {
    const plan = planOf(example);
    const layout = chooseLayout(contentOf(plan), plan.sheets);
    if ('problem' in layout) throw new Error(layout.problem);
    for (const box of labelBoxes(plan, marksOf(plan))) {
      expect(layout.cells.filter(({ core }) => box.left >= core.left && box.right <= core.right && box.bottom >= core.bottom && box.top <= core.top)).toHaveLength(1);
    }
  });
});

describe('the inside face', () => {
  const spec = (face: string) => `
title: Two faces
units: mm
panel: {material: annealed glass, thickness: 8, drilled-from: ${face}, outline: [[0, 0], [500, 0], [500, 260], [430, 330], [0, 330]], rim: {top: 12, left: 6}}
holes:
  - {name: a, diameter: 40, from-left: 80, from-top: 90}
  - {name: b, diameter: 25, from-right: 120, from-bottom: 90}
sheets: {paper: A3}`;

  test('is the outside mirrored left to right', () => {
    const [outside, inside] = [marksOf(planOf(spec('outside'))), marksOf(planOf(spec('inside')))];
    expect(drillingCircles(outside).map(({ center }) => center)).toEqual([{ x: 80, y: 240 }, { x: 380, y: 90 }]);
    expect(drillingCircles(inside).map(({ center }) => center)).toEqual([{ x: 420, y: 240 }, { x: 120, y: 90 }]);
    for (const layer of ['panel', 'rim'] as const) {
      const points = (marks: readonly Mark[]) => marks.flatMap((mark) => (mark.layer !== layer ? [] : mark.kind === 'path' ? mark.points : mark.kind === 'line' ? [mark.a, mark.b] : []));
      expect(points(inside).length).toBeGreaterThan(3);
      expect(points(inside)).toEqual(points(outside).map(({ x, y }) => ({ x: 500 - x, y })));
    }
  });

  test('has words that read left to right or upwards all the same', () => {
    const words = (face: string) => marksOf(planOf(spec(face))).filter(isText);
    expect(words('inside').length).toBeGreaterThan(8);
    for (const { angle } of words('inside')) {
      const turned = ((((angle + 180) % 360) + 360) % 360) - 180;
      expect(turned).toBeGreaterThan(-90);
      expect(turned).toBeLessThanOrEqual(90.02);
    }
    const labels = (face: string) => words(face).filter(({ layer }) => layer === 'label').map(({ text }) => text);
    expect(labels('inside')).toEqual(labels('outside'));
  });

  test('has the name of an edge under a rim clear of the line of a narrow joint there', () => {
    const plan = planOf('title: Shrimp nursery\nunits: mm\npanel: {material: annealed glass, width: 300, height: 250, thickness: 6, rim: {top: 0, right: 0, bottom: 18, left: 0}, joints: {top: 0, right: 0, bottom: 3, left: 0}}\nholes: [{name: drain, diameter: 30, from-left: 150, from-top: 100}]\n');
    const names = marksOf(plan).filter(isText).filter(({ text }) => text === 'bottom edge, under the rim');
    expect(names.length).toBeGreaterThan(0);
    // The joint's line lies 3 mm up, the rim line 18 mm; letters reach 0.3 of their size under their baseline.
    for (const { at, size } of names) {
      expect(at.y - 0.3 * size).toBeGreaterThan(3);
      expect(at.y + size).toBeLessThan(18);
    }
  });

  test('has the names of edges inside the panel', () => {
    for (const face of ['outside', 'inside']) {
      const plan = planOf(spec(face));
      const names = marksOf(plan).filter(isText).filter(({ layer }) => layer === 'panel');
      expect(names.length).toBeGreaterThan(3);
      for (const { at } of names) {
        expect(at.x).toBeGreaterThan(0);
        expect(at.x).toBeLessThan(500);
        expect(at.y).toBeGreaterThan(0);
        expect(at.y).toBeLessThan(330);
      }
    }
  });
});

describe('labels in a crowd', () => {
  const crowd = (face: string) => `
title: Frag room, manifold
units: mm
panel: {material: acrylic, width: 420, height: 260, thickness: 6, drilled-from: ${face}, keep-clear: [{name: comb, from-left: 306, from-bottom: 26, width: 20, height: 160}]}
holes:
${Array.from({ length: 12 }, (_, index) => `  - {name: manifold port ${index + 1}, fitting: bulkhead 1/2 in, from-left: ${56 + (index % 4) * 62}, from-bottom: ${56 + Math.floor(index / 4) * 66}}`).join('\n')}
sheets: {paper: A4, overlap: 8}`;

  const wall = `
title: Snail hatchery, air wall
units: mm
panel: {material: acrylic, width: 500, height: 260, thickness: 5}
holes:
  - row: {name: air, diameter: 4, count: 10, from-left: 30, from-right: 30, from-bottom: 40, repeat: {count: 6, up: 32}}
  - {name: feed, diameter: 22, from-left: 250, from-bottom: 100}`;
  const bar = `
title: Snail hatchery, spray bar
units: mm
panel: {material: acrylic, width: 260, height: 180, thickness: 5}
holes:
  - row: {name: air, diameter: 4, count: 8, from-left: 60, from-right: 116, from-bottom: 60, repeat: {count: 5, up: 12}}`;

  test.each([['wall', wall, 61], ['bar', bar, 40]])('on a dense grid none lies over another hole\'s circle or another label, no leader leads through a circle (%s)', (_, spec, count) => {
    const plan = planOf(spec);
    const marks = marksOf(plan);
    const boxes = labelBoxes(plan, marks);
    const circles = drillingCircles(marks);
    expect([boxes.length, circles.length]).toEqual([count, count]);
    const nameOf = (index: number) => plan.holes[index]?.name ?? '';
    const struck = boxes.flatMap((box, index) => [
      ...circles.flatMap(({ center, radius }, at) => (fromBox(center, box) <= radius ? [`${nameOf(index)} over the circle of ${nameOf(at)}`] : [])),
      ...boxes.flatMap((other, at) => (at > index && overlap(box, other) ? [`${nameOf(index)} over ${nameOf(at)}`] : [])),
    ]);
    expect(struck).toEqual([]);
    for (const leader of marks.filter(isLine).filter(({ layer }) => layer === 'label')) {
      expect(circles.filter(({ center, radius }) => fromSegment(center, leader) < radius)).toEqual([]);
    }
  });

  test('a label with no room for all of it says less: its name at least, and its drill size where there is room', () => {
    const plan = planOf(wall);
    const labels = marksOf(plan).filter(isText).filter(({ layer }) => layer === 'label');
    expect(labels.flatMap(({ text, size }) => (size === 4 ? [text] : []))).toEqual(plan.holes.map(({ name }) => name));
    const sizes = labels.filter(({ text }) => text.startsWith('drill '));
    expect(sizes.length).toBeGreaterThan(45);
    // Marks are 19 mm across and rows 32 mm apart: four lines, 15.5 mm high, have room only beside the first and the last row.
    expect(labels.filter(({ text }) => text.endsWith('from left edge')).length).toBeLessThanOrEqual(20);
  });

  test.each(['outside', 'inside'])('each lies nearest to its own hole, or a line leads from it to its hole (%s)', (face) => {
    const plan = planOf(crowd(face));
    const marks = marksOf(plan);
    const circles = drillingCircles(marks);
    const leaders = marks.filter(isLine).filter(({ layer }) => layer === 'label');
    const boxes = labelBoxes(plan, marks);
    expect(boxes).toHaveLength(12);
    boxes.forEach((box, index) => {
      const own = circles[index] as Circle;
      const gap = ({ center, radius }: Circle) => fromBox(center, box) - radius;
      const nearest = circles.reduce((a, b) => (gap(b) < gap(a) ? b : a));
      const leads = leaders.some(({ a, b }) => [[a, b], [b, a]].some(([p, q]) => fromBox(p as Point, box) < 1 && Math.abs(apart(q as Point, own.center) - own.radius) < 2));
      expect(nearest === own || leads, `the label of ${plan.holes[index]?.name}`).toBe(true);
    });
  });
});

test('drawing the same plan gives the same marks', () => {
  const plan = planOf(example);
  const first = JSON.stringify(marksOf(plan));
  marksOf(oneHole(77, 'inside'));
  expect(JSON.stringify(marksOf(planOf(example)))).toBe(first);
});

test('hundreds of holes have a label each, none on another\'s circle', () => {
  const holes = Array.from({ length: 300 }, (_, index) => `{name: h${index}, diameter: 20, from-left: ${80 + (index % 20) * 130}, from-top: ${80 + Math.floor(index / 20) * 130}}`);
  const plan = planOf(`
title: Frag grid
units: mm
panel: {material: acrylic, width: 2640, height: 2000, thickness: 6}
holes: [${holes.join(', ')}]
sheets: {paper: 1000 x 1200 mm}`);
  const marks = marksOf(plan);
  const labels = marks.filter(isText).filter(({ layer }) => layer === 'label');
  for (const { name } of plan.holes) expect(labels.filter(({ text }) => text === name)).toHaveLength(1);
  const circles = drillingCircles(marks);
  for (const { at, width, size } of labels) {
    const near = circles.filter(({ center }) => Math.abs(center.x - at.x) < 100 && Math.abs(center.y - at.y) < 60);
    for (const { center, radius } of near) {
      const away = Math.hypot(Math.max(at.x - center.x, 0, center.x - at.x - width), Math.max(at.y - center.y, 0, center.y - at.y - size));
      expect(away).toBeGreaterThan(radius);
    }
  }
});
