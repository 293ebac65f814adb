import type { WaterDiagram } from './water-diagram.ts';
import type { Ways } from './water-lanes.ts';
import { fit, wrap, type Typesetter, type Weight } from './type.ts';

/** Where the tanks, pipes and words of the flow diagram stand. Lengths in mm, y downwards from the figure's top. */

interface Style {
  /** Size of type. */
  readonly size: number;
  /** Most lines of what is said of one pipe. */
  readonly most: number;
  /** Most lines of what is said in a tank. */
  readonly inside: number;
}

/** From the best to read to the one that takes least room. */
export const styles: readonly Style[] = [
  { size: 2.4, most: 2, inside: 12 },
  { size: 2.2, most: 2, inside: 9 },
  { size: 2.1, most: 1, inside: 6 },
  { size: 2, most: 0, inside: 5 },
];

/** A line of type and the least room between it and any stroke. */
export const lineHigh = (size: number) => size * 1.3;
export const clear = 0.8;
/** Space between what is said of one pipe and of the next. */
const rowGap = 0.7;
/** Free height of an open box over its water, room round its words, and the width of the chamber behind a weir. */
export const [overWater, pad, chamber] = [3, 1.2, 5.5];
/** Lanes of returns lie this far apart, those of drains at most so far, all of them within this. */
const [returnPitch, drainPitch, drainsWide] = [3.2, 3, 36];
export const pumpRadius = 3.4;
/** Length of an arrow's head. */
export const headLong = 2.2;
/** Widths of the columns of words beside the tanks and of the tanks themselves, from the least that can be read to the most that is of use. */
const [labelWidths, boxWidths] = [{ least: 24, most: 58 }, { least: 44, most: 90 }] as const;

/** What is said of a pipe: its name over it, its words after the name, or under the pipe where there is no room for both. */
interface Label {
  readonly name: string;
  readonly beside: string;
  readonly under: readonly string[];
  readonly isFaulty: boolean;
  /** Room over and under the pipe. */
  readonly over: number;
  readonly below: number;
}

export interface Line {
  readonly words: string;
  readonly weight: Weight;
}

/** An open box with its words and the pipes at its sides; rows by number of the pipe. */
export interface Box {
  readonly top: number;
  readonly bottom: number;
  readonly lines: readonly Line[];
  readonly hasWeir: boolean;
}

export interface Row {
  readonly y: number;
  readonly label: Label;
}

export interface Arranged {
  readonly style: Style;
  readonly height: number;
  readonly columns: Columns;
  readonly tanks: readonly Box[];
  readonly sump: Box;
  /** Rows of returns and drains by number of the pipe. */
  readonly rows: ReadonlyMap<number, Row>;
  /** Pipes off the pump that run straight into the sump: side equipment first. */
  readonly sides: readonly (Row & { readonly pipe: { readonly isSpare: boolean; readonly isFaulty: boolean } })[];
  readonly pump: { readonly y: number; readonly lines: readonly Line[]; readonly wordsTop: number };
}

interface Columns {
  /** Middle of the pump and of the riser over it, and of the lanes of returns by number of the tank. */
  readonly pump: number;
  readonly risers: readonly (number | null)[];
  readonly wordsLeft: number;
  readonly leftWidth: number;
  readonly wallLeft: number;
  readonly wallRight: number;
  readonly wordsRight: number;
  readonly rightWidth: number;
  readonly drain: (lane: number) => number;
  readonly sumpRight: number;
}

