/** What the YAML parser stumbled over, said to somebody who knows glass and not YAML. */
import { type Document, Scalar, visit } from 'yaml';
import { shown } from './complaints';

/** `code` and `message` as the parser gives them; the words are for a complaint. */
export function yamlTrouble(code: string, message: string): string {
  if (code === 'RESOURCE_EXHAUSTION') return 'The file is nested too deep to be read. Take out a level.';
  if (code === 'MULTIPLE_DOCS') return 'A second document begins here. Keep one to a file.';
  if (code === 'TAB_AS_INDENT')
    return 'A tab indents this line. Indent with spaces; tabs mean different widths to different people.';
  const why = plainWords(code, message) ?? `${shown(message.split('\n')[0] as string, 160)}.`;
  return notWellFormed(why);
}

const notWellFormed = (why: string): string => `This is not well-formed YAML: ${why} Nothing of the file was used.`;

export const QUOTE_LEFT_OPEN = notWellFormed('the quote that opens here is not closed where it should be.');

/** Where the first quote opens that the parser misses the end of; null where it misses none. */
export function openedQuote(document: Document): number | null {
  const missed = document.errors
    .filter(({ message }) => message.startsWith('Missing closing'))
    .map(({ pos }) => pos[0]);
  let opened: number | null = null;
  visit(document, {
    Scalar: (_, { type, range }) => {
      const quoted = type === Scalar.QUOTE_DOUBLE || type === Scalar.QUOTE_SINGLE;
      if (!quoted || !range || !missed.includes(range[1])) return undefined;
      opened = range[0];
      return visit.BREAK;
    },
  });
  return opened;
}

/** Null where the parser's own message says it as well; two of its codes stand for several faults, told apart by the message. */
function plainWords(code: string, message: string): string | null {
  switch (code) {
    case 'MULTILINE_IMPLICIT_KEY':
      return 'a key is wanted here, with a colon and a space behind it, as in "at: 90 mm".';
    case 'BLOCK_AS_IMPLICIT_KEY':
      return 'there is a colon too many, or the next line begins too far in. Words with a colon in them go in quotes.';
    case 'BAD_SCALAR_START':
      return 'a value cannot begin with this character. Put the value in quotes.';
    case 'BAD_DQ_ESCAPE':
      return "a backslash in double quotes has a meaning of its own. Use single quotes: '...'.";
    case 'UNEXPECTED_TOKEN':
      return 'this does not belong here. Is there a bracket or a quote too many before it, or a "- " in the wrong place?';
    case 'BAD_INDENT':
      return message.startsWith('Flow') ? bracketOpen(message) : UNEVEN;
    case 'MISSING_CHAR':
      if (message.startsWith('Flow')) return bracketOpen(message);
      if (message.startsWith('Missing closing')) return 'a quote was opened and is not closed before here.';
      return message.startsWith('Sequence item') ? UNEVEN : null;
    default:
      return null;
  }
}

const UNEVEN =
  'this line begins further in or out than the lines it belongs with. Give them the same number of spaces.';

function bracketOpen(message: string): string {
  const bracket = message.trimEnd().slice(-1);
  return `a bracket was opened and is not closed before here; "${bracket}" is missing.`;
}
