/** The JSON Schema, against the published meta-schema of draft 2020-12 and a validator that is not ours: ajv. */
import { Ajv2020 } from 'ajv/dist/2020.js';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { readBuild } from '../../src/plan/build.ts';
import { jsonSchema } from '../../src/spec/json-schema.ts';
import { readDrawer, readSpec } from '../../src/spec/read.ts';
import { schemaErrors, schemaErrorsOfText } from './against-schema.ts';

const kinds = ['spec', 'drawer'] as const;
const metaSchema = 'https://json-schema.org/draft/2020-12/schema';

/** A build of a coral nursery: two tanks made alike with an overflow box, and a loose shelf panel. */
const nursery = `title: Coral nursery, two tanks
units: cm
include: fittings-drawer.yaml
fittings:
  strainer: {hole: 26 mm, flange: 40 mm, thread: G 1/2, gasket: {inside: 26 mm, outside: 38 mm, thickness: 2 mm}, stands-out: {flange: 1.5, nut: 3}}
  return nozzle: {hole: [35 mm, 38 mm], flange: 54 mm, nut: 50 mm, grip: [3 mm, 25 mm], pipe: 1/2}
bits: [36 mm, {diameter: 45 mm, kind: diamond core bit}, {diameter: 1 in, kind: hole saw}]
boxes:
  weir:
    width: 30
    height: 18
    depth: 10
    wall: 6 mm
    back: 8 mm
    sealant: 2 mm
    stands: inside
    measured-from: inside
    weir-from-top: 1
    keep-clear: [{name: comb, from-left: 0, from-top: 0, width: 10, height: 2}]
    holes:
      - {name: drain, fitting: bulkhead 1 in, from-left: 7, from-top: 9, outside: elbow, inside: pipe}
      - {name: spare, fitting: bulkhead 1 in, from-right: 7, from-top: 9, flange-on: outside}
tanks:
  nursery:
    quantity: 2
    material: annealed glass
    length: 120
    width: 50
    height: 45
    thickness: {front: 1, back: 1, left: 1, right: 1, bottom: 1.2}
    bottom: between walls
    ends: between front and back
    gap: 1 mm
    sealant: 4 mm
    rim: {top: 2, bottom: 0}
    water-from-top: 3
    panels:
      back:
        boxes: [{box: weir, from-center-x: 0, from-top: 4}]
        room: {outside: 20, inside: 10}
      left:
        material: annealed glass
        measured-from: inside
        drilled-from: inside
        holes: [{name: return, fitting: {hole: [35 mm, 38 mm], flange: 5.4}, from-center-x: -2 in, from-top: 10}]
panels:
  shelf:
    quantity: 3
    material: acrylic
    outline: [[0, 0], [60, 0], [60, 20], [50, 30], [0, 30]]
    thickness: 8 mm
    holes:
      - {name: 1, diameter: 1 1/2", from-left: 10, from-bottom: 10}
      - row: {name: peg, diameter: 6 mm, count: 3, from-left: 20, from-right: 32, from-top: 4, flange-on: inside, outside: pipe, inside: nothing, repeat: {count: 2, down: 3}, mirror: left-right}
      - {name: weep, diameter: 6 mm, from-right: 3, from-center-y: -5, repeat: {count: 2, left: 2, up: 1}, mirror: top-bottom}
      - {name: feed, diameter: 6 mm, place: best, within: {from-left: 4, from-right: 0, from-top: 0, from-bottom: 2}}
sheets: {paper: 24 x 36 in, lies-on: far-face, overlap: 1.6, margin: 10 mm}
water:
  flows-in: m3/h
  reserve: 0.5
  pump: {curve: [[0, 320], [400 gph, 8 ft], [3 m3/h, 0]], throttle: 30 L/min}
  side: [{name: sand bed, flow: 80 gal/h}]
  lines:
    riser: {bore: 26 mm, length: 150, elbows: 2, elbows-45: 1, tees: 1, tees-through: 0, ball-valves: 1, gate-valves: 0, check-valves: 1, other-losses: 0.5}
    branch: {from: riser, pipe: 3/4, schedule: 40, length: 40}
  tanks:
    first nursery:
      tank: nursery
      drains-into: tray
      returns:
        - {hole: return, panel: left, from: branch, pipe: 1/2 in, length: 20, rise: 110, flow: 2 gpm, opening-from-top: 11, siphon-break-from-top: -1}
      drains:
        - {hole: drain, runs: full siphon, pipe: 1 in, schedule: 80, drop: 50, length: 70}
        - {hole: spare, runs: open, bore: 30 mm, drop: 50, length: 70, spare: true, opening-from-top: 6, into: sump}
      weirs: [{box: weir, crest-from-top: 5, length: 40, teeth: {width: 6 mm, gap: 5 mm, height: 2}}]
    tray:
      inside: {length: 80, width: 40, height: 20}
      returns: [{name: hose, bore: 16 mm, length: 100, rise: 60, opening-from-top: 0}]
      drains: [{name: pipe over the rim, runs: open, rated: 3000 L/h, spare: false}]
      weirs: [{name: notch, length: 20, crest-from-top: 4}]
  sump: {length: 70, width: 35, working-level: 18, top-level: 30}
`;

