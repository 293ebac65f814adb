/** A value of a function and its slope there. */
export type Sloped = readonly [value: number, slope: number];

/**
 * The root of a rising function between two places, by Newton's steps, or halves where a step would leave the bracket or not
 * shrink it: it never leaves the bracket and always ends.
 * @param low where the function is at most 0
 * @param high where it is at least 0
 * @param start where to begin
 */
export function rootOf(rising: (x: number) => Sloped, low: number, high: number, start = (low + high) / 2): number {
  let [least, most] = [low, high];
  let x = start;
  let [last, before] = [Infinity, Infinity];
  for (let count = 0; count < 2200; count += 1) {
    const [value, slope] = rising(x);
    if (value === 0) return x;
    if (value < 0) least = x;
    else most = x;
    const newton = x - value / slope;
    // A bracket of two neighbouring numbers has no middle.
    const middle = least + (most - least) / 2;
    const isGood = newton > least && newton < most && Math.abs(newton - x) <= before / 2;
    const next = isGood ? newton : middle;
    if (next === x || next === least || next === most || Math.abs(next - x) <= 1e-15 * Math.abs(x)) return next;
    [before, last] = [last, Math.abs(next - x)];
    x = next;
  }
  return x;
}

/** A cubic over 0 to 1 with that value and slope at each end (Hermite). @param t from 0 to 1 */
export function cubicAt(t: number, [from, start]: Sloped, [to, end]: Sloped): Sloped {
  const [a, b] = [2 * from + start - 2 * to + end, 3 * to - 3 * from - 2 * start - end];
  return [((a * t + b) * t + start) * t + from, (3 * a * t + 2 * b) * t + start];
}
