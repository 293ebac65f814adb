import { pageFlow, type FlowPaper } from './flow.ts';
import type { Page, SheetWords } from './sheet.ts';
import type { Typesetter } from './type.ts';

/** What the contents page says of a panel. */
export interface ContentsRow {
  readonly part: string;
  readonly quantity: number;
  readonly panel: string;
  readonly holes: number;
  readonly verdict: string;
  /** Number of its first page after the contents, from 0, and how many there are; null where it has no jig. */
  readonly pages: { readonly first: number; readonly count: number } | null;
}

/** The pages before the jigs of a build: what is in it, and what it takes. @param flowRow the pages on its water, which follow; null where there are none */
export function contentsPages(rows: readonly ContentsRow[], flowRow: Pick<ContentsRow, 'verdict' | 'pages'> | null, list: readonly (readonly string[])[], paper: FlowPaper, words: Pick<SheetWords, 'title' | 'fingerprint' | 'isDraft'>, setter: Typesetter): Page[] {
  const set = (before: number) => {
    const flow = pageFlow(paper, 'contents', (page, pages) => `contents, page ${page} of ${pages}, then the jigs`, words, setter);
    flow.words(words.title, { size: 5.6, weight: 'bold', most: 2 });
    flow.words(`${rows.length} panels to drill · fingerprint ${words.fingerprint}`, { size: 2.9 });
    flow.heading('Jigs');
    flow.table([['panel', 'make', 'size', 'holes', 'verdict', 'pages of this file'], ...rows.map((row) => [row.part, String(row.quantity), row.panel, String(row.holes), row.verdict, pagesWords(row, before)])]);
    if (flowRow) flow.words(`Flow of water: ${flowRow.verdict}, ${flowRow.pages?.count === 1 ? 'page' : 'pages'} ${pagesWords(flowRow, before)} of this file.`, { size: 2.8 });
    if (rows.some(({ pages }) => pages === null)) flow.words('A refused panel has no jig: panejig check says why and what to change. The other jigs stand by themselves.', { size: 2.8 });
    flow.list(usage, '•');
    if (list.length > 1) {
      flow.heading('What it takes');
      flow.table(list.map(([group = '', ...cells], index) => [list[index - 1]?.[0] === group ? '' : group, ...cells]));
      flow.words('Sizes of panels are as seen from outside; of a bottom from below, its height from front to back. Measure the panels in hand: jigs are drawn to these sizes.', { size: 2.8 });
    }
    return flow.pages();
  };
  // The numbers of pages depend on how many pages of contents stand before them.
  const tried = set(0);
  return set(tried.length);
}

const usage: readonly string[] = [
  'Each jig has pages of its own: first the panel with its findings and how to put the sheets together, then its drilling sheet for the bench, then the sheets. Take them apart by panel before anything is cut.',
  'Sheets are named from A1 in every jig: look at the title on the sheet and at its fingerprint before you tape two together.',
  'Where several pieces are made alike, print the sheets of the jig once for each, as a jig is drilled through; all other pages once.',
];

function pagesWords({ pages }: Pick<ContentsRow, 'pages'>, before: number): string {
  if (!pages) return 'no jig';
  const [first, last] = [before + pages.first + 1, before + pages.first + pages.count];
  return first === last ? String(first) : `${first} to ${last}`;
}
