import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, readSync, realpathSync, renameSync, rmSync, statSync, writeSync, type Stats } from 'node:fs';
import { basename, dirname, extname, isAbsolute, join, resolve } from 'node:path';
import type { Included } from '../plan/build.ts';
import { bounds } from '../spec/fields.ts';

/** A failure that ends the command: 2 for what the user wrote, 3 for what cannot be read or written. */
export class Stop extends Error {
  constructor(
    readonly exitCode: 2 | 3,
    message: string,
  ) {
    super(message);
  }
}

/** A file that the build has put into dist: beside the bundle in dist/cli, or in dist when run from source. */
export function distFile(name: string): URL {
  const beside = new URL(`../${name}`, import.meta.url);
  return existsSync(beside) ? beside : new URL(`../../dist/${name}`, import.meta.url);
}

/** Found in every file that we write: a PDF's information block, an SVG's comment, a PNG's text chunk. A file without it is not ours to overwrite. */
export const ourMark = '(panejig drilling jig)';

/**
 * The text of a spec file. Reads no more than a spec may hold, whatever the file is.
 * @param isMarkKept whether the byte order mark that it may begin with stays in the text
 */
export function readSpecFile(path: string, isMarkKept = false): string {
  const bytes = readAtMost(path, bounds.characters + 4);
  if (bytes.length > bounds.characters) throw new Stop(2, `${path}: the file is larger than ${bounds.characters} bytes\n    accepted: a spec in YAML 1.2 or JSON\n    fix: give a spec, not another kind of file`);
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: isMarkKept }).decode(bytes);
  } catch {
    throw new Stop(2, `${path}: the file is not UTF-8 text\n    accepted: a spec in YAML 1.2 or JSON, saved as UTF-8\n    fix: save it again as UTF-8, or give another file`);
  }
}

/** Finds the files that a spec includes, beside it. */
export function includeFrom(specPath: string): (name: string) => Included {
  return (name) => {
    const file = isAbsolute(name) ? name : join(dirname(specPath), name);
    try {
      return { text: readSpecFile(file), file };
    } catch (error) {
      if (!(error instanceof Stop)) throw error;
      const [found = '', ...more] = error.message.split('\n');
      return { found: found.replace(`cannot read ${file}: `, 'cannot be read: ').replace(`${file}: `, ''), fix: /fix: (.*)/.exec(more.join('\n'))?.[1] ?? 'check the path' };
    }
  };
}

/** The first bytes of a file. */
export function readAtMost(path: string, most: number): Buffer {
  let file: number | undefined;
  try {
    file = openSync(path, 'r');
    const chunks: Buffer[] = [];
    for (let total = 0; total < most; ) {
      const chunk = Buffer.alloc(Math.min(65_536, most - total));
      const count = readSync(file, chunk, 0, chunk.length, null);
      if (count === 0) break;
      chunks.push(chunk.subarray(0, count));
      total += count;
    }
    return Buffer.concat(chunks);
  } catch (error) {
    throw new Stop(3, `cannot read ${path}: ${reason(error)}\n    fix: check the path and that you may read the file`);
  } finally {
    if (file !== undefined) closeSync(file);
  }
}

/** out/<name of the spec>.pdf */
export function defaultOutput(specPath: string): string {
  return join('out', `${basename(specPath, extname(specPath))}.pdf`);
}

/** The paths of the panels' files in a build, in their order: jig.pdf gives jig-left-tank-back.pdf. Names that would come to one path are numbered. */
export function partPaths(path: string, parts: readonly string[]): string[] {
  const end = extname(path);
  const paths: string[] = [];
  for (const part of parts) {
    const plain = part.normalize('NFKD').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '').toLowerCase() || 'panel';
    const numbered = (number: number) => `${path.slice(0, path.length - end.length)}-${plain}${number > 1 ? `-${number}` : ''}${end}`;
    let number = 1;
    while (paths.includes(numbered(number))) number += 1;
    paths.push(numbered(number));
  }
  return paths;
}

/**
 * Refuses, before any work is done, an output that must not or cannot be written.
 * @returns where the file will be written, links followed
 */
