/**
 * Tie lines, patches and far-face jigs on the finished PDF, as pdfjs-dist (Mozilla's PDF renderer) reads it: strokes and
 * words are found on the pages, sheets are put together by their alignment marks, and distances are compared with the
 * printed words and with the spec.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Point } from '../../src/plan/plan.ts';
import { circlesOf, isWithin, pageOf, printJig, vectorsOf, windowOf, wordsAt, wordsOf, type PlacedWords, type Printed, type VectorPath } from './measure.ts';

/** What a distance on paper may differ from the words or the spec, mm. */
const close = 0.05;

const example = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

const longWall = (face: string, liesOn = 'drilled-face') => `
title: Quarantine rack, long wall
units: mm
panel: {material: acrylic, width: 1300, height: 620, thickness: 8, drilled-from: ${face}}
holes:
  - {name: drain, diameter: 60, from-left: 640, from-bottom: 300}
  - {name: return, diameter: 40, from-right: 90, from-top: 300}
  - {name: feed, diameter: 30, from-left: 300, from-top: 45}
sheets: {paper: A4, lies-on: ${liesOn}}`;

const pumpWall = (face: string) => `
title: Pump cabinet, wall with a notch
units: in
panel:
  material: acrylic
  outline: [[0, 0], [60, 0], [60, 32], [36, 32], [36, 26], [24, 26], [24, 32], [0, 32]]
  thickness: 1/2
  drilled-from: ${face}
holes:
  - {name: drain, diameter: 3, from-left: 40, from-bottom: 13}
  - {name: probe, diameter: 5/8, from-left: 3, from-bottom: 16}
sheets: {paper: Letter}`;

const specs: readonly (readonly [string, string])[] = [
  ['the example on A4', example('quarantine-end-panel')],
  ['the example on Letter, from inside', example('pump-cabinet-sump')],
  ['a long wall from outside, in mm', longWall('outside')],
  ['a long wall from inside, in mm', longWall('inside')],
  ['a notched wall from outside, in inches', pumpWall('outside')],
  ['a notched wall from inside, in inches', pumpWall('inside')],
];

const apart = (p: Point, q: Point) => Math.hypot(p.x - q.x, p.y - q.y);
const plus = (p: Point, q: Point) => ({ x: p.x + q.x, y: p.y + q.y });
const minus = (p: Point, q: Point) => ({ x: p.x - q.x, y: p.y - q.y });

/** Middles of the marks that stand on their tip: closed chains of four straight pieces, whole in the window. */
function alignmentMarks(paths: readonly VectorPath[]): Point[] {
  return paths.flatMap(({ points, curves, isClosed, isStroked, clip }) => {
    if (points.length !== 4 || curves.length > 0 || !isClosed || !isStroked) return [];
    const [p, q, r, s] = points as unknown as readonly [Point, Point, Point, Point];
    const half = Math.abs(p.x - r.x) / 2;
    const isOnTip = Math.abs(p.y - r.y) < 0.01 && Math.abs(q.x - s.x) < 0.01 && half > 0.5 && half < 10;
    const middle = { x: (p.x + r.x) / 2, y: (q.y + s.y) / 2 };
    return isOnTip && (!clip || isWithin(middle, clip, half)) ? [middle] : [];
  });
}

/** Middles of crosses: a level and an upright stroke of 10 mm with one middle. */
function crossesOf(paths: readonly VectorPath[]): Point[] {
  const strokes = paths.filter(({ points, curves, isDashed, isStroked }) => points.length === 2 && curves.length === 0 && isStroked && !isDashed && Math.abs(apart(points[0] as Point, points[1] as Point) - 10) < 0.01);
  const middles = strokes.map(({ points: [a, b] }) => ({ x: ((a as Point).x + (b as Point).x) / 2, y: ((a as Point).y + (b as Point).y) / 2, isLevel: Math.abs((a as Point).y - (b as Point).y) < 0.01 }));
  return middles.filter((one) => one.isLevel && middles.some((other) => !other.isLevel && apart(one, other) < 0.01)).map(({ x, y }) => ({ x, y }));
}

/** Millimetres that words say, as printed: "812 mm (…)" or "32 in (812.8 mm)". */
const millimetresIn = (words: string) => Number(/([\d.]+) mm/.exec(words)?.[1]);

