/** The SVG as a file, read by saxes (a conforming XML 1.0 parser), checked against the spec's numbers and plain geometry. */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { SaxesParser } from 'saxes';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Point, Rect } from '../../src/plan/plan.ts';
import { circle, line, path, rectPath, text, type Mark } from '../../src/render/mark.ts';
import { layerTitles, writeSvg } from '../../src/render/svg.ts';
import type { Typesetter } from '../../src/render/type.ts';
import { loadWide } from '../fonts.ts';
import { wholeJig, written } from '../printed/whole.ts';

interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: Element[];
  text: string;
}

/** The document as a tree; throws where it is not well-formed or a namespace is not declared. */
function parse(svg: string): Element {
  const parser = new SaxesParser({ xmlns: true });
  const stack: Element[] = [{ name: '', attributes: {}, children: [], text: '' }];
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name, attributes, uri }) => {
    expect(uri).toBe('http://www.w3.org/2000/svg');
    const element = { name, attributes: Object.fromEntries(Object.values(attributes).map((one) => [one.name, one.value])), children: [], text: '' };
    stack.at(-1)?.children.push(element);
    stack.push(element);
  });
  parser.on('text', (words) => ((stack.at(-1) as Element).text += words));
  parser.on('closetag', () => stack.pop());
  parser.write(svg).close();
  return stack[0]?.children[0] as Element;
}

function elementsOf(element: Element): Element[] {
  return [element, ...element.children.flatMap(elementsOf)];
}

const named = (element: Element, name: string) => elementsOf(element).filter((one) => one.name === name);
const groupOf = (root: Element, id: string) => root.children.find(({ attributes }) => attributes['id'] === id);
const titleOf = (element: Element) => element.children.find(({ name }) => name === 'title')?.text;
const numbersIn = (words: string) => words.match(/-?[\d.]+(?:e[-+]?\d+)?/gi) ?? [];

const template = (name: string) => readFileSync(new URL(`../../templates-spec/${name}.yaml`, import.meta.url), 'utf8');
const box: Rect = { left: -10, bottom: -20, right: 490, top: 380 };
const pen = { width: 0.25, gray: 0 };
const noWords = { title: 'x', description: 'y' };
let setter: Typesetter;
const drawingOf = (...given: Parameters<typeof writeSvg>) => written(writeSvg(...given));
beforeAll(async () => {
  setter = await loadWide(['a']);
});

describe.each(['quarantine-end-panel', 'pump-cabinet-sump', 'too-close'])('%s', (name) => {
  test('is well-formed, in mm, of plain elements and attributes only', async () => {
    const { svg } = await wholeJig(template(name), name === 'too-close');
    const root = parse(svg);
    const [width, height] = [root.attributes['width'], root.attributes['height']].map((size) => Number(/^([\d.]+)mm$/.exec(size ?? '')?.[1]));
    expect(root.attributes['viewBox']).toBe(`0 0 ${width} ${height}`);
    expect(new Set(elementsOf(root).map((element) => element.name))).toEqual(new Set(['svg', 'title', 'desc', 'g', 'line', 'path', ...(name === 'too-close' ? [] : ['circle'])]));
    const attributes = new Set(elementsOf(root).flatMap((element) => Object.keys(element.attributes)));
    const plain = ['xmlns', 'width', 'height', 'viewBox', 'id', 'x1', 'y1', 'x2', 'y2', 'cx', 'cy', 'r', 'd', 'fill', 'stroke', 'stroke-width', 'stroke-dasharray', 'stroke-miterlimit'];
    expect([...attributes].filter((attribute) => !plain.includes(attribute))).toEqual([]);
  });

  test('has a titled group for each layer, no two of one id, and nothing outside them', async () => {
    const { svg, marks } = await wholeJig(template(name), name === 'too-close');
    const root = parse(svg);
    const groups = root.children.filter((element) => element.name === 'g');
    expect(root.children.filter((element) => !['g', 'title', 'desc'].includes(element.name))).toEqual([]);
    const ids = groups.map(({ attributes }) => attributes['id'] as string);
    expect(new Set(ids).size).toBe(ids.length);
    for (const group of groups) {
      expect(group.attributes['id']).toMatch(/^[a-z][a-z-]*$/);
      expect(titleOf(group)).toMatch(/^[a-z][a-z, ]+$/);
      expect(group.children.length).toBeGreaterThan(1);
    }
    for (const layer of new Set(marks.filter(({ kind }) => kind !== 'text').map((mark) => mark.layer))) expect(ids).toContain(layer);
    expect(ids).toContain('ruler');
    expect(ids).toContain('sheet-words');
  });

  test('keeps strokes and letters apart: strokes have no fill, letters no stroke, and nothing is white', async () => {
    const { svg } = await wholeJig(template(name), name === 'too-close');
    for (const group of parse(svg).children.filter((element) => element.name === 'g')) {
      const isWords = group.attributes['id']?.endsWith('-words');
      for (const { name: kind, attributes } of group.children.filter((element) => element.name !== 'title')) {
        if (isWords) expect({ kind, stroke: attributes['stroke'], isFilled: attributes['fill'] !== 'none' }).toEqual({ kind: 'path', stroke: undefined, isFilled: true });
        else expect({ fill: attributes['fill'], isStroked: attributes['stroke'] !== undefined }).toEqual({ fill: 'none', isStroked: true });
        expect(Object.values(attributes)).not.toContain('#ffffff');
      }
    }
  });

  test('is the same twice', async () => {
    expect((await wholeJig(template(name), name === 'too-close')).svg).toBe((await wholeJig(template(name), name === 'too-close')).svg);
  });
});

