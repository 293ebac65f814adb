/**
 * Areas of lines and arcs as they are written, against plain geometry: the circles that the arcs lie on, and the distances
 * that points of the area keep. The PDF is read by pdf.js (Mozilla's PDF renderer), paths are filled by Skia, arcs of the
 * SVG are turned back into circles as its specification says. All lengths in mm.
 */
import { Path2D, createCanvas } from '@napi-rs/canvas';
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Point, Rect } from '../../src/plan/plan.ts';
import { areaMarks, areaStyles, type AllowedArea } from '../../src/render/area.ts';
import { arcSteps, outermost, placedLoops, shownChains, turnOf, type Arc, type Loop, type Piece } from '../../src/render/arc.ts';
import { area, markBounds, path, type Mark } from '../../src/render/mark.ts';
import { writePdf } from '../../src/render/pdf.ts';
import { writeSvg } from '../../src/render/svg.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { onCurve, openPdf, vectorsOf, type Printed, type VectorPath } from '../printed/measure.ts';
import { pictureOfSvg, renderers as svgRenderers, written } from '../printed/whole.ts';
import { renderers } from '../printed/renderers.ts';

/** What an arc may be off on paper. */
const tolerance = 0.001;
const [width, height] = [1300, 900];
/** Distances that the area keeps: from the edges, from each tip of a corner, from the middle of a hole. */
const keep = { edge: 60, corner: 150.25, hole: 400.125 } as const;
const hole: Point = { x: 640, y: 450 };
const corners: readonly Point[] = [{ x: 0, y: 0 }, { x: width, y: 0 }, { x: width, y: height }, { x: 0, y: height }];

const straight = (from: Point, to: Point, isCut = false): Piece => ({ kind: 'line', from, to, ...(isCut ? { isCut } : {}) });
const arc = (from: Point, to: Point, center: Point): Arc => ({ kind: 'arc', from, to, center, radius: Math.hypot(from.x - center.x, from.y - center.y) });

/** The area by Pythagoras: an inset rectangle with its corners bitten off, parted in two by a disc that reaches beyond it above and below. */
const region: readonly Loop[] = (() => {
  const { edge } = keep;
  const [right, top] = [width - edge, height - edge];
  const beside = Math.sqrt(keep.corner ** 2 - edge ** 2);
  const half = Math.sqrt(keep.hole ** 2 - (height / 2 - edge) ** 2);
  const at = (x: number, y: number): Point => ({ x, y });
  const [lowLeft, lowRight, highRight, highLeft] = [at(hole.x - half, edge), at(hole.x + half, edge), at(hole.x + half, top), at(hole.x - half, top)];
  const [cornerA, cornerB, cornerC, cornerD] = corners as [Point, Point, Point, Point];
  return [
    [straight(lowRight, at(width - beside, edge)), arc(at(width - beside, edge), at(right, beside), cornerB), straight(at(right, beside), at(right, height - beside)), arc(at(right, height - beside), at(width - beside, top), cornerC), straight(at(width - beside, top), highRight), arc(highRight, lowRight, hole)],
    [straight(at(beside, edge), lowLeft), arc(lowLeft, highLeft, hole), straight(highLeft, at(beside, top)), arc(at(beside, top), at(edge, height - beside), cornerD), straight(at(edge, height - beside), at(edge, beside)), arc(at(edge, beside), at(beside, edge), cornerA)],
  ];
})();

const away = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);
/** How far inside the area a point is; negative outside it. */
const depth = (p: Point) => Math.min(p.x - keep.edge, width - keep.edge - p.x, p.y - keep.edge, height - keep.edge - p.y, ...corners.map((corner) => away(p, corner) - keep.corner), away(p, hole) - keep.hole);

const arcsOf = (loops: readonly Loop[]) => loops.flat().filter((piece): piece is Arc => piece.kind === 'arc');
const pen = { width: 0.2, gray: 0 };
const box: Rect = { left: 0, bottom: 0, right: width, top: height };
let setter: Typesetter;
beforeAll(async () => {
  setter = await loadWide(['a']);
});

const svgOf = (marks: readonly Mark[], shown = box) => written(writeSvg(marks, shown, { title: 'x', description: 'y' }, setter));
const pdfOf = (marks: readonly Mark[], size = { width, height }) => writePdf([{ name: 'x', ...size, groups: [{ marks, shift: { x: 0, y: 0 } }] }], { title: 'x', fingerprint: '0' }, setter);
async function vectors(marks: readonly Mark[]): Promise<VectorPath[]> {
  return vectorsOf({ pdf: await openPdf(await pdfOf(marks)) } as Printed, 1);
}

