import type { Point, Rect } from '../plan/plan.ts';
import { line, circle, path, rectPath, text, type Mark, type Pen, type TextStyle } from './mark.ts';
import type { Typesetter } from './type.ts';
import { waysOf, type Ways } from './water-lanes.ts';
import { arrange, chamber, clear, headLong, inPitch, lineHigh, overWater, pad, pumpRadius, styles, type Arranged, type Box, type Line, type Row } from './water-places.ts';

/**
 * Which way the water goes, drawn plainly: tanks as open boxes one below the other in the middle, returns rising on the
 * left, drains falling on the right, the sump under all. Words stand in columns that no pipe comes down in, over and under
 * the level pieces of pipes, so that nothing lies over them. Lengths in mm; in here y counts downwards from the figure's top.
 */

export interface WaterDiagram {
  /** From the one that is fed first to the last before the sump. */
  readonly tanks: readonly { readonly name: string; readonly words: readonly string[]; readonly weirs: readonly { readonly name: string; readonly words: string }[] }[];
  readonly sump: { readonly words: readonly string[] };
  readonly pump: { readonly words: readonly string[] };
  readonly side: readonly { readonly name: string; readonly words: string }[];
  /** Pipes between them; `to` is a number of `tanks`, or the sump. A spare is drawn dashed. */
  readonly pipes: readonly { readonly name: string; readonly words: string; readonly from: number | 'pump'; readonly to: number | 'sump'; readonly isSpare: boolean; readonly isFaulty: boolean }[];
}

/** A drawing whose height is known before it has its place. */
export interface Figure {
  readonly height: number;
  readonly draw: (box: Rect) => Mark[];
}

/** More than these are told by the tables alone. */
const [mostTanks, mostPipes] = [8, 30];

const pens = {
  wall: { width: 0.5, gray: 0 },
  weir: { width: 0.4, gray: 0 },
  pipe: { width: 0.35, gray: 0 },
  faulty: { width: 1, gray: 0 },
} as const satisfies Record<string, Pen>;
const spareDashes = [1.6, 1.1] as const;
const waterGray = 0.92;

/** How far an arrow's head stands out beside its pipe. */
const headOut = 0.75;
/** A shorter piece of pipe has no arrow of its own in the middle. */
const leastFall = 11;
/** Half the gap in a pipe where another passes before it. */
const passGap = 0.95;

/** The diagram in the largest type that keeps it within the usual height; null where it would be too much to read, or higher than `most`. */
export function waterDiagram(diagram: WaterDiagram, width: number, { usual, most }: { readonly usual: number; readonly most: number }, setter: Typesetter): Figure | null {
  if (diagram.tanks.length > mostTanks || diagram.pipes.length > mostPipes) return null;
  const ways = waysOf(diagram);
  const arranged = styles.map((style) => arrange(diagram, ways, width, style, setter));
  const found = arranged.find(({ height }) => height <= usual) ?? arranged[arranged.length - 1];
  if (!found || found.height > most) return null;
  return { height: found.height, draw: ({ left, top }) => drawn(diagram, ways, found, ({ x, y }) => ({ x: left + x, y: top - y }), setter) };
}

function penOf({ isSpare, isFaulty }: { readonly isSpare: boolean; readonly isFaulty: boolean }): Pen {
  const pen = isFaulty ? pens.faulty : pens.pipe;
  return isSpare ? { ...pen, dashes: spareDashes } : pen;
}

