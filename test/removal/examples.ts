/** The example programs, read and planned on the demo stand, for forecasts of them. */
import { readdirSync } from 'node:fs';
import { planProgram } from '../../planner/path/plan';
import type { Path } from '../../planner/path/types';
import { readProgram } from '../../planner/program/read-program';
import type { Program } from '../../planner/program/types';
import { readStand } from '../../planner/stand/read-stand';
import { demoShelf, EXAMPLES, exampleText } from '../program/reading';

/** Names of the programs, without what they stand on. */
export function exampleNames(): string[] {
  const others = new Set(['shelf.yaml', 'stand.yaml']);
  return readdirSync(EXAMPLES)
    .filter((name) => name.endsWith('.yaml') && !others.has(name))
    .map((name) => name.replace(/\.yaml$/, ''))
    .sort();
}

export function plannedExample(name: string): { program: Program; path: Path } {
  return planned(exampleText(`${name}.yaml`), `${name}.yaml`);
}

export function planned(text: string, file: string): { program: Program; path: Path } {
  const { stand } = readStand(exampleText('stand.yaml'), 'stand.yaml');
  const { program, complaints } = readProgram(text, file, demoShelf());
  if (!stand || !program) throw new Error(complaints.map(({ message }) => message).join('\n'));
  return { program, path: planProgram(program, stand).path };
}
