/** Papers by name. Sizes in mm, portrait. */

export interface Paper {
  /** Name as printed and as taken from the user. */
  readonly name: string;
  /** Short side, mm. */
  readonly width: number;
  /** Long side, mm. */
  readonly height: number;
}

/** ISO 216 for the A sizes, ANSI/ASME Y14.1 for Letter (ANSI A) and ANSI B to D; Legal is common practice, no source. */
export const papers: readonly Paper[] = [
  { name: 'A4', width: 210, height: 297 },
  { name: 'A3', width: 297, height: 420 },
  { name: 'Letter', width: 215.9, height: 279.4 },
  { name: 'Legal', width: 215.9, height: 355.6 },
  { name: 'ANSI B', width: 279.4, height: 431.8 },
  { name: 'ANSI C', width: 431.8, height: 558.8 },
  { name: 'ANSI D', width: 558.8, height: 863.6 },
];

/** Largest page side that a PDF reader must accept: 14,400 units of 1/72 in (ISO 32000-1:2008, annex C.2), mm. */
export const largestPage = 14400 * (25.4 / 72);

/** Smallest page side that holds a sheet's rulers and words, mm (our choice). */
export const smallestPage = 140;

/** The strip that common office printers leave white is about 4 to 7 mm (common practice, no source); this covers it, mm. */
export const usualMargin = 10;

/** The paper of that name, whatever its case, spaces and hyphens; undefined if there is none. */
export function paperByName(name: string): Paper | undefined {
  const key = (text: string) => text.toLowerCase().replace(/[\s_-]+/g, '');
  return papers.find((paper) => key(paper.name) === key(name));
}
