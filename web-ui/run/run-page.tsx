import { useRef } from 'preact/hooks';
import type { RunReport } from '../../firmware-host/run/types';
import type { LoadedProgram, View } from '../../firmware-host/server/messages';
import { buildPath } from '../../planner/path/path';
import type { Path } from '../../planner/path/types';
import { tick } from '../live/place';
import { unit } from '../settings';
import { durationWords, plural, spokenDuration, turnsWords } from '../words';
import { PaceChoice } from './controls';
import { GlassView, RibbonView } from './glass-view';
import { Happened } from './happened';
import { Standing } from './standing';
import {
  aboutToMove,
  clockingEvery,
  clockingWords,
  lineWords,
  nextNeed,
  nudgeEvery,
  slipWords,
  stintAt,
  stintWords,
  tookWords,
  untilEvery,
  workWords,
} from './story';
import { WornGlass } from './worn-glass';

/**
 * The path is built here from the same gearing the host walks, so that the drawing needs the place only. The host sends the whole
 * view at every change; the path is built anew only when the program in it is another one.
 */
function usePath(loaded: LoadedProgram | null): Path | null {
  const built = useRef<{ key: string; path: Path } | null>(null);
  if (loaded === null) return null;
  const key = JSON.stringify(loaded.geared);
  if (built.current?.key !== key) built.current = { key, path: buildPath(loaded.geared, loaded.program, loaded.stand) };
  return built.current.path;
}

export function RunPage({ view }: { view: View }) {
  const path = usePath(view.loaded);
  const now = tick.value;
  const turns = now?.turnsWalked ?? 0;
  const startsIn = now?.startsInSeconds ?? null;
  const need = startsIn === null ? nextNeed(view, path, turns, now?.secondsLeft ?? null) : aboutToMove(startsIn);
  return (
    <main class="run" aria-label="Run">
      <h1 class="need numeric">{need}</h1>
      <Standing view={view} />
      {path && view.loaded ? (
        <Walk path={path} loaded={view.loaded} turns={turns} report={view.report} restsAtTurns={view.restsAtTurns} />
      ) : (
        <NothingLoaded />
      )}
      {view.virtualGlass ? <WornGlass worn={view.virtualGlass} /> : null}
      <Happened view={view} />
      {path ? <PaceChoice view={view} /> : null}
    </main>
  );
}

function NothingLoaded() {
  return (
    <section class="nothing">
      <p>
        No program is loaded. Start the host with one (<code>npm run -s wholeturn -- serve FILE</code>), or load the
        demo.
      </p>
    </section>
  );
}

function Walk(props: {
  path: Path;
  loaded: LoadedProgram;
  turns: number;
  report: RunReport | null;
  restsAtTurns: number | null;
}) {
  const { path, loaded, turns } = props;
  const now = tick.value;
  const { index, stint } = stintAt(path, turns);
  const length = unit.value ?? 'mm';
  const seconds = { inAll: loaded.durationSeconds, left: now?.secondsLeft ?? null };
  const work = workWords(path, turns, seconds, props.restsAtTurns);
  const lapIsDown = now?.lift === 'down';
  const glassWords =
    `${loaded.program.glass.title} from above, ${loaded.program.lap.title} ${lapIsDown ? 'on the glass' : 'lifted'}, ` +
    `turn ${turnsWords(turns)} of ${path.turns}`;
  return (
    <>
      <GlassView
        path={path}
        glass={loaded.program.glass}
        lap={loaded.program.lap}
        lapIsDown={lapIsDown}
        words={glassWords}
      />
      <section class="numbers" aria-label="Where the walk stands">
        <p class="main-number numeric">
          {turnsWords(turns)} <span class="of">of {plural(path.turns, 'turn')}</span>
        </p>
        <p class="main-number numeric">
          <span aria-hidden="true">{durationWords(work.seconds)}</span>
          <span class="unseen">{spokenDuration(work.seconds)}</span>{' '}
          <span class="of">
            {work.seconds < 3600 ? <span aria-hidden="true">min </span> : null}
            {work.of}
          </span>
        </p>
        {props.report ? <WhatItDid loaded={loaded} report={props.report} /> : null}
        <dl class="facts" hidden={props.report !== null}>
          <Fact name={`Stint ${index + 1} of ${path.stints.length}`} value={stintWords(stint, length)} />
          <Fact name="Next nudge" value={untilEvery(nudgeEvery(stint), stint, turns) ?? 'none in this stint'} />
          <Fact
            name="Next clocking"
            value={[untilEvery(clockingEvery(stint), stint, turns), clockingWords(stint)]
              .filter((words) => words !== null)
              .join(', ')}
          />
          <Fact name="Walking at" value={paceWords(now?.pace ?? 0)} />
          <Fact name={now?.slip ? `Index at turn ${now.slip.turn}` : 'Index'} value={slipWords(now?.slip ?? null)} />
          <Fact wide name="Line to the stand" value={lineWords(now?.line ?? null, now?.queuedSeconds ?? 0)} />
          {now?.accessories.map(({ name, words }) => (
            <Fact key={name} name={name} value={words} />
          ))}
        </dl>
      </section>
      <section class="ribbon-strip" aria-label="The program">
        <RibbonView
          path={path}
          words={`${path.stints.length} stints in ${path.turns} turns; now in stint ${index + 1}`}
        />
        <RibbonKey path={path} />
      </section>
    </>
  );
}

