import { isAlias, isMap, isNode, isScalar, isSeq, parseDocument, visit, type Document, type Node, type Scalar } from 'yaml';
import { millimetresPer, plainNumber, type Unit } from '../trade/units.ts';
import { parseLength, unitOf } from './length.ts';

type Path = readonly (string | number)[];

/** A length as it stands in a spec's text. */
export interface WrittenLength {
  readonly mm: number;
  /** Whether it is written in inches or feet. */
  readonly isInches: boolean;
  /** Where it stands in the text, from and to. */
  readonly range: readonly [number, number];
  /** The same place with another length, in the same unit and style; undefined where that style cannot say it. */
  write(mm: number): string | undefined;
  /** What {@link write} gave, or what stands there, as it is told to people: without quotes, with its unit. */
  told(written?: string): string;
}

/** Why a length cannot be written anew, and what to do. */
export interface Fast {
  readonly found: string;
  readonly fix: string;
}

/** A text whose lengths can be written anew, each by itself. */
export interface LengthText {
  /** The one of these keys that stands in the group that the path leads to, and its length. */
  lengthAt(path: Path, keys: readonly string[]): (WrittenLength & { readonly key: string }) | Fast;
}

/** Another text in place of what stands from and to there. */
export interface Change {
  readonly range: readonly [number, number];
  readonly text: string;
}

/**
 * Opens the text of a spec that could be read, to write lengths of it anew.
 * @param bare the unit of numbers that carry none
 */
