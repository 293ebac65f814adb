import { partWidth, type Plan, type PlannedHole, type Point, type Rect } from '../plan/plan.ts';
import { formatInches, formatLength } from '../trade/units.ts';
import { sheetFormat, type Cell, type Layout, type SheetFormat } from './layout.ts';
import { circle, line, markBounds, path, rectPath, text, type Mark, type Pen } from './mark.ts';
import { sheetPages, type Page, type SheetWords } from './sheet.ts';
import { wrap, type Typesetter, type Weight } from './type.ts';

/** Discs that cover the sealing faces of holes while a panel is painted, to be cut out at true size. Lengths in mm. */

/** What a disc covers all round beyond the widest part that seals or turns there (common practice, no source). */
export const maskMargin = 3;
/** What is taken for the ring round a hole whose fitting is not known (common practice, no source). */
export const bareRing = 15;
/** White between discs, and between them and the end of what is printed. */
const [gap, edgeRoom] = [3, 1];
/** Smallest letters on a disc. */
const smallestWords = 1.5;
/** Length of the ticks at a disc's rim. */
const rimTick = 2.5;

export interface Disc {
  readonly hole: PlannedHole;
  /** The face that it is stuck on: "outside", "inside", "inside, against weir box". */
  readonly face: string;
  readonly diameter: number;
  readonly drilled: number;
  /** Whether the fitting is not known, and {@link bareRing} stands in for it. */
  readonly isBare: boolean;
  readonly copy: number;
  readonly copies: number;
}

/** A disc, or half of one that is wider than the page, with its place: the middle of the whole disc on the page's window. */
export interface PlacedDisc {
  readonly disc: Disc;
  readonly half: 'upper' | 'lower' | null;
  readonly page: number;
  readonly center: Point;
}

/** Two discs for each hole and copy: a face each. On the face of a box that is sealed to the panel no wider than the fitting. */
export function discsOf(plan: Plan, refused: ReadonlySet<string>): Disc[] {
  const copies = Array.from({ length: plan.quantity }, (_, index) => index + 1);
  return plan.holes.filter(({ name }) => !refused.has(name)).flatMap((hole) => {
    const drilled = hole.diameter;
    const part = partWidth(hole);
    const isBare = part <= drilled;
    const covered = isBare ? drilled + 2 * bareRing : part;
    const stands = hole.box === null ? null : plan.panel.boxes.find(({ name }) => name === hole.box)?.stands ?? 'inside';
    return copies.flatMap((copy) =>
      (['outside', 'inside'] as const).map((face): Disc => {
        const isBox = face === stands;
        return { hole, face: isBox ? `${face}, against ${hole.box}` : face, diameter: covered + (isBare || isBox ? 0 : 2 * maskMargin), drilled, isBare, copy, copies: plan.quantity };
      }),
    );
  });
}

interface Packing {
  readonly placed: readonly PlacedDisc[];
  readonly pages: number;
  /** Discs of which not even a half has room. */
  readonly without: readonly Disc[];
}

/**
 * Discs in shelves, the largest first, each on the first shelf with room. One wider than the page is printed as two
 * halves; one wider than both its sides not at all.
 * @param band height at the top of the first page that words take up
 */
