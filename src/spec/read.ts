import { isAlias, isMap, isNode, isScalar, isSeq, parseDocument, visit, type Alias, type Document, type Node } from 'yaml';
import type * as z from 'zod';
import { units, type Unit } from '../trade/units.ts';
import { flowForms, shareForms } from './flow.ts';
import { lengthForms } from './length.ts';
import { meant, shown, type Problem } from './problem.ts';
import { bounds, markedParts, type IssueHelp } from './fields.ts';
import { drawerSchema, specSchema, type Drawer, type Spec } from './schema.ts';

type Path = readonly (string | number)[];

/** Makes problems that know their place in the spec's text. */
export interface Source {
  /** @param at whether the place is the value that the path leads to or its key */
  problem(path: Path, found: string, accepted: string, fix: string, at?: 'value' | 'key'): Problem;
}

export type SpecReading = { readonly spec: Spec; readonly units: Unit; readonly source: Source } | { readonly problems: readonly Problem[] };
export type DrawerReading = { readonly drawer: Drawer; readonly source: Source } | { readonly problems: readonly Problem[] };

/** At most so many problems are told at once. */
const mostProblems = 20;

/**
 * Reads a spec.
 * @param text YAML 1.2 or JSON
 * @returns the spec with every length in mm, or all that is wrong with it; never throws
 */
export function readSpec(text: string): SpecReading {
  const reading = readText(text, specSchema, { what: 'a spec', holds: 'a spec with title, units, panel and holes, panels or tanks', start: 'start from one of the examples in templates-spec, or from panejig new' });
  return 'problems' in reading ? reading : { spec: reading.value, units: reading.units, source: reading.source };
}

/**
 * Reads a file of fittings and bits that a spec includes.
 * @param file its name, for messages
 */
export function readDrawer(text: string, file: string): DrawerReading {
  const reading = readText(text, drawerSchema, { what: 'a file of fittings and bits', holds: 'a file with units, fittings and bits', start: 'write fittings: or bits: into it', file });
  return 'problems' in reading ? reading : { drawer: reading.value, source: reading.source };
}

/** What kind of file is read, for messages. */
interface Kind {
  readonly what: string;
  readonly holds: string;
  readonly start: string;
  /** Its name, where it is not the spec itself. */
  readonly file?: string;
}

type TextReading<T> = { readonly value: T; readonly units: Unit; readonly source: Source } | { readonly problems: readonly Problem[] };

/** YAML or JSON against a schema that depends on the unit of bare numbers. */
function readText<S extends z.ZodType>(text: string, schemaFor: (bare: Unit | undefined) => S, { what, holds, start, file }: Kind): TextReading<z.output<S>> {
  const inFile = file === undefined ? {} : { file };
  const whole = (found: string, accepted: string, fix: string, line = 1, column = 1) => ({
    problems: [{ ...inFile, line, column, key: '', found, accepted, fix }],
  });
  if (text.length > bounds.characters) {
    return whole(`the file has ${text.length} characters`, `at most ${bounds.characters} characters`, `give ${what}, not another kind of file`);
  }
  if (text.includes('\0')) return whole('the file is not text', 'YAML 1.2 or JSON in UTF-8', `give ${what}, not another kind of file`);

  const plain = text.replace(/^\uFEFF/, '');
  const placeOf = places(plain);
  let document: Document.Parsed;
  let content: unknown;
  try {
    document = parseDocument(plain, { version: '1.2', prettyErrors: false, logLevel: 'error', uniqueKeys: false });
    const errors = [...document.errors, ...document.warnings];
    if (errors.some((error) => /call stack/.test(error.message))) throw new RangeError('nested too deeply');
    if (errors.length > 0) {
      const problems = errors.map((error): Problem => {
        return { ...inFile, ...placeOf(error.pos[0]), key: '', found: yamlFound(error), accepted: 'one YAML 1.2 or JSON document', fix: yamlFix(error.message) };
      });
      // What follows the first few is mostly their consequence.
      return { problems: inOrder(problems).slice(0, 3) };
    }
    const repeated = repeatedKeys(document);
    if (repeated.length > 0) {
      const problems = repeated.map(({ key, offset }): Problem => ({ ...inFile, ...placeOf(offset), key: '', found: `the key ${shown(key)} stands twice in one group`, accepted: 'each key once', fix: 'remove or rename one of the two' }));
      return { problems: inOrder(problems) };
    }
    const lost = aliasWithoutAnchor(document);
    if (lost) {
      const { line, column } = placeOf(lost.range[0]);
      return whole(`the alias *${lost.source} has no anchor before it`, 'an alias of an anchor that stands above it', `write &${lost.source} before the value that is meant, or write the value out`, line, column);
    }
    content = document.toJS({ maxAliasCount: bounds.holes });
  } catch (error) {
    // The yaml library throws for unresolved or multiplying aliases; very deep nesting overflows the stack.
    const deep = error instanceof RangeError;
    return whole(
      deep ? 'the file is nested too deeply' : 'the file has aliases (*name) that lead nowhere, or that multiply without end',
      `${what} a few levels deep, with few aliases`,
      deep ? 'remove the brackets that lead nowhere' : 'write the values out instead of repeating aliases',
    );
  }

  if (content === null || content === undefined) return whole('the file is empty', holds, start);
  if (typeof content !== 'object' || Array.isArray(content)) return whole(`the file holds ${shown(content)}`, holds, start);

  const source = sourceOf(document, placeOf, inFile);
  const named = (content as { units?: unknown }).units;
  // A unit that is no unit is told once, not again at every bare number.
  const bare = named === undefined ? undefined : (units.find((unit) => unit === named) ?? 'mm');
  const schema = schemaFor(bare);
  const result = schema.safeParse(content, { reportInput: true });
  if (!result.success) return { problems: inOrder(withoutConsequences(result.error.issues.flatMap((issue) => problemsOf(issue, [], content, schema, source)))) };
  return { value: result.data, units: bare ?? 'mm', source };
}

