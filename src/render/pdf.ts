import { PDFArray, PDFDocument, PDFHexString, PDFName, PDFNumber, PDFString, Duplex, PrintScaling, type PDFContext, type PDFRef } from 'pdf-lib';
import type { Point, Rect } from '../plan/plan.ts';
import { arcSteps, shownChains, type Piece } from './arc.ts';
import { joinedAreas, type Area, type Mark, type Path, type Pen } from './mark.ts';
import { packedStream, textWriter, type TextWriter } from './pdf-font.ts';
import type { Group, Page, Scale } from './sheet.ts';
import type { Typesetter } from './type.ts';

/** Points in a millimetre: default user space is 1/72 in (ISO 32000-1:2008, 8.3.2.3). */
export const pointsPerMm = 72 / 25.4;

/** Cubic curves to a circle, and to an arc as many as its share: radial error under 5e-7 of the radius. */
const pieces = 12;
const pieceTurn = (2 * Math.PI) / pieces;
/** How far the handles of a cubic curve stand out that takes the place of an arc, for a radius of 1: the usual 4/3 tan(a/4). */
const handleOf = (turn: number) => (4 / 3) * Math.tan(turn / 4);
const handle = handleOf(pieceTurn);

export interface DocumentWords {
  readonly title: string;
  /** What kind of document it is; a paper jig if left out. */
  readonly subject?: string;
  /** Hex digits that stand for the content; hyphens between them do not count. */
  readonly fingerprint: string;
}

/**
 * The pages as a PDF at true size. Viewers are asked not to scale, to pick the tray by page size and to print one-sided
 * (ISO 32000-1:2008, 12.2, table 150). Nothing in it depends on the clock: same pages, same bytes.
 */
export async function writePdf(pages: readonly Page[], words: DocumentWords, setter: Typesetter): Promise<Uint8Array> {
  const document = await PDFDocument.create({ updateMetadata: false });
  const { context } = document;
  document.setTitle(words.title, { showInWindowTitleBar: true });
  document.setSubject(`${words.subject ?? 'paper jig at true size'}, fingerprint ${words.fingerprint}`);
  const information = context.lookup(context.trailerInfo.Info) as unknown as { set(key: PDFName, value: PDFString): void };
  information.set(PDFName.of('Creator'), PDFString.of('panejig drilling jig'));
  information.set(PDFName.of('Producer'), PDFString.of('panejig with pdf-lib'));
  const preferences = document.catalog.getOrCreateViewerPreferences();
  preferences.setPrintScaling(PrintScaling.None);
  preferences.setPickTrayByPDFSize(true);
  preferences.setDuplex(Duplex.Simplex);
  const id = PDFHexString.of(words.fingerprint.replace(/[^0-9a-f]/g, '').padEnd(32, '0'));
  context.trailerInfo.ID = context.obj([id, id]);

  const writer = textWriter(context, setter);
  const resources = context.nextRef();
  const forms = sharedForms(context, pages, writer, resources);
  for (const page of pages) {
    const { x, y } = pointsPer(page);
    const leaf = document.addPage([page.width * x, page.height * y]).node;
    const content = page.groups.map((group) => forms.get(group)?.use ?? groupOperators(group, pointsPer(page), writer)).join('');
    leaf.set(PDFName.of('Contents'), context.register(packedStream(context, content)));
    leaf.set(PDFName.of('Resources'), resources);
  }
  const fonts = context.obj(Object.fromEntries(writer.finish()));
  const objects = context.obj(Object.fromEntries([...forms.values()].map(({ name, ref }) => [name, ref])));
  context.assign(resources, context.obj({ Font: fonts, XObject: objects, ProcSet: [PDFName.of('PDF'), PDFName.of('Text')] }));
  return document.save({ useObjectStreams: false, addDefaultPage: false, updateFieldAppearances: false });
}

interface Form {
  readonly name: string;
  readonly ref: PDFRef;
  readonly use: string;
}

function pointsPer({ scale = { x: 1, y: 1 } }: Page): Scale {
  return { x: pointsPerMm * scale.x, y: pointsPerMm * scale.y };
}

/** Groups that several pages of one scale draw are written once, as form objects. */
function sharedForms(context: PDFContext, pages: readonly Page[], writer: TextWriter, resources: PDFRef): Map<Group, Form> {
  const counts = new Map<Group, number>();
  for (const group of pages.flatMap((page) => page.groups)) counts.set(group, (counts.get(group) ?? 0) + 1);
  const forms = new Map<Group, Form>();
  for (const page of pages) {
    for (const group of page.groups) {
      if ((counts.get(group) ?? 0) < 2 || forms.has(group)) continue;
      const name = `G${forms.size}`;
      const box = PDFArray.withContext(context);
      const { x, y } = pointsPer(page);
      for (const side of [0, 0, page.width * x, page.height * y]) box.push(PDFNumber.of(side));
      const stream = packedStream(context, groupOperators(group, { x, y }, writer), { Type: 'XObject', Subtype: 'Form', BBox: box, Resources: resources });
      forms.set(group, { name, ref: context.register(stream), use: `/${name} Do\n` });
    }
  }
  return forms;
}

/** A number for a content stream: to 0.0001 mm, far under the 0.001 mm that sheets promise. */
function number(value: number): string {
  const text = (Math.round(value * 1e4) / 1e4).toString();
  return text.includes('e') ? value.toFixed(4) : text;
}