interface Sheet {
  readonly name: string;
  readonly marks: readonly Point[];
  readonly crosses: readonly Point[];
  readonly words: readonly PlacedWords[];
  readonly joins: readonly string[];
}

async function sheetsOf(print: Printed): Promise<Sheet[]> {
  return Promise.all(print.jig.sheets.map(async ({ name }) => {
    const page = pageOf(print, name);
    const [paths, words] = [await vectorsOf(print, page), await wordsAt(print, page)];
    const window = windowOf(print, name);
    const joins = /joins ([A-Z0-9, ]+)/.exec(words.map(({ text }) => text).join('\n'))?.[1]?.split(', ') ?? [];
    return { name, marks: alignmentMarks(paths), crosses: crossesOf(paths).filter((p) => isWithin(p, window)), words: words.filter(({ at }) => isWithin(at, window)), joins };
  }));
}

/** Where each sheet's page lies on the first one's, laid over their neighbours by the marks of the shared strip. */
function assembled(print: Printed, sheets: readonly Sheet[]): Map<string, Point> {
  const { overlap } = print.plan.sheets;
  const placed = new Map<string, Point>([[(sheets[0] as Sheet).name, { x: 0, y: 0 }]]);
  for (const [name, start] of placed) {
    const sheet = sheets.find((one) => one.name === name) as Sheet;
    for (const other of sheets.filter((one) => sheet.joins.includes(one.name) && !placed.has(one.name))) {
      const [mine, theirs] = [windowOf(print, name), windowOf(print, other.name)];
      // Neighbours share a strip as wide as the overlap; sheets come run by run from the top left, so a later one lies on the right or below.
      const isLater = sheets.indexOf(other) > sheets.indexOf(sheet);
      const steps = ({ x, y }: Point) => (isLater ? [x - (mine.right - mine.left - overlap), y + (mine.top - mine.bottom - overlap)] : [x + (theirs.right - theirs.left - overlap), y - (theirs.top - theirs.bottom - overlap)]);
      const isNeighbour = (shift: Point) => steps(shift).some((off) => Math.abs(off) < 0.02);
      let best = { shift: { x: NaN, y: NaN }, met: 0 };
      for (const mark of sheet.marks) {
        for (const twin of other.marks) {
          const shift = minus(mark, twin);
          const met = isNeighbour(shift) ? other.marks.filter((one) => sheet.marks.some((at) => apart(at, plus(one, shift)) < 0.01)).length : 0;
          if (met > best.met) best = { shift, met };
        }
      }
      if (best.met > 0) placed.set(other.name, plus(start, best.shift));
    }
  }
  return placed;
}