/** Problems in the order of the text, the spec's own before those of included files, without repeats, at most {@link mostProblems}. */
export function inOrder(problems: readonly Problem[]): readonly Problem[] {
  const files = [...new Set([undefined, ...problems.map(({ file }) => file)])];
  const sorted = [...problems].sort((a, b) => files.indexOf(a.file) - files.indexOf(b.file) || a.line - b.line || a.column - b.column);
  const kept = sorted.filter((problem, index) => (['found', 'key', 'file'] as const).some((part) => problem[part] !== sorted[index - 1]?.[part]));
  return kept.slice(0, mostProblems);
}

/** Leaves out that a key is missing where it only seems to be misspelled, and what else is wrong with half of a number. */
function withoutConsequences(all: readonly Problem[]): Problem[] {
  const halves = new Set(all.flatMap(({ key, found }) => (found.endsWith(commaWords) ? [key] : [])));
  const problems = all.filter(({ key, found }) => found.endsWith(commaWords) || !halves.has(key));
  const group = (key: string) => key.replace(/\.?[^.]*$/, '');
  const meantKeys = new Set(problems.flatMap(({ key, fix }) => [/^did you mean (.+)\?$/.exec(fix)?.[1]].flatMap((word) => (word ? [`${group(key)} ${word}`] : []))));
  return problems.filter(({ key, found }) => found !== 'is missing' || !meantKeys.has(`${group(key)} ${key.slice(group(key).length).replace('.', '')}`));
}

/** `holes[0].from-left` */
function keyText(path: Path): string {
  return path.map((step, index) => (typeof step === 'number' ? `[${step}]` : index === 0 ? step : `.${step}`)).join('');
}

/** Turns offsets in the text into lines and columns, counted from 1. */
function places(text: string): (offset: number) => { line: number; column: number } {
  const starts = [0];
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
  return (offset) => {
    const at = Math.min(offset, text.length);
    let [low, high] = [0, starts.length - 1];
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if ((starts[middle] as number) <= at) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: at - (starts[low] as number) + 1 };
  };
}

/** Keys that stand a second time in their map; the yaml library's own search is quadratic in the keys. */
function repeatedKeys(document: Document.Parsed): { key: string; offset: number }[] {
  const repeated: { key: string; offset: number }[] = [];
  visit(document, {
    Map(_key, map) {
      const seen = new Set<string>();
      for (const { key } of map.items) {
        const name = isScalar(key) ? String(key.value) : '';
        if (isScalar(key) && seen.has(name)) repeated.push({ key: name, offset: key.range?.[0] ?? 0 });
        seen.add(name);
      }
    },
  });
  return repeated;
}

