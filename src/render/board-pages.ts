import { edgesOf, type Segment } from '../geometry/shape.ts';
import type { Plan, PlannedHole, Point, Rect } from '../plan/plan.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { boardHole, chooseBoards, fenceWidth, inwardsOf, longSide, runningClearance, solid, type Board, type Stop } from './board.ts';
import { boardWords, drawBoard, leastSealant, stopName, type BoardPlan } from './board-draw.ts';
import { visibleBounds } from './draw.ts';
import { flowPaper, pageFlow } from './flow.ts';
import { tapeWords, tieLines, tieRows, type Orientation } from './guides.ts';
import { bleed, chooseLayout, contentOf, divisionWords, faceTransform, roomyFormats, type Layout, type LayoutTrouble, type SheetFormat } from './layout.ts';
import { withArticle } from './lines.ts';
import { boxOf, circle, grown, line, markBounds, path, sharedArea, text, type Mark, type Text } from './mark.ts';
import { sheetPages, windowSearch, type Page, type SheetWords } from './sheet.ts';
import type { Typesetter } from './type.ts';
import { firstNames } from '../spec/problem.ts';

/** The cutting plans of guide boards: a page that tells how to make them, then each board at true size. */

/** Least white around a board on a sheet, mm. */
const leastWhite = 0.3;
/** Room for words along a side, mm. */
const wordsStrip = 5;

export interface BoardPages {
  readonly plans: readonly BoardPlan[];
  readonly pages: readonly Page[];
  /** What the reader must know: holes without a board, boards that lie over something. */
  readonly notes: readonly string[];
}

/**
 * The cutting plans of all guide boards.
 * @param jig the layout of the jig's sheets, for the paper of the page that tells how
 * @param refused names of holes that get no board hole
 */
export function boardPages(plan: Plan, jig: Layout, refused: ReadonlySet<string>, words: SheetWords, setter: Typesetter): BoardPages | LayoutTrouble {
  const { boards, without } = chooseBoards(plan, refused);
  const plans: BoardPlan[] = [];
  for (const [index, board] of boards.entries()) {
    const own = planOfBoard(plan, board);
    const layout = boardLayout(own, board, plan);
    if ('problem' in layout) return layout;
    const name = `G${index + 1}`;
    const cells = layout.cells.map((cell) => ({ ...cell, name: layout.cells.length === 1 ? name : `${name}-${cell.name}` }));
    plans.push({ name, board, layout: { ...layout, cells }, plan: own });
  }
  const notes = boardNotes(plan, plans, without);
  const sheets = plans.flatMap((one, index) => planSheets(one, plan, `guide board ${index + 1} of ${plans.length}`, words, setter));
  return { plans, notes, pages: plans.length + notes.length === 0 ? [] : [...guidePages(plan, jig, plans, notes, words, setter), ...sheets] };
}

/** One sheet where the board fits it, with less white around it if need be; else the best division, as of a jig. */
function boardLayout(own: Plan, { outline, stops }: Board, plan: Plan): Layout | LayoutTrouble {
  const content = contentOf(own);
  const formats = roomyFormats(content, plan.sheets);
  if ('problem' in formats) return formats;
  const bounds = boxOf(outline);
  const roomIn = ({ window }: SheetFormat) => Math.min(window.width - (bounds.right - bounds.left), window.height - (bounds.top - bounds.bottom)) / 2;
  const format = formats.find((one) => roomIn(one) >= leastWhite);
  if (format) {
    const window = grown(bounds, Math.min(bleed, roomIn(format)));
    return { format, runs: 'rows', cells: [{ name: 'A1', window, core: window }], cut: [], longestChain: 0, plain: { sheets: 1, cut: 0 } };
  }
  const fences = stops.filter(({ kind }) => kind === 'fence').map(({ a, b }) => [a, b] as const);
  return chooseLayout({ ...content, lines: [...content.lines, ...fences] }, plan.sheets);
}

