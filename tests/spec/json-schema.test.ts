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
`;

const drawer = `units: mm
fittings:
  hose tail 25: {hole: [33, 35], flange: 48, nut: 46, grip: [2, 18]}
bits: [34, {diameter: 1 3/8", kind: hole saw}]
`;

const onePanel = { title: 'Snail hatchery', units: 'mm', panel: { material: 'acrylic', width: 300, height: '20 cm', thickness: 6 }, holes: [{ name: 'air', diameter: 12, 'from-left': 50, 'from-top': 40 }] };

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
    const text = nursery.replace(/tanks:\n[^]*(?=sheets:)/, 'panel: {material: annealed glass, width: 90, height: 45, thickness: 1, boxes: [{box: weir, from-center-x: 0, from-top: 4}]}\n');
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
