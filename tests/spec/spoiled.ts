/** Texts that are nearly right, as slips of the hand leave them, and what every answer to them must be like. */
import fc from 'fast-check';
import { expect } from 'vitest';
import type { Problem } from '../../src/spec/problem.ts';

/** What means something to YAML, to JavaScript or to a terminal, wherever it turns up in a text. */
export const snippets = ['\t', '"', "'", '[', ']', '{', '}', ': ', '- ', '&a ', '*a', '#', '|', '>', '%', '@', '!!binary ', '? ', '---\n', '...\n', '\r', '\u2028', '.nan', '1e999', '-', 'null', '~', 'true', '0x1F', '__proto__', 'constructor', '9'.repeat(330), '\u0000', '\uFEFF', '🐠'] as const;

/** The text with lines lost, doubled or swapped. */
export function spoiledLines(text: string): fc.Arbitrary<string> {
  const lines = text.split('\n');
  const anyLine = fc.nat(lines.length - 1);
  return fc.array(fc.tuple(fc.constantFrom('lose', 'double', 'swap'), anyLine, anyLine), { minLength: 1, maxLength: 4 }).map((edits) => {
    const now = [...lines];
    for (const [edit, at, other] of edits) {
      if (edit === 'lose') now.splice(at, 1);
      else if (edit === 'double') now.splice(at, 0, now[at] ?? '');
      else [now[at], now[other]] = [now[other] ?? '', now[at] ?? ''];
    }
    return now.join('\n');
  });
}

/** The text with characters lost, snippets or other characters put in. */
export function spoiledCharacters(text: string): fc.Arbitrary<string> {
  const edit = fc.tuple(fc.nat(text.length), fc.nat(8), fc.oneof(fc.constantFrom(...snippets), fc.string({ maxLength: 3 })));
  return fc.array(edit, { minLength: 1, maxLength: 5 }).map((edits) => edits.reduce((now, [at, count, piece]) => now.slice(0, at) + piece + now.slice(at + count), text));
}

/** Holds problems to be few, each at a place in the text, and with words that say what to do. */
export function expectProblems(problems: readonly Problem[], text: string): void {
  expect(problems.length).toBeGreaterThan(0);
  expect(problems.length).toBeLessThanOrEqual(20);
  const lines = text.split('\n');
  for (const { line, column, found, accepted, fix } of problems) {
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines.length);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(column).toBeLessThanOrEqual((lines[line - 1] as string).length + 1);
    for (const words of [found, accepted, fix]) {
      expect(words).not.toBe('');
      expect(words).not.toMatch(/undefined|\[object/);
    }
  }
}