test('every layer has a title of its own', () => {
  const titles = Object.values(layerTitles);
  expect(new Set(titles).size).toBe(titles.length);
});

/** Corners of the panel's edge, as the file has them. */
function edgeOf(root: Element): Point[] {
  const [edge] = named(groupOf(root, 'panel') as Element, 'path');
  const numbers = numbersIn(edge?.attributes['d'] ?? '').map(Number);
  return Array.from({ length: numbers.length / 2 }, (_, index) => ({ x: numbers[2 * index] as number, y: numbers[2 * index + 1] as number }));
}

describe('places and sizes, against the numbers of the spec', () => {
  interface Hole {
    /** Diameter, and distances of the centre from the left and the top of the drawing's panel edge, mm. */
    readonly diameter: number;
    readonly left: number;
    readonly top: number;
  }
  const inch = 25.4;
  // From inside, left and right change places: the drawing's left is the panel's right.
  const cases: readonly { readonly name: string; readonly size: readonly [number, number]; readonly holes: readonly Hole[] }[] = [
    { name: 'quarantine-end-panel', size: [450, 400], holes: [{ diameter: 45, left: 100, top: 20 + 75 }, { diameter: 45, left: 210, top: 20 + 75 }, { diameter: 36, left: 450 - 3.5 * inch, top: 20 + 70 }] },
    { name: 'pump-cabinet-sump', size: [24 * inch, 16 * inch], holes: [
      { diameter: 2.125 * inch, left: (3 / 8 + 4.5) * inch, top: (16 - 3 / 8 - 5) * inch },
      { diameter: 1.375 * inch, left: (24 - 3 / 8 - 3) * inch, top: 3.25 * inch },
      { diameter: 0.625 * inch, left: (24 / 2 - 2) * inch, top: ((16 - 3 / 8) / 2 - 4) * inch },
    ] },
  ];

  test.each(cases)('$name', async ({ name, size, holes }) => {
    const root = parse((await wholeJig(template(name))).svg);
    const corners = edgeOf(root);
    const [left, top] = [Math.min(...corners.map(({ x }) => x)), Math.min(...corners.map(({ y }) => y))];
    expect(Math.max(...corners.map(({ x }) => x)) - left).toBeCloseTo(size[0], 3);
    expect(Math.max(...corners.map(({ y }) => y)) - top).toBeCloseTo(size[1], 3);
    const circles = named(groupOf(root, 'hole') as Element, 'circle').map(({ attributes }) => attributes);
    expect(circles).toHaveLength(holes.length);
    holes.forEach((hole, index) => {
      const { r, cx, cy } = circles[index] as { r: string; cx: string; cy: string };
      expect(2 * Number(r)).toBeCloseTo(hole.diameter, 3);
      expect(Number(cx) - left).toBeCloseTo(hole.left, 3);
      expect(Number(cy) - top).toBeCloseTo(hole.top, 3);
    });
  });
});

test('numbers have at most four decimals and no exponent, and are the places of the marks', () => {
  const length = fc.oneof(fc.double({ min: -5000, max: 5000, noNaN: true }), fc.double({ min: -1e-5, max: 1e-5, noNaN: true }));
  const place = fc.record({ x: length, y: length });
  fc.assert(
    fc.property(place, place, fc.double({ min: 1e-4, max: 3000, noNaN: true }), (a, b, radius) => {
      const root = parse(drawingOf([line('rim', a, b, pen), circle('hole', b, radius, pen), path('panel', [a, b, { x: 0, y: 0 }], pen)], box, noWords, setter));
      const drawn = ['line', 'circle', 'path'].map((name) => (named(root, name)[0] as Element).attributes);
      const [theLine, theCircle, thePath] = drawn as [Record<string, string>, Record<string, string>, Record<string, string>];
      const written = ['x1', 'y1', 'x2', 'y2'].map((key) => theLine[key]).concat(['cx', 'cy', 'r'].map((key) => theCircle[key]), numbersIn(thePath['d'] ?? '').slice(0, 4)) as string[];
      const wanted = [a.x + 10, 380 - a.y, b.x + 10, 380 - b.y, b.x + 10, 380 - b.y, radius, a.x + 10, 380 - a.y, b.x + 10, 380 - b.y];
      expect(written).toHaveLength(wanted.length);
      written.forEach((words, index) => {
        expect(words).toMatch(/^-?\d+(\.\d{1,4})?$/);
        expect(words).not.toBe('-0');
        expect(Math.abs(Number(words) - (wanted[index] as number))).toBeLessThanOrEqual(0.00005 + 1e-9);
      });
    }),
  );
});

