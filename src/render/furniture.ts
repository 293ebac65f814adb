import type { Point, Rect } from '../plan/plan.ts';
import { line, text, type Layer, type Mark, type Pen } from './mark.ts';
import type { Typesetter } from './type.ts';

/** Pens of rulers and of what strikes a draft; widths in mm. */
export const pens = {
  ruler: { width: 0.12, gray: 0 },
  draft: { width: 1, gray: 0.6 },
} as const satisfies Record<string, Pen>;

/**
 * A scale with a tick each millimetre on one side and each sixteenth of an inch on the other.
 * @param length mm
 * @param place turns (mm along, mm outwards on the millimetre side) into a point of the page
 */
export function ruler(layer: Layer, length: number, setter: Typesetter, place: (along: number, out: number) => Point, angle: number): Mark[] {
  const marks: Mark[] = [line(layer, place(0, 0), place(length, 0), pens.ruler)];
  const numeral = (along: number, out: number, words: string) => text(setter, layer, place(along, out), words, { size: 2.1, align: 'center', angle });
  for (let mm = 0; mm <= length; mm += 1) {
    const height = mm % 10 === 0 ? 3.6 : mm % 5 === 0 ? 2.6 : 1.7;
    marks.push(line(layer, place(mm, 0), place(mm, height), pens.ruler));
    if (mm % 10 === 0) marks.push(numeral(mm, 4.1, mm === 0 ? '0' : mm === 10 ? '10 mm' : String(mm)));
  }
  for (let sixteenths = 0; (sixteenths * 25.4) / 16 <= length + 1e-9; sixteenths += 1) {
    const depth = sixteenths % 16 === 0 ? 3 : sixteenths % 8 === 0 ? 2.3 : sixteenths % 4 === 0 ? 1.8 : 1.2;
    const along = (sixteenths * 25.4) / 16;
    marks.push(line(layer, place(along, 0), place(along, -depth), pens.ruler));
    if (sixteenths % 16 === 0) marks.push(numeral(along, -4.7, sixteenths === 16 ? '1 in' : String(sixteenths / 16)));
  }
  return marks;
}

/** DRAFT, DO NOT DRILL, slantwise, and two strokes through a box. */
export function draftMarks(box: Rect, setter: Typesetter): Mark[] {
  const words = 'DRAFT, DO NOT DRILL';
  const [width, height] = [box.right - box.left, box.top - box.bottom];
  const angle = (Math.atan2(height, width) * 180) / Math.PI;
  const size = Math.min(30, (Math.hypot(width, height) * 0.8) / setter.width(words, 'bold'));
  const [cos, sin] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  const middle = { x: (box.left + box.right) / 2, y: (box.bottom + box.top) / 2 };
  const at = { x: middle.x + sin * size * 0.36, y: middle.y - cos * size * 0.36 };
  return [
    text(setter, 'draft', at, words, { size, weight: 'bold', align: 'center', angle, gray: 0.75 }),
    line('draft', { x: box.left, y: box.top }, { x: box.right, y: box.bottom }, pens.draft),
    line('draft', { x: box.left + sin * size, y: box.bottom }, { x: box.right, y: box.top - sin * size }, pens.draft),
    line('draft', { x: box.left, y: box.bottom + cos * size }, { x: box.right - cos * size, y: box.top }, pens.draft),
  ];
}
