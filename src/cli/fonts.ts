/** Loads the typefaces that the build has prepared in dist/fonts. */
import { readFileSync } from 'node:fs';
import { isLatin, latinTypesetter, wideFacesFor } from '../render/type.ts';
import type { LatinFaces, Typesetter, WideIndex } from '../render/type.ts';
import { distFile } from './files.ts';

export function loadLatin(): LatinFaces {
  return JSON.parse(readFileSync(distFile('fonts/latin.json'), 'utf8')) as LatinFaces;
}

/** A typesetter for the given texts; the wide faces and the shaper are loaded only if some text needs them. */
export async function loadTypesetter(texts: Iterable<string>): Promise<Typesetter> {
  const latin = loadLatin();
  const wide = [...new Set(texts)].filter((text) => !isLatin(text, latin));
  if (wide.length === 0) return latinTypesetter(latin);
  const index = JSON.parse(readFileSync(distFile('fonts/wide.json'), 'utf8')) as WideIndex;
  const needed = new Set(wideFacesFor(wide, index, latin));
  const files = index
    .filter((entry) => needed.has(entry.name))
    .map((entry) => ({ ...entry, bytes: new Uint8Array(readFileSync(distFile(`fonts/${entry.file}`))) }));
  const { wideTypesetter } = await import('../render/type-wide.ts');
  return wideTypesetter(latin, files);
}