/** The data of all paths of a file. */
const dataOf = (svg: string) => [...svg.matchAll(/<path d="([^"]*)"/g)].map(([, data = '']) => data);

interface FoundArc {
  readonly center: Point;
  readonly points: readonly Point[];
}

/**
 * The arcs of path data, y upwards: center and angles from the ends as in SVG 1.1 (second edition), appendix F.6.5, for
 * circles; a dozen points of each.
 */
function arcsIn(data: string): FoundArc[] {
  const found: FoundArc[] = [];
  let at: Point = { x: 0, y: 0 };
  for (const [, letter, rest = ''] of data.matchAll(/([MLAZ])([^MLAZ]*)/g)) {
    const numbers = rest.trim().split(/\s+/).map(Number);
    if (letter === 'Z') continue;
    const to = { x: numbers[numbers.length - 2] as number, y: numbers[numbers.length - 1] as number };
    if (letter === 'A') {
      const [radius = 0, other, , isLarge, isSweep] = numbers;
      expect(radius).toBe(other);
      const [hx, hy] = [(at.x - to.x) / 2, (at.y - to.y) / 2];
      const root = Math.sqrt(Math.max(0, (radius ** 2 - hx ** 2 - hy ** 2) / (hx ** 2 + hy ** 2))) * (isLarge === isSweep ? -1 : 1);
      const center = { x: root * hy + (at.x + to.x) / 2, y: -root * hx + (at.y + to.y) / 2 };
      const [first, last] = [Math.atan2(at.y - center.y, at.x - center.x), Math.atan2(to.y - center.y, to.x - center.x)];
      const turn = (last - first + (isSweep && last < first ? 2 * Math.PI : 0)) - (!isSweep && last > first ? 2 * Math.PI : 0);
      const points = Array.from({ length: 12 }, (_, index) => first + (turn * index) / 11).map((angle) => ({ x: center.x + radius * Math.cos(angle), y: height - center.y - radius * Math.sin(angle) }));
      found.push({ center: { x: center.x, y: height - center.y }, points });
    }
    at = to;
  }
  return found;
}

/** Arcs of any kind: half and nearly whole circles, short ones and whole ones. */
const anyArc = fc.tuple(fc.double({ min: 0.5, max: 2000, noNaN: true }), fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }), fc.oneof(fc.double({ min: 1e-3, max: 2 * Math.PI - 1e-3, noNaN: true }), fc.constantFrom(Math.PI / 2, Math.PI, Math.PI + 1e-9, Math.PI - 1e-9, 1.5 * Math.PI, 2 * Math.PI)), fc.double({ min: -3000, max: 3000, noNaN: true })).map(([radius, first, turn, x]): { arc: Arc; turn: number } => {
  const center = { x, y: 0.7 * x + 11 };
  const at = (angle: number) => ({ x: center.x + radius * Math.cos(angle), y: center.y + radius * Math.sin(angle) });
  const from = at(first);
  return { turn, arc: { kind: 'arc', from, to: turn === 2 * Math.PI ? from : at(first - turn), center, radius } };
});