export function openLengths(text: string, bare: Unit): LengthText {
  const start = text.startsWith('\uFEFF') ? 1 : 0;
  const plain = text.slice(start);
  const document = parseDocument(plain, { version: '1.2', prettyErrors: false, logLevel: 'error', uniqueKeys: false });
  const isJson = /^\s*\{/.test(plain);
  const meant = new Set<string>();
  visit(document, { Alias: (_key, alias) => void meant.add(alias.source) });
  return {
    lengthAt(path, keys) {
      const group = nodeAt(document, path, meant);
      if ('found' in group) return group;
      const pair = isMap(group) ? group.items.find((item) => isScalar(item.key) && keys.includes(String(item.key.value))) : undefined;
      if (!pair) return { found: `has none of ${keys.join(', ')}`, fix: 'move it by hand' };
      const key = String((pair.key as Scalar).value);
      const value = isNode(pair.value) ? shared(pair.value, meant) ?? pair.value : undefined;
      if (value && 'found' in value) return value;
      const length = isScalar(value) && value.range ? lengthOf(plain, value as Scalar.Parsed, bare, isJson) : undefined;
      if (!length) return { found: `its ${key} is written in a way that cannot be written anew`, fix: `write ${key} as a plain length, such as 60 mm` };
      return { ...length, range: [length.range[0] + start, length.range[1] + start], key };
    },
  };
}

/** The text with those changes, which do not overlap. All else stays as it is, to the byte. */
export function changed(text: string, changes: readonly Change[]): string {
  let [result, done] = ['', 0];
  for (const { range: [from, to], text: by } of [...changes].sort((a, b) => a.range[0] - b.range[0])) {
    result += text.slice(done, from) + by;
    done = to;
  }
  return result + text.slice(done);
}

/** The node that a path leads to, or why what stands there is not this place's own. */
function nodeAt(document: Document.Parsed, path: Path, meant: ReadonlySet<string>): Node | Fast {
  let node: unknown = document.contents;
  for (let depth = 0; ; depth += 1) {
    if (!isNode(node)) return { found: 'is not in the text', fix: 'move it by hand' };
    const fast = shared(node, meant);
    if (fast) return fast;
    if (depth === path.length) return node;
    const step = path[depth] as string | number;
    node = isMap(node) ? node.items.find((item) => isScalar(item.key) && String(item.key.value) === String(step))?.value : isSeq(node) ? node.items[Number(step)] : undefined;
  }
}

/** Says so where a node is written in one place and meant in several. */
function shared(node: Node, meant: ReadonlySet<string>): Fast | undefined {
  const name = isAlias(node) ? node.source : 'anchor' in node && node.anchor && meant.has(node.anchor) ? node.anchor : undefined;
  return name === undefined ? undefined : { found: `it is written once and used in several places (${isAlias(node) ? '*' : '&'}${name}), and moving it would move the others`, fix: 'write it out in place of the alias' };
}

/** How an amount is written, which a new one follows. */
interface Style {
  /** Digits after the point that are kept even where they are zeros. */
  readonly least: number;
  /** Between a whole number and its fraction; null for decimals. */
  readonly and: string | null;
  /** Whether fractions are single signs. */
  readonly isVulgar: boolean;
}

const vulgar = '\u00bc\u00bd\u00be\u215b\u215c\u215d\u215e';
/** The same fractions as eighths, in the order of the signs. */
const eighths = [2, 4, 6, 1, 3, 5, 7];
const minus = '[\\-\u2212\u2010-\u2013]';
const amount = String.raw`(?:\d+(?:\s+|\s*${minus}\s*))?\d+\/\d+|(?:\d+(?:\s+|\s*${minus}\s*)?)?[\u00bc-\u00be\u2150-\u215e]|\d+(?:\.\d+)?|\.\d+`;
const opening = String.raw`^(?<lead>["']?\s*)(?<sign>(?:${minus}|\+)\s*)?`;
const singleForm = new RegExp(`${opening}(?<amount>${amount})(?<rest>[^]*)$`, 'u');
const compoundForm = new RegExp(String.raw`${opening}(?<feet>\d+(?:\.\d+)?|\.\d+)(?<between>\s*(?:''|['\u2032\u2018\u2019]|ft|foot|feet)(?:\s|${minus})*)(?<amount>${amount})(?<rest>[^]*)$`, 'iu');

function lengthOf(text: string, node: Scalar.Parsed, bare: Unit, isJson: boolean): WrittenLength | undefined {
  const { value, range: [from, to] } = node;
  if (typeof value !== 'number' && typeof value !== 'string') return undefined;
  const reading = parseLength(value, bare);
  const unit = unitOf(value, bare);
  if ('problem' in reading || !unit) return undefined;
  const raw = text.slice(from, to);
  const isNumber = typeof value === 'number';
  const isInches = unit === 'in' || unit === 'ft' || unit === 'ft in';
  const hasUnit = !isNumber && unitOf(value, undefined) !== undefined;
  return {
    mm: reading.mm,
    isInches,
    range: [from, to],
    write(mm) {
      const written = isNumber ? numberText(raw, mm, bare, isJson) : unit === 'ft in' ? compoundText(raw, mm) : singleText(raw, mm, unit);
      // What was written must be read as it was meant.
      const back = written === undefined ? undefined : parseLength(scalarOf(written), bare);
      return back && 'mm' in back && Math.abs(back.mm - mm) < 1e-7 ? written : undefined;
    },
    told: (written = raw) => `${String(scalarOf(written)).trim()}${hasUnit ? '' : ` ${bare}`}`,
  };
}

function scalarOf(text: string): number | string {
  const value: unknown = parseDocument(text, { version: '1.2', logLevel: 'silent' }).toJS();
  return typeof value === 'number' ? value : String(value);
}

/** A bare number: inches that are no decimals become fractions, but for JSON, which has none. */
function numberText(raw: string, mm: number, bare: Unit, isJson: boolean): string {
  const style = styleOf(raw);
  const isFraction = bare === 'in' && !isJson && !raw.includes('.');
  const text = amountText(Math.abs(mm) / millimetresPer[bare], { ...style, and: isFraction ? '-' : null });
  return `${mm < 0 && Number(text) !== 0 ? '-' : ''}${text}`;
}

function singleText(raw: string, mm: number, unit: keyof typeof millimetresPer): string | undefined {
  const groups = singleForm.exec(raw)?.groups;
  if (!groups) return undefined;
  const { lead = '', sign = '', amount: old = '', rest = '' } = groups;
  const count = Math.abs(mm) / millimetresPer[unit];
  if (unit === 'ft' && Math.abs(count - Math.round(count)) > 1e-9) {
    const feet = Math.floor(count);
    const name = /^\s*(?:''|['\u2032\u2018\u2019]|[a-z]+)/i.exec(rest)?.[0] ?? '';
    return `${lead}${signText(sign, mm)}${feet}${name} ${amountText((count - feet) * 12, { least: 0, and: '-', isVulgar: false })} in${rest.slice(name.length)}`;
  }
  const style = styleOf(old);
  const isFraction = unit === 'in' && !old.includes('.');
  return `${lead}${signText(sign, mm)}${amountText(count, isFraction ? { ...style, and: style.and ?? '-' } : { ...style, and: null })}${rest}`;
}

function compoundText(raw: string, mm: number): string | undefined {
  const groups = compoundForm.exec(raw)?.groups;
  if (!groups) return undefined;
  const { lead = '', sign = '', between = '', amount: old = '', rest = '' } = groups;
  const inches = Math.abs(mm) / millimetresPer.in;
  const feet = Math.floor(inches / 12 + 1e-9);
  const style = styleOf(old);
  return `${lead}${signText(sign, mm)}${feet}${between}${amountText(Math.max(0, inches - 12 * feet), old.includes('.') ? { ...style, and: null } : { ...style, and: style.and ?? '-' })}${rest}`;
}

function signText(old: string, mm: number): string {
  const isMinus = old !== '' && !old.startsWith('+');
  if (mm < -1e-9) return isMinus ? old : '-';
  return isMinus ? '' : old;
}

function styleOf(old: string): Style {
  const isVulgar = new RegExp(`[${vulgar}]`, 'u').test(old);
  const and = /\d(\s+|\s*-\s*)\d+\//.exec(old)?.[1] ?? (isVulgar ? (/\d(\s*)\D/.exec(old)?.[1] ?? '') : null);
  return { least: /\.\d*0$/.test(old) ? (old.split('.')[1] ?? '').length : 0, and, isVulgar };
}

/** A count of units, not negative: as a fraction to 1/1024 where that is the style and says it wholly, else as a decimal. */
function amountText(count: number, { least, and, isVulgar }: Style): string {
  const parts = Math.round(count * 1024);
  if (and === null || Math.abs(parts / 1024 - count) > 1e-9) {
    const text = plainNumber(count, 12);
    const digits = (text.split('.')[1] ?? '').length;
    return digits < least ? count.toFixed(least) : text;
  }
  const whole = Math.floor(parts / 1024);
  let [top, bottom] = [parts % 1024, 1024];
  if (top === 0) return String(whole);
  while (top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  if (isVulgar && bottom <= 8) return `${whole === 0 ? '' : `${whole}${and}`}${vulgar[eighths.indexOf((top * 8) / bottom)]}`;
  return whole === 0 ? `${top}/${bottom}` : `${whole}${and || ' '}${top}/${bottom}`;
}
