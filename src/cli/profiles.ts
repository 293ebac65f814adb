import { readdirSync, realpathSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { nameRefusal, profileText, readProfile, type PrinterProfile, type Refusal } from '../plan/printer.ts';
import { meant, shown } from '../spec/problem.ts';
import { makeFolder, readAtMost, statOf, Stop, writeWhole } from './files.ts';

/** A profile and where it is kept. */
export interface KeptProfile {
  readonly profile: PrinterProfile;
  readonly path: string;
  /** The profile of the same name in the user's settings that this one of the current folder hides. */
  readonly hides: string | undefined;
}

/** Folders of profiles: the current folder's own wins over the user's settings. */
export interface ProfileFolders {
  readonly local: string;
  readonly user: string;
}

/** Many times the size of any profile. */
const mostBytes = 64 * 1024;

/** Where profiles are kept: the settings folder of each system, and .panejig in the current folder. */
export async function profileFolders(): Promise<ProfileFolders> {
  try {
    const { default: envPaths } = await import('env-paths');
    return { local: join('.panejig', 'printers'), user: join(envPaths('panejig', { suffix: '' }).config, 'printers') };
  } catch {
    throw new Stop(3, 'cannot tell where your settings are kept: the system names no home folder\n    fix: set HOME to your home folder');
  }
}

/** The exit code and the words for a refusal. */
export function refused(exitCode: 2 | 3, { found, accepted, fix }: Refusal, where = ''): Stop {
  return new Stop(exitCode, `${where}${found}\n    accepted: ${accepted}\n    fix: ${fix}`);
}

function fileOf(folder: string, name: string): string {
  return join(folder, `${name.normalize('NFC')}.json`);
}

/** The profile of that name: the current folder's own where there is one, else the user's. */
export async function loadProfile(name: string): Promise<KeptProfile> {
  checkName(name);
  const folders = await profileFolders();
  const [local, user] = [fileOf(folders.local, name), fileOf(folders.user, name)];
  const [isLocal, isUser] = [statOf(local) !== undefined, statOf(user) !== undefined];
  if (!isLocal && !isUser) throw unknown(name, folders);
  const path = isLocal ? local : user;
  return { profile: readFrom(path, name), path, hides: isLocal && isUser ? user : undefined };
}

/**
 * Keeps a profile, over an earlier one of the same name; never over a file that is not a profile of ours.
 * @returns its path, and the path of the file of the same name that hides it or that it hides
 */
export async function keepProfile(profile: PrinterProfile, isHere: boolean): Promise<{ path: string; hiddenBy: string | undefined; hides: string | undefined }> {
  checkName(profile.name);
  const folders = await profileFolders();
  const [local, user] = [fileOf(folders.local, profile.name), fileOf(folders.user, profile.name)];
  const path = isHere ? local : user;
  const isThere = statOf(path) !== undefined;
  if (isThere) readFrom(path, profile.name);
  const fix = isHere ? 'check that you may write in the current folder' : 'check that you may write there, or keep the profile in the current folder with --here';
  makeFolder(dirname(path), fix);
  writeWhole(isThere ? realpathSync(path) : path, new TextEncoder().encode(profileText(profile)), fix);
  return { path, hiddenBy: !isHere && statOf(local) ? local : undefined, hides: isHere && statOf(user) ? user : undefined };
}

export function checkName(name: string): void {
  const refusal = nameRefusal(name);
  if (refusal) throw refused(2, refusal);
}

function readFrom(path: string, name: string): PrinterProfile {
  const away = { accepted: 'a printer profile that panejig wrote', fix: 'move it away, and measure again (panejig ruler)' };
  if (!statOf(path)?.isFile()) throw refused(3, { found: 'it is not an ordinary file', ...away }, `${path}: `);
  const bytes = readAtMost(path, mostBytes + 1);
  if (bytes.length > mostBytes) throw refused(3, { found: `it is larger than ${mostBytes} bytes`, ...away }, `${path}: `);
  const reading = readProfile(bytes.toString('utf8'), name);
  if ('found' in reading) throw refused(3, reading, `${path}: `);
  return reading;
}

function unknown(name: string, folders: ProfileFolders): Stop {
  const names = [...new Set([folders.local, folders.user].flatMap(namesIn))].sort();
  const guess = meant(name, names);
  return refused(2, {
    found: `there is no printer profile ${shown(name)}`,
    accepted: names.length > 0 ? names.slice(0, 40).join(', ') : 'none yet',
    fix: guess ? `did you mean ${guess}?` : 'print a ruler page (panejig ruler), measure it, and keep the profile with panejig printer',
  });
}

/** Names of the files in a folder that may be profiles. */
function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder).flatMap((file) => (file.endsWith('.json') && !nameRefusal(file.slice(0, -5)) ? [file.slice(0, -5)] : []));
  } catch {
    return [];
  }
}
