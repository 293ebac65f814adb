/**
 * How flows and shares are read. Unit sizes: 1 US gal = 231 in³ (NIST Handbook 44, appendix C), 1 in = 25.4 mm (NIST SP
 * 811, appendix B.8), both exact; so 1 US gal = 3.785411784 L. How the trade writes flows: common practice, no source.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { flowPattern, parseFlow, parseShare, sharePattern } from '../../src/spec/flow.ts';
import { flowUnits, formatFlow } from '../../src/trade/flow.ts';

const litre = 1e6; // mm³
const gallon = 3.785411784 * litre;

function flowOf(value: number | string): number {
  const reading = parseFlow(value);
  if ('problem' in reading) throw new Error(`${value} was refused: it ${reading.problem}`);
  return reading.flow;
}

function shareOf(value: number | string): number {
  const reading = parseShare(value);
  if ('problem' in reading) throw new Error(`${value} was refused: it ${reading.problem}`);
  return reading.share;
}

const flows: readonly [string, number][] = [
  ['900 gph', (900 * gallon) / 3600],
  ['900gph', (900 * gallon) / 3600],
  ['  900   GPH ', (900 * gallon) / 3600],
  ['900 gal/h', (900 * gallon) / 3600],
  ['900 US gal/h', (900 * gallon) / 3600],
  ['900 U.S. gallons per hour', (900 * gallon) / 3600],
  ['900 gal/hr', (900 * gallon) / 3600],
  ['900 us gph', (900 * gallon) / 3600],
  ['15 gpm', (15 * gallon) / 60],
  ['15 gal/min', (15 * gallon) / 60],
  ['15 gallons per minute', (15 * gallon) / 60],
  ['1800 L/h', 500_000],
  ['1800 l/h', 500_000],
  ['1800 L / h', 500_000],
  ['1800 lph', 500_000],
  ['1800 litres per hour', 500_000],
  ['1800 liters/hour', 500_000],
  ['30 L/min', 500_000],
  ['30 l/min', 500_000],
  ['30 lpm', 500_000],
  ['0.5 L/s', 500_000],
  ['.5 l/sec', 500_000],
  ['1.8 m3/h', 500_000],
  ['1.8 m³/h', 500_000],
  ['1.8 M3/H', 500_000],
  ['+1.8 m3/h', 500_000],
  ['-1.8 m3/h', -500_000],
  ['\u22121.8 m3/h', -500_000],
  ['0', 0],
  ['0.0', 0],
  ['0 gph', 0],
];

describe('a flow with a unit is read as its exact size', () => {
  it.each(flows)('%s', (text, flow) => {
    expect(flowOf(text)).toBeCloseTo(flow, 6);
    expect(text).toMatch(new RegExp(flowPattern, 'u'));
    expect(text).toMatch(new RegExp(flowPattern));
  });

  it('a bare 0 is no flow, whatever its unit', () => {
    expect(flowOf(0)).toBe(0);
    expect(flowOf(-0)).toBe(0);
  });

  it('15 gpm are 900 gph, as there are 60 minutes in an hour', () => {
    expect(flowOf('15 gpm')).toBeCloseTo(flowOf('900 gph'), 6);
  });

  it('what we write can be read again', () => {
    fc.assert(
      fc.property(fc.constantFrom(...flowUnits), fc.integer({ min: 0, max: 100_000 }), (unit, count) => {
        const text = formatFlow(flowOf(`${count} ${unit}`), unit);
        expect(flowOf(text)).toBeCloseTo(flowOf(`${count} ${unit}`), 5);
        expect(text).toMatch(new RegExp(flowPattern, 'u'));
      }),
    );
  });
});

describe('a flow that could be read in two ways, or in none, is refused with a way out', () => {
  it.each<[string, number | string, RegExp, RegExp]>([
    ['a bare number', 900, /has no unit/, /^write 900 gph or 900 L\/h$/],
    ['a bare number as text', '900', /has no unit/, /^write 900 gph or 900 L\/h$/],
    ['a decimal comma', '1,8 m3/h', /comma/, /1\.8 m3\/h or 18 m3\/h/],
    ['thousands by comma', '1,800 L/h', /comma/, /1\.800 L\/h or 1800 L\/h/],
    ['a fraction', '1/2 gpm', /not a flow/, /900 gph/],
    ['a mixed number', '1 1/2 gpm', /not a flow/, /900 gph/],
    ['a volume', '1800 L', /not a flow/, /1800 L\/h/],
    ['a length', '18 mm', /not a flow/, /1800 L\/h/],
    ['an unknown unit', '18 hogsheads/h', /not a flow/, /1800 L\/h/],
    ['imperial gallons, which are larger', '900 imp gal/h', /not a flow/, /900 gph/],
    ['words', 'plenty', /not a flow/, /900 gph/],
    ['nothing', '', /not a flow/, /900 gph/],
    ['a number with an exponent', '1e3 L/h', /not a flow/, /900 gph/],
    ['NaN', NaN, /not a finite number/, /900 gph/],
    ['an infinite number', Infinity, /not a finite number/, /900 gph/],
    ['more digits than a number holds', `${'9'.repeat(400)} L/h`, /more digits/, /check/],
  ])('%s', (_what, value, problem, fix) => {
    const reading = parseFlow(value);
    if (!('problem' in reading)) throw new Error(`read as ${reading.flow}`);
    expect(reading.problem).toMatch(problem);
    expect(reading.fix).toMatch(fix);
  });
});

describe('a share', () => {
  it.each<[number | string, number]>([
    ['50 %', 0.5],
    ['50%', 0.5],
    [' 50  % ', 0.5],
    ['50 percent', 0.5],
    ['50 Per Cent', 0.5],
    ['12.5 %', 0.125],
    [0.5, 0.5],
    ['0.5', 0.5],
    [0, 0],
    ['0 %', 0],
    [1, 1],
    [5, 5],
    ['500 %', 5],
    ['-5 %', -0.05],
  ])('%s is %s of the whole', (value, share) => {
    expect(shareOf(value)).toBeCloseTo(share, 12);
    if (typeof value === 'string') expect(value).toMatch(new RegExp(sharePattern, 'u'));
  });

  it.each<[string, number | string, RegExp, RegExp]>([
    ['percent without their sign', 50, /no % sign, and would be 50 times/, /^write 50 %$/],
    ['the same as text', '50', /no % sign/, /^write 50 %$/],
    ['a comma', '0,5', /comma/, /0\.5 or 05/],
    ['a flow', '50 L/h', /not a share/, /50 %/],
    ['a word', 'half', /not a share/, /50 % or 0\.5/],
    ['nothing', '', /not a share/, /50 %/],
    ['NaN', NaN, /not a finite number/, /50 %/],
    ['an infinite number', Infinity, /not a finite number/, /50 %/],
  ])('%s is refused with a way out', (_what, value, problem, fix) => {
    const reading = parseShare(value);
    if (!('problem' in reading)) throw new Error(`read as ${reading.share}`);
    expect(reading.problem).toMatch(problem);
    expect(reading.fix).toMatch(fix);
  });
});

describe('the patterns for other tools', () => {
  const space = fc.constantFrom('', ' ', '\t', '\u00a0');
  const amount = fc.constantFrom('0', '0.0', '3', '12.5', '.5', '00');
  const piece = fc.oneof(space, amount, fc.constantFrom('gph', 'GPM', 'Gal', 'gallons', 'US', 'u.s.', 'l', 'L', 'litre', 'Liters', 'lph', 'lpm', 'm3', 'm³', '/', ' per ', 'h', 'hr', 'hours', 'min', 'minutes', 's', 'sec', '%', 'percent', '-', '+', '\u2212'));
  const text = fc.oneof(fc.array(piece, { minLength: 1, maxLength: 7 }).map((pieces) => pieces.join('')), fc.tuple(amount, space, fc.constantFrom('gal', 'US gal', 'L', 'liter', 'm3', 'm³'), fc.constantFrom('/', ' / ', ' per '), fc.constantFrom('h', 'hr', 'hour', 'min', 's', 'seconds')).map((pieces) => pieces.join('')));

  it.each([['flow', flowPattern, parseFlow], ['share', sharePattern, parseShare]] as const)('of a %s fits every text that is read as one', (_what, pattern, parse) => {
    let read = 0;
    fc.assert(
      fc.property(text, (one) => {
        if ('problem' in parse(one)) return;
        read += 1;
        expect(one).toMatch(new RegExp(pattern, 'u'));
      }),
      { numRuns: 10_000 },
    );
    expect(read).toBeGreaterThan(200);
  });

  it.each(['', '900', '1/2 gpm', '1,8 m3/h', '1800 L', '18 mm', 'plenty', '--3 gph', '3 gphh', '1e3 L/h', '50 %'])('of a flow does not fit %j', (one) => {
    expect(one).not.toMatch(new RegExp(flowPattern, 'u'));
  });

  it.each(['', 'half', '0,5', '50 %%', '5 L/h', '--3'])('of a share does not fit %j', (one) => {
    expect(one).not.toMatch(new RegExp(sharePattern, 'u'));
  });
});

describe('whatever is given, the answer is a value or what to write instead', () => {
  it('for any text and any number', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.double(), fc.tuple(fc.double(), fc.constantFrom(' gph', ' L/h', ' %', '/h', ' m³/h')).map((parts) => parts.join(''))), (value) => {
        for (const reading of [parseFlow(value), parseShare(value)]) {
          if ('problem' in reading) {
            expect(reading.problem).not.toBe('');
            expect(reading.fix).toMatch(/^(write|check)/);
          } else {
            expect(Number.isFinite('flow' in reading ? reading.flow : reading.share)).toBe(true);
          }
        }
      }),
      { numRuns: 3000 },
    );
  });
});