function planOfBoard(plan: Plan, { holes, outline, stops, covers }: Board): Plan {
  const toFace = faceTransform(plan);
  // The strip over a fence, and the words along a side, are kept free of labels and crosses, as what lies under a rim.
  const strip = ({ a, b }: Segment) => {
    const stop = stops.find(({ line, side }) => [a, b].every((p) => Math.abs(inwardsOf(line, p) - side) < 1e-6));
    return stop ? (stop.kind === 'fence' ? -stop.side : wordsStrip) : 0;
  };
  const edges = edgesOf(outline).map((edge) => ({ ...edge, name: '', rim: strip(edge), joint: 0 }));
  const bounds = boxOf(outline);
  // An area as far as the board lies over it, near enough: the box of both.
  const shown = covers.map(({ name, rect }) => ({ name, rect: { left: Math.max(rect.left, bounds.left), right: Math.min(rect.right, bounds.right), bottom: Math.max(rect.bottom, bounds.bottom), top: Math.min(rect.top, bounds.top) } }));
  return {
    ...plan,
    face: 'outside',
    panel: { ...plan.panel, outline, edges, corners: [], cornerNames: outline.map(() => ''), keepClear: shown, boxes: [] },
    bounds,
    datum: bounds,
    rimLine: null,
    jointLine: null,
    holes: holes.map((hole): PlannedHole => ({ ...hole, center: toFace(hole.center), diameter: boardHole(hole), flange: undefined, gasket: undefined, nut: undefined })),
    sheets: { ...plan.sheets, isOnFarFace: false },
  };
}

function planSheets(one: BoardPlan, plan: Plan, title: string, words: SheetWords, setter: Typesetter): Page[] {
  const { board, layout, plan: own } = one;
  const visible = visibleBounds(own);
  const { left, right, top } = boxOf(board.outline);
  // On the map the triangle stands for the arrow: it points upwards.
  const orientation: Orientation = { ...words.orientation, at: { x: (left + right) / 2, y: top }, inwards: { x: 0, y: -1 } };
  const lies = `Top of a board that lies on the ${plan.face.toUpperCase()} face, print towards you, triangle and arrow up on the panel.`;
  return sheetPages(windowSearch(drawBoard(one, plan, setter)), layout, { ...words, title: `${title}: ${plan.title}`, lies, orientation, visible, outline: board.outline, nameSize: layout.cells.length === 1 ? 9 : 6.5 }, setter);
}

/** Most names in a note. */
const mostNames = 12;

const listed = (names: readonly string[]) => firstNames(names, mostNames);

function boardNotes(plan: Plan, plans: readonly BoardPlan[], without: readonly PlannedHole[]): string[] {
  const holesOf = ({ name, board }: BoardPlan) => `${name} (${board.holes.map((hole) => hole.name).join(', ')})`;
  const taped = (count: number) => plans.filter(({ board }) => board.stops.filter(({ kind }) => kind === 'tape').length === count).map(holesOf);
  const tapedNote = (names: readonly string[], what: string) => (names.length > 0 ? [`No corner within reach of guide board${names.length > 1 ? 's' : ''} ${listed(names)}: ${what} set with a tape measure.`] : []);
  return [
    ...(without.length > 0 ? [`No guide board for ${listed(without.map(({ name }) => name))}: nothing within ${formatLength(longSide, plan.units)} to lay it to, or a rim or neighbouring panel in its way. Guide the bit by other means.`] : []),
    ...tapedNote(taped(1), 'one end is'),
    ...tapedNote(taped(2), 'both ends are'),
    ...plans.filter(({ board }) => board.covers.length > 0).map(({ name, board }) => `Guide board ${name} lies over ${listed(board.covers.map((area) => area.name))}: where that stands out of the ${plan.face} face, cut the board back there.`),
  ];
}