describe('words', () => {
  // XML 1.0, fifth edition, production 2: neither control characters, nor lone surrogates, nor U+FFFE and U+FFFF.
  const printable = fc.string({ unit: 'binary', maxLength: 60 }).filter((words) => !/[\p{Cc}\p{Cs}\u2028\u2029\u00AD\u200B\u2060\uFEFF\uFFFE\uFFFF]/u.test(words));

  test('of any characters stay what they are', () => {
    fc.assert(
      fc.property(fc.oneof(printable, fc.string({ unit: fc.constantFrom('&', '<', '>', '"', "'", ']', '-', '!', 'a', '&amp;', '&#0;') })), printable, (title, description) => {
        const root = parse(drawingOf([], box, { title, description }, setter));
        expect(titleOf(root)).toBe(title);
        expect(root.children[1]?.text).toBe(description);
      }),
      { numRuns: 500 },
    );
  });

  test('of characters that XML cannot hold still give a well-formed file', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 0xffff }), { maxLength: 40 }), (codes) => {
        const title = String.fromCharCode(...codes, 0xfffe, 0xd800, 0, 0x1b);
        expect(titleOf(parse(drawingOf([text(setter, 'label', { x: 0, y: 0 }, title, { size: 3 })], box, { title, description: title }, setter)))).toBeDefined();
      }),
    );
  });

  test('of holes, areas and the title can be read though letters are outlines', async () => {
    const title = 'Rack "3" <left> & \'right\' 検疫水槽';
    const { svg } = await wholeJig(`title: ${JSON.stringify(title)}
units: mm
panel: {material: acrylic, width: 300, height: 300, thickness: 6, keep-clear: [{name: "a<b> & c", from-left: 200, from-top: 200, width: 80, height: 80}]}
holes: [{name: "in & <out>", diameter: 35, from-left: 100, from-top: 100}]`);
    const root = parse(svg);
    expect(titleOf(root)).toBe(title);
    const words = (id: string) => (groupOf(root, id) as Element).children.map(titleOf);
    expect(words('label-words')).toContain('in & <out>');
    expect(words('keep-clear-words')).toContain('keep clear: a<b> & c');
    expect(words('sheet-words')).toContain(title);
    expect(words('sheet-words').join(' ')).toContain('Measure this before cutting');
    expect(words('sheet-words').join(' ')).toContain('OUTSIDE');
  });

  test('are turned about their place: a quarter turn swaps width and height', () => {
    const boxOfWords = (angle: number) => {
      const [letters] = named(parse(drawingOf([text(setter, 'label', { x: 100, y: 100 }, 'HHHHHHHH', { size: 10, align: 'center', angle })], box, noWords, setter)), 'path');
      return inkBox(letters?.attributes['d'] ?? '');
    };
    const [flat, upright] = [boxOfWords(0), boxOfWords(90)];
    // The place is at (110, 280) of the file. Letters stand on it upwards, and to the left of it once turned counter-clockwise.
    expect((flat.left + flat.right) / 2).toBeCloseTo(110, 1);
    expect(flat.top).toBeCloseTo(280, 2);
    expect(upright.right).toBeCloseTo(110, 2);
    expect((upright.bottom + upright.top) / 2).toBeCloseTo(280, 1);
    expect(upright.right - upright.left).toBeCloseTo(flat.top - flat.bottom, 2);
    expect(upright.top - upright.bottom).toBeCloseTo(flat.right - flat.left, 2);
    // Noto Sans' cap height is 0.714 em.
    expect(flat.top - flat.bottom).toBeCloseTo(7.14, 1);
  });
});

/** Box of the points of path data of M, l, q and z, in the coordinates of the file. */
function inkBox(data: string): Rect {
  let [x, y] = [0, 0];
  const found: Point[] = [];
  for (const [, command, words] of data.matchAll(/([Mlqz])([^Mlqz]*)/g)) {
    const numbers = numbersIn(words ?? '').map(Number);
    if (command === 'z') continue;
    const [dx, dy] = numbers.slice(-2) as [number, number];
    [x, y] = command === 'M' ? [dx, dy] : [x + dx, y + dy];
    found.push({ x, y });
  }
  const [xs, ys] = [found.map((p) => p.x), found.map((p) => p.y)];
  return { left: Math.min(...xs), right: Math.max(...xs), bottom: Math.min(...ys), top: Math.max(...ys) };
}