/** The first alias whose anchor does not stand before it. */
function aliasWithoutAnchor(document: Document.Parsed): Alias.Parsed | undefined {
  const anchors = new Set<string>();
  let found: Alias.Parsed | undefined;
  visit(document, {
    Node(_key, node) {
      if (isAlias(node)) {
        if (anchors.has(node.source)) return undefined;
        found = node as Alias.Parsed;
        return visit.BREAK;
      }
      if ('anchor' in node && typeof node.anchor === 'string') anchors.add(node.anchor);
      return undefined;
    },
  });
  return found;
}

function sourceOf(document: Document.Parsed, placeOf: (offset: number) => { line: number; column: number }, inFile: { readonly file?: string }): Source {
  return {
    problem(path, found, accepted, fix, at = 'value') {
      return { ...inFile, ...placeOf(offsetOf(document, path, at)), key: keyText(path), found, accepted, fix };
    },
  };
}

/** Where in the text a path leads: the value, else its key, else the nearest thing above it. */
function offsetOf(document: Document.Parsed, path: Path, at: 'value' | 'key'): number {
  let node: Node | null = document.contents;
  let offset = node?.range?.[0] ?? 0;
  for (const [depth, step] of path.entries()) {
    if (isAlias(node)) node = (node.resolve(document) as Node | undefined) ?? null;
    let next: unknown;
    if (isMap(node)) {
      const pair = node.items.find((item) => String(isNode(item.key) ? item.key.toJSON() : item.key) === String(step));
      if (pair && isNode(pair.key)) offset = pair.key.range?.[0] ?? offset;
      next = pair?.value;
    } else if (isSeq(node)) {
      next = node.items[Number(step)];
    }
    if (!isNode(next) || (at === 'key' && depth === path.length - 1)) return offset;
    node = next;
    offset = node.range?.[0] ?? offset;
  }
  return offset;
}

/** What people write for true and false, and the keys that they take one for the other. */
const truths: Readonly<Record<string, string>> = { true: 'true', yes: 'true', on: 'true', y: 'true', false: 'false', no: 'false', off: 'false', n: 'false' };
const otherKeys: Readonly<Record<string, string>> = { rise: 'drop', drop: 'rise' };

/** The words for other things that people write for our words. */
const otherWords: Readonly<Record<string, string>> = {
  'tempered glass': 'toughened glass',
  'float glass': 'annealed glass',
  pmma: 'acrylic',
  millimeters: 'mm',
  millimetres: 'mm',
  inches: 'in',
  inch: 'in',
  centimeters: 'cm',
  centimetres: 'cm',
  lph: 'L/h',
  'm³/h': 'm3/h',
  'gal/h': 'gph',
  'gal/min': 'gpm',
  siphon: 'full siphon',
};

/** How values are written that are neither numbers nor words, by what is told of something else in their place. */
const writtenForms: Readonly<Record<string, string>> = { 'is not a length': lengthForms, 'is not a flow': flowForms, 'is not a share': shareForms };

/** Whether a key of the panel holds a group, as the name of one of several panels does. */
function isNamedPanel(path: readonly (string | number)[], panel: unknown, key: string): boolean {
  const group: unknown = (panel as Record<string, unknown> | undefined)?.[key];
  return path.length === 1 && path[0] === 'panel' && typeof group === 'object' && group !== null && 'material' in group;
}

