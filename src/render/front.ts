import type { Plan, Rect } from '../plan/plan.ts';
import { formatBoth, formatLength } from '../trade/units.ts';
import { areaLegend, legendHeight } from './area.ts';
import { flowPaper, pageFlow } from './flow.ts';
import { divisionWords, type Layout } from './layout.ts';
import { path, rectPath, text, type Mark } from './mark.ts';
import { tieRows, type Orientation, type TieLine } from './guides.ts';
import { drawOverview, overviewHeight, type OverviewOptions } from './overview.ts';
import { patchRows, type Patch } from './patches.ts';
import { mapExtent, mapPlaces, rulerLengths, type Page, type SheetWords } from './sheet.ts';
import { laidLines } from './lines.ts';
import type { Typesetter } from './type.ts';

/** What the front pages say besides what the plan and the layout show. */
export interface FrontWords extends SheetWords {
  readonly verdict: string;
  /** First row: the column titles. */
  readonly holes: readonly (readonly string[])[];
  /** Which of them has the least margin; empty where nothing is drilled. */
  readonly margin: string;
  /** One list of lines per faulty hole: which, then where it may go. */
  readonly places: readonly (readonly string[])[];
  /** One list of lines per finding: what, fix, source. */
  readonly findings: readonly (readonly string[])[];
  readonly notes: readonly string[];
  /** What is said of the shaded areas besides what the shades mean. */
  readonly areaNotes: readonly string[];
}

/** The pages before the sheets: the whole panel, the findings, how to put the jig together. */
export function frontPages(plan: Plan, layout: Layout, patches: readonly Patch[] | null, ties: readonly TieLine[], words: FrontWords, setter: Typesetter, options: OverviewOptions): Page[] {
  const flow = pageFlow(flowPaper(plan, layout), 'front', (page, pages) => `page ${page} of ${pages}, then the drilling sheet and the sheets`, words, setter);
  flow.words(words.title, { size: 5.6, weight: 'bold', most: 2 });
  flow.words(`${words.panel} · to be drilled from the ${words.face} · fingerprint ${words.fingerprint}`, { size: 2.9 });
  if (plan.standing !== '') flow.words(plan.standing, { size: 2.9 });
  flow.words(words.verdict, { size: 3.4, weight: 'bold' });
  flow.figure(Math.min(150, flow.roomOfPage() * 0.5, overviewHeight(plan, flow.widthOfPage())), (box) => drawOverview(plan, box, layout, setter, options));
  if (options.areas.length > 0) flow.figure(legendHeight, (box) => areaLegend(box, setter));
  for (const note of words.areaNotes) flow.words(note, { size: 2.4 });
  if (words.notes.length > 0) flow.list(words.notes, '!');

  flow.heading('Holes');
  flow.table(words.holes);
  if (words.margin !== '') flow.words(words.margin, { size: 2.6 });
  const list = (entries: readonly (readonly string[])[]) => {
    for (const [first = '', ...rest] of entries) {
      flow.words(first, { size: 2.8, weight: 'bold' });
      for (const line of rest) flow.words(line, { size: 2.6, indent: 4 });
    }
  };
  if (words.places.length > 0) flow.heading('Nearest places');
  list(words.places);
  flow.heading('Findings');
  if (words.findings.length === 0) flow.words('Every hole keeps the published minimum and good practice. This is no promise: see the cautions on the drilling sheet.', { size: 2.8 });
  list(words.findings);

  const mapRoom = layout.cells.length > 1 || patches ? mapSize(layout, words.outline).height + 4 : 0;
  flow.heading(patches ? 'Lay the patches' : 'Put the jig together', mapRoom);
  if (mapRoom > 0) flow.figure(mapRoom, (box) => mapFigure(layout, words.outline, box, setter));
  if (patches) {
    flow.table(patchRows(patches, plan));
    flow.list(patchSteps(plan, layout, words.orientation, patches));
  } else {
    flow.list(assembly(plan, layout, words.orientation, ties.length > 0));
    if (ties.length > 0) {
      flow.heading('Tie lines', 30);
      flow.table(tieRows(ties, plan));
      flow.list(tieMeanings, '•');
    }
  }
  return flow.pages();
}

