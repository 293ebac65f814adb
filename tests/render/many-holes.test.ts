/** A panel with ten thousand holes on some five hundred sheets: laid out whole, against what its spec says. Not timed. */
import { expect, test } from 'vitest';
import { manyHoles } from '../many-holes.mjs';
import { printJig, wordsOf } from '../printed/measure.ts';

const count = 10_000;

/** Holes by place, mm from the left and the bottom edge, as the spec's own words put them: read without the reader under test. */
function holesByPlace(spec: string): Map<string, number> {
  const height = Number(/height: (\d+)/.exec(spec)?.[1]);
  const lines = [...spec.matchAll(/- \{name: plug \d+, (?:diameter: (\d+)|fitting: plug cup), from-left: ([\d.]+), from-top: ([\d.]+)\}/g)];
  return new Map(lines.map(([, diameter = '10', left, top]) => [placeOf(Number(left), height - Number(top)), Number(diameter)]));
}

const placeOf = (x: number, y: number) => `${x.toFixed(1)} ${y.toFixed(1)}`;

test('ten thousand holes: each circle whole on a sheet, all pages there', async () => {
  const spec = manyHoles(count);
  const holes = holesByPlace(spec);
  expect(holes.size).toBe(count);
  const { plan, report, jig, pdf } = await printJig(spec);
  expect(report.verdict).toBe('clear');

  const whole = new Set<string>();
  for (const { groups } of jig.sheets) {
    for (const { marks, shift, clip } of groups) {
      for (const mark of marks) {
        if (mark.kind !== 'circle' || mark.layer !== 'hole' || !clip) continue;
        const [x, y] = [mark.center.x + shift.x, mark.center.y + shift.y];
        const isWhole = x - mark.radius >= clip.left && x + mark.radius <= clip.right && y - mark.radius >= clip.bottom && y + mark.radius <= clip.top;
        const place = placeOf(mark.center.x, mark.center.y);
        if (isWhole && Math.abs((holes.get(place) ?? Infinity) - 2 * mark.radius) < 1e-9) whole.add(place);
      }
    }
  }
  expect([...holes.keys()].filter((place) => !whole.has(place))).toEqual([]);

  // No sheet shows more than its window; how many more than the area asks for is what a division that cuts few holes costs.
  const { window } = jig.layout.format;
  const { left, right, bottom, top } = plan.bounds;
  expect(jig.sheets.length).toBeGreaterThanOrEqual(((right - left) * (top - bottom)) / (window.width * window.height));
  expect(jig.sheets.length).toBeGreaterThan(400);
  expect(jig.sheets.length).toBeLessThan(650);
  expect(new Set(jig.sheets.map(({ name }) => name)).size).toBe(jig.sheets.length);

  expect(pdf.numPages).toBe(jig.front.length + jig.sheets.length);
  for (const number of [1, Math.round(jig.sheets.length / 2), jig.sheets.length]) {
    const words = (await wordsOf({ pdf }, jig.front.length + number)).split('\n');
    expect(words).toContain(`sheet ${number} of ${jig.sheets.length}`);
    expect(words).toContain(jig.sheets[number - 1]?.name);
  }
  await pdf.loadingTask.destroy();
});