const drawer = `units: mm
fittings:
  hose tail 25: {hole: [33, 35], flange: 48, nut: 46, grip: [2, 18]}
bits: [34, {diameter: 1 3/8", kind: hole saw}]
`;

const onePanel = { title: 'Snail hatchery', units: 'mm', panel: { material: 'acrylic', width: 300, height: '20 cm', thickness: 6 }, holes: [{ name: 'air', diameter: 12, 'from-left': 50, 'from-top': 40 }] };

/** The nursery with one part changed. */
function nurseryWith(part: string, into: string): string {
  if (!nursery.includes(part)) throw new Error(`the nursery holds no ${part}`);
  return nursery.replace(part, () => into);
}

/** The spec of one panel with one thing changed. */
function changed(change: (spec: typeof onePanel & Record<string, unknown>) => void): unknown {
  const spec = structuredClone(onePanel);
  change(spec);
  return spec;
}

describe('the schema itself', () => {
  it.each(kinds)('of a %s is valid by the meta-schema of draft 2020-12, with no keyword that it does not know', (kind) => {
    const schema = jsonSchema(kind);
    expect(schema['$schema']).toBe(metaSchema);
    const ajv = new Ajv2020({ strict: true, allowUnionTypes: true, strictRequired: false, strictTypes: false });
    expect([ajv.validateSchema(schema), ajv.errorsText()]).toEqual([true, 'No errors']);
    expect(() => ajv.compile(schema)).not.toThrow();
    // The meta-schema bites: the same schema with a type that there is not.
    expect(ajv.validateSchema({ ...schema, type: 'lenght' })).toBe(false);
  });

  it.each(kinds)('of a %s has a title, and is plain data that is the same each time', (kind) => {
    const schema = jsonSchema(kind);
    expect(schema['title']).toBeTypeOf('string');
    expect(JSON.parse(JSON.stringify(schema))).toEqual(schema);
    expect(JSON.stringify(jsonSchema(kind))).toBe(JSON.stringify(schema));
  });

  it.each(kinds)('of a %s describes every property at any depth', (kind) => {
    const bare = properties(jsonSchema(kind)).filter(({ schema }) => typeof schema !== 'object' || typeof schema['description'] !== 'string' || schema['description'] === '');
    expect(bare.map(({ path }) => path)).toEqual([]);
    expect(properties(jsonSchema(kind)).length).toBeGreaterThan(kind === 'spec' ? 100 : 15);
  });

  it.each(kinds)('of a %s says at every length how it may be written, and what a bare number means', (kind) => {
    const lengths = everySchema(jsonSchema(kind)).filter(({ schema }) => schema['$ref'] === '#/$defs/length');
    expect(lengths.length).toBeGreaterThan(kind === 'spec' ? 50 : 10);
    for (const { path, schema } of lengths) {
      for (const word of ['35 mm', '3.5 cm', '1 3/8 in', `2' 6"`, "a bare number is in the file's units"]) expect(schema['description'], path).toContain(word);
    }
  });

  it('of a spec says at every flow and share how it may be written', () => {
    const of = (ref: string) => everySchema(jsonSchema('spec')).filter(({ schema }) => schema['$ref'] === ref);
    expect([of('#/$defs/flow').length, of('#/$defs/share').length]).toEqual([6, 1]);
    for (const { path, schema } of of('#/$defs/flow')) for (const word of ['900 gph', '15 gpm', '1800 L/h', '1.8 m3/h', 'at most 1000 m3/h']) expect(schema['description'], path).toContain(word);
    expect(of('#/$defs/share')[0]?.schema['description']).toMatch(/50 % or 0\.5; at least 0 % and at most 500 %$/);
    expect(Object.keys(jsonSchema('drawer')['$defs'] as object)).not.toContain('flow');
  });

  it('of a spec gives bulkhead alone among the fittings that editors offer', () => {
    const examples = everySchema(jsonSchema('spec')).flatMap(({ schema }) => (Array.isArray(schema['examples']) ? [schema['examples'] as string[]] : []));
    expect(examples.length).toBeGreaterThan(0);
    for (const names of examples) expect(names).toEqual(expect.arrayContaining(['bulkhead', 'bulkhead 1 in']));
  });

  it('tells the range of a length where there is one', () => {
    const { properties: keys } = jsonSchema('spec') as { properties: { panel: { properties: { thickness: { description: string } } } } };
    expect(keys.panel.properties.thickness.description).toMatch(/^thickness of the panel: .*more than 0 mm and at most 500 mm$/);
  });
});