/** What tie lines say that measure wrong. */
const tieMeanings: readonly string[] = [
  'All right: the seams between the crosses are true.',
  'One too long, the other too short: the jig is skewed; a sheet or a row slid along its seam, or lies turned. Open the seams and lay them by their marks again.',
  'Both too long or both too short by the same share: the printer scales. Measure the rulers; print at 100 %, or keep a printer profile (panejig ruler, then panejig printer).',
  'One wrong, the other right: a seam on its way is open or overlaps too far.',
];

/** Print, and measure the rulers. */
function printSteps(layout: Layout, whole: string): string[] {
  const { format, cells } = layout;
  const { across, down } = rulerLengths(format);
  return [
    `Print the ${cells.length === 1 ? 'sheet' : `${cells.length} sheets`} on ${format.paper.name}, one-sided, at 100 % / actual size. "Fit to page" makes every distance wrong.`,
    `Measure both rulers on every sheet with a steel rule: across ${formatLength(across)}, down ${formatLength(down)}. If one is off by more than 0.5 mm, do not use the ${whole}.`,
  ];
}

/** Which face, where on it, and what to drill by. */
function tapeSteps(plan: Plan, { edge, end }: Orientation, what: string): string[] {
  return [
    `Tell the faces apart: put a piece of tape on the panel itself, at the ${end} end of its ${edge} as seen from outside (${plan.isBoxWall ? 'the face that lies against the panel' : 'the dry side of the tank'}). The solid triangle of the ${what} comes to lie there, its tip to that edge.`,
    ...(plan.sheets.isOnFarFace ? farFaceSteps(plan, what) : [`Tape the ${what} to the ${plan.face} face, print towards you, on clean and dry glass or acrylic, with the names of the edges at the edges they name.`]),
    'Check the distances of each hole with a tape measure before you drill.',
    'The full circle is the outside of the bit. Cut the disc out if you drill through a guide; the four ticks around it stay and show the centre. The dashed circle is the widest of flange, gasket and nut.',
  ];
}

function layToWords(plan: Plan): string {
  const hasInnerFace = laidLines(plan).some(({ isInnerFace }) => isInnerFace);
  const neighbours = hasInnerFace ? ' Where a neighbouring panel stands on the edge, cut along the line of its inner face (long dashes) and lay the paper against it.' : '';
  return plan.rimLine
    ? `Cut along the rim line (long dashes) and lay that edge against the rim: the true edge is hidden under it. Where there is no rim, lay the edge line on the edge of the panel.${neighbours}`
    : `Cut along the edge line, or let the paper stand over, and lay the line exactly on the edge of the panel.${neighbours}`;
}

/** What to do with the printed sheets, step by step. */
function assembly(plan: Plan, layout: Layout, orientation: Orientation, hasTies: boolean): string[] {
  const { bounds, units } = plan;
  const size = `${formatBoth(bounds.right - bounds.left, units)} across and ${formatBoth(bounds.top - bounds.bottom, units)} up`;
  return [
    ...printSteps(layout, 'sheet'),
    ...(layout.cells.length > 1
      ? [
          `Lay the sheets out as on the map${isGapped(layout) ? '; where it has a gap there is no sheet, as nothing is to be drilled or aligned there' : ''}. ${divisionWords(layout)}.`,
          `Where a sheet joins one on its left or above it, cut it along the dash-dot seam line. Lay it on its neighbour so that the halves of each alignment mark meet, and tape it. Work along the ${layout.runs}, then join the ${layout.runs}.`,
        ]
      : []),
    ...(hasTies ? ['Lay the jig flat and measure the tie lines from cross to cross with a tape measure, before anything is cut off: the table below says what they must be.'] : []),
    `Check the jig against the panel: edge line to edge line it must measure ${size}. More than 1 mm off means a bad print or a bad seam.`,
    layToWords(plan),
    ...tapeSteps(plan, orientation, 'jig'),
  ];
}