/** How the run ended, against what was planned. */
function WhatItDid({ loaded, report }: { loaded: LoadedProgram; report: RunReport }) {
  const { strokes, nudges, clockings, endSteps, leastEvenness } = loaded.planned;
  const axes = Object.keys(endSteps) as (keyof typeof endSteps)[];
  const exact = axes.every((axis) => endSteps[axis] === report.endSteps[axis]);
  const late =
    report.droopTicks === 0 && report.underruns === 0
      ? 'The computer was never late.'
      : 'The computer was late at times; the walk slowed meanwhile, the path was kept.';
  return (
    <div class="what-it-did">
      <p>
        {plural(report.turnsWalked, 'whole turn')}, {plural(strokes, 'stroke')}, {plural(nudges, 'nudge')},{' '}
        {plural(clockings, 'clocking')}: {tookWords(loaded.durationSeconds, report.durationSeconds)}.
        {report.air ? ' An air run: nothing was taken off the glass.' : ''}
      </p>
      <p>
        {exact
          ? 'Every axis ended on its planned step.'
          : 'Not every axis ended on its planned step: look at the logbook.'}
      </p>
      <details>
        <summary>More of this run</summary>
        <p>
          The turntable made {report.endSteps.turntable.toLocaleString('en')} steps and was at most{' '}
          {report.worstSlipDegrees.toFixed(2)}° off at an index
          {report.slipSteps === 0 ? '' : `; ${plural(report.slipSteps, 'step')} made good`}. The least even stint has an
          evenness of {leastEvenness.toFixed(2)}. {late} Line to the stand: {plural(report.damagedFrames, 'message')}{' '}
          damaged, {report.resentFrames} sent again.
        </p>
      </details>
    </div>
  );
}

/** What the marks of the ribbon mean; only those that are on it. */
function RibbonKey({ path }: { path: Path }) {
  const shapes = new Set(path.stints.map(({ geared }) => geared.stint.shape));
  return (
    <p class="ribbon-key soft">
      {shapes.has('straight') ? <Key mark="straight" words="straight strokes" /> : null}
      {shapes.has('ellipse') ? <Key mark="ellipse" words="ellipses" /> : null}
      <Key mark="walked" words="walked" />
      {path.rests.some(({ reason }) => reason === 'hand clocking') ? (
        <Key mark="hands" words="rests for your hands" />
      ) : null}
    </p>
  );
}

function Key({ mark, words }: { mark: string; words: string }) {
  return (
    <span>
      <i class={mark} aria-hidden="true" /> {words}
    </span>
  );
}

function Fact(props: { name: string; value: string; wide?: boolean }) {
  return (
    <div class={props.wide ? 'wide' : ''}>
      <dt>{props.name}</dt>
      <dd class="numeric">{props.value}</dd>
    </div>
  );
}

function paceWords(pace: number): string {
  if (pace === 0) return 'standing still';
  return pace > 0.995 ? 'the planned pace' : `${pace.toFixed(2)} of the planned pace`;
}