export function packDiscs(discs: readonly Disc[], window: SheetFormat['window'], band: number): Packing {
  const room = { width: window.width - 2 * edgeRoom, height: window.height - edgeRoom };
  const fits = (width: number, height: number) => width <= room.width && height <= room.height - edgeRoom;
  const parts = discs.flatMap((disc): { disc: Disc; half: PlacedDisc['half']; width: number; height: number }[] => {
    const d = disc.diameter;
    if (fits(d, d)) return [{ disc, half: null, width: d, height: d }];
    return fits(d, d / 2) ? (['upper', 'lower'] as const).map((half) => ({ disc, half, width: d, height: d / 2 })) : [];
  });
  const shelves: Shelf[] = [];
  const starts = [Math.max(band, edgeRoom)];
  // Shelves and pages only fill up: what has no room for a size is not looked at again for that size.
  const shelfFor = firstWithRoom((at, width) => (shelves[at] as Shelf).used + width <= room.width + 1e-9);
  const pageFor = firstWithRoom((at, height) => (starts[at] as number) + height <= room.height + 1e-9);
  const placed = [...parts].sort((p, q) => q.height - p.height).map(({ disc, half, width, height }): PlacedDisc => {
    // The largest come first, so every shelf is high enough.
    let shelf = shelves[shelfFor(width, shelves.length)];
    if (!shelf) {
      const page = pageFor(height, starts.length);
      const top = starts[page] ?? edgeRoom;
      shelf = { page, top, used: 0 };
      shelves.push(shelf);
      starts[page] = top + height + gap;
    }
    const [x, top] = [edgeRoom + shelf.used + width / 2, window.height - shelf.top];
    shelf.used += width + gap;
    return { disc, half, page: shelf.page, center: { x, y: half === 'lower' ? top : half === 'upper' ? top - height : top - height / 2 } };
  });
  const printed = new Set(placed.map(({ disc }) => disc));
  return { placed, pages: starts.length, without: discs.filter((disc) => !printed.has(disc)) };
}

interface Shelf {
  readonly page: number;
  readonly top: number;
  used: number;
}

/** Finds the first of so many places that has room for a size; their number where none has. */
function firstWithRoom(hasRoom: (at: number, size: number) => boolean): (size: number, count: number) => number {
  const passed = new Map<number, number>();
  return (size, count) => {
    let at = passed.get(size) ?? 0;
    while (at < count && !hasRoom(at, size)) at += 1;
    passed.set(size, at);
    return at;
  };
}

export interface MaskPages {
  readonly placed: readonly PlacedDisc[];
  readonly format: SheetFormat;
  readonly pages: readonly Page[];
  readonly notes: readonly string[];
}

const [wordSize, wordStep] = [2.6, 3.6];

/**
 * The pages of discs, on the sheets' paper, on as few pages as either way round gives.
 * @param refused names of holes that get no discs
 */
export function maskPages(plan: Plan, refused: ReadonlySet<string>, words: SheetWords, setter: Typesetter): MaskPages {
  const discs = discsOf(plan, refused);
  const formats = (plan.sheets.orientation ? [plan.sheets.orientation] : (['portrait', 'landscape'] as const)).map((orientation) => sheetFormat(plan.sheets, orientation));
  const choices = formats.map((format) => {
    const told = steps(plan, discs).flatMap((step) => wrap(setter, step, 'regular', (format.window.width - 2) / wordSize));
    return { format, told, ...packDiscs(discs, format.window, told.length * wordStep + 3) };
  });
  const cost = ({ without, pages, placed }: (typeof choices)[number]) => without.length * 1e6 + placed.filter(({ half }) => half !== null).length * 1e3 + pages;
  const { format, told, placed, pages, without } = choices.reduce((best, one) => (cost(one) < cost(best) ? one : best));
  const layout = pagesLayout(format, pages);
  const home = (page: number) => layout.cells[page] as Cell;
  const onCell = new Map<Cell, PlacedDisc[]>(layout.cells.map((cell) => [cell, []]));
  for (const one of placed) onCell.get(home(one.page))?.push(one);
  const shown = (cell: Cell): Mark[] => {
    const { left, bottom, top } = cell.window;
    const intro = cell === home(0) ? told.map((row, at) => text(setter, 'label', { x: left + 1, y: top - (at + 1) * wordStep + 0.6 }, row, { size: wordSize })) : [];
    return [...intro, ...(onCell.get(cell) ?? []).flatMap((one) => discMarks(one, { x: left + one.center.x, y: bottom + one.center.y }, plan, setter))];
  };
  const lies = 'Masks: cut each disc out along its full circle and stick it on the face that it names.';
  const sheets = sheetPages(shown, layout, { ...words, title: `mask: ${plan.title}`, lies, outline: null, isLoose: true }, setter);
  return { placed, format, pages: discs.length > 0 ? sheets : [], notes: maskNotes(plan, without, format) };
}