export function arrange(diagram: WaterDiagram, ways: Ways, width: number, style: Style, setter: Typesetter): Arranged {
  const { size } = style;
  const columns = columnsOf(diagram, ways, width, style, setter);
  const labelOf = ({ name, words, isFaulty }: { name: string; words: string; isFaulty: boolean }, room: number) => label(name, words, isFaulty, room, style, setter);
  const rows = new Map<number, Row>();
  const setRows = (numbers: readonly number[], from: number, room: number): number => {
    let y = from;
    for (const number of numbers) {
      const said = labelOf(diagram.pipes[number] as WaterDiagram['pipes'][number], room);
      y += said.over;
      rows.set(number, { y, label: said });
      y += said.below;
    }
    return y;
  };
  const wordsHigh = (lines: readonly Line[]) => lines.length * lineHigh(size) + 2 * pad;

  let y = 0;
  const tanks = diagram.tanks.map((tank, index): Box => {
    const hasWeir = tank.weirs.length > 0;
    const top = y + overRim((ways.ins[index] as readonly number[]).length) + (index === 0 ? 0.5 : 2.4);
    const water = top + overWater;
    const textWidth = columns.wallRight - columns.wallLeft - 2 * pad - (hasWeir ? chamber : 0);
    const lines = boxLines(tank.name, tank.words, tank.weirs, textWidth, style, setter);
    const ends = [water + wordsHigh(lines), setRows(ways.feeds[index] as readonly number[], water, columns.leftWidth), setRows(ways.outs[index] as readonly number[], water, columns.rightWidth)];
    y = Math.max(...ends, top + 9) + 0.6;
    return { top, bottom: y, lines, hasWeir };
  });

  const top = y + 7;
  const sumpLines = boxLines('sump', diagram.sump.words, [], columns.sumpRight - columns.wallLeft - 2 * pad, style, setter);
  const pumpLines = boxLines('pump', diagram.pump.words, [], columns.wallLeft - columns.pump - pumpRadius - 3, style, setter);
  let low = top + overWater;
  const off = [...diagram.side.map((one) => ({ ...one, isSpare: false, isFaulty: false })), ...ways.toSump.map((number) => diagram.pipes[number] as WaterDiagram['pipes'][number])];
  const sides = off.map((pipe) => {
    const said = labelOf(pipe, columns.leftWidth);
    const at = low + said.over;
    low = at + said.below;
    return { y: at, label: said, pipe };
  });
  const wordsTop = low;
  const suction = Math.max(wordsTop + pumpLines.length * lineHigh(size) + 1.3, low + pumpRadius + 1.5);
  const bottom = Math.max(suction + pumpRadius + 0.5, top + overWater + wordsHigh(sumpLines));
  return { style, height: bottom + 0.8, columns, tanks, sump: { top, bottom, lines: sumpLines, hasWeir: false }, rows, sides, pump: { y: suction, lines: pumpLines, wordsTop } };
}

/** Drains that come in over the rim of a tank lie this far over each other; then the room that they take there. */
export const inPitch = (count: number) => Math.min(2.2, 9 / Math.max(1, count));
const overRim = (count: number) => (count === 0 ? 0 : count * inPitch(count) + 1.2);

