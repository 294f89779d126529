/** Opens a file a person wrote: well-formed YAML, of a sane size, without what these files never need. */
import { isAlias, isNode, LineCounter, type Node, parseDocument, visit } from 'yaml';
import { Complaints, shown } from './complaints';
import { yamlTrouble } from './yaml-trouble';

/** A program of 20,000 turns is a page of repeats; even one written out by another program stays far below. */
export const MAX_FILE_CHARACTERS = 262_144;

export interface Opened {
  complaints: Complaints;
  /** Null when the file could not be opened; then there is at least one complaint. */
  root: Node | null;
}

/** Never throws. `what` names the file for complaints, e.g. "a stroke program". */
export function openDocument(text: string, file: string, what: string): Opened {
  const complaints = new Complaints(file, linesOf(text));
  const root = wholesome(text, complaints, what) ? parsed(text, complaints, what) : null;
  return { complaints, root };
}

function wholesome(text: string, complaints: Complaints, what: string): boolean {
  if (text.length > MAX_FILE_CHARACTERS) {
    const limit = `${MAX_FILE_CHARACTERS / 1024} KiB`;
    complaints.add(
      0,
      '',
      `The file is larger than ${limit} and was not read. Is it ${what}? Use repeat for what recurs.`,
    );
    return false;
  }
  // biome-ignore lint/suspicious/noControlCharactersInRegex: finding them is the purpose
  const junk = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffd]/.exec(text);
  if (junk) {
    complaints.add(junk.index, '', `The file holds bytes that are not text here. Save ${what} as plain UTF-8 text.`);
    return false;
  }
  return true;
}

function parsed(text: string, complaints: Complaints, what: string): Node | null {
  // Keys met twice are looked for while reading, in linear time and with the line of the first one.
  const options = { prettyErrors: false, uniqueKeys: false, schema: 'core' } as const;
  let document: ReturnType<typeof parseDocument>;
  try {
    document = parseDocument(text, options);
  } catch (error) {
    complaints.add(0, '', `The file could not be read as YAML (${shown(String(error), 120)}). Nothing of it was used.`);
    return null;
  }
  // One slip makes several errors in a line; the first says it best.
  const told = new Set<number>();
  for (const { code, pos, message } of [...document.errors, ...document.warnings]) {
    const line = complaints.lineOf(pos[0]);
    if (!told.has(line)) complaints.add(pos[0], '', yamlTrouble(code, message));
    told.add(line);
  }
  if (complaints.any) return null;
  visit(document, {
    Alias: (_, alias) => {
      const message = `"*${shown(alias.source)}" refers to another place of the file. Write it out: files stay readable line by line.`;
      complaints.add(alias.range?.[0] ?? 0, '', message);
    },
  });
  if (complaints.any) return null;
  const root = document.contents;
  if (!isNode(root) || isAlias(root)) {
    complaints.add(0, '', `The file is empty. Write ${what}, or start from one of the examples.`);
    return null;
  }
  return root;
}

/**
 * Filled here and not by the parser: that leaves out the lines inside a scalar of several, and places come out wrong.
 */
function linesOf(text: string): LineCounter {
  const lines = new LineCounter();
  lines.addNewLine(0);
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lines.addNewLine(at + 1);
  return lines;
}