/** All marks, from the water in the tanks up to the words; `at` places a point of the figure on the page. */
function drawn(diagram: WaterDiagram, ways: Ways, arranged: Arranged, at: (point: Point) => Point, setter: Typesetter): Mark[] {
  const { style: { size }, columns, tanks, sump, rows, sides, pump } = arranged;
  const { wallLeft, wallRight, wordsLeft, wordsRight } = columns;
  const words = (x: number, y: number, said: string, style: Partial<TextStyle> = {}) => text(setter, 'sheet', at({ x, y }), said, { size, ...style });
  const open = (points: readonly Point[], pen: Pen) => path('sheet', points.map(at), pen, null, false);
  const linesAt = (lines: readonly Line[], x: number, top: number) => lines.map((one, index) => words(x, top + index * lineHigh(size) + size, one.words, { weight: one.weight }));
  const head = (tip: Point, towards: Point, pen: Pen = pens.pipe) => path('sheet', headPoints(tip, towards, pen.width / 2 + headOut).map(at), null, 0);
  const said = ({ y, label }: Row, x: number): Mark[] => [
    words(x, y - clear - 0.3 * size, label.name, { weight: 'bold' }),
    ...(label.beside === '' ? [] : [words(x + setter.width(label.name, 'bold') * size + 1.2, y - clear - 0.3 * size, label.beside, { weight: label.isFaulty ? 'bold' : 'regular' })]),
    ...label.under.map((one, index) => words(x, y + clear + index * lineHigh(size) + size, one, { weight: label.isFaulty ? 'bold' : 'regular' })),
  ];

  const manifold = sump.top - 3.5;
  const returns = ways.feeds.flatMap((feeds, tank): Mark[] => {
    const [x, highest] = [columns.risers[tank], rows.get(feeds[0] ?? -1)];
    if (x === null || x === undefined || !highest) return [];
    const fed = feeds.map((number) => ({ row: rows.get(number) as Row, pipe: diagram.pipes[number] as WaterDiagram['pipes'][number] }));
    const riser = penOf({ isSpare: fed.every(({ pipe }) => pipe.isSpare), isFaulty: fed.every(({ pipe }) => pipe.isFaulty) });
    const lowest = Math.max(...fed.map(({ row }) => row.y));
    return [
      open([{ x, y: manifold }, { x, y: highest.y }], riser),
      head({ x, y: (manifold + lowest - headLong) / 2 }, { x: 0, y: -1 }, riser),
      ...fed.flatMap(({ row, pipe }) => [open([{ x, y: row.y }, { x: wallLeft - headLong, y: row.y }], penOf(pipe)), head({ x: wallLeft - 0.3, y: row.y }, { x: 1, y: 0 }, penOf(pipe)), ...said(row, wordsLeft)]),
    ];
  });
  const lastRiser = Math.max(columns.pump, ...columns.risers.flatMap((x) => (x === null ? [] : [x])));
  const isFeeding = ways.feeds.some((feeds) => feeds.length > 0);
  const riserTop = isFeeding ? manifold : Math.min(...sides.map(({ y }) => y), pump.y - pumpRadius);
  const pumping: Mark[] = [
    ...(isFeeding && lastRiser > columns.pump ? [open([{ x: columns.pump, y: manifold }, { x: lastRiser, y: manifold }], pens.pipe)] : []),
    ...(riserTop < pump.y - pumpRadius ? [open([{ x: columns.pump, y: pump.y - pumpRadius }, { x: columns.pump, y: riserTop }], pens.pipe)] : []),
    ...sides.flatMap((side) => [open([{ x: columns.pump, y: side.y }, { x: wallLeft - headLong, y: side.y }], penOf(side.pipe)), head({ x: wallLeft - 0.3, y: side.y }, { x: 1, y: 0 }, penOf(side.pipe)), ...said(side, wordsLeft)]),
    // A circle with a triangle that points where the water is pressed to: a pump after ISO 10628-2 (from memory).
    circle('sheet', at({ x: columns.pump, y: pump.y }), pumpRadius, pens.wall),
    path('sheet', [0, 120, 240].map((angle) => at({ x: columns.pump + pumpRadius * Math.sin((angle * Math.PI) / 180), y: pump.y - pumpRadius * Math.cos((angle * Math.PI) / 180) })), pens.weir),
    open([{ x: wallLeft, y: pump.y }, { x: columns.pump + pumpRadius + headLong, y: pump.y }], pens.pipe),
    head({ x: columns.pump + pumpRadius + 0.3, y: pump.y }, { x: -1, y: 0 }),
    ...linesAt(pump.lines, columns.pump + pumpRadius + 1.5, pump.wordsTop),
  ];

  const drains = drainWays(diagram, ways, arranged);
  const falling = drains.flatMap(({ number, points }): Mark[] => {
    const passed = drains.flatMap((other) => (other.number === number ? [] : other.level));
    const pen = penOf(diagram.pipes[number] as WaterDiagram['pipes'][number]);
    const { pieces, middle } = fallPieces(points, passed);
    const tip = points[points.length - 1] as Point;
    return [...pieces.map((piece) => open(piece, pen)), ...middle.map((one) => head(one, { x: 0, y: Math.sign(tip.y - (points[1] as Point).y) || 1 }, pen)), head({ x: tip.x, y: tip.y + headLong }, { x: 0, y: 1 }, pen), ...said(rows.get(number) as Row, wordsRight)];
  });
  return [
    ...tanks.flatMap((tank) => boxMarks(tank, wallLeft, wallRight, at)),
    ...boxMarks(sump, wallLeft, columns.sumpRight, at),
    ...returns,
    ...pumping,
    ...falling,
    ...[...tanks, sump].flatMap((tank) => linesAt(tank.lines, wallLeft + pad, tank.top + overWater + pad)),
  ];
}

