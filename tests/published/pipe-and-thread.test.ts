/** Pipe and thread against published tables, and every typical bulkhead against both: what joins on must pass its hole. */
import { describe, expect, it } from 'vitest';
import { typicalFitting } from '../../src/trade/fittings.ts';
import { pipes, pipeSizes, pipeSizeOf, threadOf, type PipeSize } from '../../src/trade/pipe.ts';

const inch = 25.4; // NIST SP 811: 1 in = 25.4 mm

/** Outside diameter of PVC pipe, in: ASTM D1785, table 1. */
const pipeOutside: Readonly<Record<PipeSize, number>> = { '1/2': 0.84, '3/4': 1.05, '1': 1.315, '1-1/4': 1.66, '1-1/2': 1.9, '2': 2.375 };

/** Least wall of that pipe in schedule 40, in: ASTM D1785, table 2. */
const leastWall: Readonly<Record<PipeSize, number>> = { '1/2': 0.109, '3/4': 0.113, '1': 0.133, '1-1/4': 0.14, '1-1/2': 0.145, '2': 0.154 };

/** Major diameter of G threads, mm: ISO 228-1, table 1; the last two from memory. */
const threadMajor: Readonly<Record<PipeSize, number>> = { '1/2': 20.955, '3/4': 26.441, '1': 33.249, '1-1/4': 41.91, '1-1/2': 47.803, '2': 59.614 };

/** Threads per inch of those threads: ISO 228-1, table 1, from memory. */
const threadsPerInch: Readonly<Record<PipeSize, number>> = { '1/2': 14, '3/4': 14, '1': 11, '1-1/4': 11, '1-1/2': 11, '2': 11 };

/** Least depth of sockets in schedule 40, in, printed to three places: ASTM D2466, from memory. */
const socketDepth: Readonly<Record<PipeSize, number>> = { '1/2': 0.688, '3/4': 0.719, '1': 0.875, '1-1/4': 0.938, '1-1/2': 1.094, '2': 1.156 };

function pipe(size: PipeSize) {
  const found = pipes.get(size);
  if (!found) throw new Error(`no pipe ${size}`);
  return found;
}

function bulkhead(size: PipeSize) {
  const found = typicalFitting(`bulkhead ${size} in`);
  if (!found) throw new Error(`no bulkhead ${size} in`);
  return found.size;
}

describe.each(pipeSizes)('size %s', (size) => {
  it('pipe outside (ASTM D1785)', () => {
    expect(pipe(size).outside).toBeCloseTo(pipeOutside[size] * inch, 9);
  });

  it('thread major diameter (ISO 228-1)', () => {
    expect(pipe(size).threadMajor).toBe(threadMajor[size]);
  });

  it('socket depth to the 1/1000 in that is printed (ASTM D2466, from memory)', () => {
    expect(Math.abs(pipe(size).socketDepth / inch - socketDepth[size])).toBeLessThan(0.00051);
  });

  it('a socket holds the pipe with at least its own wall around (schedule 40, ASTM D1785)', () => {
    expect(pipe(size).socketOutside).toBeGreaterThan((pipeOutside[size] + 2 * leastWall[size]) * inch);
  });

  it("an elbow leaves the pipes in both legs clear of each other: half a pipe and a socket's depth at least", () => {
    const least = (pipeOutside[size] / 2 + socketDepth[size]) * inch;
    expect(pipe(size).elbowToEnd).toBeGreaterThan(least);
    expect(pipe(size).elbowToEnd).toBeLessThan(least + 7); // and is no sweep bend
  });

  it('the G thread lies about the pipe, within two depths of thread, 0.64 of the pitch each (ISO 228-1, from memory)', () => {
    const depth = (0.640327 * inch) / threadsPerInch[size];
    expect(Math.abs(pipe(size).threadMajor - pipe(size).outside)).toBeLessThan(2 * depth);
  });

  it('the typical bulkhead takes a hole that its pipe passes through (ASTM D1785)', () => {
    expect(bulkhead(size).hole.min).toBeGreaterThan(pipeOutside[size] * inch);
  });

  it('the typical bulkhead takes a hole, and has a gasket, that its thread passes through (ISO 228-1)', () => {
    expect(bulkhead(size).hole.min).toBeGreaterThan(threadMajor[size]);
    expect(bulkhead(size).gasket?.inside).toBeGreaterThan(threadMajor[size]);
  });

  it('the typical bulkhead has room in its hole for a socket: pipe and the schedule 40 wall of a body round it', () => {
    expect(bulkhead(size).hole.min).toBeGreaterThan((pipeOutside[size] + leastWall[size]) * inch);
  });

  it('the typical bulkhead names pipe and thread that are known', () => {
    expect(pipeSizeOf(bulkhead(size).pipe ?? '')).toBe(size);
    expect(threadOf(bulkhead(size).thread ?? '')).toBe(size);
  });
});