/**
 * The operators of a group. They speak in millimetres, so that numbers stay short, and near enough to zero for readers
 * with 32-bit floats. Lines of one pen that follow each other are stroked at once.
 */
function groupOperators({ marks, shift, clip }: Group, points: Scale, writer: TextWriter): string {
  const at = (p: Point) => `${number(p.x + shift.x)} ${number(p.y + shift.y)}`;
  const parts: string[] = ['q\n', `${points.x.toFixed(12)} 0 0 ${points.y.toFixed(12)} 0 0 cm\n`, clip ? clipOperators(clip) : ''];
  let pen: Pen | undefined;
  let isOpen = false;
  const stroke = () => {
    if (isOpen) parts.push('S\n');
    isOpen = false;
  };
  const take = (next: Pen) => {
    if (pen === next) return;
    stroke();
    parts.push(penOperators(next, pen));
    pen = next;
  };
  for (const mark of joinedAreas(marks)) {
    switch (mark.kind) {
      case 'line':
        take(mark.pen);
        parts.push(`${at(mark.a)} m ${at(mark.b)} l\n`);
        isOpen = true;
        break;
      case 'circle':
        take(mark.pen);
        parts.push(circleOperators(mark.center, mark.radius, at));
        isOpen = true;
        break;
      case 'path':
        stroke();
        if (mark.pen) take(mark.pen);
        parts.push(pathOperators(mark, at));
        break;
      case 'area':
        stroke();
        if (mark.pen) take(mark.pen);
        parts.push(areaOperators(mark, at));
        break;
      case 'text':
        stroke();
        parts.push(textOperators(mark, shift, writer));
        break;
    }
  }
  stroke();
  parts.push('Q\n');
  return parts.join('');
}

function clipOperators({ left, bottom, right, top }: Rect): string {
  return `${[left, bottom, right - left, top - bottom].map(number).join(' ')} re W n\n`;
}

function penOperators(next: Pen, last: Pen | undefined): string {
  const dashes = (pen: Pen | undefined) => (pen?.dashes ?? []).map(number).join(' ');
  return [
    next.width === last?.width ? '' : `${number(next.width)} w `,
    next.gray === last?.gray ? '' : `${number(next.gray)} G `,
    dashes(next) === dashes(last) ? '' : `[${dashes(next)}] 0 d`,
    '\n',
  ].join('');
}

function circleOperators(center: Point, radius: number, at: (p: Point) => string): string {
  const point = (angle: number, out: number, along: number) => {
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    return at({ x: center.x + out * cos - along * sin, y: center.y + out * sin + along * cos });
  };
  const parts = [`${point(0, radius, 0)} m`];
  for (let piece = 0; piece < pieces; piece += 1) {
    const [from, to] = [(piece * 2 * Math.PI) / pieces, ((piece + 1) * 2 * Math.PI) / pieces];
    parts.push(`${point(from, radius, handle * radius)} ${point(to, radius, -handle * radius)} ${point(to, radius, 0)} c`);
  }
  return `${parts.join(' ')} h\n`;
}

function pathOperators({ points, isClosed, pen, fill }: Path, at: (p: Point) => string): string {
  const chain = points.map((p, index) => `${at(p)} ${index === 0 ? 'm' : 'l'}`).join(' ');
  const paint = fill === null ? 'S' : pen === null ? 'f' : 'B';
  return `${fill === null ? '' : `${number(fill)} g `}${chain}${isClosed ? ' h' : ''} ${paint}\n`;
}

/** Filled by the nonzero winding number rule, as islands run the other way round; then the outlines that show. */
function areaOperators({ loops, pen, fill }: Area, at: (p: Point) => string): string {
  const filled = fill === null ? '' : `${number(fill)} g ${loops.map((loop) => `${chainOperators(loop, at)} h\n`).join('')}f\n`;
  const chains = pen === null ? [] : shownChains(loops).map((chain) => `${chainOperators(chain.pieces, at)}${chain.isClosed ? ' h' : ''}\n`);
  return `${filled}${chains.join('')}${chains.length > 0 ? 'S\n' : ''}`;
}

function chainOperators(chain: readonly Piece[], at: (p: Point) => string): string {
  const [first] = chain;
  return first ? [`${at(first.from)} m`, ...chain.map((piece) => (piece.kind === 'line' ? `${at(piece.to)} l` : arcOperators(piece, at)))].join(' ') : '';
}

function arcOperators(arc: Extract<Piece, { kind: 'arc' }>, at: (p: Point) => string): string {
  const { center, radius } = arc;
  return arcSteps(arc, pieceTurn).map(({ start, end, to }) => {
    const out = handleOf(end - start);
    const point = (angle: number, along: number) => at({ x: center.x + radius * (Math.cos(angle) - along * Math.sin(angle)), y: center.y + radius * (Math.sin(angle) + along * Math.cos(angle)) });
    return `${point(start, out)} ${point(end, -out)} ${at(to)} c`;
  }).join(' ');
}

function textOperators(mark: Extract<Mark, { kind: 'text' }>, shift: Point, writer: TextWriter): string {
  if (mark.text === '') return '';
  const operators = writer.operators(mark.text, {
    x: mark.at.x + shift.x,
    y: mark.at.y + shift.y,
    size: mark.size,
    angle: mark.angle,
    align: mark.align,
    weight: mark.weight,
  });
  return `${number(mark.gray)} g ${operators}`;
}
