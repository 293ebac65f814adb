/** The whole jig in one drawing, as SVG, made in memory, and its pictures by renderers that are not ours. */
import { createCanvas, loadImage } from '@napi-rs/canvas';
import { initWasm, Resvg } from '@resvg/resvg-wasm';
import { readFileSync } from 'node:fs';
import { jigDrawing, specWords } from '../../src/jig.ts';
import type { Plan, Rect } from '../../src/plan/plan.ts';
import { drawJig } from '../../src/render/draw.ts';
import { contentOf, wholeLayout } from '../../src/render/layout.ts';
import type { Mark } from '../../src/render/mark.ts';
import type { DrawingTrouble } from '../../src/render/svg.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { checkPlan, type Report } from '../../src/report.ts';
import { loadWide } from '../fonts.ts';
import { mmPerInch, planOf, type Picture } from './measure.ts';

export interface WholeJig {
  readonly plan: Plan;
  readonly report: Report;
  readonly marks: readonly Mark[];
  readonly setter: Typesetter;
  readonly svg: string;
}

/** The jig of a spec as one drawing; refused holes get no circle. */
export async function wholeJig(spec: string, isDraft = false): Promise<WholeJig> {
  const plan = planOf(spec);
  const report = checkPlan(plan);
  const setter = await loadWide(specWords(plan));
  const refused = [...report.byHole].filter(([, verdict]) => verdict === 'refused').map(([name]) => name);
  const marks = drawJig(plan, wholeLayout(contentOf(plan)), setter, { withoutCircle: new Set(refused) });
  return { plan, report, marks, setter, svg: written(jigDrawing(plan, report, setter, { isDraft })) };
}

/** A drawing that must not be too large. */
export function written(drawing: string | DrawingTrouble): string {
  if (typeof drawing !== 'string') throw new Error(drawing.problem);
  return drawing;
}

/** The WebAssembly module of resvg. */
export const renderer = new Uint8Array(readFileSync(new URL('../../dist/resvg/index_bg.wasm', import.meta.url)));

/** The size that an SVG file says it has, mm. */
export function sizeOf(svg: string): { width: number; height: number } {
  const found = / width="([\d.]+)mm" height="([\d.]+)mm" /.exec(svg);
  if (!found) throw new Error('the drawing does not say its size in mm');
  return { width: Number(found[1]), height: Number(found[2]) };
}

/** A renderer of SVG: a file to pixels, red, green, blue and opacity. */
export type Draw = (svg: string) => Promise<{ width: number; height: number; pixels: Uint8Array | Uint8ClampedArray }>;

/** Renderers that know nothing of how panejig draws: resvg, and Skia in @napi-rs/canvas. */
export const renderers: Readonly<Record<string, Draw>> = {
  async resvg(svg) {
    await (isReady ??= initWasm(renderer));
    const image = new Resvg(svg, { background: '#ffffff', font: { loadSystemFonts: false } }).render();
    return { width: image.width, height: image.height, pixels: image.pixels };
  },
  async Skia(svg) {
    const image = await loadImage(Buffer.from(svg));
    const canvas = createCanvas(image.width, image.height);
    const context = canvas.getContext('2d');
    context.fillStyle = '#ffffff';
    context.fillRect(0, 0, canvas.width, canvas.height);
    context.drawImage(image, 0, 0);
    return { width: canvas.width, height: canvas.height, pixels: context.getImageData(0, 0, canvas.width, canvas.height).data };
  },
};
let isReady: Promise<void> | undefined;

/**
 * The part of a drawing inside a box, by a renderer, in gray. Coordinates are the file's with y turned upwards: (x, -y),
 * from its upper left corner. Only the frame of the file is changed.
 */
export async function pictureOfSvg(svg: string, draw: Draw, dpi: number, box: Rect): Promise<Picture> {
  const pixel = mmPerInch / dpi;
  const [left, top] = [Math.floor(box.left / pixel), Math.floor(-box.top / pixel)];
  const [columns, rows] = [Math.ceil(box.right / pixel) - left, Math.ceil(-box.bottom / pixel) - top];
  const frame = ` width="${columns}" height="${rows}" viewBox="${left * pixel} ${top * pixel} ${columns * pixel} ${rows * pixel}" `;
  const { width, height, pixels } = await draw(svg.replace(/ width="[\d.]+mm" height="[\d.]+mm" viewBox="[^"]*" /, frame));
  if (width !== columns || height !== rows) throw new Error(`the renderer made ${width} x ${height} pixels of ${columns} x ${rows}`);
  const gray = Uint8Array.from({ length: width * height }, (_, index) => Math.round(((pixels[4 * index] ?? 255) + (pixels[4 * index + 1] ?? 255) + (pixels[4 * index + 2] ?? 255)) / 3));
  return { width, height, gray, corner: { x: left * pixel, y: -top * pixel }, pixel };
}
