import type { Plan, Point, Rect } from '../plan/plan.ts';
import { placedLoops, type Loop } from './arc.ts';
import { faceTransform } from './layout.ts';
import { area, rectPath, text, type Mark, type Pen } from './mark.ts';
import type { Typesetter } from './type.ts';

/** Where a hole's center may be, of the places that are nearer to it than to any other hole: outlines in the plan's coordinates. */
export interface AllowedArea {
  readonly minimum: readonly Loop[];
  /** A part of it. */
  readonly good: readonly Loop[];
}

const levels = ['minimum', 'good'] as const;

/** Grays of the two levels, and the lines round them, by which they stay apart where toner is poor or a printer drops light grays. */
export type AreaStyle = Readonly<Record<(typeof levels)[number], { readonly fill: number; readonly pen: Pen }>>;

export const areaStyles = {
  overview: { minimum: { fill: 0.92, pen: { width: 0.16, gray: 0.2, dashes: [0.16, 0.9] } }, good: { fill: 0.82, pen: { width: 0.08, gray: 0.35 } } },
  /** Lighter: circles, words and lines of the jig are read on them. */
  sheet: { minimum: { fill: 0.95, pen: { width: 0.2, gray: 0.35, dashes: [0.2, 1.8] } }, good: { fill: 0.88, pen: { width: 0.1, gray: 0.4 } } },
} as const satisfies Record<string, AreaStyle>;

/** The areas of all holes, to be drawn under everything else: the minimum first, good practice on it, then the lines round both. */
export function areaMarks(areas: readonly AllowedArea[], style: AreaStyle, place: (point: Point) => Point, scale: number, isMirrored: boolean): Mark[] {
  const placed = levels.map((level) => ({ ...style[level], ofHoles: areas.map((one) => placedLoops(one[level], place, scale, isMirrored)).filter(({ length }) => length > 0) }));
  return [
    ...placed.flatMap(({ fill, ofHoles }) => ofHoles.map((loops) => area('area', loops, null, fill))),
    ...placed.flatMap(({ pen, ofHoles }) => ofHoles.map((loops) => area('area', loops, pen))),
  ];
}

/** The areas at true size, on the drilled face. */
export function areasOnFace(plan: Plan, areas: readonly AllowedArea[]): Mark[] {
  return areaMarks(areas, areaStyles.sheet, faceTransform(plan), 1, plan.face === 'inside');
}

const meaning = 'Shaded: where the centre of the nearest hole may be';

/** What the shades mean: in one line of a sheet, and in full beside a drawing. */
export const areaWords = {
  sheet: `${meaning}; dark: good practice. Drill by the circles alone.`,
  drawing: `${meaning}, the others staying; dark: good practice, light: published minimum. Plan by the shades, drill by the circles alone.`,
} as const;

/** Height of {@link areaLegend}, mm. */
export const legendHeight = 3;

/** What the shades mean, with a swatch of each, in one line at the top of a box. */
export function areaLegend(box: Rect, setter: Typesetter): Mark[] {
  const [size, swatch, gap] = [2.4, 6, 1.2];
  const { minimum, good } = areaStyles.overview;
  const baseline = box.top - legendHeight + 0.8;
  let x = box.left;
  const marks: Mark[] = [];
  const say = (words: string) => {
    marks.push(text(setter, 'sheet', { x, y: baseline }, words, { size, most: box.right - x }));
    x += setter.width(words) * size;
  };
  const show = ({ fill, pen }: AreaStyle[keyof AreaStyle]) => {
    x += 3 * gap;
    marks.push(rectPath('area', { left: x, right: x + swatch, top: box.top, bottom: box.top - legendHeight }, pen, fill));
    x += swatch + gap;
  };
  say(`${meaning}, the others staying.`);
  show(good);
  say('dark: good practice');
  show(minimum);
  say('light: published minimum');
  return marks;
}