describe.each(specs)('%s', (_name, spec) => {
  test('tie lines measure over the assembled sheets what is printed beside their crosses', async () => {
    const print = await printJig(spec);
    const sheets = await sheetsOf(print);
    const placed = assembled(print, sheets);
    expect(placed.size).toBe(sheets.length);
    const ends = sheets.flatMap(({ name, crosses, words }) => words.flatMap(({ text, at }) => {
      const number = /^tie line (\d): /.exec(text)?.[1];
      if (number === undefined) return [];
      const cross = [...crosses].sort((p, q) => apart(p, at) - apart(q, at))[0] as Point;
      return [{ number, name, cross, length: millimetresIn(text) }];
    }));
    // Words in an overlap are printed on two sheets.
    for (const number of ['1', '2']) {
      const own = ends.filter((end) => end.number === number);
      const places = own.map(({ name, cross }) => plus(cross, placed.get(name) as Point));
      const first = places[0] as Point;
      const far = places.filter((place) => apart(place, first) > 1);
      expect(far.length, `tie line ${number}`).toBeGreaterThan(0);
      for (const place of far) expect(Math.abs(apart(place, first) - (own[0] as { length: number }).length)).toBeLessThan(close);
    }
  });

  test('on patches, the way from a hole to a cross and the printed length make the hole\'s distance by the spec', async () => {
    const print = await printJig(spec, { isPatches: true });
    const { plan } = print;
    const inside = plan.face === 'inside';
    const [left, right, bottom, top] = [Math.min(...plan.panel.outline.map(({ x }) => x)), Math.max(...plan.panel.outline.map(({ x }) => x)), Math.min(...plan.panel.outline.map(({ y }) => y)), Math.max(...plan.panel.outline.map(({ y }) => y))];
    let measured = 0;
    for (const patch of print.jig.patches ?? []) {
      const page = pageOf(print, patch.cell.name);
      const [paths, words] = [await vectorsOf(print, page), await wordsAt(print, page)];
      const window = windowOf(print, patch.cell.name);
      const crosses = crossesOf(paths).filter((p) => isWithin(p, window));
      const circles = circlesOf(paths.filter(({ isDashed }) => !isDashed));
      for (const hole of patch.holes) {
        const found = circles.filter(({ radius }) => Math.abs(radius - hole.diameter / 2) < 0.01);
        // Holes of one size on one patch are told apart by their places to each other.
        if (found.length !== 1) continue;
        const [{ center }] = found as [(typeof found)[number]];
        for (const { text, at } of words.filter((one) => /^to (the )?/.test(one.text) && isWithin(one.at, window))) {
          const cross = [...crosses].sort((p, q) => apart(p, at) - apart(q, at))[0] as Point;
          const length = millimetresIn((words.filter((one) => one !== undefined && / (mm|in) \(/.test(one.text)).sort((p, q) => apart(p.at, at) - apart(q.at, at))[0] as PlacedWords).text);
          const side = /(left|right|top|bottom) edge/.exec(text)?.[1];
          if (side === undefined) continue;
          const edge = plan.panel.edges.find(({ name }) => name === `${side} edge`);
          const strip = text.includes('inner face') ? 25.4 * 0.375 : text.includes('rim line') ? edge?.rim ?? NaN : 0;
          // Where the cross lies from the hole, towards the edge; left and right change places inside.
          const [dx, dy] = [(cross.x - center.x) * (inside ? -1 : 1), cross.y - center.y];
          const distance = { left: length + strip - dx, right: length + strip + dx, bottom: length + strip - dy, top: length + strip + dy }[side as 'left'];
          const meant = { left: hole.center.x - left, right: right - hole.center.x, bottom: hole.center.y - bottom, top: top - hole.center.y }[side as 'left'];
          // Printed millimetres are rounded to 0.1 where the tape reads inches.
          expect(Math.abs(distance - meant), `${hole.name}: ${length} ${text}`).toBeLessThan(close + (plan.units === 'in' ? 0.05 : 0));
          measured += 1;
        }
      }
    }
    expect(measured).toBe((print.jig.patches ?? []).flatMap((patch) => patch.measured.filter(({ from }) => /(left|right|top|bottom) edge/.test(from)).flatMap(() => patch.holes)).length);
  });
});

describe('a jig for the far face', () => {
  test.each(['outside', 'inside'])('drilled from %s: is drawn as for the drilled face; its words name both faces', async (face) => {
    const [near, far] = [await printJig(longWall(face)), await printJig(longWall(face, 'far-face'))];
    expect(far.jig.sheets.map(({ name }) => name)).toEqual(near.jig.sheets.map(({ name }) => name));
    const other = face === 'outside' ? 'inside' : 'outside';
    for (const { name } of near.jig.sheets) {
      const window = windowOf(near, name);
      const strokes = async (print: Printed) => (await vectorsOf(print, pageOf(print, name))).filter(({ isStroked, points }) => isStroked && points.some((p) => isWithin(p, window)));
      expect(await strokes(far)).toEqual(await strokes(near));
      const words = (await wordsOf(far, pageOf(far, name))).replaceAll('\n', ' ');
      expect(words).toContain(`Lies on the ${other.toUpperCase()} face`);
      expect(words).toContain(`from the ${face.toUpperCase()} face`);
      expect((await wordsOf(near, pageOf(near, name))).replaceAll('\n', ' ')).toContain(`Lies on the ${face.toUpperCase()} face, print towards you`);
    }
    const front = (await Promise.all(far.jig.front.map((_, index) => wordsOf(far, index + 1)))).join(' ').replaceAll('\n', ' ');
    expect(front).toContain(`to the ${other} face of the clear panel`);
    expect(front).toContain(`through the panel from the ${face} face`);
  });
});
