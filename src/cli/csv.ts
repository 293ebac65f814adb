/**
 * Rows as CSV after RFC 4180: commas between cells, lines ended by CR LF, cells with commas, quotes or line ends in
 * quotes, and quotes in them doubled. A cell that a spreadsheet would take for a formula, as it begins with = + - or @
 * (their wide forms, and after blanks, too), gets an apostrophe before it, which makes it text; so a name from a spec
 * never runs.
 */
export function csvText(rows: readonly (readonly string[])[]): string {
  return rows.map((row) => `${row.map(csvCell).join(',')}\r\n`).join('');
}

function csvCell(text: string): string {
  const harmless = /^\s*[=+\-@＝＋－＠]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