/** The zod issue as problems. A union's issue is told by the branch that was meant. */
function problemsOf(issue: z.core.$ZodIssue, above: Path, content: unknown, schema: z.ZodType, source: Source): Problem[] {
  const path = [...above, ...(issue.path as (string | number)[])];
  const value = valueAt(content, path);
  const described = describedAt(schema, path);

  if (issue.code === 'unrecognized_keys') {
    const known = keysAt(schema, path);
    return issue.keys.slice(0, mostProblems).map((key) => {
      const half = numberBefore(value, key);
      if (half) return source.problem([...path, half.key], `${shown(`${half.number},${key}`)} ${commaWords}`, describedAt(schema, [...path, half.key]), `write ${half.number}.${key} or ${half.number}${key}`);
      const guess = meant(key, known) ?? known.find((one) => one === otherKeys[key]);
      return source.problem([...path, key], `unknown key ${shown(key)}`, known.length > 0 ? known.join(', ') : 'no further keys', guess ? `did you mean ${guess}?` : /^\d+$/.test(key) ? 'if it belongs to the number before it, write that without a comma: a comma ends the value between braces' : isNamedPanel(path, value, key) ? 'write panels in place of panel where panels have names' : 'remove it, or write one of the accepted keys', 'key');
    });
  }
  if (issue.code === 'invalid_union') {
    const isMeant = (errors: readonly z.core.$ZodIssue[]) => errors.length > 0 && !errors.some((inner) => inner.path.length === 0 && (inner.code === 'invalid_type' || inner.code === 'invalid_union'));
    const branch = issue.errors[markedBranch(schema, path, value)] ?? issue.errors.find(isMeant);
    if (branch && value !== undefined) return branch.flatMap((inner) => problemsOf(inner, path, content, schema, source));
  }
  if (issue.code === 'invalid_value') {
    const accepted = issue.values.map(String);
    const word = typeof value === 'string' ? value : shown(value);
    const guess = otherWords[word.toLowerCase()] ?? meant(word, accepted);
    if (value === undefined) return [source.problem(path, 'is missing', accepted.join(', '), `add ${lastKey(path)}`)];
    return [source.problem(path, `found ${shown(value)}`, accepted.join(', '), guess && accepted.includes(guess) ? `write ${guess}` : 'write one of the accepted words')];
  }
  if (issue.code === 'custom') {
    const help = (issue.params ?? {}) as IssueHelp;
    return [source.problem(path, isPlain(value) ? `${shown(value)} ${issue.message}` : issue.message, help.accepted ?? described, help.fix ?? 'see the README for an example')];
  }
  if (value === undefined) {
    return [source.problem(path, 'is missing', described, `add ${lastKey(path)}`)];
  }
  const forms = writtenForms[issue.message];
  if (forms) return [source.problem(path, `${shown(value)} ${issue.message}`, `${described}: ${forms}`, issue.message === 'is not a length' ? 'write the measured length' : `write ${forms}`)];
  if (issue.code === 'invalid_type' && issue.expected === 'boolean') return [source.problem(path, `${shown(value)} is neither true nor false`, described, `write ${truths[String(value).toLowerCase()] ?? 'true or false'}`)];
  const isSize = issue.code === 'too_small' || issue.code === 'too_big';
  // A group may have a key that is called length.
  if (isSize && typeof value === 'object' && !Array.isArray(value)) return [];
  if (isSize && Array.isArray(value) && issue.message.startsWith('has ')) return [source.problem(path, issue.message, described, issue.code === 'too_small' ? `write at least ${issue.minimum}` : `write at most ${issue.maximum}`)];
  const isOurs = /^(is|has) /.test(issue.message);
  const found = isOurs ? (isPlain(value) ? `${shown(value)} ${issue.message}` : issue.message) : `found ${shown(value)}`;
  return [source.problem(path, found, described, shapeFix(schema, path) ?? `write the ${lastKey(path)} as accepted`)];
}

/** What is found where a comma stands in a number. */
const commaWords = 'has a comma, which ends the value between braces';

/** The number whose second half was read as a key, as in {flow: 1,500 gph}. */
function numberBefore(group: unknown, key: string): { readonly key: string; readonly number: string } | undefined {
  if (!/^\d/.test(key) || typeof group !== 'object' || group === null) return undefined;
  const entries = Object.entries(group);
  const at = entries.findIndex(([name]) => name === key);
  const [before, given] = entries[at - 1] ?? [];
  const number = typeof given === 'number' || typeof given === 'string' ? String(given) : '';
  return entries[at]?.[1] === null && before !== undefined && /\d$/.test(number) ? { key: before, number } : undefined;
}

/** Which choice of a union is meant as the value has its key; -1 where none is. */
function markedBranch(schema: z.ZodType, path: Path, value: unknown): number {
  if (typeof value !== 'object' || value === null) return -1;
  const unions = schemasAt(schema, path).flatMap((part) => ((part as z.core.$ZodTypes)._zod.def.type === 'union' ? [(part as z.ZodUnion).options] : []));
  return unions[0]?.findIndex((option) => (markedParts.get(option as z.ZodType)?.key ?? '') in value) ?? -1;
}

/** Whether a value can be shown in a few characters. */
function isPlain(value: unknown): boolean {
  return value !== undefined && value !== null && typeof value !== 'object';
}