/** An open box, the water in it, and a weir with the lower water behind it where there is one. */
function boxMarks({ top, bottom, hasWeir }: Box, left: number, right: number, at: (point: Point) => Point): Mark[] {
  const fill = (from: number, to: number, high: number) => {
    const [a, b] = [at({ x: from, y: bottom }), at({ x: to, y: high })];
    return rectPath('sheet', { left: a.x, bottom: a.y, right: b.x, top: b.y }, null, waterGray);
  };
  const weir = right - chamber;
  const water = top + overWater;
  const walls = path('sheet', [{ x: left, y: top }, { x: left, y: bottom }, { x: right, y: bottom }, { x: right, y: top }].map(at), pens.wall, null, false);
  if (!hasWeir) return [fill(left, right, water), walls];
  return [fill(left, weir, water), fill(weir, right, water + Math.min(3, (bottom - water) / 2)), walls, line('sheet', at({ x: weir, y: bottom }), at({ x: weir, y: water + 0.4 }), pens.weir)];
}

function headPoints(tip: Point, { x, y }: Point, half: number): Point[] {
  const foot = { x: tip.x - x * headLong, y: tip.y - y * headLong };
  return [tip, { x: foot.x - y * half, y: foot.y + x * half }, { x: foot.x + y * half, y: foot.y - x * half }];
}

interface Level {
  readonly y: number;
  readonly from: number;
  readonly to: number;
}

/** A drain from the wall out to its lane, down, and over the rim of the tank that it runs into, or straight into the sump. */
interface DrainWay {
  readonly number: number;
  readonly points: readonly Point[];
  readonly level: readonly Level[];
}

function drainWays({ pipes }: WaterDiagram, { ins, lanes }: Ways, { columns, tanks, sump, rows }: Arranged): DrainWay[] {
  return [...lanes].map(([number, lane]) => {
    const [x, start, to] = [columns.drain(lane), (rows.get(number) as Row).y, (pipes[number] as WaterDiagram['pipes'][number]).to];
    const out = { y: start, from: columns.wallRight, to: x };
    const into = to === 'sump' ? undefined : tanks[to];
    const begin = [{ x: columns.wallRight, y: start }, { x, y: start }];
    // The arrow's head makes up the last piece.
    if (to === 'sump' || !into) return { number, points: [...begin, { x, y: sump.top + overWater - headLong }], level: [out] };
    const side = ins[to] as readonly number[];
    const behind = side.length - 1 - side.indexOf(number);
    const [right, pitch] = [columns.wallRight - (into.hasWeir ? chamber : 0) - 3, Math.min(3, (columns.wallRight - columns.wallLeft) / 2 / side.length)];
    const [turn, y] = [right - behind * pitch, into.top - 1.2 - behind * inPitch(side.length)];
    return { number, points: [...begin, { x, y }, { x: turn, y }, { x: turn, y: into.top + overWater - headLong }], level: [out, { y, from: turn, to: x }] };
  });
}

/** The pieces of a drain, with gaps where others pass before it, and the middle of its longest free fall for an arrow. */
function fallPieces(points: readonly Point[], passed: readonly Level[]): { pieces: Point[][]; middle: Point[] } {
  const [start, corner, end, ...rest] = points as [Point, Point, Point, ...Point[]];
  const down = Math.sign(end.y - corner.y) || 1;
  const gaps = passed.filter(({ y, from, to }) => from < corner.x - 0.1 && to > corner.x + 0.1 && (y - corner.y) * down > 0 && (end.y - y) * down > 0).map(({ y }) => y).sort((a, b) => (a - b) * down);
  const pieces: Point[][] = [];
  const falls: { from: number; to: number }[] = [];
  let [piece, from]: [Point[], number] = [[start, corner], corner.y];
  for (const y of gaps) {
    const [before, after] = [y - passGap * down, (end.y - y) * down > passGap ? y + passGap * down : end.y];
    if ((before - from) * down > 0) {
      falls.push({ from, to: before });
      pieces.push([...piece, { x: corner.x, y: before }]);
    } else if (piece.length > 1) pieces.push(piece);
    [piece, from] = [[{ x: corner.x, y: after }], after];
  }
  falls.push({ from, to: end.y });
  pieces.push([...piece, end, ...rest]);
  const [longest] = falls.sort((a, b) => Math.abs(b.to - b.from) - Math.abs(a.to - a.from));
  const middle = longest && (longest.to - longest.from) * down > leastFall ? [{ x: corner.x, y: (longest.from + longest.to + headLong * down) / 2 }] : [];
  return { pieces, middle };
}
