import { Command, CommanderError } from 'commander';
import { readBuild, type BuildOfText } from '../plan/build.ts';
import { checkBuild } from '../report.ts';
import { waterCautions } from '../trade/water.ts';
import { checkWater } from '../water.ts';
import { problemText } from '../spec/problem.ts';
import { includeFrom, readSpecFile, Stop } from './files.ts';
import type { ListOptions } from './list.ts';
import { buildJson, buildTable, verdictOfAll } from './print.ts';
import type { FlowOptions } from './flow.ts';
import type { NewOptions } from './new.ts';
import type { TemplateOptions } from './template.ts';
import type { PrinterOptions } from './printer.ts';
import type { RulerOptions } from './ruler.ts';
import type { SettleCommandOptions } from './settle.ts';

const version = '0.1.0';

/** Exit codes: 0 clear or tight, 1 refused, 2 an error in spec or usage, 3 a file that cannot be read or written. */
const program = new Command('panejig')
  .description('Checks where a panel may be drilled, and prints a true 1:1 paper jig for it.')
  .version(version)
  .exitOverride()
  .showHelpAfterError('Run panejig --help for the commands.');

program
  .command('check')
  .description('check every hole of a spec: exit 0 clear or tight, 1 refused, 2 error in the spec, 3 file trouble')
  .argument('<spec>', 'spec file, YAML 1.2 or JSON')
  .option('--json', 'print findings as JSON, in millimetres')
  .action((specPath: string, options: { json?: boolean }) => {
    const { build } = read(specPath);
    const checked = checkBuild(build, options.json ? 'mm' : undefined);
    const water = checkWater(build);
    print(options.json ? buildJson(build, checked, water) : buildTable(checked, water));
    process.exitCode = verdictOfAll(checked, water) === 'refused' ? 1 : 0;
  });

program
  .command('flow')
  .description('estimate whether the holes carry the water: flows, drains blocked in turn, weirs, what runs back when the power fails: exit 0 clear or tight, 1 refused')
  .argument('<spec>', 'spec file that tells of its water')
  .option('--json', 'print it as JSON: flows in L/h, heads and lengths in mm, volumes in L')
  .option('-o, --output <file>', 'write its pages as a PDF, too')
  .addHelpText('after', `\n${waterCautions.join('\n')}`)
  .action(async (specPath: string, options: FlowOptions) => {
    const { printFlow } = await import('./flow.ts');
    process.exitCode = await printFlow(read(specPath), specPath, options);
  });

program
  .command('template')
  .description('check a spec and write its paper jig as a PDF at true size')
  .argument('<spec>', 'spec file, YAML 1.2 or JSON')
  .option('-o, --output <file>', 'where to write the PDF (default: out/<name of the spec>.pdf)')
  .option('--paper <name>', 'paper to print on, by name or size: A4, Letter, "24 x 36 in"')
  .option('--svg', 'write the whole jig as one SVG besides, at true size, for machines')
  .option('--png', 'write a preview picture besides')
  .option('--draft', 'write a jig struck DRAFT even where holes are refused')
  .option('--printer <name>', 'undo the error of this printer (see panejig ruler)')
  .option('--each', 'a PDF for each panel of a build, in place of one for all')
  .option('--patches', 'a sheet for each hole or close group, in place of the whole panel')
  .option('--board', 'add cutting plans of guide boards that keep the bit from skating')
  .option('--mask', 'add discs that keep paint off the sealing faces of each hole')
  .option('--areas', 'shade where each hole may be on the sheets, too, as on the first page')
  .option('--far-face', 'a jig to be taped to the far face of a clear panel and read through it')
  .action(async (specPath: string, options: TemplateOptions) => {
    const { writeTemplate } = await import('./template.ts');
    process.exitCode = await writeTemplate(read(specPath), specPath, options);
  });

program
  .command('settle')
  .description('move the refused and tight holes of a spec, together and no farther than need be, and write a new spec beside it: exit 0 all settled, 1 not all')
  .argument('<spec>', 'spec file, YAML 1.2 or JSON')
  .option('--minimum', 'move only refused holes, and to the published minimum alone')
  .option('--step <length>', 'step that distances are rounded to, with its unit (default: 1 mm, or 1/16 in for those in inches)')
  .option('-o, --output <file>', 'where to write the new spec (default: <name of the spec>-settled beside it)')
  .option('--in-place', 'change the spec itself')
  .option('--json', 'print what was moved as JSON, in millimetres')
  .action(async (specPath: string, options: SettleCommandOptions) => {
    const { writeSettled } = await import('./settle.ts');
    process.exitCode = writeSettled(specPath, options);
  });