/** How to write the list or group that belongs at a place; undefined where it takes neither. */
function shapeFix(schema: z.ZodType, path: Path): string | undefined {
  const types = schemasAt(schema, path).map((part) => (part as z.core.$ZodTypes)._zod.def.type);
  if (types.includes('array')) return 'write a list: a line that begins with "- " for each, or [a, b]';
  if (types.includes('tuple')) return 'write two values in brackets: [a, b]';
  if (types.includes('record')) return 'write a group: "name:" for each, and its keys behind it or below it';
  const keys = keysAt(schema, path);
  return keys.length > 0 ? `write a group of keys: ${keys.join(', ')}` : undefined;
}

function lastKey(path: Path): string {
  return String([...path].reverse().find((step) => typeof step === 'string') ?? 'it');
}

function valueAt(content: unknown, path: Path): unknown {
  return path.reduce<unknown>((value, step) => (typeof value === 'object' && value !== null ? (value as Record<string | number, unknown>)[step] : undefined), content);
}

/** The schema's parts that a path may lead to: unions branch. */
function schemasAt(schema: z.core.$ZodType, path: Path): z.core.$ZodType[] {
  const def = (schema as z.core.$ZodTypes)._zod.def;
  switch (def.type) {
    case 'optional':
    case 'default':
      return [...(path.length === 0 ? [schema] : []), ...schemasAt(def.innerType, path)];
    case 'pipe':
      return [...(path.length === 0 ? [schema] : []), ...schemasAt(def.in, path)];
    case 'union':
      return [...(path.length === 0 ? [schema] : []), ...def.options.flatMap((option) => schemasAt(option, path))];
    default:
  }
  if (path.length === 0) return [schema];
  const [step = '', ...rest] = path;
  switch (def.type) {
    case 'object': {
      const next = def.shape[String(step)];
      return next ? schemasAt(next, rest) : [];
    }
    case 'array':
      return schemasAt(def.element, rest);
    case 'tuple': {
      const next = def.items[Number(step)];
      return next ? schemasAt(next, rest) : [];
    }
    case 'record':
      return schemasAt(def.valueType, rest);
    default:
      return [];
  }
}

function keysAt(schema: z.ZodType, path: Path): string[] {
  const found = schemasAt(schema, path).map((part) => (part as z.core.$ZodTypes)._zod.def);
  return [...new Set(found.flatMap((def) => (def.type === 'object' ? Object.keys(def.shape) : [])))];
}

/** What the schema says of the place, from its own description or the nearest above it that has one. */
function describedAt(schema: z.ZodType, path: Path): string {
  for (let length = path.length; length >= 0; length -= 1) {
    for (const part of schemasAt(schema, path.slice(0, length))) {
      const description = (part as z.ZodType).description;
      if (description) return description;
    }
    const keys = keysAt(schema, path.slice(0, length));
    if (keys.length > 0) return `a group of keys: ${keys.join(', ')}`;
  }
  return 'see the README';
}

/** What the yaml library found, where its own words are for programmers in ours. */
const yamlWords: Readonly<Record<string, string>> = {
  MULTIPLE_DOCS: 'a second document starts here',
  BAD_INDENT: 'this line is not indented like its neighbours',
  BLOCK_AS_IMPLICIT_KEY: 'a second ": " stands on this line',
  MULTILINE_IMPLICIT_KEY: 'a key runs over several lines',
  TAB_AS_INDENT: 'a tab is used for indentation',
  TAG_RESOLVE_FAILED: 'a word that starts with ! stands here',
  UNEXPECTED_TOKEN: 'something stands here that belongs to no key or list',
};

function yamlFound({ code, message }: { code: string; message: string }): string {
  return yamlWords[code] ?? sentence(message);
}

function sentence(message: string): string {
  return message.replace(/\s+/g, ' ').replace(/:?\s*$/, '').slice(0, 200);
}

/** What mends the usual YAML slips. */
function yamlFix(message: string): string {
  if (/unique/i.test(message)) return 'remove one of the two lines with the same key';
  if (/tab/i.test(message)) return 'indent with spaces, not tabs';
  if (/quot/i.test(message)) return 'close the quote, or put the whole value in single quotes';
  if (/document/i.test(message)) return 'keep one spec per file: remove the --- lines between';
  if (/tag/i.test(message)) return 'remove the word that starts with !, or put the text in quotes';
  if (/nested mappings|implicit key|compact mapping/i.test(message)) return 'put text that holds ": " in quotes, and check the indentation';
  return 'check the indentation and the brackets of this line and the one above';
}
