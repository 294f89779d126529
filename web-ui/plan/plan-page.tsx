import { useEffect, useState } from 'preact/hooks';
import type { LoadedProgram, View } from '../../firmware-host/server/messages';
import { MAX_TURNS } from '../../planner/program/types';
import { ask, lastRefusal } from '../live/connection';
import { goTo } from '../page';
import { standing, unit } from '../settings';
import { useUndoKeys } from '../undo-keys';
import { plural } from '../words';
import { download } from './download';
import { draftOf, newDraft, programOf, totalTurns, writtenStints } from './draft';
import { findStep, shownStint } from './edits';
import { OpenProgram, readingTrouble } from './open';
import { cardWords, headline, noteWords } from './plan-words';
import { Assumptions, DepthCaveat, Differences, Evenness, Remainders, RimReport } from './reports';
import { fileName, programText, sendTrouble, unsavedWords } from './send';
import { Sequence } from './sequence';
import { PurposeFields, SharedFields } from './shared-fields';
import { SheetView } from './sheet-view';
import { RepeatFields, StintFields } from './stint-fields';
import {
  changeDraft,
  complaints,
  failed,
  history,
  keepForecasting,
  light,
  redoChange,
  replaceDraft,
  stand,
  startWith,
  turnsOfPlan,
  undoChange,
  whole,
} from './store';

/** Begins with what this tab kept, else with what is loaded; the plan then stays as it is, whatever is loaded later. */
function useBeginning(loaded: LoadedProgram): void {
  const standNow = JSON.stringify(loaded.stand);
  useEffect(() => {
    stand.value = loaded.stand;
    keepForecasting();
  }, [standNow]);
  if (history.value === null) startWith(draftOf(loaded.program));
}

export function PlanPage({ view }: { view: View }) {
  useUndoKeys(undoChange, redoChange);
  if (view.loaded === null)
    return (
      <main class="plan" aria-label="Plan">
        <h1>Nothing to plan on yet</h1>
        <p>No program is loaded, so neither glass, laps nor stand are known. Start the host with a program.</p>
      </main>
    );
  return <Sheet loaded={view.loaded} />;
}

function Sheet({ loaded }: { loaded: LoadedProgram }) {
  useBeginning(loaded);
  const { draft, selected } = history.value!.now;
  const stint = shownStint(draft, selected);
  const number = writtenStints(draft).indexOf(stint) + 1;
  const step = findStep(draft, selected);
  const length = unit.value ?? 'mm';
  const forecast = light.value;
  const head = headline(forecast, turnsOfPlan(), complaints.value.length, length);
  const { second } = cardWords(stint, length);
  return (
    <main class="plan" aria-label="Plan">
      <SheetView
        draft={draft}
        stint={stint}
        several={writtenStints(draft).length > 1}
        words={`Stint ${number} from above, ${second}, seen from ${standing.value === 'working side' ? 'the side' : 'the end'}; below it the glass cut open. ${head}.`}
      />
      <div class="work">
        <h1 class="numeric">{head.replace(/(\d) (?=[a-z])/g, '$1\u00a0')}</h1>
        <DepthCaveat />
        <p class="unseen" role="status">
          {whole.value?.prediction ? `${head}. ${plural(whole.value.prediction.warnings.length, 'warning')}.` : ''}
        </p>
        {noteWords(forecast, whole.value).map((words) => (
          <p key={words} class="note">
            {words}
          </p>
        ))}
        <Differences />
        {failed.value ? <p class="complaint">{failed.value}</p> : null}
        <Sequence draft={draft} selected={selected} />
        <section class="fields" aria-label={`Stint ${number}`}>
          {step?.kind === 'repeat' ? (
            <RepeatFields repeat={step} />
          ) : (
            <StintFields key={stint.id} draft={draft} stint={stint} number={number} />
          )}
        </section>
        <section class="fields" aria-label="All stints">
          <SharedFields draft={draft} shelf={loaded.shelf} />
        </section>
      </div>
      <div class="reports">
        <div class="column">
          {forecast?.profile && complaints.value.length > 0 ? (
            <p class="note">What follows is of a program that cannot be worked as it stands: it forecasts nothing.</p>
          ) : null}
          {forecast?.profile ? (
            <>
              <RimReport forecast={forecast} />
              <Remainders />
            </>
          ) : null}
        </div>
        <div class="column">
          {forecast?.profile ? <Evenness forecast={forecast} stint={stint} number={number} /> : null}
          <Assumptions />
          <section class="shared" aria-label="The whole program">
            <h2>The whole program</h2>
            <label class="title">
              Title
              <input
                type="text"
                data-words
                maxLength={200}
                value={draft.title}
                onInput={(event) => changeDraft({ title: event.currentTarget.value }, 'title')}
              />
            </label>
            <PurposeFields draft={draft} shelf={loaded.shelf} />
            <div class="tools">
              <button type="button" class="small" onClick={() => replaceDraft(draftOf(loaded.program))}>
                Take what is loaded: {loaded.program.title}
              </button>
              <button type="button" class="small" onClick={() => replaceDraft(newDraft(loaded.program))}>
                Begin a new program
              </button>
              <OpenProgram shelf={loaded.shelf} />
            </div>
          </section>
        </div>
      </div>
    </main>
  );
}

/** The Plan page's own commands in the bar at the foot. */
export function PlanCommands({ view }: { view: View }) {
  const now = history.value;
  const [loading, setLoading] = useState(false);
  if (view.loaded === null || now === null) return null;
  const { shelf } = view.loaded;
  const ready = complaints.value.length === 0 && light.value?.profile != null;
  const written = (): string => programText(programOf(now.now.draft), shelf, unit.value ?? 'mm');
  const run = async (): Promise<void> => {
    const text = written();
    const trouble = sendTrouble(text);
    if (trouble !== null) {
      lastRefusal.value = trouble;
      return;
    }
    setLoading(true);
    const answer = await ask({ ask: 'loadProgram', text });
    setLoading(false);
    if (answer.ok) goTo('run');
  };
  const save = async (): Promise<void> => {
    const text = written();
    const name = fileName(now.now.draft.title);
    const wrong = await readingTrouble(text, name, shelf);
    if (wrong.length > 0) lastRefusal.value = unsavedWords(wrong);
    else download(text, name);
  };
  return (
    <>
      <button type="button" class="strong" disabled={!ready || loading} onClick={() => void run()}>
        Run this
        <small>{loading ? 'loading …' : 'loads it on the stand; nothing moves yet'}</small>
      </button>
      <button type="button" disabled={totalTurns(now.now.draft) > MAX_TURNS} onClick={() => void save()}>
        Save as a file
        <small>{fileName(now.now.draft.title)}</small>
      </button>
    </>
  );
}
