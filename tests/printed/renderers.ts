/**
 * Three PDF renderers that share no code, behind one interface, so that what is printed can be measured by each:
 * pdf.js (Mozilla; paths drawn by Skia), PDFium (Google's, as WASM; paths drawn by AGG) and MuPDF (Artifex, as WASM;
 * its own rasteriser). Lengths in mm, page coordinates from the lower left corner, pages counted from 1.
 */
import { PDFiumModule } from '@hyzyla/pdfium';
// MuPDF is under the AGPL: a devDependency that runs in these tests only, never bundled nor shipped with the program.
import * as mupdf from 'mupdf';
import type { Rect } from '../../src/plan/plan.ts';
import { mmPerInch, mmPerPoint, openPdf, pageSize, pictureOf, wordsOf, type Picture } from './measure.ts';

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** What a reader makes of the viewer preferences (ISO 32000-1:2008, 12.2, table 150). */
export interface Preferences {
  /** Whether the print dialog is to start without scaling. */
  readonly isUnscaled: boolean;
  readonly isOneSided: boolean;
  /** Whether the tray is picked by the page's size; undefined where the reader does not tell. */
  readonly isTrayByPageSize: boolean | undefined;
}

/** A PDF as one renderer reads it. */
export interface Reading {
  readonly pageCount: number;
  pageSize(page: number): Promise<Size>;
  words(page: number): Promise<string>;
  /** A page, or the part of it inside `box`, on white. The box is grown to whole pixels counted from the page's upper left corner. */
  picture(page: number, dpi: number, box?: Rect): Promise<Picture>;
  preferences(): Promise<Preferences>;
  /** What the reader found wrong with the file, up to now. */
  complaints(): readonly string[];
  close(): Promise<void>;
}

export interface Renderer {
  readonly name: string;
  open(bytes: Uint8Array): Promise<Reading>;
}

/** The whole pixels that cover a box, counted from the page's upper left corner, and where the first one's corner is. */
function pixelsOf({ width, height }: Size, dpi: number, box: Rect = { left: 0, right: width, bottom: 0, top: height }) {
  const pixel = mmPerInch / dpi;
  const [left, top] = [Math.floor(box.left / pixel + 1e-6), Math.floor((height - box.top) / pixel + 1e-6)];
  const [right, bottom] = [Math.ceil(box.right / pixel - 1e-6), Math.ceil((height - box.bottom) / pixel - 1e-6)];
  return { left, top, width: right - left, height: bottom - top, pixel, corner: { x: left * pixel, y: height - top * pixel } };
}

/** pdf.js. It strokes with anti-aliasing, and does not align strokes of a pixel or wider to pixels. */
export const pdfjsRenderer: Renderer = {
  name: 'pdf.js',
  async open(bytes) {
    const pdf = await openPdf(bytes);
    return {
      pageCount: pdf.numPages,
      pageSize: (page) => pageSize({ pdf }, page),
      words: (page) => wordsOf({ pdf }, page),
      picture: (page, dpi, box) => pictureOf({ pdf }, page, dpi, box),
      async preferences() {
        const found = (await pdf.getViewerPreferences()) as Record<string, unknown> | null;
        return { isUnscaled: found?.PrintScaling === 'None', isOneSided: found?.Duplex === 'Simplex', isTrayByPageSize: found?.PickTrayByPDFSize === true };
      },
      complaints: () => [],
      close: () => pdf.loadingTask.destroy(),
    };
  },
};