/** What to do with patches, each by itself. */
function patchSteps(plan: Plan, layout: Layout, orientation: Orientation, patches: readonly Patch[]): string[] {
  const measured = patches.flatMap((patch) => patch.measured);
  const hasThree = patches.some((patch) => patch.measured.length > 1);
  const hasNumbers = [...measured.map(({ from }) => from), ...patches.flatMap(({ laidTo }) => laidTo.map(({ name }) => name))].some((name) => /edge \d/.test(name));
  return [
    ...printSteps(layout, 'patch'),
    `Each patch is laid to the panel by itself, where the map shows it.${plan.face === 'inside' ? ' Edges are named as seen from outside: on the inside face the left edge lies on your right.' : ''}${hasNumbers ? ' Edge 3-4 runs from corner 3 to corner 4 of the drawing on the first page.' : ''}`,
    ...(patches.some(({ laidTo }) => laidTo.length > 0) ? [`A patch with a corner, or two lines that cross, is fixed by them. ${layToWords(plan)}`] : []),
    ...(measured.length > 0 ? [`From a cross with an arrow, measure the way of the arrow to the edge that it names, with the tape measure hooked there and square to that edge, to the middle of the cross.${plan.sheets.isOnFarFace ? ` The tape lies on the ${plan.face} face: look square through the panel at the cross.` : ''} A patch with one edge has one cross: lay the line on the edge, then slide the patch along it until the distance is right.`] : []),
    ...(hasThree ? ['A patch with no edge on it has three crosses. Two go the same way: turn and shift the patch until both are right, then slide it until the third is too. Measure all three again before you tape it.'] : []),
    ...tapeSteps(plan, orientation, 'patch'),
  ];
}

/** A jig read through the panel: where it is taped, and how far off a mark seems when it is looked at aslant. */
function farFaceSteps(plan: Plan, what: string): string[] {
  const { thickness } = plan.panel;
  const far = plan.face === 'outside' ? 'inside' : 'outside';
  // Snell's law; refractive index of float glass 1.5 (EN 572-1, from memory), acrylic 1.49 (from memory).
  const shift = thickness * Math.tan(Math.asin(Math.sin(Math.PI / 18) / 1.5));
  return [
    `Tape the ${what} to the ${far} face of the clear panel, print against the panel, and read it through the panel from the ${plan.face} face, where the drill goes in. Its words read the right way round from there.`,
    `Look square through the panel when you set the bit: 10 degrees aslant, a mark seems ${formatLength(shift)} off. Where you can, carry the centre over to the ${plan.face} face with a fine pen and measure it there.`,
  ];
}

/** Whether the sheets leave a part of the panel out. */
function isGapped(layout: Layout): boolean {
  const all = mapExtent(layout.cells, null);
  return layout.cells.reduce((sum, { core }) => sum + (core.right - core.left) * (core.top - core.bottom), 0) < (all.right - all.left) * (all.top - all.bottom) - 1;
}

/** The size of the map of sheets on the front pages, mm. */
function mapSize(layout: Layout, outline: FrontWords['outline']): { width: number; height: number } {
  const all = mapExtent(layout.cells, outline);
  const [width, height] = [all.right - all.left, all.top - all.bottom];
  const scale = Math.min(90 / width, 56 / height, 0.09);
  return { width: width * scale, height: height * scale };
}

/** The sheets as they lie, with their names. */
function mapFigure(layout: Layout, outline: FrontWords['outline'], box: Rect, setter: Typesetter): Mark[] {
  const { width, height } = mapSize(layout, outline);
  const { cell: place, point } = mapPlaces(layout, outline, { left: box.left, right: box.left + width, top: box.top - 2, bottom: box.top - 2 - height });
  const panel = outline ? [path('sheet', outline.map(point), { width: 0.25, gray: 0.4 })] : [];
  return [...panel, ...layout.cells.flatMap((cell): Mark[] => {
    const square = place(cell);
    const size = Math.min(4, (square.right - square.left) * 0.4, (square.top - square.bottom) * 0.7);
    const at = { x: (square.left + square.right) / 2, y: (square.bottom + square.top) / 2 - size * 0.35 };
    return [rectPath('sheet', square, { width: 0.2, gray: 0.1 }), text(setter, 'sheet', at, cell.name, { size, align: 'center' })];
  })];
}
