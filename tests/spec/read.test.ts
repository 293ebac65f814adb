/** Reading a spec: what is good is read, and whatever is bad is told at its place with a way to mend it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { problemText, type Problem } from '../../src/spec/problem.ts';
import { readSpec } from '../../src/spec/read.ts';
import { schemaErrorsOfText } from './against-schema.ts';
import { expectProblems, snippets, spoiledCharacters, spoiledLines } from './spoiled.ts';

/** A spec of a quarantine room, used as the base of every test here. */
const good = `# Return chamber of the Kelp tank
title: Kelp, back panel
units: mm
panel:
  material: annealed glass
  width: 600
  height: 400
  thickness: 10
  drilled-from: inside
  measured-from: rim
  rim: {top: 20, left: 0, right: 0, bottom: 20}
  joints:
    left: 10
    right: {panel: 10, sealant: 3}
  keep-clear:
    - {name: frag shelf, from-left: 40, from-bottom: 60, width: 200, height: 30}
fittings:
  weir elbow: {hole: [44, 46], flange: 70, nut: 62, grip: [4, 20]}
holes:
  - name: overflow
    fitting: weir elbow
    from-left: 120
    from-top: 80
  - name: return
    diameter: 1 3/8 in
    from-center-x: 10 cm
    from-bottom: 250
sheets: {paper: A3, orientation: landscape, overlap: 12, margin: 8}
`;

/** The good spec with one part changed. */
function changed(part: string, into: string): string {
  if (!good.includes(part)) throw new Error(`the good spec holds no ${part}`);
  return good.replace(part, () => into);
}

function specOf(text: string) {
  const reading = readSpec(text);
  if ('problems' in reading) throw new Error(reading.problems.map((problem) => problemText(problem, 'spec')).join('\n'));
  expect(schemaErrorsOfText(text)).toEqual([]);
  const { panel, holes: entries } = reading.spec;
  const holes = entries?.flatMap((entry) => (entry.row ? [] : [entry]));
  if (!panel || !holes) throw new Error('the spec is not of one panel');
  return { ...reading.spec, panel, holes };
}

function problemsOf(text: string): readonly Problem[] {
  const reading = readSpec(text);
  return 'problems' in reading ? reading.problems : [];
}

/** The text without its § mark, and the line and column where the mark stood. */
function marked(text: string): { text: string; line: number; column: number } {
  const before = text.split('§')[0] as string;
  const lines = before.split('\n');
  return { text: text.replace('§', ''), line: lines.length, column: (lines[lines.length - 1] as string).length + 1 };
}

/** The only problem of a text, which must be at its § mark. */
function problemAtMark(textWithMark: string): Problem {
  const { text, line, column } = marked(textWithMark);
  const problems = problemsOf(text);
  expect(problems.map((problem) => `${problem.line}:${problem.column}`)).toContain(`${line}:${column}`);
  return problems.find((problem) => problem.line === line && problem.column === column) as Problem;
}

