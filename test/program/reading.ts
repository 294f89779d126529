/** What the tests of this room share: files of the examples, a shelf, and places marked in a text. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readProgram } from '../../planner/program/read-program';
import type { Complaint, Program } from '../../planner/program/types';
import { readShelf } from '../../planner/shelf/read-shelf';
import type { Shelf } from '../../planner/shelf/types';

export const EXAMPLES = join(__dirname, '../../planner/examples');

export function exampleText(name: string): string {
  return readFileSync(join(EXAMPLES, name), 'utf8');
}

export function demoShelf(): Shelf {
  const { shelf } = readShelf(exampleText('shelf.yaml'), 'shelf.yaml');
  if (!shelf) throw new Error('the shelf of the examples does not read');
  return shelf;
}

/** A program around a list of stints; the first line of `list` is line 8 of the file. */
export function programText(list: string, header: Record<string, string> = {}): string {
  const top = {
    wholeturn: '1',
    title: 'A test',
    glass: 'glass-300',
    lap: 'round-60',
    turntable: '2.5 rpm',
    rate: '44 /min',
  };
  const lines = Object.entries({ ...top, ...header }).map(([key, value]) => `${key}: ${value}`);
  return [...lines, 'do:', list, ''].join('\n');
}

export const STRAIGHT = 'stroke: straight, at: 90 mm, length: 80 mm';
export const ELLIPSE = 'stroke: ellipse, at: 90 mm, length: 80 mm, width: 16 mm';

export function read(text: string): { program: Program | null; complaints: Complaint[] } {
  return readProgram(text, 'test.yaml', demoShelf());
}

/** The program of a text that must read without complaint. */
export function readWell(text: string): Program {
  const { program, complaints } = read(text);
  if (!program)
    throw new Error(complaints.map(({ line, column, message }) => `${line}:${column} ${message}`).join('\n'));
  return program;
}

const MARK = '¦';

/** Takes the marks out of a text and says where they stood, as `line:column`. */
export function marked(textWithMarks: string): { text: string; places: string[] } {
  const places = textWithMarks.split('\n').flatMap((line, row) => {
    const parts = line.split(MARK);
    let column = 1;
    return parts.slice(0, -1).map((part) => {
      column += part.length;
      return `${row + 1}:${column}`;
    });
  });
  return { text: textWithMarks.replaceAll(MARK, ''), places };
}

export function placesOf(complaints: readonly Complaint[]): string[] {
  return complaints.map(({ line, column }) => `${line}:${column}`);
}
