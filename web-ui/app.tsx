import { useEffect } from 'preact/hooks';
import type { View } from '../firmware-host/server/messages';
import { CommandsBehind, type Door, doorTo, PageBehind } from './door';
import { lastRefusal, linkState, view } from './live/connection';
import { stale } from './live/place';
import { PAGES, type PageName, page } from './page';
import { askPauseOrNothing, askStop, ControlBar } from './run/controls';
import { RunPage } from './run/run-page';
import { HOST_IS_GONE } from './run/story';
import { type Look, look, unit } from './settings';
import { Cautions } from './visit/cautions';
import { FirstVisit } from './visit/first-visit';

/** F8 pauses, Shift+F8 stops: from anywhere, also inside a text field, before anything else sees the key. */
function useKeys(): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.key !== 'F8') return;
      event.preventDefault();
      event.stopPropagation();
      if (event.repeat) return;
      if (event.shiftKey) askStop();
      else askPauseOrNothing(view.value);
    };
    addEventListener('keydown', onKey, { capture: true });
    return () => removeEventListener('keydown', onKey, { capture: true });
  }, []);
}

const DOORS: Partial<Record<PageName, Door>> = {
  measure: doorTo('Measure', async () => {
    const { MeasurePage, MeasureCommands } = await import('./measure/measure-page');
    return { Page: MeasurePage, Commands: MeasureCommands };
  }),
  plan: doorTo('Plan', async () => {
    const { PlanPage, PlanCommands } = await import('./plan/plan-page');
    return { Page: PlanPage, Commands: PlanCommands };
  }),
};

export function App() {
  useKeys();
  if (linkState.value === 'refused') return <NoKey />;
  const now = view.value;
  if (now === null) return <Waiting />;
  if (unit.value === null) return <FirstVisit view={now} />;
  const door = DOORS[page.value];
  const old = stale.value || linkState.value === 'lost';
  return (
    <div class={`page ${old ? 'stale' : ''}`}>
      <Header view={now} />
      {door ? <PageBehind key={door.name} door={door} view={now} /> : null}
      {page.value === 'run' ? <RunPage view={now} /> : null}
      <div class="foot">
        <Announcements view={now} old={old} />
        <ControlBar view={now} starts={page.value === 'run'} old={old}>
          {door ? <CommandsBehind key={door.name} door={door} view={now} /> : null}
        </ControlBar>
      </div>
      <Cautions view={now} />
    </div>
  );
}

function Header({ view: now }: { view: View }) {
  return (
    <header>
      <p class="wordmark">
        <img src="/icon.svg" alt="" width="28" height="28" /> <span>Wholeturn</span>
      </p>
      <nav aria-label="Pages">
        {(Object.keys(PAGES) as PageName[]).map((name) => (
          <a key={name} href={`#page=${name}`} aria-current={page.value === name ? 'page' : undefined}>
            {PAGES[name]}
          </a>
        ))}
      </nav>
      <p class="program-title">{now.loaded?.program.title ?? 'No program'}</p>
      <p class={now.virtual ? 'stand virtual' : 'stand'}>
        {now.virtual
          ? `Virtual: no glass is touched${now.speedFactor > 1 ? ` · ${now.speedFactor} times real time` : ''}`
          : now.standWords}
      </p>
      {now.air ? <p class="stand air">Air run: lap up</p> : null}
      <label class="look">
        <span class="unseen">Look of the pages</span>
        <select value={look.value} onChange={(event) => (look.value = event.currentTarget.value as Look)}>
          <option value="light">Light</option>
          <option value="dark">Dark</option>
          <option value="red">Dim red</option>
        </select>
      </label>
      <label class="look">
        <span class="unseen">Unit of length</span>
        <select
          value={unit.value ?? 'mm'}
          onChange={(event) => (unit.value = event.currentTarget.value === 'in' ? 'in' : 'mm')}
        >
          <option value="mm">mm</option>
          <option value="in">inch</option>
        </select>
      </label>
    </header>
  );
}

/** Said once by a screen reader when it changes; shown as a strip over the commands, where it is seen wherever the page is scrolled to. */
function Announcements({ view: now, old }: { view: View; old: boolean }) {
  return (
    <div class="announcements">
      <p class="unseen" role="status">
        {now.words}
      </p>
      <div role="alert">
        {old ? <p class="strip">{HOST_IS_GONE}</p> : null}
        {lastRefusal.value ? (
          <p class="strip">
            {lastRefusal.value}{' '}
            <button type="button" onClick={() => (lastRefusal.value = null)}>
              Understood
            </button>
          </p>
        ) : null}
      </div>
    </div>
  );
}

function Waiting() {
  return (
    <main class="alone">
      <h1>Wholeturn</h1>
      <p role="status">
        {linkState.value === 'lost'
          ? 'The host does not answer yet; this page keeps trying.'
          : 'Connecting to the host …'}
      </p>
    </main>
  );
}

function NoKey() {
  return (
    <main class="alone">
      <h1>Wholeturn</h1>
      <p>
        This page has no key for the host, or an old one: a fresh key is made at every start. Open the whole address
        that the host printed in its terminal, with the part after the #. Nothing was sent to the stand.
      </p>
    </main>
  );
}
