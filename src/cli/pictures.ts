import { readFileSync } from 'node:fs';
import { claimOutput, distFile, Stop, writeWhole } from './files.ts';

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

/** Writes the claimed pictures of a jig, each whole or not at all. The renderer is loaded only for PNG. */
export async function writePictures(claimed: readonly ClaimedPicture[], svg: string): Promise<void> {
  const files: { target: string; bytes: Uint8Array }[] = [];
  for (const { kind, target } of claimed) files.push({ target, bytes: kind === 'svg' ? new TextEncoder().encode(svg) : await pngOf(svg) });
  for (const { target, bytes } of files) writeWhole(target, bytes);
}

async function pngOf(svg: string): Promise<Uint8Array> {
  const { svgToPng } = await import('../render/png.ts');
  return svgToPng(svg, readFileSync(distFile('resvg/index_bg.wasm')));
}
