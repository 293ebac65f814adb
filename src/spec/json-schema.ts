import * as z from 'zod';
import { formatFlow, formatShare } from '../trade/flow.ts';
import { formatLength, type Unit } from '../trade/units.ts';
import { flowFields, lengthFields, namedParts, rangeWords, shareFields, toldFlow } from './fields.ts';
import { flowForms, flowPattern, shareForms, sharePattern } from './flow.ts';
import { lengthForms, lengthPattern } from './length.ts';
import { drawerSchema, specSchema } from './schema.ts';

/** A JSON Schema as plain data. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/** Kinds of file that have a schema. */
const kinds = {
  spec: { schema: specSchema, title: 'panejig spec' },
  drawer: { schema: drawerSchema, title: 'panejig fittings and bits' },
} as const;

/** The unit that ranges are told in; lengths are read in whatever unit the file says. */
const told: Unit = 'mm';

/** Values that JSON does not know: what they are written as, and what a bare number means. */
const written = [
  { name: 'length', only: undefined, fields: lengthFields, forms: lengthForms, bare: "a bare number is in the file's units", words: (mm: number) => formatLength(mm, told), json: { type: ['number', 'string'], pattern: lengthPattern } },
  { name: 'flow', only: 'spec', fields: flowFields, forms: flowForms, bare: '', words: (flow: number) => formatFlow(flow, toldFlow), json: { anyOf: [{ const: 0 }, { type: 'string', pattern: flowPattern }] } },
  { name: 'share', only: 'spec', fields: shareFields, forms: shareForms, bare: '', words: formatShare, json: { type: ['number', 'string'], pattern: sharePattern } },
] as const;

/**
 * The JSON Schema (draft 2020-12) of what is written in a spec, or in a file of fittings and bits that specs include: for
 * editors that complete keys and check them. It accepts all that the reader accepts, and more: whether a bare number has a
 * unit, whether a length is in its range and whether names are known only the reader can say.
 */
export function jsonSchema(kind: 'spec' | 'drawer'): JsonSchema {
  const { schema, title } = kinds[kind];
  const parts: Record<string, JsonSchema> = Object.fromEntries(written.filter(({ only }) => only === undefined || only === kind).map(({ name, forms, json }) => [name, { description: forms, ...json }]));
  const { $schema, ...made } = z.toJSONSchema(schema(told), {
    io: 'input',
    override({ zodSchema, jsonSchema: json }) {
      const kindOf = written.find(({ fields }) => fields.has(zodSchema));
      const part = namedParts.get(zodSchema);
      if (kindOf) {
        const { name, forms, bare, fields, words } = kindOf;
        const limits = rangeWords(fields.get(zodSchema) ?? {}, words);
        replace(json, { $ref: `#/$defs/${name}`, description: `${json.description ?? ''}: ${[forms, bare, limits].filter(Boolean).join('; ')}` });
      } else if (part) {
        parts[part.name] ??= { ...json };
        replace(json, { $ref: `#/$defs/${part.name}`, description: json.description });
      }
    },
  });
  return { $schema, title, ...made, $defs: parts };
}

/** Puts one schema in another's place: what refers to it then finds the new one. */
function replace(json: object, by: JsonSchema): void {
  for (const key of Object.keys(json)) delete (json as Record<string, unknown>)[key];
  Object.assign(json, by);
}