program
  .command('list')
  .description('count what a spec needs: panels, fittings, gaskets, bits, paper; exit 0 where holes are refused too')
  .argument('<spec>', 'spec file, YAML 1.2 or JSON')
  .option('--json', 'print the list as JSON, sizes in millimetres')
  .option('--csv', 'print the list as CSV (RFC 4180) for a spreadsheet')
  .action(async (specPath: string, options: ListOptions) => {
    const { printList } = await import('./list.ts');
    process.exitCode = await printList(read(specPath), options);
  });

program
  .command('ruler')
  .description('write a page to measure your printer by: scales across and down, and a square for skew')
  .option('--paper <name>', 'paper to print on, by name or size (default: A4, or the paper of the profile)')
  .option('--margin <length>', 'strip along the paper that the printer leaves white (default: 10 mm)')
  .option('--printer <name>', 'undo the error of this printer profile, to prove it')
  .option('-o, --output <file>', 'where to write the PDF (default: out/ruler-<paper>.pdf)')
  .action(async (options: RulerOptions) => {
    const { writeRuler } = await import('./ruler.ts');
    process.exitCode = await writeRuler(options);
  });

program
  .command('printer')
  .description('keep what the ruler page measures as a printer profile, or show a profile')
  .argument('<name>', 'name of the profile: the printer, and where it matters the paper and tray')
  .option('--across <length>', 'measured length of the scale across, with its unit: 189.2mm, "7 7/16 in"')
  .option('--down <length>', 'measured length of the scale down')
  .option('--paper <name>', 'paper of the ruler page (default: A4)')
  .option('--margin <length>', 'margin of the ruler page (default: 10 mm)')
  .option('--date <date>', 'when it was measured, as YYYY-MM-DD')
  .option('--here', 'keep the profile in .panejig/printers of this folder, not in your settings')
  .action(async (name: string, options: PrinterOptions) => {
    const { keepOrShowPrinter } = await import('./printer.ts');
    process.exitCode = await keepOrShowPrinter(name, options);
  });

program
  .command('new')
  .description('write a commented spec to start from; asks on a terminal, else takes usual values for what no option says')
  .argument('[file]', 'where to write it', 'spec.yaml')
  .option('--title <title>', 'title, printed on every sheet')
  .option('--units <unit>', 'unit of numbers that carry none: mm, cm or in')
  .option('--kind <kind>', 'panel or tank')
  .option('--material <name>', 'annealed glass or acrylic')
  .option('--length <length>', 'outside length of a tank, with its unit: 900mm, "36 in"')
  .option('--width <length>', 'width of the panel, or outside width of the tank, front to back')
  .option('--height <length>', 'height of the panel or tank')
  .option('--thickness <length>', 'thickness of the panels')
  .option('--fitting <name>', 'what goes through the holes, by trade name: "bulkhead 1 in"')
  .option('--holes <number>', 'how many holes')
  .option('--box', 'with an overflow box on the back panel of the tank')
  .option('--yes', 'ask nothing')
  .action(async (path: string, options: NewOptions) => {
    const { writeNewSpec } = await import('./new.ts');
    process.exitCode = await writeNewSpec(path, options);
  });

program
  .command('schema')
  .description('print the JSON Schema of specs, for editors that complete and check them')
  .option('--drawer', 'the schema of files of fittings and bits that specs include')
  .action(async (options: { drawer?: boolean }) => {
    const { jsonSchema } = await import('../spec/json-schema.ts');
    print(JSON.stringify(jsonSchema(options.drawer ? 'drawer' : 'spec'), null, 2));
  });

function read(specPath: string): BuildOfText {
  const reading = readBuild(readSpecFile(specPath), includeFrom(specPath));
  if ('build' in reading) return reading;
  throw new Stop(2, reading.problems.map((problem) => problemText(problem, specPath)).join('\n'));
}

function print(text: string): void {
  process.stdout.write(`${text}\n`);
}

process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else if (error instanceof Stop) {
    process.stderr.write(`${error.message}\n`);
    process.exitCode = error.exitCode;
  } else throw error;
}