describe('a good spec', () => {
  it('is read with every length in millimetres', () => {
    expect(specOf(good)).toEqual({
      title: 'Kelp, back panel',
      units: 'mm',
      panel: {
        material: 'annealed glass',
        width: 600,
        height: 400,
        thickness: 10,
        'drilled-from': 'inside',
        'measured-from': 'rim',
        rim: { top: 20, left: 0, right: 0, bottom: 20 },
        joints: { left: { panel: 10, sealant: 0 }, right: { panel: 10, sealant: 3 } },
        'keep-clear': [{ name: 'frag shelf', 'from-left': 40, 'from-bottom': 60, width: 200, height: 30 }],
      },
      fittings: { 'weir elbow': { hole: { min: 44, max: 46 }, flange: 70, nut: 62, grip: { min: 4, max: 20 } } },
      holes: [
        { name: 'overflow', fitting: 'weir elbow', 'from-left': 120, 'from-top': 80 },
        { name: 'return', diameter: expect.closeTo(34.925, 9) as number, 'from-center-x': 100, 'from-bottom': 250 },
      ],
      sheets: { paper: { name: 'A3', width: 297, height: 420 }, orientation: 'landscape', overlap: 12, margin: 8 },
    });
  });

  it('is the same spec in JSON', () => {
    const json = JSON.stringify(parse(good));
    expect(specOf(json)).toEqual(specOf(good));
    expect(specOf(JSON.stringify(parse(good), null, 2))).toEqual(specOf(good));
  });

  it.each([
    ['CRLF line ends', good.replace(/\n/g, '\r\n')],
    ['a byte order mark', `\uFEFF${good}`],
    ['no line end at its end', good.trimEnd()],
    ['a document start', `---\n${good}`],
  ])('is the same spec with %s', (_what, text) => {
    expect(specOf(text)).toEqual(specOf(good));
  });

  it('faces outside and is measured from the edges where it does not say', () => {
    const { panel } = specOf(changed('  drilled-from: inside\n  measured-from: rim\n', ''));
    expect(panel['drilled-from']).toBe('outside');
    expect(panel['measured-from']).toBe('edges');
  });

  it('may give every length its own unit instead of naming one', () => {
    const text = 'title: Marsh\npanel: {material: acrylic, width: 24 in, height: 40 cm, thickness: 12 mm}\nholes: [{name: a, diameter: 2", from-left: 1\' , from-top: 20 cm}]\n';
    const { panel, holes } = specOf(text);
    expect(panel.width).toBeCloseTo(24 * 25.4, 9); // NIST SP 811, appendix B.8
    expect(panel.height).toBe(400);
    expect(holes[0]?.['from-left']).toBeCloseTo(304.8, 9); // NIST SP 811, appendix B.8
  });

  it('may share a value by an anchor', () => {
    const text = changed('diameter: 1 3/8 in', 'diameter: &bore 35').replace('from-bottom: 250', 'from-bottom: 250\n  - {name: spare, diameter: *bore, from-right: 90, from-bottom: 250}');
    expect(specOf(text).holes[2]?.diameter).toBe(35);
  });

  it('may share one fitting among 250 holes by an anchor', () => {
    const rest = Array.from({ length: 250 }, (_, index) => `  - {name: h${index}, fitting: *f, from-left: ${index + 20}, from-top: 50}\n`).join('');
    const text = changed('fitting: weir elbow', 'fitting: &f {hole: 20}').replace('sheets:', () => `${rest}sheets:`);
    expect(problemsOf(text)).toEqual([]);
    expect(specOf(text).holes).toHaveLength(252);
  });

  it('may have a title and names that are numbers', () => {
    expect(specOf(changed('Kelp, back panel', '2031')).title).toBe('2031');
    expect(specOf(changed('name: return', 'name: 7')).holes[1]?.name).toBe('7');
  });

  it('may have a title of 200 characters, of any script', () => {
    const title = '水槽'.repeat(100);
    expect(specOf(changed('Kelp, back panel', title)).title).toBe(title);
  });

  it('keeps line ends and control characters out of titles and names', () => {
    expect(specOf(changed('Kelp, back panel', '"Kelp\\n\\e[31m  tank\\u2028x "')).title).toBe('Kelp [31m tank x');
  });

  it('may name a fitting like a word of the language', () => {
    const text = changed('  weir elbow: {', '  constructor: {').replace('fitting: weir elbow', 'fitting: constructor');
    expect(Object.keys(specOf(text).fittings ?? {})).toEqual(['constructor']);
  });

  it('may have an outline instead of width and height', () => {
    const { panel } = specOf(changed('  width: 600\n  height: 400\n', '  outline: [[0, 0], [600, 0], [60 cm, 400], [0, 400]]\n'));
    expect(panel.outline).toEqual([[0, 0], [600, 0], [600, 400], [0, 400]]);
  });

  it.each([
    ['24 x 36 in', 609.6, 914.4],
    ['36 x 24 in', 609.6, 914.4],
    ['610 x 914 mm', 610, 914],
    ['61 cm by 91.4 cm', 610, 914],
    ['a4', 210, 297],
    ['ansi-d', 558.8, 863.6],
  ])('may print on %s', (paper, width, height) => {
    const found = specOf(changed('paper: A3', `paper: "${paper}"`)).sheets?.paper;
    expect(found?.width).toBeCloseTo(width, 9);
    expect(found?.height).toBeCloseTo(height, 9);
  });
});

