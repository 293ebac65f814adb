/** The command as a user runs it: the built dist/cli/main.js in a process of its own. */
import { spawnSync } from 'node:child_process';
import { createHash, randomUUID } from 'node:crypto';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterEach, beforeEach, expect } from 'vitest';
import { main } from '../built.ts';

export interface Result {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** A temporary folder to work in and one for the user's settings, both empty before each test and gone after it. */
export function commandIn(name: string) {
  const both = join(tmpdir(), `panejig-${name}-${randomUUID()}`);
  const [folder, home] = [join(both, 'bench'), join(both, 'home')];
  // XDG Base Directory Specification ($XDG_CONFIG_HOME); the others: common practice, no source.
  const env = { ...process.env, HOME: home, USERPROFILE: home, XDG_CONFIG_HOME: join(home, 'config'), APPDATA: join(home, 'AppData') };

  beforeEach(() => {
    for (const made of [folder, home]) mkdirSync(made, { recursive: true });
  });
  afterEach(() => rmSync(both, { recursive: true, force: true }));

  /** Runs panejig in the folder, with an input that is no terminal. No stack trace may come out, whatever happens, and no half-written file stay. */
  function run(...args: string[]): Result {
    const { status, stdout, stderr } = spawnSync(process.execPath, [main, ...args], { encoding: 'utf8', cwd: folder, timeout: 100_000, input: '', env });
    expect(stdout + stderr).not.toMatch(/^\s+at |node:|\.js:\d/m);
    expect(files(both).filter((one) => one.endsWith('.part'))).toEqual([]);
    return { status, stdout, stderr };
  }

  /** Names of all files and folders under the folder, or under another. */
  function files(under = folder): string[] {
    return (readdirSync(under, { recursive: true }) as string[]).sort();
  }

  /** Writes a file in the folder, or at a whole path, and makes the folders that lead there; gives its whole path. */
  function file(path: string, content: string | Uint8Array): string {
    const whole = resolve(folder, path);
    mkdirSync(dirname(whole), { recursive: true });
    writeFileSync(whole, content);
    return whole;
  }

  /** SHA-256 of a file in the folder: tells whether it has changed. */
  const digest = (path: string) => createHash('sha256').update(readFileSync(join(folder, path))).digest('hex');

  return { folder, home, run, file, files, digest };
}

/** Holds a run to have failed with that message, and to have printed nothing else. */
export function expectError(result: Result, status: number, message: RegExp): void {
  expect(result.stderr).toMatch(message);
  expect({ status: result.status, stdout: result.stdout }).toEqual({ status, stdout: '' });
}