describe('what the reader accepts, the schema accepts', () => {
  const folder = new URL('../../templates-spec/', import.meta.url);
  it.each(readdirSync(folder).filter((name) => name.endsWith('.yaml')))('%s', (name) => {
    const text = readFileSync(new URL(name, folder), 'utf8');
    const isDrawer = 'drawer' in readDrawer(text, name);
    expect(isDrawer || 'spec' in readSpec(text)).toBe(true);
    expect(schemaErrors(parse(text), isDrawer ? 'drawer' : 'spec')).toEqual([]);
  });

  it('a build with tanks, boxes, panels, fittings and bits, every kind of key in it', () => {
    const reading = readBuild(nursery, () => ({ text: drawer, file: 'fittings-drawer.yaml' }));
    expect('problems' in reading ? reading.problems : []).toEqual([]);
    expect(schemaErrorsOfText(nursery)).toEqual([]);
  });

  it('a drawer of fittings and bits', () => {
    expect(readDrawer(drawer, 'drawer.yaml')).toHaveProperty('drawer');
    expect(schemaErrorsOfText(drawer, 'drawer')).toEqual([]);
  });

  it('a panel whose only holes are those of a box on it', () => {
    const text = nursery.slice(0, nursery.indexOf('water:')).replace(/tanks:\n[^]*(?=sheets:)/, 'panel: {material: annealed glass, width: 90, height: 45, thickness: 1, boxes: [{box: weir, from-center-x: 0, from-top: 4}]}\n');
    expect(readSpec(text)).toHaveProperty('spec');
    expect(schemaErrorsOfText(text)).toEqual([]);
  });

  it('the spec that the refusals below are made from', () => {
    expect(readSpec(JSON.stringify(onePanel))).toHaveProperty('spec');
    expect(schemaErrors(onePanel)).toEqual([]);
  });
});