describe('arcs', () => {
  test('turn clockwise, a whole circle where they end where they begin, and not at all where their ends are one but for rounding', () => {
    fc.assert(fc.property(anyArc, ({ arc: one, turn }) => {
      expect(turnOf(one)).toBeCloseTo(turn, 6);
    }));
    expect(turnOf({ kind: 'arc', center: { x: 0, y: 0 }, radius: 50, from: { x: 50, y: 0 }, to: { x: 50, y: 1e-12 } })).toBe(0);
  });

  test('in the PDF lie on their circles', async () => {
    const samples = fc.sample(anyArc, { numRuns: 200, seed: 41 }).map((one) => one.arc);
    const drawn = await vectors(samples.map((one) => area('area', [[one]], pen)));
    expect(drawn.length).toBe(samples.length);
    for (const [index, { curves }] of drawn.entries()) {
      const { center, radius, to } = samples[index] as Arc;
      const worst = Math.max(...curves.flatMap((curve) => Array.from({ length: 21 }, (_, step) => Math.abs(away(onCurve(curve, step / 20), center) - radius))));
      // Rounding to 0.0001 mm, what pdf.js loses in its 32-bit numbers, and 5e-7 of the radius for the curve itself.
      expect(worst, `radius ${radius}`).toBeLessThan(0.0005 + 5e-7 * radius);
      expect(away((curves.at(-1) as VectorPath['curves'][number])[3], to)).toBeLessThan(0.001);
    }
  });

  test('in the SVG lie on their circles, half circles too', () => {
    fc.assert(fc.property(anyArc, ({ arc: one, turn }) => {
      const found = dataOf(svgOf([area('area', [[one]], pen)])).flatMap(arcsIn);
      const steps = found.reduce((sum, { points }) => sum + points.slice(1).reduce((way, p, index) => way + away(p, points[index] as Point), 0), 0);
      // Chords of elevenths of a quarter turn are short of the arc by less than a thousandth.
      expect(steps / one.radius).toBeGreaterThan(turn * 0.999 - 1e-3);
      expect(steps / one.radius).toBeLessThan(turn + 1e-3);
      for (const { points } of found) for (const p of points) expect(Math.abs(away(p, one.center) - one.radius)).toBeLessThan(tolerance / 2);
    }), { numRuns: 300 });
  });

  test('of outlines reach no further than their box says, and touch it', () => {
    fc.assert(fc.property(anyArc, ({ arc: one }) => {
      const points = arcSteps(one, 0.01).map(({ to }) => to);
      const { left, right, bottom, top } = markBounds(area('area', [[one, straight(one.to, one.from)]], null, 0.9));
      for (const { x, y } of points) expect([x > left - 1e-6, x < right + 1e-6, y > bottom - 1e-6, y < top + 1e-6]).toEqual([true, true, true, true]);
      const all = [...points, one.from];
      const slack = one.radius * 2e-5 + 1e-6;
      expect([Math.min(...all.map(({ x }) => x)) - left, right - Math.max(...all.map(({ x }) => x)), Math.min(...all.map(({ y }) => y)) - bottom, top - Math.max(...all.map(({ y }) => y))].every((gap) => gap < slack)).toBe(true);
    }));
  });
});

describe('an area', () => {
  test('is drawn with the arcs of its region', async () => {
    const centers = [...corners, hole];
    const inSvg = dataOf(svgOf([area('area', region, null, 0.9)])).flatMap(arcsIn);
    const inPdf = (await vectors([area('area', region, null, 0.9)])).flatMap(({ curves }) => curves);
    expect(inPdf.length).toBeGreaterThan(arcsOf(region).length);
    const points = [...inSvg.flatMap((one) => one.points), ...inPdf.flatMap((curve) => Array.from({ length: 21 }, (_, step) => onCurve(curve, step / 20)))];
    for (const p of points) expect(Math.min(...centers.map((center) => Math.abs(away(p, center) - (center === hole ? keep.hole : keep.corner)))), JSON.stringify(p)).toBeLessThan(tolerance / 2);
  });

  test.each([['as it is', false], ['mirrored', true]])('holds the points that keep their distances, %s', (_, isMirrored) => {
    const scale = 0.5;
    const place = ({ x, y }: Point) => ({ x: (isMirrored ? width - x : x) * scale, y: y * scale });
    const loops = placedLoops(region, place, scale, isMirrored);
    const [data = ''] = dataOf(svgOf([area('area', loops, null, 0.9)]));
    const context = createCanvas(10, 10).getContext('2d');
    const filled = new Path2D(data);
    const anyPoint = fc.record({ x: fc.double({ min: -10, max: width + 10, noNaN: true }), y: fc.double({ min: -10, max: height + 10, noNaN: true }) }).filter((p) => Math.abs(depth(p)) > 0.01);
    fc.assert(fc.property(anyPoint, (p) => {
      const { x, y } = place(p);
      expect(context.isPointInPath(filled, x, height - y, 'nonzero')).toBe(depth(p) > 0);
    }), { numRuns: 500 });
    // Arcs still run clockwise: those that bite off corners turn by less than a half.
    for (const one of arcsOf(loops)) expect(turnOf(one)).toBeLessThan(Math.PI);
    expect(outermost(loops).every(({ x, y }) => x >= keep.edge * scale - 1e-9 && x <= (width - keep.edge) * scale + 1e-9 && y >= keep.edge * scale - 1e-9 && y <= (height - keep.edge) * scale + 1e-9)).toBe(true);
  });

  test('leaves an island out, however many areas are filled at once', () => {
    const start = { x: 90, y: 50 };
    const square = (left: number): Loop => [{ x: left, y: 0 }, { x: left + 100, y: 0 }, { x: left + 100, y: 100 }, { x: left, y: 100 }].map((from, index, all) => straight(from, all[(index + 1) % 4] as Point));
    const [data = ''] = dataOf(svgOf([area('area', [square(0), [arc(start, start, { x: 50, y: 50 })]], null, 0.9), area('area', [square(100)], null, 0.9)]));
    const context = createCanvas(10, 10).getContext('2d');
    const holds = (x: number, y: number) => context.isPointInPath(new Path2D(data), x, height - y, 'nonzero');
    expect([holds(50, 50), holds(89, 50), holds(91, 50), holds(100, 50), holds(150, 50), holds(201, 50)]).toEqual([false, false, true, true, true, false]);
  });
});

