/** Room out of the face, added up by hand from the parts in inches. */
import { describe, expect, it } from 'vitest';
import { pipeSizes } from '../../src/trade/pipe.ts';
import { connections, standOut } from '../../src/trade/room.ts';

const inch = 25.4; // NIST SP 811

describe('what stands out of the face', () => {
  it('with nothing joined on is the fitting, whatever its size', () => {
    expect(standOut(20, 'nothing', '1')).toBe(20);
    expect(standOut(20, 'nothing', undefined)).toBe(20);
    expect(standOut(20, 'nothing', '7 in')).toBe(20);
  });

  // Worked by hand, schedule 40, from memory: 1 in, laying length 11/16, socket 7/8, leg 1-5/8 wide: 11/16 + 7/8 + 13/16 = 2-3/8 in.
  // 1/2 in: 1/2 + 11/16 + 35/64 = 1-47/64 in. 2 in: 1-5/16 + 1-5/32 + 1-3/8 = 3-27/32 in.
  it.each([
    ['1', 2 + 3 / 8],
    ['1/2', 1 + 47 / 64],
    ['2', 3 + 27 / 32],
  ])('an elbow of %s in adds its length to the middle and half its leg', (size, adds) => {
    expect(standOut(20, 'elbow', size)).toBeCloseTo(20 + adds * inch, 9);
  });

  // Two sockets of 7/8 in and a stop of 3 mm (from memory): 1-3/4 in + 3 mm. 3/4 in: two of 23/32 in.
  it.each([
    ['1"', 1 + 3 / 4],
    ['¾ in', 1 + 7 / 16],
  ])('pipe of %s adds a coupling', (size, adds) => {
    expect(standOut(0, 'pipe', size)).toBeCloseTo(adds * inch + 3, 9);
  });

  it('is unknown for a size that is none of ours', () => {
    expect(standOut(20, 'elbow', '3')).toBeUndefined();
    expect(standOut(20, 'pipe', undefined)).toBeUndefined();
  });

  it('grows with the pipe, and no connection makes it less than the fitting alone', () => {
    for (const connection of connections) {
      const all = pipeSizes.map((size) => standOut(20, connection, size) as number);
      expect(Math.min(...all)).toBeGreaterThanOrEqual(20);
      expect(all, connection).toEqual([...all].sort((a, b) => a - b));
    }
  });
});
