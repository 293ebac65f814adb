import { readFileSync } from 'node:fs';
import type { DrawingTrouble } from '../render/svg.ts';
import { claimOutput, distFile, Stop } from './files.ts';

export const pictureKinds = ['svg', 'png'] as const;
export type PictureKind = (typeof pictureKinds)[number];

/** A picture that will be written: what is told of it, and where it really goes. */
export interface ClaimedPicture {
  readonly kind: PictureKind;
  readonly path: string;
  readonly target: string;
}

/** Beside the PDF under its name: jig.pdf gives jig.svg; a name that does not end in .pdf keeps all of it. */
export function picturePath(pdfPath: string, kind: PictureKind): string {
  return `${pdfPath.replace(/\.pdf$/i, '')}.${kind}`;
}

/**
 * Claims the places of the pictures asked for, as {@link claimOutput} does, before anything is written.
 * @param pdf the PDF's path as the user knows it, and its claimed place
 */
export function claimPictures(asked: { readonly [kind in PictureKind]?: boolean }, pdf: { readonly path: string; readonly target: string }, specPath: string, isDefault: boolean): ClaimedPicture[] {
  const claimed: ClaimedPicture[] = [];
  for (const kind of pictureKinds.filter((one) => asked[one])) {
    const path = picturePath(pdf.path, kind);
    const target = claimOutput(path, specPath, isDefault);
    const same = [pdf, ...claimed].find((other) => other.target === target);
    if (same) throw new Stop(3, `cannot write ${path}: it is the same file as ${same.path}\n    fix: remove that link, or choose another place with -o FILE`);
    claimed.push({ kind, path, target });
  }
  return claimed;
}

/** A picture, ready to be written. */
export interface Picture {
  readonly target: string;
  readonly bytes: Uint8Array;
}

/** The claimed pictures of a jig, out of its drawing. Nothing is written yet; the renderer is loaded only for PNG. */
export async function drawPictures(claimed: readonly ClaimedPicture[], drawing: string | DrawingTrouble, specPath: string): Promise<Picture[]> {
  if (typeof drawing !== 'string') {
    const flags = claimed.map(({ kind }) => `--${kind}`).join(', ');
    throw new Stop(2, `${specPath}: ${flags}: ${drawing.problem}\n    accepted: ${drawing.accepted}\n    fix: ${drawing.fix}`);
  }
  const pictures: Picture[] = [];
  for (const { kind, target } of claimed) pictures.push({ target, bytes: kind === 'svg' ? new TextEncoder().encode(drawing) : await pngOf(drawing) });
  return pictures;
}

async function pngOf(svg: string): Promise<Uint8Array> {
  const { svgToPng } = await import('../render/png.ts');
  return svgToPng(svg, readFileSync(distFile('resvg/index_bg.wasm')));
}