describe('where the areas of two holes meet', () => {
  // The border between them runs slantwise, so that no renderer can put it between two rows of pixels.
  const [a, b, low, high]: readonly Point[] = [{ x: 20, y: 20 }, { x: 180, y: 30 }, { x: 96.37, y: 20.11 }, { x: 83.71, y: 101.3 }];
  const [one, other] = [[a, low, high], [low, b, high]].map((loop) => loop as Point[]) as [Point[], Point[]];
  const closed = (loop: readonly Point[]): Loop => loop.map((from, index) => {
    const to = loop[(index + 1) % loop.length] as Point;
    return straight(from, to, (from === low || from === high) && (to === low || to === high));
  });
  const areas: AllowedArea[] = [one, other].map((loop) => ({ minimum: [closed(loop)], good: [] }));
  const marks = areaMarks(areas, areaStyles.overview, (p) => p, 1, false);
  const sheet = { width: 200, height: 120 };
  const along = (share: number) => ({ x: (low as Point).x + share * ((high as Point).x - (low as Point).x), y: (low as Point).y + share * ((high as Point).y - (low as Point).y) });
  /** Grays along a short way across the border, from white 255. */
  const isEven = ({ gray, width: columns, corner, pixel }: { gray: Uint8Array; width: number; corner: Point; pixel: number }) => {
    for (let share = 0.1; share < 0.9; share += 0.013) {
      for (let off = -0.5; off <= 0.5; off += 0.05) {
        const { x, y } = along(share);
        const at = Math.floor((corner.y - y) / pixel) * columns + Math.floor((x + off - corner.x) / pixel);
        const shade = gray[at] as number;
        if (Math.abs(shade - areaStyles.overview.minimum.fill * 255) > 1.5) return `${shade} at ${x + off}, ${y}`;
      }
    }
    return 'even';
  };

  test.each(renderers.map((renderer) => [renderer.name, renderer] as const))('no seam shows in the PDF (%s)', async (_, renderer) => {
    const reading = await renderer.open(await pdfOf(marks, sheet));
    for (const dpi of [72, 110, 300]) expect(isEven(await reading.picture(1, dpi))).toBe('even');
    await reading.close();
  });

  test.each(Object.entries(svgRenderers))('no seam shows in the SVG (%s)', async (_, draw) => {
    const svg = svgOf(marks, { left: 0, bottom: 0, right: sheet.width, top: sheet.height });
    for (const dpi of [72, 110, 300]) {
      const picture = await pictureOfSvg(svg, draw, dpi, { left: 0, right: sheet.width, bottom: -sheet.height, top: 0 });
      expect(isEven({ ...picture, corner: { x: picture.corner.x, y: picture.corner.y + sheet.height } })).toBe('even');
    }
  });

  test('a seam would be seen if they were filled one by one', async () => {
    const apart = marks.flatMap((mark): Mark[] => [mark, path('panel', [{ x: 1, y: 1 }, { x: 2, y: 1 }], pen, null, false)]);
    const reading = await (renderers[0] as (typeof renderers)[number]).open(await pdfOf(apart, sheet));
    expect(isEven(await reading.picture(1, 110))).not.toBe('even');
    await reading.close();
  });

  test('no line is drawn along their border, and one along all the rest', () => {
    const chains = areas.flatMap(({ minimum }) => shownChains(minimum));
    expect(chains.map(({ pieces, isClosed }) => [isClosed, pieces.length])).toEqual([[false, 2], [false, 2]]);
    for (const { pieces } of chains) {
      expect([low, high]).toContain(pieces[0]?.from);
      expect([low, high]).toContain(pieces.at(-1)?.to);
      expect(pieces[0]?.to).toBe(pieces[1]?.from);
    }
    expect(shownChains([closed([a, b, high] as Point[])]).map(({ isClosed }) => isClosed)).toEqual([true]);
  });
});
