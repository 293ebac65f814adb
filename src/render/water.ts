import type { Rect } from '../plan/plan.ts';
import { pageFlow, type FlowPaper } from './flow.ts';
import { rectPath, text, type Mark } from './mark.ts';
import type { Page, SheetWords } from './sheet.ts';
import { wrap, type Typesetter } from './type.ts';
import { waterDiagram, type WaterDiagram } from './water-diagram.ts';
import { plotHeight, pumpPlot, type PumpPlot } from './water-plot.ts';

export type { WaterDiagram } from './water-diagram.ts';
export type { PumpPlot } from './water-plot.ts';

/** The pages that tell how the water goes: verdict, cautions, diagram, tables, the pump's curve, findings. */

export interface WaterPageContent {
  readonly verdict: string;
  readonly diagram: WaterDiagram;
  /** Tables, titles in the first row; printed in this order, each under its heading, with words below; empty tables are left out. */
  readonly tables: readonly { readonly heading: string; readonly rows: readonly (readonly string[])[]; readonly words: readonly string[] }[];
  readonly plot: PumpPlot | null;
  readonly findings: readonly (readonly [what: string, fix: string, source: string])[];
  readonly notes: readonly string[];
  /** Always printed, in a frame near the top of the first page. */
  readonly cautions: readonly string[];
}

const cautionSize = 2.8;
/** Room between the frame of the cautions and their words, and for the sign before each. */
const [framePad, signWidth, cautionGap] = [2.2, 5, 0.8];

/** Room that the titles and the first row of a table take at most, four lines each, and the first note: a heading stands with them. */
const [tableFollows, noteFollows] = [30, 12];
/** Room that the words below a drawing take. */
const captionRoom = 10;
const [captionStyle, whatStyle, restStyle] = [{ size: 2.3 }, { size: 2.8, weight: 'bold' }, { size: 2.6, indent: 4 }] as const;

export function waterPages(content: WaterPageContent, paper: FlowPaper, words: Pick<SheetWords, 'title' | 'fingerprint' | 'isDraft'>, setter: Typesetter): Page[] {
  const flow = pageFlow(paper, 'flow of water', (page, pages) => `flow of water, page ${page} of ${pages}`, words, setter);
  flow.words(words.title, { size: 5.6, weight: 'bold', most: 2 });
  flow.words('Flow of water, an estimate for planning', { size: 4, weight: 'bold' });
  flow.words(`fingerprint ${words.fingerprint}`, { size: 2.9 });
  flow.words(content.verdict, { size: 3.4, weight: 'bold' });
  const framed = cautionFrame(content.cautions, flow.widthOfPage(), setter);
  if (content.cautions.length > 0 && framed.height <= flow.roomOfPage() * 0.7) flow.figure(framed.height, framed.draw);
  else flow.list(content.cautions, '!', cautionSize);

  // Where the first page has no room for the diagram, it stands behind the tables, so that the page is not left empty.
  const isLaid = layDiagram(flow, content.diagram, flow.roomLeft() - captionRoom, setter);

  const findings = content.findings.map(([what, ...rest]) => {
    const lines = rest.filter((one) => one !== '');
    const height = lines.reduce((sum, one) => sum + flow.wordsHeight(one, restStyle), flow.wordsHeight(what, whatStyle));
    return { what, lines, height: Math.min(height, flow.roomOfPage() / 2) };
  });
  if (findings.length > 0) flow.heading('Findings', findings[0]?.height);
  for (const { what, lines, height } of findings) {
    flow.keep(height);
    flow.words(what, whatStyle);
    for (const one of lines) flow.words(one, restStyle);
  }

  for (const { heading, rows, words: below } of content.tables.filter(({ rows }) => rows.length > 1)) {
    flow.heading(heading, tableFollows);
    flow.table(rows);
    for (const one of below) flow.words(one, { size: 2.6 });
  }
  if (!isLaid) layDiagram(flow, content.diagram, flow.roomOfPage() - captionRoom, setter);
  if (content.plot) {
    const { plot } = content;
    flow.heading('Pump and pipes', plotHeight + captionRoom);
    const unplaced: string[] = [];
    flow.figure(plotHeight, (box) => {
      const { marks, unplaced: left } = pumpPlot(plot, box, setter);
      unplaced.push(...left);
      return marks;
    });
    flow.words([...unplaced, ...(plot.given.length > 0 ? ['Circles: points of the curve as given.'] : []), 'Cross: where the water settles.'].join(' '), captionStyle);
  }
  if (content.notes.length > 0) {
    flow.heading('Notes', noteFollows);
    flow.list(content.notes, '!');
  }
  return flow.pages();
}

/** The diagram if it takes no more than that, in type as large as half a page allows; whether it, or why there is none, was laid. */
function layDiagram(flow: ReturnType<typeof pageFlow>, diagram: WaterDiagram, most: number, setter: Typesetter): boolean {
  const ofPage = flow.roomOfPage() - captionRoom;
  const figure = waterDiagram(diagram, flow.widthOfPage(), { usual: Math.min(most, flow.roomOfPage() / 2), most: ofPage }, setter);
  if (!figure) {
    flow.words('There are too many tanks or pipes for a drawing that can be read: the tables tell which way the water goes.', { size: 2.8 });
    return true;
  }
  if (figure.height > most) return false;
  flow.keep(figure.height + captionRoom);
  flow.figure(figure.height, figure.draw);
  flow.words(diagramWords(diagram), captionStyle);
  return true;
}

/** What the strokes of the diagram mean, as far as it has them. */
function diagramWords({ pipes }: WaterDiagram): string {
  const meanings = [
    'Not to scale: tanks are drawn in the order in which they drain, returns on the left, drains on the right.',
    ...(pipes.some(({ isSpare }) => isSpare) ? ['Dashed: kept in reserve.'] : []),
    ...(pipes.some(({ isFaulty }) => isFaulty) ? ['Thick, words in bold: see the findings.'] : []),
  ];
  return meanings.join(' ');
}

/** Cautions in a frame, each with its sign. */
function cautionFrame(cautions: readonly string[], width: number, setter: Typesetter): { height: number; draw: (box: Rect) => Mark[] } {
  const lines = cautions.map((one) => wrap(setter, one, 'regular', (width - 2 * framePad - signWidth) / cautionSize));
  const lineHigh = cautionSize * 1.35;
  const height = lines.reduce((sum, { length }) => sum + length * lineHigh + cautionGap, 0) - cautionGap + 2 * framePad;
  const draw = ({ left, right, top, bottom }: Rect): Mark[] => {
    const marks: Mark[] = [rectPath('sheet', { left: left + 0.3, right: right - 0.3, top, bottom }, { width: 0.5, gray: 0 })];
    let y = top - framePad;
    for (const one of lines) {
      marks.push(text(setter, 'sheet', { x: left + framePad, y: y - cautionSize }, '!', { size: cautionSize, weight: 'bold' }));
      for (const words of one) {
        marks.push(text(setter, 'sheet', { x: left + framePad + signWidth, y: y - cautionSize }, words, { size: cautionSize }));
        y -= lineHigh;
      }
      y -= cautionGap;
    }
    return marks;
  };
  return { height, draw };
}
