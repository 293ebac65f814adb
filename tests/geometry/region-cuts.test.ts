/** A region cut into cells: what is left in each of them together is the region, by the additivity of areas. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { cutsOfBox, makeRegion, type Forbidden } from '../../src/geometry/region.ts';
import { edgesOf, type Point } from '../../src/geometry/shape.ts';

const round = fc.integer({ min: 0, max: 20 }).map((count) => 10 * count);
const outlines: Point[][] = [
  [{ x: 0, y: 0 }, { x: 200, y: 0 }, { x: 200, y: 150 }, { x: 0, y: 150 }],
  [{ x: 0, y: 0 }, { x: 200, y: 0 }, { x: 200, y: 70 }, { x: 100, y: 70 }, { x: 100, y: 150 }, { x: 0, y: 150 }],
];

it('cells of a region, those beside the panel too, have its area together', () => {
  fc.assert(
    fc.property(fc.constantFrom(...outlines), fc.array(fc.tuple(round, round, fc.integer({ min: 2, max: 40 })), { maxLength: 6 }), round, round, (outline, discs, x, y) => {
      const forbidden: Forbidden[] = [
        ...edgesOf(outline).map((edge): Forbidden => ({ core: { kind: 'segment', ...edge }, radius: 10 })),
        ...discs.map(([left, bottom, radius]): Forbidden => ({ core: { kind: 'point', at: { x: left, y: bottom } }, radius })),
        // It sticks out of the panel.
        { core: { kind: 'rect', rect: { left: 150, right: 220, bottom: 50, top: 200 } }, radius: 5 },
      ];
      // Lines at x and y, and far outside the panel on all sides.
      const [across, up] = [[-70, -40, x, 240, 270], [-70, -40, y, 240, 270]];
      const cells = across.slice(1).flatMap((right, i) => up.slice(1).map((top, j) => ({ left: across[i] as number, right, bottom: up[j] as number, top })));
      const whole = makeRegion(outline, forbidden).size;
      const sum = cells.reduce((total, cell) => total + makeRegion(outline, forbidden, cutsOfBox(cell)).size, 0);
      expect(sum).toBeCloseTo(whole, 2);
    }),
    { numRuns: 60 },
  );
});
