/** Opens a file a person wrote: well-formed YAML, of a sane size, without what these files never need. */
import { type Document, isAlias, isNode, LineCounter, type Node, parseDocument, visit } from 'yaml';
import { Complaints, shown } from './complaints';
import { type FileKind, hasKeyOfOurs, otherKind } from './kind-of-file';
import { openedQuote, QUOTE_LEFT_OPEN, yamlTrouble } from './yaml-trouble';

/** A program of 20,000 turns is a page of repeats; even one written out by another program stays far below. */
export const MAX_FILE_CHARACTERS = 262_144;

export interface Opened {
  complaints: Complaints;
  /** Null when the file could not be opened; then there is at least one complaint. */
  root: Node | null;
}

/** Never throws. `what` is the kind of file that is wanted; complaints name it so. */
export function openDocument(text: string, file: string, what: FileKind): Opened {
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

function parsed(text: string, complaints: Complaints, what: FileKind): Node | null {
  // Keys met twice are looked for while reading, in linear time and with the line of the first one.
  const options = { prettyErrors: false, uniqueKeys: false, schema: 'core' } as const;
  let document: ReturnType<typeof parseDocument>;
  try {
    document = parseDocument(text, options);
  } catch (error) {
    complaints.add(0, '', `The file could not be read as YAML (${shown(String(error), 120)}). Nothing of it was used.`);
    return null;
  }
  if (document.errors.length > 0 && !hasKeyOfOurs(text)) {
    complaints.add(
      0,
      '',
      `This is no file of Wholeturn: it is not YAML and has none of its keys. ${wantedWords(what)}`,
    );
    return null;
  }
  tellTroubles(document, complaints);
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
  const other = otherKind(root, what);
  if (other === null) return root;
  complaints.add(0, '', `This seems to be ${other}, not ${what}: its keys are those of ${other}. ${wantedWords(what)}`);
  return null;
}

function wantedWords(what: FileKind): string {
  return `${what[0]!.toUpperCase()}${what.slice(1)} is wanted here; examples lie in planner/examples. Nothing of the file was used.`;
}

function tellTroubles(document: Document, complaints: Complaints): void {
  // One slip makes several errors in a line; the first says it best. A quote that is left open makes them down to the end of the file.
  const told = new Set<number>();
  const quote = openedQuote(document);
  if (quote !== null) complaints.add(quote, '', QUOTE_LEFT_OPEN);
  for (const { code, pos, message } of [...document.errors, ...document.warnings]) {
    if (quote !== null && pos[0] >= quote) continue;
    const line = complaints.lineOf(pos[0]);
    if (!told.has(line)) complaints.add(pos[0], '', yamlTrouble(code, message));
    told.add(line);
  }
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