describe('a file that is no spec is told as one problem', () => {
  it.each<[string, string, number, number, RegExp]>([
    ['an empty file', '', 1, 1, /empty/],
    ['blanks only', '  \n\n', 1, 1, /empty/],
    ['comments only', '# Kelp\n# Marsh\n', 1, 1, /empty/],
    ['a list', '- Kelp\n- Marsh\n', 1, 1, /a list of 2/],
    ['a word', 'Kelp', 1, 1, /"Kelp"/],
    ['a number', '42', 1, 1, /42/],
    ['a NUL byte', good.replace('Kelp', 'Ke\0lp'), 1, 1, /not text/],
    ['more text than a spec may have', `#${'x'.repeat(4 * 1024 * 1024)}`, 1, 1, /4194305 characters/],
  ])('%s', (_what, text, line, column, found) => {
    const problems = problemsOf(text);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ line, column, key: '' });
    expect(problems[0]?.found).toMatch(found);
    expect(problems[0]?.fix).not.toBe('');
  });

  it('a spec of just the allowed size is read', () => {
    const text = `${good}#`;
    expect(problemsOf(text.padEnd(4 * 1024 * 1024, 'x'))).toEqual([]);
  });

  it.each([
    ['brackets', '['.repeat(100_000)],
    ['closed brackets', `${'['.repeat(100_000)}${']'.repeat(100_000)}`],
    ['braces', '{a: '.repeat(100_000)],
    ['dashes', '- '.repeat(100_000)],
  ])('100,000 nested %s are told as one problem, in words that are ours', (_what, text) => {
    const problems = problemsOf(text);
    expect(problems.map((problem) => problem.found)).toEqual([expect.stringMatching(/nested too deeply/)]);
    expect(problems[0]?.fix).toMatch(/brackets/);
  });

  it('anchors that multiply are refused without being followed', () => {
    const layers = [...'abcdefghij'].map((letter, index, all) => `${letter}: &${letter} [${Array(10).fill(index === 0 ? 'x' : `*${all[index - 1]}`).join(', ')}]`);
    const problems = problemsOf(`${layers.join('\n')}\n`);
    expect(problems).toHaveLength(1);
    expect(problems[0]?.found).toMatch(/anchors|aliases/);
    expect(problems[0]?.fix).toMatch(/instead of repeating aliases/);
  });
});

describe('what YAML refuses is told at its place', () => {
  it.each<[string, string, RegExp, RegExp]>([
    ['a tab as indentation', 'title: Kelp\npanel:\n§\twidth: 4\n', /tab/i, /spaces, not tabs/],
    ['a key twice', `${good}§title: Marsh\n`, /stands twice/, /one of the two/],
    ['a key twice in a hole', changed('    from-top: 80', '    from-top: 80\n    §from-top: 90'), /stands twice/, /one of the two/],
    ['a key twice in JSON', '{"title": "Kelp", §"title": "Marsh"}', /stands twice/, /one of the two/],
    ['a colon in bare text', 'title: §Kelp: back\n', /second ": "/, /in quotes/],
    ['a quote that is not closed', 'title: "Kelp§', /quote/i, /close the quote/],
    ['an alias without its anchor', changed('diameter: 1 3/8 in', 'diameter: §*bore'), /bore/, /bore/],
    ['a second document', `${good}§---\n${good}`, /document/, /one spec per file/],
  ])('%s', (_what, text, found, fix) => {
    const problem = problemAtMark(text);
    expect(problem.found).toMatch(found);
    expect(problem.fix).toMatch(fix);
  });

  it('does not speak to programmers', () => {
    const texts = [`${good}---\n${good}`, '['.repeat(100_000), changed('diameter: 1 3/8 in', 'diameter: *bore'), 'title: !kelp x\n'];
    for (const text of texts) for (const { found, fix } of problemsOf(text)) expect(`${found} ${fix}`).not.toMatch(/YAML\.|parseAll|call stack|undefined|Error\b/);
  });
});

