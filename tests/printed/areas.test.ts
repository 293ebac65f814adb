/**
 * Shaded areas as printed, against the check itself: the hole that is nearest to a place is moved there, and what the
 * check then says of it must be the shade of the place. The PDF is drawn by pdf.js (Mozilla's PDF renderer), the SVG by
 * Skia. All lengths in mm.
 */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { mostShown } from '../../src/areas.ts';
import { check } from '../../src/geometry/check.ts';
import { worst, type Rule, type Verdict } from '../../src/geometry/finding.ts';
import { jigDrawing, jigPages } from '../../src/jig.ts';
import type { Plan, Point, Rect } from '../../src/plan/plan.ts';
import { areaStyles, type AreaStyle } from '../../src/render/area.ts';
import type { Page } from '../../src/render/sheet.ts';
import { loadWide } from '../fonts.ts';
import { boxOf, expectedOn, isWithin, pageOf, pictureOf, printJig, vectorsOf, windowOf, wordsOf, type Picture, type Printed } from './measure.ts';
import { isInside } from '../render/random-panels.ts';
import { pictureOfSvg, renderers, sizeOf, written } from './whole.ts';

const template = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');

const hatchery = `
title: Snail hatchery, drain wall
units: mm
panel: {material: annealed glass, width: 420, height: 300, thickness: 8}
holes: [{name: drain, diameter: 45, from-left: 130, from-top: 110}]
sheets: {paper: A4}`;

const nursery = `
title: Coral nursery, back wall
units: mm
panel:
  material: annealed glass
  width: 600
  height: 380
  thickness: 10
  rim: {top: 20, right: 0, bottom: 20, left: 0}
  joints: {bottom: {panel: 10, sealant: 4}, left: {panel: 10, sealant: 4}, right: {panel: 10, sealant: 4}}
  keep-clear: [{name: heater bracket, from-right: 60, from-bottom: 60, width: 90, height: 120}]
holes:
  - {name: drain, fitting: bulkhead 1 in, from-left: 130, from-top: 110}
  - {name: spare drain, fitting: bulkhead 1 in, from-left: 260, from-top: 110}
  - {name: return, fitting: bulkhead 3/4 in, from-right: 120, from-top: 95}
sheets: {paper: A4}`;

/** A concave outline with rim and joints, drilled from the inside. */
const stepped = `
title: Frag shelf tank, stepped wall
units: mm
panel:
  material: acrylic
  thickness: 10
  drilled-from: inside
  measured-from: rim
  rim: {top: 15, left: 0, right: 10, bottom: 0}
  joints: {bottom: {panel: 10, sealant: 3}, left: 10}
  outline: [[0, 0], [520, 0], [520, 180], [330, 180], [330, 360], [0, 360]]
fittings: {inlet: {hole: [44, 46], flange: 66, nut: 60}}
holes:
  - {name: inlet, fitting: inlet, from-left: 95, from-top: 95}
  - {name: probe, diameter: 16, from-right: 90, from-bottom: 60}
  - {name: air, diameter: 20, from-left: 260, from-bottom: 150}
sheets: {paper: A4, orientation: landscape}`;

const refused = `
title: Quarantine rack, first plan
units: mm
panel: {material: annealed glass, width: 300, height: 200, thickness: 8}
holes:
  - {name: sound, diameter: 40, from-left: 110, from-top: 120}
  - {name: at the edge, diameter: 30, from-left: 30, from-top: 60}
sheets: {paper: A4}`;

/** Rules that a place keeps or breaks. */
const ofPlace: readonly Rule[] = ['to-edge', 'to-corner', 'between-holes', 'part-to-edge', 'part-to-rim', 'part-to-joint', 'part-to-keep-clear', 'between-parts', 'part-to-box'];

/** What the check says of the nearest hole at that place, and which hole that is. */
function verdictAt({ panel, holes }: Plan, p: Point): { name: string; verdict: Verdict } {
  const away = ({ center }: { center: Point }) => Math.hypot(center.x - p.x, center.y - p.y);
  const { name } = holes.reduce((best, hole) => (away(hole) < away(best) ? hole : best));
  const findings = check(panel, holes.map((hole) => (hole.name === name ? { ...hole, center: p } : hole)));
  return { name, verdict: worst(findings.filter((finding) => finding.hole === name && ofPlace.includes(finding.rule)).map((finding) => finding.verdict)) };
}

