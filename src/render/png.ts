import { initWasm, Resvg } from '@resvg/resvg-wasm';

const mmPerInch = 25.4;
/** Bounds of a preview: pixels on the longest side, and to the inch of the drawing. */
export const preview = { pixels: 2400, perInch: 150 } as const;

let isReady: Promise<void> | undefined;

/**
 * A picture of an SVG file in PNG, on white, for a look at the jig: no larger than {@link preview} allows.
 * @param program the renderer's WebAssembly module (index_bg.wasm of @resvg/resvg-wasm); taken once, at the first call
 */
export async function svgToPng(svg: string, program: Uint8Array): Promise<Uint8Array> {
  isReady ??= initWasm(program);
  await isReady;
  const { width, height } = sizeOf(svg);
  const scale = Math.min(preview.perInch / mmPerInch, preview.pixels / Math.max(width, height));
  const value = Math.max(1, Math.floor(Math.max(width, height) * scale + 1e-9));
  const drawing = new Resvg(withPensOf(1 / scale, svg), { background: '#ffffff', font: { loadSystemFonts: false }, fitTo: { mode: width >= height ? 'width' : 'height', value } });
  const image = drawing.render();
  const bytes = image.asPng();
  image.free();
  drawing.free();
  return withText(bytes, 'Software', 'panejig (panejig drilling jig)');
}

/** The file with no pen thinner than a pixel (mm): on a large panel they would fade. */
function withPensOf(pixel: number, svg: string): string {
  return svg.replace(/(?<= stroke-width=")[\d.]+/g, (width) => String(Math.max(Number(width), pixel)));
}

/** Size of a file of {@link writeSvg}, mm. */
function sizeOf(svg: string): { width: number; height: number } {
  const found = / viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg);
  if (!found) throw new RangeError('a drawing that does not say its size');
  return { width: Number(found[1]), height: Number(found[2]) };
}

/** A PNG file with a text chunk after its header (ISO/IEC 15948:2003, 5.3 and 11.3.4.3: keyword, zero, Latin-1 text). */
function withText(png: Uint8Array, keyword: string, words: string): Uint8Array {
  const headerEnd = 8 + 12 + 13;
  const content = Uint8Array.from(`tEXt${keyword}\0${words}`, (character) => character.charCodeAt(0));
  const chunk = new Uint8Array(content.length + 8);
  const view = new DataView(chunk.buffer);
  view.setUint32(0, content.length - 4);
  chunk.set(content, 4);
  view.setUint32(content.length + 4, crc32(content));
  const result = new Uint8Array(png.length + chunk.length);
  result.set(png.subarray(0, headerEnd));
  result.set(chunk, headerEnd);
  result.set(png.subarray(headerEnd), headerEnd + chunk.length);
  return result;
}

/** CRC-32 of bytes (ISO/IEC 15948:2003, annex D). */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}
