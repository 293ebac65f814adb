import * as z from 'zod';
import type { Unit } from '../trade/units.ts';
import { lengthFields, namedParts, rangeWords, type LengthRange } from './fields.ts';
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

/**
 * The JSON Schema (draft 2020-12) of what is written in a spec, or in a file of fittings and bits that specs include: for
 * editors that complete keys and check them. It accepts all that the reader accepts, and more: whether a bare number has a
 * unit, whether a length is in its range and whether names are known only the reader can say.
 */
export function jsonSchema(kind: 'spec' | 'drawer'): JsonSchema {
  const { schema, title } = kinds[kind];
  const parts: Record<string, JsonSchema> = { length: { description: lengthForms, type: ['number', 'string'], pattern: lengthPattern } };
  const { $schema, ...made } = z.toJSONSchema(schema(told), {
    io: 'input',
    override({ zodSchema, jsonSchema: json }) {
      const range = lengthFields.get(zodSchema);
      const part = namedParts.get(zodSchema);
      if (range) replace(json, { $ref: '#/$defs/length', description: lengthWords(json.description ?? '', range) });
      else if (part) {
        parts[part.name] ??= { ...json };
        replace(json, { $ref: `#/$defs/${part.name}`, description: json.description });
      }
    },
  });
  return { $schema, title, ...made, $defs: parts };
}

function lengthWords(what: string, range: LengthRange): string {
  const limits = rangeWords(range, told);
  return `${what}: ${lengthForms}; a bare number is in the file's units${limits ? `; ${limits}` : ''}`;
}

/** Puts one schema in another's place: what refers to it then finds the new one. */
function replace(json: object, by: JsonSchema): void {
  for (const key of Object.keys(json)) delete (json as Record<string, unknown>)[key];
  Object.assign(json, by);
}