describe('what neither reader nor schema accepts', () => {
  const hole = onePanel.holes[0] as Record<string, unknown>;
  it.each<[string, unknown]>([
    ['an unknown key', changed((spec) => void (spec['colour'] = 'red'))],
    ['an unknown key of a hole', changed((spec) => void Object.assign(spec.holes[0] as object, { 'from-the-left': 4 }))],
    ['no title', changed((spec) => void delete (spec as Partial<typeof spec>).title)],
    ['a material that is none', changed((spec) => void (spec.panel.material = 'plywood'))],
    ['a thickness in words', changed((spec) => void Object.assign(spec.panel, { thickness: 'thick' }))],
    ['a length with a decimal comma', changed((spec) => void Object.assign(spec.panel, { width: '30,5 cm' }))],
    ['a length that is a list', changed((spec) => void Object.assign(spec.panel, { width: [300] }))],
    ['a length that is empty', changed((spec) => void Object.assign(spec.panel, { width: null }))],
    ['a unit that is none', changed((spec) => void (spec.units = 'cubit'))],
    ['a panel without a width', changed((spec) => void delete (spec.panel as Partial<typeof spec.panel>).width)],
    ['a width beside an outline', changed((spec) => void Object.assign(spec.panel, { outline: [[0, 0], [300, 0], [0, 200]] }))],
    ['an outline of two points', changed((spec) => void (spec.panel = { material: 'acrylic', thickness: 6, outline: [[0, 0], [300, 0]] } as never))],
    ['a hole from left and right', changed((spec) => void Object.assign(spec.holes[0] as object, { 'from-right': 50 }))],
    ['a hole from left and the middle', changed((spec) => void Object.assign(spec.holes[0] as object, { 'from-center-x': 50 }))],
    ['a hole from neither top nor bottom', changed((spec) => void delete (spec.holes[0] as Partial<(typeof spec.holes)[0]>)['from-top'])],
    ['a hole with diameter and fitting', changed((spec) => void Object.assign(spec.holes[0] as object, { fitting: 'bulkhead 1 in' }))],
    ['a keep-clear area from left and right', changed((spec) => void Object.assign(spec.panel, { 'keep-clear': [{ name: 'clip', 'from-left': 0, 'from-right': 0, 'from-top': 0, width: 5, height: 5 }] }))],
    ['no holes', changed((spec) => void delete (spec as Partial<typeof spec>).holes)],
    ['an empty list of holes', changed((spec) => void (spec.holes = []))],
    ['a panel beside panels', changed((spec) => void (spec['panels'] = { shelf: { ...spec.panel, holes: [hole] } }))],
    ['a panel beside tanks', changed((spec) => void (spec['tanks'] = (parse(nursery) as { tanks: unknown }).tanks))],
    ['holes without a panel', { title: 'Snail hatchery', units: 'mm', panels: { shelf: { ...onePanel.panel, holes: [hole] } }, holes: [hole] }],
    ['neither panel nor panels nor tanks', { title: 'Snail hatchery', units: 'mm' }],
    ['a placed box from top and bottom', parse(nursery.replace('from-top: 4}]', 'from-top: 4, from-bottom: 4}]'))],
    ['a tank that does not say how its ends meet', parse(nursery.replace('    ends: between front and back\n', ''))],
    ['a quantity of a half', parse(nursery.replace('quantity: 2', 'quantity: 0.5'))],
    ...(
      [
        ['a flow without a unit', 'throttle: 30 L/min', 'throttle: 30'],
        ['a flow without a unit, as text', 'throttle: 30 L/min', 'throttle: "30"'],
        ['a flow with a decimal comma', 'flow: 80 gal/h', 'flow: "0,3 m3/h"'],
        ['a flow in words', 'flow: 80 gal/h', 'flow: plenty'],
        ['a share in words', 'reserve: 0.5', 'reserve: half'],
        ['a unit of flow that is none', 'flows-in: m3/h', 'flows-in: hogsheads'],
        ['an unknown key under water', 'side: [', 'sides: ['],
        ['a pump with a curve and a flow', 'throttle: 30 L/min}', 'flow: 30 L/min}'],
        ['a throttle without a curve', 'curve: [[0, 320], [400 gph, 8 ft], [3 m3/h, 0]], ', 'flow: 8 gpm, '],
        ['a curve of one point', '[[0, 320], [400 gph, 8 ft], [3 m3/h, 0]]', '[[0, 320]]'],
        ['a point of three values', '[400 gph, 8 ft]', '[400 gph, 8 ft, 1]'],
        ['a line with pipe and bore', 'bore: 26 mm, length: 150', 'bore: 26 mm, pipe: 1 in, length: 150'],
        ['a line without a length', 'schedule: 40, length: 40', 'schedule: 40'],
        ['a schedule that is none', 'schedule: 40', 'schedule: 60'],
        ['a schedule beside a bore', '{bore: 26 mm,', '{bore: 26 mm, schedule: 40,'],
        ['half an elbow', 'elbows: 2', 'elbows: 1.5'],
        ['101 elbows', 'elbows: 2', 'elbows: 101'],
        ['a return through a hole and over the rim', '{name: hose,', '{name: hose, hole: return,'],
        ['a drain through nothing', '{hole: drain, runs', '{runs'],
        ['a drain that does not say how it runs', 'hole: drain, runs: full siphon', 'hole: drain'],
        ['a drain without drop and rated', 'schedule: 80, drop: 50', 'schedule: 80'],
        ['a drain with pipe and bore', 'bore: 30 mm, drop', 'bore: 30 mm, pipe: 1 in, drop'],
        ['a weir without a crest', ', crest-from-top: 4', ''],
        ['a weir of a box and a name', 'weirs: [{name: notch', 'weirs: [{box: weir, name: notch'],
        ['a tank with tank and inside', '      tank: nursery\n', '      tank: nursery\n      inside: {length: 1, width: 1, height: 1}\n'],
        ['a tank without drains', '      drains: [{name: pipe over the rim, runs: open, rated: 3000 L/h, spare: false}]\n', ''],
        ['a sump with tank and width', '{length: 70, width: 35, working', '{tank: nursery, width: 35, working'],
        ['a sump without a width', '{length: 70, width: 35, working', '{length: 70, working'],
        ['no sump', '  sump: {length: 70, width: 35, working-level: 18, top-level: 30}\n', ''],
      ] as const
    ).map(([what, part, into]): [string, unknown] => [what, parse(nurseryWith(part, into))]),
    ['a list', [onePanel]],
    ['a word', 'panel'],
  ])('%s', (_what, content) => {
    expect(readSpec(JSON.stringify(content))).toHaveProperty('problems');
    expect(schemaErrors(content)).not.toEqual([]);
  });

  it('a spec is no drawer, and a drawer no spec', () => {
    expect(schemaErrors(onePanel, 'drawer')).not.toEqual([]);
    expect(schemaErrorsOfText(drawer, 'spec')).not.toEqual([]);
  });
});

type Node = Record<string, unknown>;

/** Every schema within a schema, with the way to it. */
function everySchema(of: unknown, path = '#'): { path: string; schema: Node }[] {
  if (typeof of !== 'object' || of === null) return [];
  const inner = Object.entries(of).flatMap(([key, value]) => everySchema(value, `${path}/${key}`));
  return Array.isArray(of) ? inner : [{ path, schema: of as Node }, ...inner];
}

/** Every property that a schema gives a meaning to, which those are not that only choose among keys. */
function properties(of: unknown): { path: string; schema: Node }[] {
  const groups = everySchema(of).filter(({ schema }) => schema['type'] === 'object' && typeof schema['properties'] === 'object');
  return groups.flatMap(({ path, schema }) => Object.entries(schema['properties'] as Record<string, Node>).map(([key, value]) => ({ path: `${path}/${key}`, schema: value })));
}