/** How to make and use the boards. */
function guidePages(plan: Plan, jig: Layout, plans: readonly BoardPlan[], notes: readonly string[], words: SheetWords, setter: Typesetter): Page[] {
  const flow = pageFlow(flowPaper(plan, jig), 'guide boards', (page, pages) => `guide boards, page ${page} of ${pages}, then their plans`, words, setter);
  flow.words(`Guide boards: ${plan.title}`, { size: 5.6, weight: 'bold', most: 2 });
  flow.words(`Each lies on the ${plan.face} face and keeps the bit from skating. Their plans follow at true size, as one looks down on the board.`, { size: 2.9 });
  if (notes.length > 0) flow.list(notes, '!');
  if (plans.length === 0) return flow.pages();
  flow.figure(80, (box) => boardsFigure(plan, plans, box, setter));
  flow.table(boardRows(plan, plans));
  flow.heading('Make the boards');
  flow.list(makeSteps(plan, plans));
  flow.heading('Drill with them');
  flow.list(useSteps(plan, plans));
  const ties = plans.flatMap(({ plan: own, layout }) => tieLines(own, layout));
  if (ties.length > 0) {
    flow.heading('Tie lines', 30);
    flow.table(tieRows(ties, plan));
    flow.words('One too long, the other too short: a sheet slid along its seam, or lies turned. Both wrong the same way: the printer scales. One wrong alone: a seam on its way is open or overlaps too far.', { size: 2.8 });
  }
  return flow.pages();
}

function boardRows(plan: Plan, plans: readonly BoardPlan[]): string[][] {
  const rows = plans.map(({ name, board, layout }) => {
    const { left, right, bottom, top } = boxOf(board.outline);
    const laid = board.stops.map((stop) => (stop.kind === 'tape' ? `end ${tapeWords(stop.side, plan)} from ${withArticle(stop.line.name)}` : stopName(stop)));
    return [name, board.holes.map((hole) => `${hole.name} ${formatLength(boardHole(hole), plan.units)}`).join(', '), `${formatLength(right - left, plan.units)} x ${formatLength(top - bottom, plan.units)}`, laid.join('; '), divisionWords(layout).split(';')[0] ?? ''];
  });
  return [['board', 'board holes', 'size over all', 'lies against', 'plan'], ...rows];
}

function makeSteps(plan: Plan, plans: readonly BoardPlan[]): string[] {
  const has = (kind: Stop['kind']) => plans.some(({ board }) => board.stops.some((stop) => stop.kind === kind));
  const sealants = plans.flatMap(({ board }) => board.stops.map(({ line: { sealant } }) => sealant));
  const sealant = Math.max(0, ...sealants);
  const custom = (mm: number) => (plan.units === 'in' ? `${formatLength(mm)} (${formatInches(mm)})` : formatLength(mm, plan.units));
  return [
    `Print at 100 % / actual size and measure both rulers on every sheet: each tells how long they must be.${plans.some(({ layout }) => layout.cells.length > 1) ? ' Join the sheets of a board as those of a jig: cut along the seam line, halves of the marks together, then measure its tie lines.' : ''}`,
    `Board: ${boardWords}. Thicker guides better, as long as the bit still reaches through board and panel (${formatLength(plan.panel.thickness, plan.units)}): measure its reach.`,
    'Glue the plan on, or prick its lines and crosses through. Saw along the full outline.',
    ...(has('flush') ? [`A side that lies against a rim line or an inner face must be straight and true: saw it proud and plane it to the line.${sealant > leastSealant ? ` A bead of sealant runs along the inner face: bevel the underside by at least ${custom(Math.ceil(sealant + 2))}, so that the board does not stand on it.` : ''}`] : []),
    ...(has('fence') ? [`Fence: screw a straight strip, about ${custom(fenceWidth)} wide, under the board, its side along the long dashes. Make it a little thinner than the panel, so that it touches nothing but the edge. It must not stand on the tank's sealant: scrape no sealant off, notch the strip. In a tank that stands together already, a neighbour may be where the fence goes: then leave that fence out and measure.`] : []),
    `Bore each board hole upright, on a drill stand if you can, with the same bit or with a hole saw of the size told: the bit and ${custom(runningClearance)} of running clearance in diameter. Check with the bit in your hand: it must turn freely and not wobble.`,
    `Around each hole the board is solid for ${custom(solid)}, but for what its label tells. Thickness, clearance, widths and this are common practice, without a source.`,
  ];
}

