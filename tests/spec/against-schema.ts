/** The JSON Schema as a validator that is not ours (ajv) reads it. */
import { Ajv2020 } from 'ajv/dist/2020.js';
import { parseDocument } from 'yaml';
import { jsonSchema } from '../../src/spec/json-schema.ts';

// Strict: a keyword that draft 2020-12 does not know, or that cannot bite where it stands, is an error. A length is a number or a string.
const ajv = new Ajv2020({ strict: true, allowUnionTypes: true, strictRequired: false, strictTypes: false, allErrors: true, validateSchema: true });
const validators = { spec: ajv.compile(jsonSchema('spec')), drawer: ajv.compile(jsonSchema('drawer')) };

/** What the JSON Schema says against a value; empty if nothing. */
export function schemaErrors(content: unknown, kind: 'spec' | 'drawer' = 'spec'): string[] {
  const validate = validators[kind];
  return validate(content) ? [] : (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`);
}

/** The same of a text in YAML or JSON. */
export function schemaErrorsOfText(text: string, kind: 'spec' | 'drawer' = 'spec'): string[] {
  const document = parseDocument(text.replace(/^\uFEFF/, ''), { version: '1.2', logLevel: 'error', uniqueKeys: false });
  return schemaErrors(document.toJS({ maxAliasCount: 20_000 }), kind);
}