/** Pages that have nothing to do with each other: their windows lie apart. */
function pagesLayout(format: SheetFormat, pages: number): Layout {
  const { width, height } = format.window;
  const cells = Array.from({ length: pages }, (_, index): Cell => {
    const window: Rect = { left: 0, right: width, bottom: -index * (height + 100), top: height - index * (height + 100) };
    return { name: `M${index + 1}`, window, core: window };
  });
  return { format, runs: 'rows', cells, cut: [], longestChain: 0, plain: { sheets: pages, cut: 0 } };
}

function maskNotes(plan: Plan, without: readonly Disc[], { paper }: SheetFormat): string[] {
  const widest = new Map<string, number>();
  for (const { hole: { name }, diameter } of without) widest.set(name, Math.max(widest.get(name) ?? 0, diameter));
  return [...widest].map(([name, wide]) => {
    return `No mask for ${name}: its disc of ${formatLength(wide, plan.units)} does not fit ${paper.name}, not even in halves. Choose a larger paper, or draw it with compasses, radius ${formatLength(wide / 2, plan.units)}.`;
  });
}

function steps(plan: Plan, discs: readonly Disc[]): string[] {
  const length = (mm: number) => (plan.units === 'in' ? `${formatLength(mm)} (${formatInches(mm)})` : formatLength(mm, plan.units));
  return [
    `Two discs for each hole${plan.quantity > 1 ? ` of each of the ${plan.quantity} panels` : ''}, one for each face, so that paint stays off what must seal. Cut them out, or lay them on masking film and cut round them. Before drilling set the cross on the hole's centre; after it the dashed circle round the hole.`,
    `A disc is as wide as the widest of flange, nut and gasket, and ${length(maskMargin)} more all round (common practice, no source). Measure them in your hand: the disc must cover them all.`,
    ...(discs.some(({ isBare }) => isBare) ? [`Where no flange is known, a ring of ${length(bareRing)} round the hole is assumed (common practice, no source); the disc says so.`] : []),
    ...(discs.some(({ face }) => face.includes('against')) ? ['Against a box the disc is no wider than the fitting: the box is sealed to the bare panel around it. Keep paint off all of that seal.'] : []),
    'Paint that reaches the nut or the thread locks them: wanted by some, regretted by those who will take the fitting off (common practice, no source).',
    `Coats and drying times are the paint maker's; so is whether the paint suits ${plan.panel.material}.`,
  ];
}

const pens = {
  cut: { width: 0.25, gray: 0 },
  cross: { width: 0.15, gray: 0 },
  drilled: { width: 0.18, gray: 0.4, dashes: [2, 1.2] },
} as const satisfies Record<string, Pen>;

/** A disc with its cross, ticks at its rim, the drilling circle and its words; or half of one, with ticks to join it by. */
function discMarks({ disc, half }: PlacedDisc, { x, y }: Point, plan: Plan, setter: Typesetter): Mark[] {
  const [radius, drilled] = [disc.diameter / 2, disc.drilled / 2];
  const at = (dx: number, dy: number) => ({ x: x + dx, y: y + dy });
  const stroke = (a: readonly [number, number], b: readonly [number, number]) => line('center', at(...a), at(...b), pens.cross);
  const arm = Math.min(8, drilled * 0.6);
  const rim = [radius - rimTick, radius] as const;
  const words = discWords(disc, half, plan, setter);
  if (half === null) {
    return [
      circle('hole', at(0, 0), radius, pens.cut),
      circle('part', at(0, 0), drilled, pens.drilled),
      stroke([-arm, 0], [arm, 0]),
      stroke([0, -arm], [0, arm]),
      ...[[1, 0], [-1, 0], [0, 1], [0, -1]].map(([u = 0, v = 0]) => stroke([u * rim[0], v * rim[0]], [u * rim[1], v * rim[1]])),
      ...wordMarks(words.filter(({ weight }) => weight === 'bold'), disc, at(0, 0), 1, arm + 2, setter),
      ...wordMarks(words.filter(({ weight }) => weight === 'regular'), disc, at(0, 0), -1, arm + 2, setter),
    ];
  }
  const turn = half === 'upper' ? 1 : -1;
  const arc = (r: number) => Array.from({ length: 721 }, (_, step) => at(r * Math.cos((step * Math.PI) / 720), turn * r * Math.sin((step * Math.PI) / 720)));
  return [
    path('hole', arc(radius), pens.cut),
    path('part', arc(drilled), pens.drilled, null, false),
    ...[-0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75].map((share) => stroke([share * radius, 0], [share * radius, turn * 6])),
    stroke([0, turn * rim[0]], [0, turn * rim[1]]),
    ...wordMarks(words, disc, at(0, 0), turn, 10, setter),
  ];
}