describe('a wrong key or value is told at its place, with what is accepted and a fix', () => {
  it.each<[string, string, string, string, RegExp, RegExp, RegExp]>([
    ['widht', '  width: 600', '  §widht: 600', 'panel.widht', /unknown key "widht"/, /material, width, height/, /did you mean width\?/],
    ['from-centre-y', '    from-bottom: 250', '    §from-centre-y: 250', 'holes[1].from-centre-y', /unknown key/, /from-center-y/, /did you mean from-center-y\?/],
    ['From_Left', '    from-left: 120', '    §From_Left: 120', 'holes[0].From_Left', /unknown key/, /from-left/, /did you mean from-left\?/],
    ['diametre', '    diameter: 1 3/8 in', '    §diametre: 35', 'holes[1].diametre', /unknown key/, /diameter/, /did you mean diameter\?/],
    ['a key like no other', 'title: Kelp', '§lighting: blue\ntitle: Kelp', 'lighting', /unknown key "lighting"/, /title, units, include, fittings, bits, boxes, panel, holes, panels, tanks, placement, sheets, water/, /remove it/],
    ['watter', 'title: Kelp', '§watter: {}\ntitle: Kelp', 'watter', /unknown key "watter"/, /sheets, water/, /did you mean water\?/],
    ['water without a pump', 'title: Kelp', 'water: §{tanks: {}, sump: {}}\ntitle: Kelp', 'water.pump', /missing/, /the pump: its curve, or the flow that it delivers/, /add pump/],
    ['a pipe that is no size', 'nut: 62', 'nut: 62, pipe: §7 in', 'fittings.weir elbow.pipe', /"7 in" is not a pipe size/, /1\/2 in, 3\/4 in/, /nominal size/],
    ['placment', 'title: Kelp', '§placment: 1.5\ntitle: Kelp', 'placment', /unknown key/, /placement/, /did you mean placement\?/],
    ['a placement under nothing', 'title: Kelp', 'placement: §-1\ntitle: Kelp', 'placement', /too small/, /how far from its place a hole may be drilled.*at least 0 mm and at most 50 mm/, /unit/],
    ['a placement as wide as a hole', 'title: Kelp', 'placement: §2 1/4 in\ntitle: Kelp', 'placement', /too large/, /at most 50 mm/, /unit/],
    ['a panel by name under panel', '  width: 600', '  §baffle: {material: acrylic}\n  width: 600', 'panel.baffle', /unknown key "baffle"/, /width/, /write panels in place of panel/],
    ['flangee', 'flange: 70', '§flangee: 70', 'fittings.weir elbow.flangee', /unknown key/, /hole, flange, nut, grip/, /did you mean flange\?/],
    ['lefft under rim', '{top: 20, left: 0', '{top: 20, §lefft: 0', 'panel.rim.lefft', /unknown key/, /top, right, bottom, left/, /did you mean left\?/],
    ['bead under joints', 'sealant: 3}', 'sealant: 3, §bead: 4}', 'panel.joints.right.bead', /unknown key/, /panel, sealant/, /remove it/],
    ['a key named __proto__', 'title: Kelp', '§__proto__: {a: 1}\ntitle: Kelp', '__proto__', /unknown key "__proto__"/, /title/, /remove it/],
    ['a key named constructor', '  width: 600', '  width: 600\n  §constructor: 1', 'panel.constructor', /unknown key "constructor"/, /width/, /remove it/],
    ['no thickness', 'panel:\n  material: annealed glass\n  width: 600\n  height: 400\n  thickness: 10', 'panel:\n  §material: annealed glass\n  width: 600\n  height: 400', 'panel.thickness', /missing/, /thickness of the panel/, /add thickness/],
    ['no material', 'panel:\n  material: annealed glass\n  width', 'panel:\n  §width', 'panel.material', /missing/, /annealed glass, toughened glass, unknown glass, acrylic/, /add material/],
    ['no hole name', '  - name: return\n    diameter', '  - §diameter', 'holes[1].name', /missing/, /name of the hole/, /add name/],
    ['no width', '  material: annealed glass\n  width: 600\n', '  §material: annealed glass\n', 'panel.width', /missing/, /width and height, or outline/, /add width/],
    ['no title', '# Return chamber of the Kelp tank\ntitle: Kelp, back panel\n', '§', 'title', /missing/, /title printed/, /add title/],
    ['an empty title', 'title: Kelp, back panel', 'title: §" "', 'title', /empty title/, /title/, /name the work/],
    ['a title of 201 characters', 'title: Kelp, back panel', `title: §${'K'.repeat(201)}`, 'title', /201 characters/, /at most 200/, /shorten/],
    ['a name of 61 characters', 'name: return', `name: §${'r'.repeat(61)}`, 'holes[1].name', /61 characters/, /at most 60/, /shorten/],
    ['an unknown unit', 'units: mm', 'units: §furlong', 'units', /"furlong"/, /mm, cm, in/, /accepted words/],
    ['inches', 'units: mm', 'units: §inches', 'units', /"inches"/, /mm, cm, in/, /write in$/],
    ['tempered glass', 'annealed glass', '§tempered glass', 'panel.material', /"tempered glass"/, /toughened glass/, /write toughened glass/],
    ['a slip in the material', 'annealed glass', '§anealed glass', 'panel.material', /"anealed glass"/, /annealed glass/, /write annealed glass/],
    ['a width that is not a number', 'width: 600', 'width: §.nan', 'panel.width', /NaN/, /width of the panel/, /measured/],
    ['an infinite width', 'width: 600', 'width: §.inf', 'panel.width', /Infinity/, /width of the panel/, /measured/],
    ['a width of 1e400', 'width: 600', 'width: §1e400', 'panel.width', /Infinity|1e400/, /width of the panel/, /measured|length/],
    ['a negative width', 'width: 600', 'width: §-600', 'panel.width', /too small/, /more than 0 mm/, /check the value/],
    ['no width at all', 'width: 600', 'width: §0', 'panel.width', /too small/, /more than 0 mm/, /check the value/],
    ['a width of 1e9', 'width: 600', 'width: §1e9', 'panel.width', /too large/, /at most 20000 mm/, /check the value/],
    ['a width just too large', 'width: 600', 'width: §20000.1', 'panel.width', /too large/, /at most 20000 mm/, /check the value/],
    ['a thickness beyond any glass', 'thickness: 10', 'thickness: §501', 'panel.thickness', /too large/, /at most 500 mm/, /check the value/],
    ['a width in words', 'width: 600', 'width: §a hand', 'panel.width', /"a hand" is not a length/, /width of the panel/, /1 3\/8 in/],
    ['a width that is true', 'width: 600', 'width: §true', 'panel.width', /true is not a length/, /width of the panel/, /length/],
    ['a decimal comma', 'width: 600', 'width: §60,5 cm', 'panel.width', /comma/, /width of the panel/, /60\.5 cm or 605 cm/],
    ['diameter and fitting', '    diameter: 1 3/8 in', '    diameter: 35\n    fitting: §bulkhead 1 in', 'holes[1].fitting', /beside diameter/, /exactly one/, /keep one of diameter, fitting/],
    ['neither diameter nor fitting', '  - name: return\n    diameter: 1 3/8 in\n', '  - §name: return\n', 'holes[1]', /none of diameter, fitting/, /exactly one/, /add one of diameter, fitting/],
    ['none of from-left, from-right, from-center-x', '  - name: return\n    diameter: 1 3/8 in\n    from-center-x: 10 cm\n', '  - §name: return\n    diameter: 35\n', 'holes[1]', /none of from-left/, /exactly one/, /add one of|add from-left/],
    ['two of them', '    from-left: 120\n', '    from-left: 120\n    from-right: §480\n', 'holes[0].from-right', /beside from-left/, /exactly one/, /keep one of from-left, from-right/],
    ['a keep-clear area held by no side', ', from-bottom: 60,', ',', 'panel.keep-clear[0]', /none of from-top, from-bottom/, /exactly one/, /add one of from-top, from-bottom/],
    ['a hole range upside down', '[44, 46]', '§[46, 44]', 'fittings.weir elbow.hole', /smallest value above/, /smallest, largest/, /swap/],
    ['a hole range of three', '[44, 46]', '§[44, 45, 46]', 'fittings.weir elbow.hole', /list of 3/, /smallest, largest/, /./],
    ['a flange narrower than its hole', 'flange: 70', 'flange: §46', 'fittings.weir elbow.flange', /does not cover/, /wider than/, /measure/],
    ['an outline beside a width', '  height: 400\n', '  height: 400\n  outline: [[0, 0], [600, 0], [600, 400]]\n', 'panel.width', /outline/, /width and height, or outline/, /remove width or outline/],
    ['an outline of two points', '  width: 600\n  height: 400\n', '  outline: §[[0, 0], [600, 0]]\n', 'panel.outline', /fewer than three points/, /corners of the panel/, /./],
    ['a point of three numbers', '  width: 600\n  height: 400\n', '  outline: [[0, 0], §[600, 0, 1], [600, 400]]\n', 'panel.outline[1]', /not a point/, /\[x, y\]/, /./],
    ['an unknown face', 'drilled-from: inside', 'drilled-from: §insid', 'panel.drilled-from', /"insid"/, /outside, inside/, /write inside/],
    ['an unknown paper', 'paper: A3', 'paper: §A33', 'sheets.paper', /"A33"/, /A4, A3, Letter/, /write/],
    ['a paper too small for words', 'paper: A3', 'paper: §100 x 100 mm', 'sheets.paper', /100 mm by 100 mm/, /A4/, /from 140 mm/],
    ['an overlap too narrow', 'overlap: 12', 'overlap: §7', 'sheets.overlap', /too small/, /at least 8 mm/, /check/],
    ['a margin beyond any printer', 'margin: 8', 'margin: §51', 'sheets.margin', /too large/, /at most 50 mm/, /check/],
    ['joints with no sealant', '{panel: 10, sealant: 3}', '§{panel: 10}', 'panel.joints.right.sealant', /missing/, /sealant/, /add sealant/],
  ])('%s', (_what, part, into, key, found, accepted, fix) => {
    const text = changed(part, into);
    const problem = into.includes('§') ? problemAtMark(text) : (problemsOf(text)[0] as Problem);
    const same = problemsOf(text.replace('§', '')).filter((other) => other.key === key);
    expect(same.map((other) => other.key)).toContain(key);
    const told = same.find((other) => found.test(other.found)) ?? problem;
    expect(told.key).toBe(key);
    expect(told.found).toMatch(found);
    expect(told.accepted).toMatch(accepted);
    expect(told.fix).toMatch(fix);
    if (into.includes('§')) expect([told.line, told.column]).toEqual([marked(text).line, marked(text).column]);
  });

  it('no holes', () => {
    const text = good.slice(0, good.indexOf('holes:'));
    expect(problemsOf(text)).toEqual([expect.objectContaining({ key: 'holes', found: 'is missing', fix: 'add holes' })]);
  });

  it('an empty list of holes', () => {
    const text = `${good.slice(0, good.indexOf('holes:'))}holes: []\n`;
    expect(problemsOf(text)).toEqual([expect.objectContaining({ key: 'holes', found: expect.stringMatching(/empty list/) as string })]);
  });

  it('20,000 holes are read, 20,001 are not', () => {
    const withHoles = (count: number) => JSON.stringify({ ...(parse(good) as object), holes: Array.from({ length: count }, (_, index) => ({ name: `h${index}`, diameter: 12, 'from-left': 100, 'from-top': 100 })) });
    expect(problemsOf(withHoles(20_000))).toEqual([]);
    expect(problemsOf(withHoles(20_001))).toEqual([expect.objectContaining({ key: 'holes', found: expect.stringMatching(/more than 20000 holes/) as string })]);
  });

  it('bare numbers in a spec that names no unit, each once', () => {
    const problems = problemsOf('title: Marsh\npanel: {material: acrylic, width: 600, height: 40 cm, thickness: 12 mm}\nholes: [{name: a, diameter: 20, from-left: 10 cm, from-top: 10 cm}]\n');
    expect(problems.map(({ line, column, key }) => [line, column, key])).toEqual([
      [2, 35, 'panel.width'],
      [3, 29, 'holes[0].diameter'],
    ]);
    for (const problem of problems) expect(problem.fix).toMatch(/units: mm/);
  });

  it('an unknown unit is told once, not again at every number', () => {
    expect(problemsOf(changed('units: mm', 'units: furlong'))).toHaveLength(1);
  });

  it('several problems are told at once, in the order of the text', () => {
    const text = changed('material: annealed glass', 'material: tempered glass').replace('width: 600', 'widht: 600').replace('thickness: 10', 'thickness: thin').replace('from-top: 80', 'from-topp: 80');
    const problems = problemsOf(text);
    for (const key of ['panel.material', 'panel.widht', 'panel.thickness', 'holes[0].from-topp']) expect(problems.map((problem) => problem.key)).toContain(key);
    const places = problems.map((problem) => problem.line * 1e6 + problem.column);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it('at most 20 problems are told, the first in the text among them', () => {
    const holes = Array.from({ length: 50 }, (_, index) => `  - {name: h${index}, diameter: wide, from-left: 10, from-top: 10}\n`).join('');
    const problems = problemsOf(good.slice(0, good.indexOf('holes:')).replace('width: 600', 'width: wide').concat('holes:\n', holes));
    expect(problems).toHaveLength(20);
    expect(problems[0]?.key).toBe('panel.width');
  });

  it.each([
    ['CRLF line ends', (text: string) => text.replace(/\n/g, '\r\n'), 6, 10],
    ['a byte order mark', (text: string) => `\uFEFF${text}`, 6, 10],
    ['JSON', () => '{\n\n\n\n\n "units":0.1,"x":2}', 6, 10],
  ])('the place is right with %s', (_what, write, line, column) => {
    const problems = problemsOf(write(changed('width: 600', 'width: -600')));
    expect(problems).toContainEqual(expect.objectContaining({ line, column }));
  });

  it('the column on the first line is right with a byte order mark, which is no character of the text', () => {
    const problems = problemsOf(`\uFEFF{titel: Kelp, ${JSON.stringify(parse(good)).slice(1)}`);
    expect(problems).toContainEqual(expect.objectContaining({ key: 'titel', line: 1, column: 2 }));
  });

  it('messages hold no control characters, whatever the spec holds', () => {
    const text = changed('annealed glass', '"\\e[31mred\\a"').replace('from-top: 80', '"from\\e[2J": 80');
    const told = problemsOf(text).map((problem) => problemText(problem, 'spec').replace(/\n/g, ' ')).join(' ');
    expect(told).toContain('red');
    expect(told).not.toMatch(/\p{Cc}/u);
  });
});

describe('whatever the text, the answer is a spec or problems that can be acted on', () => {
  function expectAnswer(text: string): void {
    const reading = readSpec(text);
    if ('spec' in reading) {
      expect(reading.spec.holes?.length).toBeGreaterThan(0);
      expect(schemaErrorsOfText(text)).toEqual([]);
      return;
    }
    expectProblems(reading.problems, text);
  }

  it('a unit that is a group with keys named like JavaScript methods', () => {
    expectAnswer(changed('units: mm', 'units: {toString: {}}'));
    expectAnswer(changed('annealed glass', '{valueOf: 1, toString: 2}'));
  });

  it('lines that stand too far left, where the place of the first slip must still be right', () => {
    const text = '# Kelp\n  material: acrylic\ntitle: Kelp\nunits: mm\n  width: 600\nholes: []\n';
    expectAnswer(text);
    expect(problemsOf(text)[0]).toMatchObject({ line: 3, column: 1 });
  });

  it('random text', () => {
    fc.assert(fc.property(fc.oneof(fc.string({ unit: 'binary', maxLength: 200 }), fc.string({ maxLength: 200 })), expectAnswer), { numRuns: 2000 });
  });

  it('random pieces of YAML', () => {
    const pieces = fc.array(fc.oneof(fc.constantFrom(...snippets), fc.constantFrom('title', 'panel', 'holes', 'units', ' ', '\n', 'a', '0')), { maxLength: 30 });
    fc.assert(fc.property(pieces, (list) => expectAnswer(list.join(''))), { numRuns: 3000 });
  });

  it('the good spec with lines lost, doubled or swapped', () => {
    fc.assert(fc.property(spoiledLines(good), expectAnswer), { numRuns: 800 });
  });

  it('the good spec with characters lost or pieces put in', () => {
    fc.assert(fc.property(spoiledCharacters(good), expectAnswer), { numRuns: 800 });
  });

  it('the good spec with any value replaced by any JSON', () => {
    const value = fc.jsonValue({ maxDepth: 3 });
    const paths = [['title'], ['units'], ['panel'], ['panel', 'material'], ['panel', 'width'], ['panel', 'rim'], ['panel', 'rim', 'top'], ['panel', 'joints', 'left'], ['panel', 'keep-clear'], ['panel', 'keep-clear', 0], ['panel', 'outline'], ['fittings'], ['fittings', 'weir elbow'], ['fittings', 'weir elbow', 'hole'], ['holes'], ['holes', 0], ['holes', 0, 'fitting'], ['holes', 1, 'diameter'], ['sheets'], ['sheets', 'paper']] as const;
    fc.assert(
      fc.property(fc.constantFrom(...paths), value, (path, replacement) => {
        const content = parse(good) as Record<string | number, unknown>;
        const holder = path.slice(0, -1).reduce<Record<string | number, unknown>>((at, step) => at[step] as Record<string | number, unknown>, content);
        holder[path[path.length - 1] as string] = replacement;
        expectAnswer(JSON.stringify(content, null, 1));
      }),
      { numRuns: 500 },
    );
  });
});