/** Words and tanks share what lanes leave of the width. */
function columnsOf(diagram: WaterDiagram, ways: Ways, width: number, { size }: Style, setter: Typesetter): Columns {
  const { pipes, side, tanks } = diagram;
  const natural = ({ name, words }: { name: string; words: string }) => setter.width(name, 'bold') * size + 1.2 + setter.width(words, 'bold') * size;
  const wished = (all: readonly { name: string; words: string }[], { least, most }: { least: number; most: number }, more = 0) => Math.min(most, Math.max(least, ...all.map((one) => natural(one) + more)));
  const drains = pipes.filter(({ from }) => from !== 'pump');
  const fed = ways.feeds.filter((feeds) => feeds.length > 0).length;
  const pitch = Math.min(drainPitch, drainsWide / Math.max(1, ways.laneCount - 1));
  const wordsLeft = pumpRadius + 1 + Math.max(0, fed - 1) * returnPitch + 1.6;
  const lanes = ways.laneCount > 0 ? 1.5 + (ways.laneCount - 1) * pitch : 0;
  const room = width - wordsLeft - (headLong + 1) - 1.4 - lanes - 3.5;

  let left = wished([...pipes.filter(({ from }) => from === 'pump'), ...side, ...diagram.pump.words.map((words) => ({ name: '', words }))], labelWidths);
  let right = drains.length === 0 ? 0 : wished(drains, labelWidths);
  const box = wished(tanks.flatMap(({ name, words, weirs }) => [{ name, words: '' }, ...words.map((one) => ({ name: '', words: one })), ...weirs]), boxWidths, 2 * pad + chamber);
  const share = Math.min(1, Math.max(0.1, (room - Math.min(box, Math.max(boxWidths.least, room * 0.38))) / (left + right)));
  [left, right] = [left * share, right * share];
  const boxWidth = Math.min(boxWidths.most, room - left - right);
  const shift = Math.max(0, room - left - right - boxWidth) / 2;

  const pump = shift + pumpRadius + 1;
  const risers: (number | null)[] = [];
  for (const feeds of ways.feeds) risers.push(feeds.length === 0 ? null : pump + risers.filter((riser) => riser !== null).length * returnPitch);
  const wallLeft = shift + wordsLeft + left + headLong + 1;
  const wallRight = wallLeft + boxWidth;
  const firstLane = wallRight + 1.4 + right + 1.5;
  return { pump, risers, wordsLeft: shift + wordsLeft, leftWidth: left, wallLeft, wallRight, wordsRight: wallRight + 1.4, rightWidth: right, drain: (lane) => firstLane + lane * pitch, sumpRight: ways.laneCount === 0 ? wallRight : firstLane + (ways.laneCount - 1) * pitch + 3 };
}

function label(name: string, words: string, isFaulty: boolean, room: number, { size, most }: Style, setter: Typesetter): Label {
  const weight = isFaulty ? 'bold' : 'regular';
  const wordsWidth = words === '' ? 0 : setter.width(words, weight) * size + 1.2;
  const over = clear + lineHigh(size);
  const fits = setter.width(name, 'bold') * size + wordsWidth <= room;
  // What is wrong is told in full before all else.
  const lines = isFaulty ? Math.max(2, most) : most;
  if (fits || lines === 0) {
    const beside = fits ? words : fit(setter, words, weight, (room * 0.7) / size);
    return { name: fit(setter, name, 'bold', room / size - (beside === '' ? 0 : setter.width(beside, weight) + 1.2 / size)), beside, under: [], isFaulty, over, below: clear };
  }
  const under = cutLines(setter, words, weight, size, room, lines);
  return { name: fit(setter, name, 'bold', room / size), beside: '', under, isFaulty, over, below: clear + under.length * lineHigh(size) + rowGap };
}

/** Name of a box in bold, then what is said of it, short words in a row. */
function boxLines(name: string, words: readonly string[], weirs: readonly { name: string; words: string }[], width: number, { size, inside }: Style, setter: Typesetter): Line[] {
  const packed: string[] = [];
  for (const said of [...words, ...weirs.map((weir) => `${weir.name}: ${weir.words}`)].filter((one) => one !== '')) {
    const row = packed.length === 0 ? said : `${packed[packed.length - 1] ?? ''} · ${said}`;
    if (packed.length > 0 && setter.width(row) * size <= width) packed[packed.length - 1] = row;
    else packed.push(said);
  }
  const lines = packed.flatMap((row) => cutLines(setter, row, 'regular', size, width, 2));
  const shown = lines.length < inside ? lines : [...lines.slice(0, inside - 2), fit(setter, 'more: see the tables', 'regular', width / size)];
  return [{ words: fit(setter, name, 'bold', width / size), weight: 'bold' }, ...shown.map((one): Line => ({ words: one, weight: 'regular' }))];
}

/** Words in lines, the last of them cut where there are too many. */
function cutLines(setter: Typesetter, words: string, weight: Weight, size: number, width: number, most: number): string[] {
  const lines = wrap(setter, words, weight, width / size);
  return lines.length <= most ? lines : [...lines.slice(0, most - 1), fit(setter, lines.slice(most - 1).join(' '), weight, width / size)];
}
