import { closest, distance } from 'fastest-levenshtein';

/** Something in a spec that cannot be used, for the person who wrote it. */
export interface Problem {
  /** The included file that it stands in; the spec itself if left out. */
  readonly file?: string;
  /** Line and column in the spec, counted from 1. */
  readonly line: number;
  readonly column: number;
  /** Where in the spec, as keys: `holes[0].from-left`; empty for the whole file. */
  readonly key: string;
  /** What was found there. */
  readonly found: string;
  /** What is accepted there. */
  readonly accepted: string;
  /** What to do. */
  readonly fix: string;
}

/** The problem as text: where, what was found, what is accepted, what to do. */
export function problemText(problem: Problem, spec: string): string {
  const where = `${problem.file ?? spec}:${problem.line}:${problem.column}`;
  const key = problem.key ? ` ${problem.key}:` : '';
  // A spec may hold control characters; a terminal must not obey them.
  const plain = (text: string) => text.replace(/\p{Cc}+/gu, ' ');
  return `${where}:${plain(`${key} ${problem.found}`)}\n    accepted: ${plain(problem.accepted)}\n    fix: ${plain(problem.fix)}`;
}

/** The accepted word that the given one was probably meant to be; undefined when none is near. */
export function meant(word: string, accepted: readonly string[]): string | undefined {
  const plain = (text: string) => text.toLowerCase().replace(/[\s_-]+/g, '-').replace('centre', 'center');
  if (accepted.length === 0 || word.length > 60) return undefined;
  const best = closest(plain(word), accepted.map(plain));
  const allowed = best.length < 5 ? 1 : Math.max(2, Math.floor(best.length / 3));
  return distance(plain(word), best) <= allowed ? accepted.find((candidate) => plain(candidate) === best) : undefined;
}

/** Names in a row, so many of them at most. */
export function firstNames(names: readonly string[], most: number): string {
  return names.length > most ? `${names.slice(0, most).join(', ')} and ${names.length - most} more` : names.join(', ');
}

/** A value as it may be shown in a message: short, on one line. */
export function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (value === null) return 'an empty value';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a group of keys';
  const text = String(value).replace(/\s+/g, ' ');
  const short = text.length > 60 ? `${text.slice(0, 57)}…` : text;
  return typeof value === 'string' ? `"${short}"` : short;
}