/** The functions of PDFium's public headers (fpdfview.h, fpdf_text.h) that are used here; handles and addresses are numbers. */
interface Pdfium {
  readonly HEAPU8: Uint8Array;
  readonly wasmExports: { malloc(size: number): number; free(address: number): void };
  _FPDF_InitLibrary(): void;
  _FPDF_LoadMemDocument(address: number, size: number, password: number): number;
  _FPDF_GetLastError(): number;
  _FPDF_CloseDocument(document: number): void;
  _FPDF_GetPageCount(document: number): number;
  _FPDF_DocumentHasValidCrossReferenceTable(document: number): number;
  _FPDF_LoadPage(document: number, index: number): number;
  _FPDF_ClosePage(page: number): void;
  _FPDF_GetPageWidthF(page: number): number;
  _FPDF_GetPageHeightF(page: number): number;
  _FPDFBitmap_CreateEx(width: number, height: number, format: number, address: number, stride: number): number;
  _FPDFBitmap_Destroy(bitmap: number): void;
  _FPDF_RenderPageBitmapWithMatrix(bitmap: number, page: number, matrix: number, clip: number, flags: number): void;
  _FPDFText_LoadPage(page: number): number;
  _FPDFText_ClosePage(text: number): void;
  _FPDFText_CountChars(text: number): number;
  _FPDFText_GetText(text: number, start: number, count: number, address: number): number;
  _FPDF_VIEWERREF_GetPrintScaling(document: number): number;
  _FPDF_VIEWERREF_GetDuplex(document: number): number;
}

/** fpdfview.h: bitmaps of one gray byte per pixel, drawn in gray; fpdf_ext.h: DuplexUndefined 0, Simplex 1. */
const pdfiumGray = { format: 1, flag: 8 } as const;
const pdfiumSimplex = 1;

let pdfiumLoading: Promise<Pdfium> | undefined;

function loadPdfium(): Promise<Pdfium> {
  pdfiumLoading ??= (PDFiumModule as unknown as (options: object) => Promise<Pdfium>)({}).then((library) => {
    library._FPDF_InitLibrary();
    return library;
  });
  return pdfiumLoading;
}

/** Lends memory of the library to `use`, filled with `bytes`, and takes it back. */
function withMemory<T>(library: Pdfium, bytes: Uint8Array, use: (address: number) => T): T {
  const address = library.wasmExports.malloc(bytes.length);
  if (address === 0) throw new Error(`PDFium has no ${bytes.length} bytes left`);
  try {
    library.HEAPU8.set(bytes, address);
    return use(address);
  } finally {
    library.wasmExports.free(address);
  }
}

function floats(...values: number[]): Uint8Array {
  return new Uint8Array(new Float32Array(values).buffer);
}

/** PDFium. It strokes with anti-aliasing, and does not align strokes of a pixel or wider to pixels. */
export const pdfiumRenderer: Renderer = {
  name: 'PDFium',
  async open(bytes) {
    const library = await loadPdfium();
    const file = library.wasmExports.malloc(bytes.length);
    library.HEAPU8.set(bytes, file);
    const document = library._FPDF_LoadMemDocument(file, bytes.length, 0);
    if (document === 0) throw new Error(`PDFium cannot read the file: error ${library._FPDF_GetLastError()}`);
    const handles = new Map<number, number>();
    const handleOf = (page: number) => {
      const handle = handles.get(page) ?? library._FPDF_LoadPage(document, page - 1);
      if (handle === 0) throw new Error(`PDFium cannot read page ${page}`);
      handles.set(page, handle);
      return handle;
    };
    const pointsOf = (page: number) => ({ width: library._FPDF_GetPageWidthF(handleOf(page)), height: library._FPDF_GetPageHeightF(handleOf(page)) });
    const sizeOf = (page: number) => ({ width: pointsOf(page).width * mmPerPoint, height: pointsOf(page).height * mmPerPoint });
    return {
      pageCount: library._FPDF_GetPageCount(document),
      pageSize: async (page) => sizeOf(page),
      async words(page) {
        const text = library._FPDFText_LoadPage(handleOf(page));
        const count = library._FPDFText_CountChars(text);
        // UTF-16, with a zero at the end.
        const words = withMemory(library, new Uint8Array(2 * count + 2), (address) => {
          const length = library._FPDFText_GetText(text, 0, count, address);
          return new TextDecoder('utf-16le').decode(library.HEAPU8.slice(address, address + 2 * Math.max(0, length - 1)));
        });
        library._FPDFText_ClosePage(text);
        return words;
      },
      async picture(page, dpi, box) {
        const { left, top, width, height, pixel, corner } = pixelsOf(sizeOf(page), dpi, box);
        const gray = withMemory(library, new Uint8Array(width * height).fill(255), (address) => {
          const bitmap = library._FPDFBitmap_CreateEx(width, height, pdfiumGray.format, address, width);
          withMemory(library, floats(dpi / 72, 0, 0, dpi / 72, -left, -top, 0, 0, width, height), (numbers) =>
            library._FPDF_RenderPageBitmapWithMatrix(bitmap, handleOf(page), numbers, numbers + 6 * 4, pdfiumGray.flag));
          library._FPDFBitmap_Destroy(bitmap);
          return library.HEAPU8.slice(address, address + width * height);
        });
        return { width, height, gray, corner, pixel };
      },
      async preferences() {
        // It gives names and the choices below, but no switches such as PickTrayByPDFSize.
        return { isUnscaled: library._FPDF_VIEWERREF_GetPrintScaling(document) === 0, isOneSided: library._FPDF_VIEWERREF_GetDuplex(document) === pdfiumSimplex, isTrayByPageSize: undefined };
      },
      complaints: () => (library._FPDF_DocumentHasValidCrossReferenceTable(document) === 0 ? ['the cross-reference table is not valid'] : []),
      async close() {
        for (const handle of handles.values()) library._FPDF_ClosePage(handle);
        library._FPDF_CloseDocument(document);
        library.wasmExports.free(file);
      },
    };
  },
};

