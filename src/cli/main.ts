import { Command, CommanderError } from 'commander';
import { readPlan, type Plan } from '../plan/plan.ts';
import { checkPlan } from '../report.ts';
import { problemText } from '../spec/problem.ts';
import { readSpecFile, Stop } from './files.ts';
import { reportJson, reportTable } from './print.ts';
import type { TemplateOptions } from './template.ts';

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
    const plan = planOf(specPath);
    const report = checkPlan(plan, options.json ? 'mm' : plan.units);
    print(options.json ? reportJson(plan, report) : reportTable(plan, report));
    process.exitCode = report.verdict === 'refused' ? 1 : 0;
  });

program
  .command('template')
  .description('check a spec and write its paper jig as a PDF at true size')
  .argument('<spec>', 'spec file, YAML 1.2 or JSON')
  .option('-o, --output <file>', 'where to write the PDF (default: out/<name of the spec>.pdf)')
  .option('--paper <name>', 'paper to print on, by name or size: A4, Letter, "24 x 36 in"')
  .option('--draft', 'write a jig struck DRAFT even where holes are refused')
  .option('--patches', 'a sheet for each hole or close group, in place of the whole panel')
  .option('--far-face', 'a jig to be taped to the far face of a clear panel and read through it')
  .action(async (specPath: string, options: TemplateOptions) => {
    const { writeTemplate } = await import('./template.ts');
    process.exitCode = await writeTemplate(planOf(specPath), specPath, options);
  });

function planOf(specPath: string): Plan {
  const reading = readPlan(readSpecFile(specPath));
  if ('plan' in reading) return reading.plan;
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
