import { useRef, useState } from 'preact/hooks';
import type { Program } from '../../planner/program/types';
import type { Shelf } from '../../planner/shelf/types';
import { draftOf } from './draft';
import { replaceDraft } from './store';

/** A file of more than that is no program a person wrote. */
const LARGEST_BYTES = 1_000_000;

async function read(text: string, file: string, shelf: Shelf): Promise<{ program: Program | null; wrong: string[] }> {
  const { readProgram } = await import('../../planner/program/read-program');
  const { program, complaints } = readProgram(text, file, shelf);
  if (program !== null) return { program, wrong: [] };
  const wrong = complaints.map(({ line, field, message }) => `Line ${line}, ${field.split('.').at(-1)}: ${message}`);
  return { program, wrong };
}

/** Takes the text of a program for the plan, or says line by line what is wrong with it; then the plan stays as it is. */
export async function takeProgram(text: string, file: string, shelf: Shelf): Promise<string[]> {
  const { program, wrong } = await read(text, file, shelf);
  if (program !== null) replaceDraft(draftOf(program));
  return wrong;
}

/** Why a text could not be opened again; empty where it could, whether a stand can walk it or not. */
export async function readingTrouble(text: string, file: string, shelf: Shelf): Promise<string[]> {
  return (await read(text, file, shelf)).wrong;
}

/** Opens a program from a file of the person's. */
export function OpenProgram({ shelf }: { shelf: Shelf }) {
  const input = useRef<HTMLInputElement>(null);
  const [wrong, setWrong] = useState<{ file: string; words: string[] } | null>(null);
  const open = async (file: File): Promise<void> => {
    const words =
      file.size > LARGEST_BYTES
        ? [`It has ${file.size} bytes; a stroke program has ${LARGEST_BYTES} at most.`]
        : await takeProgram(await file.text(), file.name, shelf);
    setWrong(words.length > 0 ? { file: file.name, words } : null);
  };
  return (
    <>
      <button type="button" class="small" onClick={() => input.current?.click()}>
        Open a program from a file
      </button>
      <input
        ref={input}
        type="file"
        hidden
        accept=".yaml,.yml"
        aria-label="A program from a file"
        onChange={(event) => {
          const { files } = event.currentTarget;
          const file = files?.[0];
          if (file) void open(file);
          // The same file can be chosen again once it is mended.
          event.currentTarget.value = '';
        }}
      />
      {wrong ? (
        <div class="complaint" role="alert">
          <p>{wrong.file} was not opened, and the plan is as it was.</p>
          <ul>
            {wrong.words.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
        </div>
      ) : null}
    </>
  );
}