/** How far from a border of shades a place must be for them to be compared, mm: a line and a pixel of the overview are so wide. */
const room = 1.5;

/** The same, where it is the same all round the place; undefined near a border. Nothing may be drilled beyond the panel. */
function settledAt(plan: Plan, p: Point): Verdict | undefined {
  const around = [p, { x: p.x - room, y: p.y }, { x: p.x + room, y: p.y }, { x: p.x, y: p.y - room }, { x: p.x, y: p.y + room }];
  const within = around.filter((one) => isInside(one, plan.panel.outline));
  if (within.length < around.length) return within.length === 0 ? 'refused' : undefined;
  const [first, ...others] = around.map((one) => verdictAt(plan, one));
  return others.every(({ name, verdict }) => name === first?.name && verdict === first.verdict) ? first?.verdict : undefined;
}

/** The places of a panel that are compared, on a grid, and what the check says there. */
function* settledPlaces(plan: Plan): Generator<{ readonly at: Point; readonly verdict: Verdict }> {
  const step = 6.1;
  for (let x = plan.bounds.left + 0.3; x < plan.bounds.right; x += step) {
    for (let y = plan.bounds.bottom + 0.4; y < plan.bounds.top; y += step) {
      const verdict = settledAt(plan, { x, y });
      if (verdict) yield { at: { x, y }, verdict };
    }
  }
}

/** The shade of a place on a picture, if nothing else is drawn there: all pixels round it have it. */
function shadeAt({ gray, width, height, corner, pixel }: Picture, { x, y }: Point, style: AreaStyle): Verdict | undefined {
  const [column, row] = [Math.floor((x - corner.x) / pixel), Math.floor((corner.y - y) / pixel)];
  if (column < 1 || row < 1 || column >= width - 1 || row >= height - 1) return undefined;
  const seen = gray[row * width + column] as number;
  for (const down of [-1, 0, 1]) for (const right of [-1, 0, 1]) if (gray[(row + down) * width + column + right] !== seen) return undefined;
  const shades: readonly (readonly [Verdict, number])[] = [['refused', 1], ['tight', style.minimum.fill], ['clear', style.good.fill]];
  return shades.find(([, shade]) => Math.abs(shade * 255 - seen) <= 1)?.[0];
}

/** What white is painted on behind words, mm of the page. */
const whitesOf = (page: Page): Rect[] => page.groups.flatMap(({ marks, shift }) => marks.flatMap((mark) => (mark.kind === 'path' && mark.fill === 1 ? [boxOf(mark.points.map(({ x, y }) => ({ x: x + shift.x, y: y + shift.y })))] : [])));

type Places = ReturnType<typeof placesOf>;
const placesOf = (plan: Plan) => [...settledPlaces(plan)];

/** Holds the shades of a picture inside a box against the check; how often each was seen. */
function compare(places: Places, picture: Picture, place: (p: Point) => Point, style: AreaStyle, box: Rect, whites: readonly Rect[] = []): Record<Verdict, number> {
  const seen = { clear: 0, tight: 0, refused: 0 };
  for (const { at: { x, y }, verdict } of places) {
    const on = place({ x, y });
    if (!isWithin(on, box, 0.5) || whites.some((white) => isWithin(on, white, -0.3))) continue;
    const shade = shadeAt(picture, on, style);
    if (!shade) continue;
    expect(`${shade} at ${x}, ${y}`).toBe(`${verdict} at ${x}, ${y}`);
    seen[shade] += 1;
  }
  return seen;
}

/** Where the overview puts points of the plan, by the outline that it draws: the largest closed shape that is stroked with a full line. */
async function overviewOf(printed: Printed): Promise<{ place: (p: Point) => Point; box: Rect }> {
  const { plan } = printed;
  const boxes = (await vectorsOf(printed, 1)).filter(({ isClosed, isStroked, isDashed }) => isClosed && isStroked && !isDashed).map(({ points }) => boxOf(points));
  const size = (one: Rect) => (one.right - one.left) * (one.top - one.bottom);
  const box = boxes.reduce((best, one) => (size(one) > size(best) ? one : best));
  const scale = (box.right - box.left) / (plan.bounds.right - plan.bounds.left);
  const { left, right, bottom } = plan.bounds;
  return { box, place: ({ x, y }) => ({ x: box.left + (plan.face === 'inside' ? right - x : x - left) * scale, y: box.bottom + (y - bottom) * scale }) };
}

