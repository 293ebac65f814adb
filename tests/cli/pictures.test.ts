/** Pictures beside the PDF, in a temporary folder: where they go, what they may overwrite, what stays untouched. */
import { existsSync, linkSync, mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { PNG } from 'pngjs';
import { beforeEach, describe, expect, test } from 'vitest';
import { claimOutput, ourMark, Stop, writeWhole } from '../../src/cli/files.ts';
import { claimPictures, drawPictures, picturePath, type ClaimedPicture } from '../../src/cli/pictures.ts';
import { commandIn } from './command.ts';

const { folder, file, files } = commandIn('pictures');
beforeEach(() => void file('rack.yaml', 'title: x\n'));

const svg = `<!-- ${ourMark} --><svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="30mm" viewBox="0 0 60 30"><title>Frag shelf 水槽</title><circle cx="20" cy="10" r="5" fill="none" stroke="#000000" stroke-width="1"/></svg>`;
const both = { svg: true, png: true };

const at = (name: string) => join(folder, name);

function claim(pdf: string, asked: { svg?: boolean; png?: boolean }, spec = 'rack.yaml') {
  const target = claimOutput(at(pdf), at(spec), false);
  return claimPictures(asked, { path: at(pdf), target }, at(spec), false);
}

async function writePictures(claimed: readonly ClaimedPicture[], drawing: string): Promise<void> {
  for (const { target, bytes } of await drawPictures(claimed, drawing, 'rack.yaml')) writeWhole(target, bytes);
}

/** The message and exit code of a refusal, in the house form. */
function refusal(act: () => unknown): { exitCode: number; message: string } {
  try {
    act();
  } catch (error) {
    if (!(error instanceof Stop)) throw error;
    expect(error.message).toMatch(/\n {4}fix: /);
    return { exitCode: error.exitCode, message: error.message };
  }
  throw new Error('nothing was refused');
}

test.each([
  ['out/rack.pdf', 'out/rack.svg'],
  ['jig.PDF', 'jig.svg'],
  ['jig', 'jig.svg'],
  ['jig.v2', 'jig.v2.svg'],
  ['jig.svg', 'jig.svg.svg'],
])('the picture of %s is %s', (pdf, picture) => {
  expect(picturePath(pdf, 'svg')).toBe(picture);
});

describe('writing', () => {
  test('what was asked for, and nothing else', async () => {
    await writePictures(claim('jig.pdf', { svg: true }), svg);
    expect(files()).toEqual(['jig.svg', 'rack.yaml']);
    await writePictures(claim('jig.pdf', {}), svg);
    await writePictures(claim('jig.pdf', { png: false }), svg);
    expect(files()).toEqual(['jig.svg', 'rack.yaml']);
    await writePictures(claim('jig.pdf', { png: true }), svg);
    expect(files()).toEqual(['jig.png', 'jig.svg', 'rack.yaml']);
    expect(readFileSync(at('jig.svg'), 'utf8')).toBe(svg);
    // 60 mm at 150 pixels to the inch are 354.3 pixels.
    expect(PNG.sync.read(readFileSync(at('jig.png')))).toMatchObject({ width: 354, height: 177 });
  });

  test('over pictures of an earlier run', async () => {
    await writePictures(claim('jig.pdf', both), svg);
    const larger = svg.replace('"60mm"', '"120mm"').replace('"30mm"', '"60mm"').replace('60 30', '120 60');
    await writePictures(claim('jig.pdf', both), larger);
    expect(readFileSync(at('jig.svg'), 'utf8')).toBe(larger);
    expect(PNG.sync.read(readFileSync(at('jig.png'))).width).toBe(708);
  });
});

describe('refused before anything is written', () => {
  test.each(['svg', 'png'])('a %s that panejig did not make is in the way: exit 3, and it stays', (kind) => {
    file(`jig.${kind}`, 'a drawing of someone else');
    const { exitCode, message } = refusal(() => claim('jig.pdf', both));
    expect({ exitCode, message }).toEqual({ exitCode: 3, message: expect.stringContaining(`jig.${kind}: a file that panejig did not make`) });
    expect(readFileSync(at(`jig.${kind}`), 'utf8')).toBe('a drawing of someone else');
    expect(files()).toEqual([`jig.${kind}`, 'rack.yaml']);
  });

  test('a folder is in the way: exit 3', () => {
    mkdirSync(at('jig.png'));
    expect(refusal(() => claim('jig.pdf', both)).exitCode).toBe(3);
  });

  test('the spec is in the way: exit 2', () => {
    file('rack.svg', `title: "${ourMark}"\n`);
    const { exitCode, message } = refusal(() => claim('rack.pdf', both, 'rack.svg'));
    expect(exitCode).toBe(2);
    expect(message).toMatch(/rack\.svg is the spec itself\n {4}accepted: /);
  });

  test.each([['symlink', symlinkSync], ['two links to one file', linkSync]])('the picture is the PDF itself, by a %s: exit 3', (_what, link) => {
    file('jig.pdf', ourMark);
    link(at('jig.pdf'), at('jig.svg'));
    // Two names of one file part when one is renewed by renaming; only a symlink leads to the same place.
    if (link === linkSync) expect(claim('jig.pdf', both)).toHaveLength(2);
    else expect(refusal(() => claim('jig.pdf', both))).toMatchObject({ exitCode: 3, message: expect.stringContaining('jig.svg: it is the same file as') });
  });

  test('two pictures that are one file: exit 3', () => {
    file('jig.svg', ourMark);
    symlinkSync('jig.svg', at('jig.png'));
    expect(refusal(() => claim('jig.pdf', both)).message).toContain('jig.png: it is the same file as');
  });
});

test('a picture that cannot be drawn leaves no file', async () => {
  await expect(writePictures(claim('jig.pdf', both), 'not a drawing')).rejects.toThrow();
  const trouble = { problem: 'it is too large', accepted: 'a smaller one', fix: 'make it smaller' };
  await expect(drawPictures(claim('jig.pdf', both), trouble, 'rack.yaml')).rejects.toMatchObject({ exitCode: 2, message: 'rack.yaml: --svg, --png: it is too large\n    accepted: a smaller one\n    fix: make it smaller' });
  expect(files()).toEqual(['rack.yaml']);
  expect(existsSync(at('jig.svg'))).toBe(false);
});
