/** Pipes and their threads by nominal size: what passes a fitting, and how large the parts are that join on. Lengths in mm. */
import { millimetresPer } from './units.ts';

/** Nominal sizes, inches as the trade writes them. */
export const pipeSizes = ['1/2', '3/4', '1', '1-1/4', '1-1/2', '2'] as const;
export type PipeSize = (typeof pipeSizes)[number];

/** Schedules: how thick the wall of a pipe is. */
export const schedules = [40, 80] as const;
export type Schedule = (typeof schedules)[number];

export interface Pipe {
  /** Outside diameter of PVC pipe. */
  readonly outside: number;
  /** Major diameter of the G thread of that size. */
  readonly threadMajor: number;
  /** How deep pipe goes into a socket. */
  readonly socketDepth: number;
  /** Outside diameter of a socket. */
  readonly socketOutside: number;
  /** 90° elbow with two sockets: from the middle of one leg to the face of the other. */
  readonly elbowToEnd: number;
}

/**
 * Columns:
 * - pipe outside, in: ASTM D1785, table 1;
 * - G thread major, mm: ISO 228-1, table 1; 1-1/2 and 2 from memory;
 * - socket depth, in: least depth in schedule 40, ASTM D2466, from memory;
 * - socket outside, in: schedule 40, from memory, varies by maker;
 * - elbow from the middle to the end of pipe in it (its laying length), in: schedule 40, from memory, varies by maker.
 */
const table: Readonly<Record<PipeSize, readonly [number, number, number, number, number]>> = {
  '1/2': [0.84, 20.955, 11 / 16, 1 + 3 / 32, 1 / 2],
  '3/4': [1.05, 26.441, 23 / 32, 1 + 5 / 16, 9 / 16],
  '1': [1.315, 33.249, 7 / 8, 1 + 5 / 8, 11 / 16],
  '1-1/4': [1.66, 41.91, 15 / 16, 2, 31 / 32],
  '1-1/2': [1.9, 47.803, 1 + 3 / 32, 2 + 1 / 4, 1 + 1 / 16],
  '2': [2.375, 59.614, 1 + 5 / 32, 2 + 3 / 4, 1 + 5 / 16],
};

const inch = millimetresPer.in;

/** Least walls of PVC pipe, in: ASTM D1785, table 2. */
const walls: Readonly<Record<PipeSize, Readonly<Record<Schedule, number>>>> = {
  '1/2': { 40: 0.109, 80: 0.147 },
  '3/4': { 40: 0.113, 80: 0.154 },
  '1': { 40: 0.133, 80: 0.179 },
  '1-1/4': { 40: 0.14, 80: 0.191 },
  '1-1/2': { 40: 0.145, 80: 0.2 },
  '2': { 40: 0.154, 80: 0.218 },
};

/** Inside diameter of PVC pipe with the least wall of its schedule, mm. */
export function boreOf(size: PipeSize, schedule: Schedule): number {
  return (table[size][0] - 2 * walls[size][schedule]) * inch;
}

export const pipes: ReadonlyMap<PipeSize, Pipe> = new Map(
  pipeSizes.map((size) => {
    const [outside, threadMajor, depth, socket, laying] = table[size];
    return [size, { outside: outside * inch, threadMajor, socketDepth: depth * inch, socketOutside: socket * inch, elbowToEnd: (laying + depth) * inch }];
  }),
);

/** Text in small letters with its inches written one way: 1¼", 1 1/4 inch and 1-1/4in become "1-1/4 in". */
export function plainInches(text: string): string {
  return text
    .toLowerCase()
    .replace(/["”″]|''|′′|(?<=[\d\s])in(?:ch(?:es)?)?\b/g, ' in')
    .replace(/[½¼¾]/g, (sign) => ({ '½': ' 1/2', '¼': ' 1/4', '¾': ' 3/4' })[sign] ?? sign)
    .replace(/[\u2010-\u2013\u2212]/g, '-')
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/(\d) (\d+\/\d+)/, '$1-$2');
}

/** The nominal size that the text names, with or without an inch sign: "1 1/4 in", 1¼", 1-1/4; undefined if it is none of ours. */
export function pipeSizeOf(text: string): PipeSize | undefined {
  const plain = plainInches(text).replace(/ in$/, '');
  return pipeSizes.find((size) => size === plain);
}

/** The size of a G thread, as ISO 228-1 designates it: "G 1", "G 1-1/4", "G 1 1/4 A"; undefined if it is none of ours. */
export function threadOf(text: string): PipeSize | undefined {
  const size = /^g ?(.*?)(?: ?[ab])?$/.exec(plainInches(text))?.[1];
  return size === undefined ? undefined : pipeSizeOf(size);
}
