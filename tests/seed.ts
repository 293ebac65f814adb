/**
 * Random tests draw the same cases on every machine, so that a change is judged by what it changes. SEED=random draws new
 * ones, SEED=123 those of a failure that was printed with that seed.
 */
import fc from 'fast-check';

const given = process.env['SEED'] ?? '20261125';
if (given !== 'random') fc.configureGlobal({ ...fc.readConfigureGlobal(), seed: Number(given) });