describe('what a white box hides', () => {
  const tenths = fc.integer({ min: 0, max: 3000 }).map((value) => value / 10);
  const place = fc.record({ x: tenths, y: tenths });

  test('is left out of the lines of its layer, and nothing else', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(place, place), { minLength: 1, maxLength: 8 }), place, place, (ends, p, q) => {
        const white: Rect = { left: Math.min(p.x, q.x), right: Math.max(p.x, q.x), bottom: Math.min(p.y, q.y), top: Math.max(p.y, q.y) };
        const lines = ends.map(([a, b]) => line('keep-clear', a, b, pen));
        const root = parse(drawingOf([...lines, rectPath('keep-clear', white, null, 1)], box, noWords, setter));
        const pieces = named(root, 'line').map(({ attributes }) => {
          const [x1, y1, x2, y2] = ['x1', 'y1', 'x2', 'y2'].map((key) => Number(attributes[key])) as [number, number, number, number];
          return { a: { x: x1 - 10, y: 380 - y1 }, b: { x: x2 - 10, y: 380 - y2 } };
        });
        const isDrawn = (at: Point) => pieces.some((piece) => distance(at, piece) < 0.001);
        for (const [a, b] of ends) {
          if (distance(a, { a: b, b }) < 0.01) continue;
          for (let share = 0; share <= 1; share += 1 / 16) {
            const at = { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) };
            const inside = Math.min(at.x - white.left, white.right - at.x, at.y - white.bottom, white.top - at.y);
            if (Math.abs(inside) < 0.01) continue;
            if (inside < 0) expect(isDrawn(at)).toBe(true);
            else expect(isDrawn(at)).toBe(pieces.some((piece) => distance(at, piece) < 0.001 && ends.every((end) => distance(at, { a: end[0], b: end[1] }) > 0.001)));
          }
        }
      }),
    );
  });

  test('of a frame too, and of no other layer and no later line', () => {
    const white = { left: 40, right: 60, bottom: -5, top: 5 };
    const frame = { left: 0, right: 100, bottom: 0, top: 100 };
    const marks: Mark[] = [
      rectPath('keep-clear', frame, pen),
      line('rim', { x: 0, y: 0 }, { x: 100, y: 0 }, pen),
      rectPath('keep-clear', white, null, 1),
      line('keep-clear', { x: 50, y: -50 }, { x: 50, y: 50 }, pen),
    ];
    const root = parse(drawingOf(marks, box, noWords, setter));
    const ends = (id: string) => named(groupOf(root, id) as Element, 'line').map(({ attributes }) => ['x1', 'y1', 'x2', 'y2'].map((key) => Number(attributes[key])));
    expect(ends('rim')).toEqual([[10, 380, 110, 380]]);
    expect(ends('keep-clear')).toEqual([[10, 380, 50, 380], [70, 380, 110, 380], [110, 380, 110, 280], [110, 280, 10, 280], [10, 280, 10, 380], [60, 430, 60, 330]]);
    expect(named(root, 'path')).toEqual([]);
  });
});

/** Distance of a point from a segment. */
function distance(p: Point, { a, b }: { a: Point; b: Point }): number {
  const square = (b.x - a.x) ** 2 + (b.y - a.y) ** 2;
  const share = square === 0 ? 0 : Math.max(0, Math.min(1, ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / square));
  return Math.hypot(p.x - a.x - share * (b.x - a.x), p.y - a.y - share * (b.y - a.y));
}

test('a draft says so, and has no circle for refused holes', async () => {
  const root = parse((await wholeJig(template('too-close'), true)).svg);
  expect(named(root, 'circle')).toEqual([]);
  expect((groupOf(root, 'draft-words') as Element).children.map(titleOf)).toContain('DRAFT, DO NOT DRILL');
  expect((groupOf(root, 'sheet-words') as Element).children.map(titleOf).join(' ')).toContain('DRAFT, DO NOT DRILL');
  expect(root.children[1]?.text).toContain('DRAFT');
});

test('a drawing too large to be written is told, not tried', () => {
  const words = text(setter, 'label', { x: 0, y: 0 }, 'Frag shelf '.repeat(5000), { size: 3 });
  const drawing = writeSvg(Array.from({ length: 30 }, () => words), box, noWords, setter);
  expect(drawing).toMatchObject({ problem: expect.stringContaining('200 million'), accepted: expect.any(String), fix: expect.any(String) });
  expect(drawingOf([words], box, noWords, setter).length).toBeGreaterThan(200_000_000 / 30);
});