/** MuPDF. It strokes with anti-aliasing of 256 steps, and does not align strokes to pixels. */
export const mupdfRenderer: Renderer = {
  name: 'MuPDF',
  async open(bytes) {
    const logged: string[] = [];
    /** Runs `work` with MuPDF's warnings and errors written down: its log is one for all documents. */
    const listening = <T>(work: () => T): T => {
      mupdf.setLog((message) => logged.push(message));
      try {
        return work();
      } finally {
        mupdf.setLog(null);
      }
    };
    const document = listening(() => mupdf.Document.openDocument(bytes, 'application/pdf').asPDF());
    if (!document) throw new Error('MuPDF does not see a PDF');
    const lists = new Map<number, mupdf.DisplayList>();
    const listOf = (page: number) => {
      const list = lists.get(page) ?? listening(() => {
        const loaded = document.loadPage(page - 1);
        const made = loaded.toDisplayList(false);
        loaded.destroy();
        return made;
      });
      lists.set(page, list);
      return list;
    };
    const sizeOf = (page: number) => {
      const [left, top, right, bottom] = listOf(page).getBounds();
      return { width: (right - left) * mmPerPoint, height: (bottom - top) * mmPerPoint };
    };
    return {
      pageCount: document.countPages(),
      pageSize: async (page) => sizeOf(page),
      words: async (page) => listening(() => {
        const text = listOf(page).toStructuredText('preserve-whitespace');
        const words = text.asText();
        text.destroy();
        return words;
      }),
      picture: async (page, dpi, box) => listening(() => {
        const { left, top, width, height, pixel, corner } = pixelsOf(sizeOf(page), dpi, box);
        const pixmap = new mupdf.Pixmap(mupdf.ColorSpace.DeviceGray, [left, top, left + width, top + height], false);
        pixmap.clear(255);
        const device = new mupdf.DrawDevice(mupdf.Matrix.identity, pixmap);
        listOf(page).run(device, mupdf.Matrix.scale(dpi / 72, dpi / 72));
        device.close();
        device.destroy();
        const gray = new Uint8Array(width * height);
        const [pixels, stride] = [pixmap.getPixels(), pixmap.getStride()];
        for (let row = 0; row < height; row += 1) gray.set(pixels.subarray(row * stride, row * stride + width), row * width);
        pixmap.destroy();
        return { width, height, gray, corner, pixel };
      }),
      async preferences() {
        const found = document.getTrailer().get('Root', 'ViewerPreferences');
        const value = (key: string) => (found.isNull() ? undefined : found.get(key).valueOf());
        return { isUnscaled: value('PrintScaling') === 'None', isOneSided: value('Duplex') === 'Simplex', isTrayByPageSize: value('PickTrayByPDFSize') === true };
      },
      complaints: () => [...logged, ...(document.wasRepaired() ? ['the file had to be repaired'] : [])],
      async close() {
        for (const list of lists.values()) list.destroy();
        document.destroy();
        mupdf.emptyStore();
      },
    };
  },
};

export const renderers: readonly Renderer[] = [pdfjsRenderer, pdfiumRenderer, mupdfRenderer];
