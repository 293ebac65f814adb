// Prepares the typefaces: one small Latin pair that is always loaded, and wide faces for every other script.
import * as fontkit from 'fontkit';
import { copyFileSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { deflateSync, inflateSync } from 'node:zlib';

const modules = new URL('../node_modules/', import.meta.url).pathname;
const noto = `${modules}@fontsource/noto-`;
const full = `${modules}@expo-google-fonts/noto-sans`;

const latin = {
  regular: `${noto}sans/files/noto-sans-latin-400-normal.woff`,
  bold: `${noto}sans/files/noto-sans-latin-700-normal.woff`,
};

/** Wide faces in order of preference. A face with a `bold` file has that file beside it as `<name>-bold`. */
const wide = [
  { name: 'devanagari', regular: `${noto}sans/files/noto-sans-devanagari-400-normal.woff`, bold: `${noto}sans/files/noto-sans-devanagari-700-normal.woff` },
  { name: 'thai', regular: `${noto}sans-thai/files/noto-sans-thai-thai-400-normal.woff`, bold: `${noto}sans-thai/files/noto-sans-thai-thai-700-normal.woff` },
  { name: 'arabic', regular: `${noto}sans-arabic/files/noto-sans-arabic-arabic-400-normal.woff`, bold: `${noto}sans-arabic/files/noto-sans-arabic-arabic-700-normal.woff` },
  { name: 'hebrew', regular: `${noto}sans-hebrew/files/noto-sans-hebrew-hebrew-400-normal.woff`, bold: `${noto}sans-hebrew/files/noto-sans-hebrew-hebrew-700-normal.woff` },
  { name: 'sans', regular: `${full}/400Regular/NotoSans_400Regular.ttf`, bold: `${full}/700Bold/NotoSans_700Bold.ttf` },
  { name: 'math', regular: `${noto}sans-math/files/noto-sans-math-latin-400-normal.woff` },
  { name: 'japanese', regular: `${full}-jp/400Regular/NotoSansJP_400Regular.ttf` },
  { name: 'symbols', regular: `${noto}sans-symbols-2/files/noto-sans-symbols-2-symbols-400-normal.woff` },
  { name: 'emoji', regular: `${noto}emoji/files/noto-emoji-emoji-400-normal.woff` },
];

const licences = {
  'noto-sans': `${noto}sans/LICENSE`,
  'noto-sans-arabic': `${noto}sans-arabic/LICENSE`,
  'noto-sans-hebrew': `${noto}sans-hebrew/LICENSE`,
  'noto-sans-thai': `${noto}sans-thai/LICENSE`,
  'noto-sans-math': `${noto}sans-math/LICENSE`,
  'noto-sans-symbols-2': `${noto}sans-symbols-2/LICENSE`,
  'noto-sans-jp': `${full}-jp/LICENSE_FONT`,
  'noto-emoji': `${noto}emoji/LICENSE`,
};

/** Layout tables, not needed to draw glyphs by number. */
const layoutTables = new Set(['GDEF', 'GPOS', 'GSUB', 'STAT']);

/** Characters the Latin table leaves out: combining marks, invisible characters and noncharacters. */
const needsShaping = /\p{M}|\p{Default_Ignorable_Code_Point}|\p{Noncharacter_Code_Point}/u;

/** Unpacks a WOFF (version 1) file into its tables: tag -> bytes. */
function woffTables(woff) {
  if (woff.toString('latin1', 0, 4) !== 'wOFF') throw new Error('not a WOFF file');
  const tables = new Map();
  for (let i = 0; i < woff.readUInt16BE(12); i++) {
    const entry = 44 + 20 * i;
    const offset = woff.readUInt32BE(entry + 4);
    const packedLength = woff.readUInt32BE(entry + 8);
    const length = woff.readUInt32BE(entry + 12);
    const packed = woff.subarray(offset, offset + packedLength);
    tables.set(woff.toString('latin1', entry, entry + 4), packedLength < length ? inflateSync(packed) : packed);
  }
  return tables;
}

/** Sum of the big-endian 32-bit words of bytes whose length is a multiple of four. */
function checksum(bytes) {
  let sum = 0;
  for (let i = 0; i < bytes.length; i += 4) sum = (sum + bytes.readUInt32BE(i)) >>> 0;
  return sum;
}

function paddedToWords(bytes) {
  return Buffer.concat([bytes, Buffer.alloc((4 - (bytes.length % 4)) % 4)]);
}

/** Writes tables as a TrueType file, with its checksums. */
function trueType(tables) {
  const tags = [...tables.keys()].sort();
  const power = Math.floor(Math.log2(tags.length));
  const header = Buffer.alloc(12 + 16 * tags.length);
  header.writeUInt32BE(0x00010000, 0);
  header.writeUInt16BE(tags.length, 4);
  header.writeUInt16BE(16 * 2 ** power, 6);
  header.writeUInt16BE(power, 8);
  header.writeUInt16BE(16 * (tags.length - 2 ** power), 10);
  const bodies = [];
  let offset = header.length;
  let headOffset = 0;
  tags.forEach((tag, i) => {
    const body = paddedToWords(tables.get(tag));
    if (tag === 'head') {
      headOffset = offset;
      body.writeUInt32BE(0, 8);
    }
    const entry = 12 + 16 * i;
    header.write(tag, entry, 'latin1');
    header.writeUInt32BE(checksum(body), entry + 4);
    header.writeUInt32BE(offset, entry + 8);
    header.writeUInt32BE(tables.get(tag).length, entry + 12);
    bodies.push(body);
    offset += body.length;
  });
  const file = Buffer.concat([header, ...bodies]);
  file.writeUInt32BE((0xb1b0afba - checksum(file)) >>> 0, headOffset + 8);
  return file;
}

/** Reads a face file as plain TrueType, without the tables named in `dropped`. */
function readTrueType(path, dropped = new Set()) {
  const file = readFileSync(path);
  if (!path.endsWith('.woff')) return file;
  const tables = woffTables(file);
  for (const tag of dropped) tables.delete(tag);
  return trueType(tables);
}

/** Code points as a flat list of inclusive ranges: [first, last, first, last ...]. */
function ranges(codePoints) {
  const flat = [];
  for (const code of [...codePoints].sort((a, b) => a - b)) {
    if (flat.at(-1) === code - 1) flat[flat.length - 1] = code;
    else if (flat.at(-1) !== code) flat.push(code, code);
  }
  return flat;
}

function latinFace(path) {
  const program = readTrueType(path, layoutTables);
  const font = fontkit.create(program);
  const box = font.bbox;
  const glyphs = [];
  for (const code of [...font.characterSet].sort((a, b) => a - b)) {
    if (needsShaping.test(String.fromCodePoint(code))) continue;
    const glyph = font.glyphForCodePoint(code);
    glyphs.push(code, glyph.id, glyph.advanceWidth);
  }
  return {
    name: font.postscriptName,
    metrics: {
      unitsPerEm: font.unitsPerEm,
      ascent: font.ascent,
      descent: font.descent,
      capHeight: font.capHeight,
      italicAngle: font.italicAngle,
      bbox: [box.minX, box.minY, box.maxX, box.maxY],
    },
    glyphs,
    programLength: program.length,
    program: deflateSync(program, { level: 9 }).toString('base64'),
  };
}

/** Copies one wide face as plain TrueType and returns its entry in the index. */
function wideFace(name, path, weight, outDir) {
  const program = readTrueType(path);
  const file = `${name}.ttf`;
  writeFileSync(`${outDir}/${file}`, program);
  return { name, file, weight, coverage: ranges(fontkit.create(program).characterSet) };
}

/** Writes latin.json, the wide faces, wide.json and the licence texts into `outDir`. */
export async function prepareFonts(outDir) {
  mkdirSync(outDir, { recursive: true });
  writeFileSync(`${outDir}/latin.json`, JSON.stringify({ regular: latinFace(latin.regular), bold: latinFace(latin.bold) }));
  const index = [];
  for (const face of wide) {
    index.push(wideFace(face.name, face.regular, 'regular', outDir));
    if (face.bold) index.push(wideFace(`${face.name}-bold`, face.bold, 'bold', outDir));
  }
  writeFileSync(`${outDir}/wide.json`, JSON.stringify(index));
  for (const [name, path] of Object.entries(licences)) copyFileSync(path, `${outDir}/OFL-${name}.txt`);
}