interface Row {
  readonly words: string;
  readonly size: number;
  readonly weight: Weight;
}

function discWords({ hole, face, diameter, drilled, isBare, copy, copies }: Disc, half: PlacedDisc['half'], plan: Plan, setter: Typesetter): Row[] {
  const length = (mm: number) => formatLength(mm, plan.units);
  const small = { size: 2.4, weight: 'regular' } as const;
  const size = setter.width(hole.name, 'bold') * 3.2 < diameter * 0.6 ? 3.2 : 2.4;
  return [
    ...wrap(setter, hole.name, 'bold', (diameter * 0.6) / size).slice(0, 3).map((words) => ({ words, size, weight: 'bold' as const })),
    ...wrap(setter, face, 'bold', (diameter * 0.6) / 2.6).slice(0, 2).map((words) => ({ words, size: 2.6, weight: 'bold' as const })),
    { words: `disc ${length(diameter)}${copies > 1 ? `, ${copy} of ${copies}` : ''}`, ...small },
    { words: `hole ${length(drilled)}`, ...small },
    ...(isBare ? [{ words: 'no flange known', ...small }] : []),
    ...(half ? [{ words: `${half} half: tape it to the ${half === 'upper' ? 'lower' : 'upper'}, ticks together`, ...small }] : []),
  ];
}

/**
 * Rows above (1) or below (-1) the middle: within the drilling circle or on the ring outside it, where they fit whole;
 * else across the circle, on white. They are set smaller where they must be.
 */
function wordMarks(rows: readonly Row[], { diameter, drilled }: Disc, { x, y }: Point, side: 1 | -1, least: number, setter: Typesetter): Mark[] {
  const inOrder = side === 1 ? [...rows].reverse() : rows;
  const outmost = diameter / 2 - rimTick - 0.5;
  const places = [{ start: least, radius: drilled / 2 - 1 }, { start: drilled / 2 + 1, radius: outmost }, { start: least, radius: outmost }] as const;
  const choices = places.map(({ start, radius }) => {
    let out = start;
    const fitted = inOrder.map(({ words, size, weight }) => {
      const from = out;
      out += size * 1.25;
      const room = out < radius ? 2 * Math.sqrt(radius * radius - out * out) : 0;
      return { words, weight, from, size, fitted: Math.min(size, room / setter.width(words, weight)) };
    });
    return { fitted, share: Math.min(...fitted.map((row) => row.fitted / row.size)) };
  });
  const best = choices.find(({ share }) => share === 1) ?? choices.slice(0, 2).find(({ share }) => share > 0.8) ?? choices.reduce((most, one) => (one.share > most.share ? one : most));
  const isAcross = best === choices[2];
  return best.fitted.flatMap((row): Mark[] => {
    const size = Math.max(smallestWords, row.fitted);
    const base = side === 1 ? y + row.from + row.size * 0.25 : y - row.from - row.size * 0.9;
    const words = text(setter, 'label', { x, y: base }, row.words, { size, weight: row.weight, align: 'center', most: Math.max(4, diameter - 6) });
    return isAcross ? [rectPath('label', markBounds(words), null, 1), words] : [words];
  });
}