export function claimOutput(path: string, specPath: string, isDefault: boolean): string {
  const [spec, existing] = [statOf(specPath), statOf(path)];
  if (spec && existing && spec.ino === existing.ino && spec.dev === existing.dev) throw new Stop(2, `${path} is the spec itself\n    accepted: another file\n    fix: choose another place with -o FILE`);
  return claimPlace(path, basename(defaultOutput(specPath)), isDefault);
}

/**
 * As {@link claimOutput}, where there is no spec.
 * @param usual the file's usual name, for messages
 * @param isFree whether a file that is there may be overwritten, and how one is told that may not
 */
export function claimPlace(path: string, usual: string, isDefault: boolean, isFree: (path: string) => boolean = isOurs, inTheWay = 'a file that panejig did not make'): string {
  if (isDefault) makeFolder(dirname(path), 'choose another place with -o FILE');
  const folder = statOf(dirname(resolve(path)));
  if (!folder?.isDirectory()) throw new Stop(3, `cannot write ${path}: the folder ${dirname(path)} is not there\n    fix: make the folder, or choose another place with -o FILE`);
  const existing = statOf(path);
  if (!existing) return resolve(path);
  if (existing.isDirectory()) throw new Stop(3, `cannot write ${path}: it is a folder\n    fix: name a file, such as ${join(path, usual)}`);
  if (!existing.isFile()) throw new Stop(3, `cannot write ${path}: it is not an ordinary file\n    fix: name a file with -o FILE`);
  if (!isFree(path)) throw new Stop(3, `cannot write ${path}: ${inTheWay} is in the way\n    fix: move it away, or choose another place with -o FILE`);
  return realpathSync(path);
}

export function makeFolder(path: string, fix: string): void {
  try {
    mkdirSync(path, { recursive: true });
  } catch (error) {
    throw new Stop(3, `cannot make the folder ${path}: ${reason(error)}\n    fix: ${fix}`);
  }
}

/** Whether a file that we made lies there. */
export function isOurs(path: string): boolean {
  try {
    return readAtMost(path, 512 * 1024 * 1024).includes(ourMark);
  } catch {
    return false;
  }
}

/** Writes the file whole or not at all: beside its place first, then renamed into it. */
export function writeWhole(path: string, bytes: Uint8Array, fix = 'choose another place with -o FILE'): void {
  const draft = join(dirname(path), `.${basename(path).slice(0, 200)}.${process.pid}.part`);
  let file: number | undefined;
  try {
    file = openSync(draft, 'wx', 0o666);
    for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
    fsyncSync(file);
    closeSync(file);
    file = undefined;
    renameSync(draft, path);
  } catch (error) {
    if (file !== undefined) closeSync(file);
    rmSync(draft, { force: true });
    throw new Stop(3, `cannot write ${path}: ${reason(error)}\n    fix: ${fix}`);
  }
}

/** Writes a file that is not there yet; whatever is there stays. */
export function writeNew(path: string, text: string): void {
  let file: number | undefined;
  try {
    file = openSync(path, 'wx', 0o666);
    const bytes = new TextEncoder().encode(text);
    for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
    const written = file;
    file = undefined;
    closeSync(written);
  } catch (error) {
    if (file !== undefined) {
      closeSync(file);
      rmSync(path, { force: true });
    }
    throw new Stop(3, `cannot write ${path}: ${reason(error)}\n    fix: name another file`);
  }
}

export function statOf(path: string): Stats | undefined {
  try {
    return statSync(path);
  } catch {
    return undefined;
  }
}

const reasons: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  ENOTDIR: 'a part of the path is not a folder',
  EACCES: 'you may not',
  EPERM: 'you may not',
  EISDIR: 'it is a folder',
  EROFS: 'the disk is read-only',
  ENOSPC: 'the disk is full',
  ENAMETOOLONG: 'the name is too long',
  ELOOP: 'its links go round in a circle',
  EEXIST: 'a file is in the way',
};

function reason(error: unknown): string {
  const code = (error as { code?: string }).code ?? '';
  return reasons[code] ?? (code || String(error));
}
