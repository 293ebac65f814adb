/** How far a fitting and what joins on to it stand out of a panel's face. Lengths in mm. */
import { pipes, pipeSizeOf } from './pipe.ts';

/** What joins on to one side of a fitting. */
export const connections = ['nothing', 'pipe', 'elbow'] as const;
export type Connection = (typeof connections)[number];

/** What the stop in the middle of a coupling takes, between its two sockets. From memory, varies by maker. */
const couplingStop = 3;

/**
 * How far things stand out of the stack on one side of a fitting, at least.
 * - pipe: it ends in the fitting's socket, so the room is that of a straight coupling pushed up to the fitting, from
 *   where pipe runs on: two socket depths and the stop between them. Pipe that is one piece to the next wall needs more.
 * - elbow: a 90° elbow pushed up to the fitting on a short piece of pipe: to the middle of its other leg, and half the
 *   width of that leg.
 *
 * Sockets are those of `pipe.ts`: schedule 40, from memory. Threads with a thicker hub, or tails for hose, need more.
 * @param own how far the fitting itself stands out on that side
 * @param size nominal size of the pipe, as the trade writes it
 * @returns undefined if something joins on and the size is none of ours
 */
export function standOut(own: number, connection: Connection, size: string | undefined): number | undefined {
  if (connection === 'nothing') return own;
  const pipeSize = size === undefined ? undefined : pipeSizeOf(size);
  const pipe = pipeSize && pipes.get(pipeSize);
  if (!pipe) return undefined;
  const { socketDepth, elbowToEnd, socketOutside } = pipe;
  return own + (connection === 'pipe' ? 2 * socketDepth + couplingStop : elbowToEnd + socketOutside / 2);
}
