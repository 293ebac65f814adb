/** The drawing of the whole panel on the first page: plain marks in mm, held against plain geometry. */
import { beforeAll, expect, test } from 'vitest';
import { specWords } from '../../src/jig.ts';
import type { Rect } from '../../src/plan/plan.ts';
import { chooseLayout, contentOf } from '../../src/render/layout.ts';
import type { Line, Mark, Text } from '../../src/render/mark.ts';
import { drawOverview } from '../../src/render/overview.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { planOf } from '../printed/measure.ts';

const plan = planOf(`
title: Coral nursery, sump baffle
units: mm
panel: {material: acrylic, width: 280, height: 300, thickness: 6}
holes:
  - {name: siphon, diameter: 54, from-left: 56, from-bottom: 66}
  - {name: weep 1, diameter: 8, from-left: 26, from-bottom: 96}
  - {name: weep 2, diameter: 8, from-left: 83, from-bottom: 96}`);
const box: Rect = { left: 0, right: 180, bottom: 0, top: 150 };

let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(specWords(plan));
});

function marksOf(refused: readonly string[]): Mark[] {
  const layout = chooseLayout(contentOf(plan), plan.sheets);
  if ('problem' in layout) throw new Error(layout.problem);
  return drawOverview(plan, box, layout, setter, { withoutCircle: new Set(refused), areas: [] });
}

test('every refused hole has its name right over its cross, however wide it would have been', () => {
  const names = plan.holes.map(({ name }) => name);
  const marks = marksOf(names);
  const crosses = marks.filter((mark): mark is Line => mark.kind === 'line' && mark.layer === 'hole');
  const centers = crosses.filter((_, index) => index % 2 === 0).map(({ a, b }) => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 }));
  expect(centers).toHaveLength(names.length);
  for (const [index, name] of names.entries()) {
    const words = marks.find((mark): mark is Text => mark.kind === 'text' && mark.text === name) ?? expect.fail(`${name} has no name`);
    const at = centers[index] ?? expect.fail();
    expect(words.at.x).toBeCloseTo(at.x, 6);
    expect(words.at.y - at.y).toBeGreaterThan(1.5);
    expect(words.at.y - at.y).toBeLessThan(4);
  }
});
