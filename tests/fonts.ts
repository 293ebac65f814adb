/** Typefaces for tests, from dist/fonts. */
import { fileURLToPath } from 'node:url';
import { loadLatin, loadTypesetter } from '../src/cli/fonts.ts';
import type { Typesetter } from '../src/render/type.ts';

export { loadLatin };

/** A typesetter that can set the given texts. */
export function loadWide(texts: Iterable<string>): Promise<Typesetter> {
  return loadTypesetter(texts);
}

/** Path of a prepared face file. */
export function fontPath(file: string): string {
  return fileURLToPath(new URL(`../dist/fonts/${file}`, import.meta.url));
}