/** Moving holes about and checking them takes its time on a busy machine. */
const patience = 200_000;

const areaMarksOf = (page: Page) => page.groups.flatMap(({ marks }) => marks.filter(({ layer }) => layer === 'area'));

const cases = [
  { name: 'one hole in glass', spec: hatchery, isDraft: false },
  { name: 'three holes, rims, joints and an area to keep clear', spec: nursery, isDraft: false },
  { name: 'a concave panel from the inside', spec: stepped, isDraft: false },
  { name: 'a refused hole on a draft', spec: refused, isDraft: true },
] as const;

describe.each(cases)('$name', ({ spec, isDraft }) => {
  let printed: Printed;
  let places: Places;
  beforeAll(async () => {
    printed = await printJig(spec, { isDraft, isAreas: true });
    places = placesOf(printed.plan);
  }, patience);

  test('the overview is shaded where the check lets the nearest hole be', async () => {
    const { place, box } = await overviewOf(printed);
    const seen = compare(places, await pictureOf(printed, 1, 200), place, areaStyles.overview, box, whitesOf(printed.jig.front[0] as Page));
    expect(Math.min(seen.clear, seen.tight, seen.refused)).toBeGreaterThan(20);
  });

  test('so are the sheets', async () => {
    const { jig } = printed;
    const all = { clear: 0, tight: 0, refused: 0 };
    for (const page of jig.sheets) {
      const { name } = page;
      const seen = compare(places, await pictureOf(printed, pageOf(printed, name), 150), (p) => expectedOn(printed, name, p), areaStyles.sheet, windowOf(printed, name), whitesOf(page));
      for (const verdict of ['clear', 'tight', 'refused'] as const) all[verdict] += seen[verdict];
    }
    expect(Math.min(all.clear, all.tight, all.refused)).toBeGreaterThan(40);
  });

  test('and the SVG', async () => {
    const { plan, report, jig } = printed;
    expect(jig.sheets.length).toBeGreaterThan(0);
    const svg = written(jigDrawing(plan, report, await loadWide([plan.title, ...plan.holes.map((hole) => hole.name)]), { isDraft, isAreas: true }));
    expect(svg.indexOf('<g id="area">')).toBeLessThan(svg.search(/<g id="(?!area)/));
    const { width, height } = sizeOf(svg);
    const numbers = (/<g id="panel">[^]*?<path d="([^"]*)"/.exec(svg)?.[1]?.match(/[\d.]+/g) ?? []).map(Number);
    const edge = boxOf(Array.from({ length: numbers.length / 2 }, (_, index) => ({ x: numbers[2 * index] as number, y: -(numbers[2 * index + 1] as number) })));
    const { left, right, bottom } = plan.bounds;
    const place = ({ x, y }: Point) => ({ x: edge.left + (plan.face === 'inside' ? right - x : x - left), y: edge.bottom + y - bottom });
    const picture = await pictureOfSvg(svg, renderers['Skia'] as NonNullable<(typeof renderers)[string]>, 100, { left: 0, right: width, top: 0, bottom: -height });
    const seen = compare(places, picture, place, areaStyles.sheet, edge);
    expect(Math.min(seen.clear, seen.tight, seen.refused)).toBeGreaterThan(40);
  });

  test('what they mean is said, and no hole is called safe', async () => {
    expect(await wordsOf(printed, 1)).toContain('Shaded: where the centre of the nearest hole may be');
    for (const { name } of printed.jig.sheets) expect((await wordsOf(printed, pageOf(printed, name))).replace(/\n/g, ' ')).toContain('Drill by the circles alone');
    for (const page of [1, ...printed.jig.sheets.map(({ name }) => pageOf(printed, name))]) expect((await wordsOf(printed, page)).match(/.*\bsafe.*/gi)).toBeNull();
  });
});

describe('where nothing is shaded', () => {
  test('the sheets without the option', async () => {
    const { jig } = await printJig(nursery);
    expect(jig.sheets.flatMap(areaMarksOf)).toEqual([]);
    expect(jig.sheets.flatMap((page) => page.groups.flatMap(({ marks }) => marks.filter((mark) => mark.kind === 'text' && /shade/i.test(mark.text))))).toEqual([]);
    expect(areaMarksOf(jig.front[0] as Page).length).toBeGreaterThan(3);
  });

  test('boards, masks and the drilling sheet, and on sheets only beneath all else', async () => {
    const { jig } = await printJig(template('quarantine-end-panel'), { isAreas: true, isBoard: true, isMask: true });
    expect(jig.board.length * jig.mask.length).toBeGreaterThan(0);
    const shaded = jigPages(jig).filter((page) => areaMarksOf(page).length > 0);
    expect(shaded.length).toBeGreaterThan(1);
    expect([...jig.front.slice(1), ...jig.board, ...jig.mask].filter((page) => shaded.includes(page))).toEqual([]);
    for (const { groups } of jig.sheets) expect(groups.slice(1).flatMap(({ marks }) => marks.filter(({ layer }) => layer === 'area'))).toEqual([]);
  });

  test.each([
    ['toughened glass', refused.replace('annealed glass', 'toughened glass'), 'sound, at the edge'],
    ['a hole that is too small for the thickness', refused.replace('diameter: 30', 'diameter: 5'), 'at the edge'],
  ])('%s: no place mends it, and the page says so', async (_, spec, names) => {
    const printed = await printJig(spec, { isDraft: true });
    expect(await wordsOf(printed, 1)).toContain(`Not shaded, as what is refused there is no matter of these distances: ${names}.`);
    if (names.includes('sound')) expect(areaMarksOf(printed.jig.front[0] as Page)).toEqual([]);
  });

  test('holes through a box are led to the page of its back wall, which has no such note', async () => {
    const spec = template('nursery-twins');
    const note = 'Drilled in a back wall, too, which may leave them less room: see its own page for drain, spare drain.';
    expect(await wordsOf(await printJig(spec, { part: 'nursery, back' }), 1)).toContain(note);
    expect(await wordsOf(await printJig(spec, { part: 'weir box, back wall' }), 1)).not.toContain('Drilled in a back wall');
  });

  test('a hole that has no place anywhere is named', async () => {
    const small = `
title: Egg tray, lid
units: mm
panel: {material: annealed glass, width: 130, height: 130, thickness: 12}
holes: [{name: drain, diameter: 43, from-left: 65, from-top: 65}]`;
    const printed = await printJig(small, { isDraft: true });
    expect(printed.report.verdict).toBe('refused');
    expect(await wordsOf(printed, 1)).toContain('No place is left on the panel, the others staying: drain.');
  });

  test('an overview with very many holes, whose sheets are shaded all the same', async () => {
    const row = Array.from({ length: mostShown + 1 }, (_, index) => `  - {name: n${index}, diameter: 6, from-left: ${40 + 30 * (index % 20)}, from-top: ${40 + 30 * Math.floor(index / 20)}}`);
    const printed = await printJig(`title: Frag plugs\nunits: mm\npanel: {material: acrylic, width: 660, height: 420, thickness: 3}\nholes:\n${row.join('\n')}\nsheets: {paper: A3}`, { isAreas: true });
    expect(areaMarksOf(printed.jig.front[0] as Page)).toEqual([]);
    expect(await wordsOf(printed, 1)).toContain(`more than ${mostShown} holes`);
    expect(printed.jig.sheets.every((page) => areaMarksOf(page).length > 0)).toBe(true);
  });
});

test('patches are shaded too, each as far as it shows the panel', async () => {
  const printed = await printJig(nursery, { isPatches: true, isAreas: true });
  const [seen, places] = [[] as Record<Verdict, number>[], placesOf(printed.plan)];
  for (const page of printed.jig.sheets) seen.push(compare(places, await pictureOf(printed, pageOf(printed, page.name), 100), (p) => expectedOn(printed, page.name, p), areaStyles.sheet, windowOf(printed, page.name), whitesOf(page)));
  expect(seen.every(({ clear }) => clear > 20)).toBe(true);
}, patience);