function useSteps(plan: Plan, plans: readonly BoardPlan[]): string[] {
  const hasNumbers = plans.some(({ board }) => board.stops.some(({ line: { name } }) => /edge \d/.test(name)));
  const tapes = plans.flatMap(({ board }) => board.stops).filter(({ kind }) => kind === 'tape');
  return [
    `Lay the board on the ${plan.face} face, arrow up on the panel, and push it against both its lines.${plan.face === 'inside' ? ' Edges are named as seen from outside: on the inside face the left edge lies on your right.' : ''}${hasNumbers ? ' Edge 3-4 runs from corner 3 to corner 4 of the drawing on the first page.' : ''}${tapes.length > 0 ? ' An end that a tape sets: measure square to the edge that it names, at both corners of that end.' : ''}`,
    'Check each hole through the board with a tape measure against the table of holes before you drill.',
    `Tape the board down, or clamp it with pads where the panel lies on its support. No clamp, screw or weight may load an edge of the ${plan.panel.material === 'acrylic' ? 'panel' : 'glass'}: the fence only touches it.`,
    'Water must still reach the bit: the board keeps it off. Lift the bit often and fill the hole again, and stop where the cut runs dry.',
    'Light pressure and low speed as without a board; ease off before the bit breaks through. The cautions on the drilling sheet hold.',
  ];
}

/** The panel with its boards, not to size. */
function boardsFigure(plan: Plan, plans: readonly BoardPlan[], box: Rect, setter: Typesetter): Mark[] {
  const outline = plan.panel.outline.map(faceTransform(plan));
  const all = boxOf([...outline, ...plans.flatMap(({ board }) => board.outline)]);
  const room = { width: box.right - box.left, height: box.top - box.bottom - 6 };
  const scale = Math.min(room.width / (all.right - all.left), room.height / (all.top - all.bottom), 1);
  const place = ({ x, y }: Point) => ({ x: box.left + (x - all.left) * scale, y: box.top - 2 - (all.top - y) * scale });
  const named: Rect[] = [];
  const boards = plans.flatMap(({ name, board, plan: own }): Mark[] => {
    const ring = board.outline.map(place);
    const { left, right, bottom, top } = boxOf(ring);
    const nameAt = (p: Point) => {
      const corner = place(p);
      const [isLeft, isLow] = [corner.x < (left + right) / 2, corner.y < (bottom + top) / 2];
      return text(setter, 'label', { x: corner.x + (isLeft ? 1 : -1), y: corner.y + (isLow ? 1 : -3.2) }, name, { size: 3, weight: 'bold', align: isLeft ? 'left' : 'right' });
    };
    // The name stands in the corner furthest from what the board is laid to, and clear of the names of other boards.
    const far = (p: Point) => board.stops.reduce((sum, { line: stop }) => sum + inwardsOf(stop, p), 0);
    const names = [...board.outline].sort((p, q) => far(q) - far(p)).map(nameAt);
    const label = names.find((one) => named.every((box) => sharedArea(markBounds(one), box) === 0)) ?? (names[0] as Text);
    named.push(grown(markBounds(label), 2));
    return [
      path('panel', ring, { width: 0.3, gray: 0 }),
      ...own.holes.map(({ center, diameter }) => circle('hole', place(center), (diameter / 2) * scale, { width: 0.2, gray: 0 })),
      ...board.stops.filter(({ kind }) => kind !== 'tape').map(({ a, b }) => line('rim', place(a), place(b), { width: 0.7, gray: 0 })),
      label,
    ];
  });
  const foot = text(setter, 'label', { x: box.left, y: box.bottom + 0.5 }, `Not to size, as one looks at the ${plan.face} face. Thick: what a board lies against.`, { size: 2.1, gray: 0.3 });
  return [path('panel', outline.map(place), { width: 0.15, gray: 0.4, dashes: [1, 0.8] }), ...boards, foot];
}

