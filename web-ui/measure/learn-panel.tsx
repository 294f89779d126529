/** Kept measurements, and what a run between two of them teaches. */
import { useRef, useState } from 'preact/hooks';
import type { KeptMeasurement, RunOffered, View } from '../../firmware-host/server/messages';
import type { LearnReport } from '../../planner/learn/learn-run';
import { SelectField } from '../plan/choices';
import { inUnit } from '../plan/plan-words';
import { unit } from '../settings';
import { lengthWords } from '../words';
import { around, titleOf } from './book';
import { HeightMarks } from './height-marks';
import { headlines } from './kept-headlines';
import { RadiusMarks } from './radius-marks';
import { betweenPath, curvePath, heightRange, type Section } from './section-geometry';
import { coefficientWords } from './sentences';
import { useWidth } from './width';
import { learned, learnFrom, workbook } from './workbook';

const time = (ms: number): string =>
  new Date(ms).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });

export function KeptList({ onOpen }: { onOpen: (kept: KeptMeasurement) => void }) {
  const kept = workbook.value?.measurements ?? [];
  return (
    <section class="fields" aria-label="Kept measurements">
      <h2>Kept measurements</h2>
      {kept.length === 0 ? (
        <p class="soft">
          None yet. Keep one before the work and one after it, and the run teaches how fast the lap cuts.
        </p>
      ) : null}
      <ul class="kept">
        {kept.map((one) => (
          <li key={one.id}>
            <button type="button" class="small" aria-label={`Open ${keptWords(one)}`} onClick={() => onOpen(one)}>
              Open
            </button>
            <span>
              {keptWords(one)}
              <span class="soft numeric kept-says">
                {inUnit(headlines.value.get(one.id) ?? '', unit.value ?? 'mm')}
              </span>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function keptWords(kept: KeptMeasurement): string {
  return `Number ${kept.id}: ${titleOf(kept)}, ${time(kept.atMs)}${kept.virtual ? ', virtual' : ''}`;
}

export function LearnPanel({ view }: { view: View }) {
  const book = workbook.value;
  const [chosen, setChosen] = useState<{ run?: string; before?: string; after?: string }>({});
  const [busy, setBusy] = useState(false);
  const runs = book?.runs ?? [];
  const run = runs.find(({ id }) => id === chosen.run) ?? runs[0];
  if (!book || !run)
    return (
      <section class="fields" aria-label="Learn">
        <h2>Learn from a run</h2>
        <p class="soft">
          No run has ended yet. Once one lies between two kept measurements, this is where it teaches how fast the lap
          cuts.
        </p>
      </section>
    );
  const likely = around(run, book.measurements);
  const ofGlass = book.measurements.filter(({ glassId }) => glassId === run.glassId);
  const find = (id: string | undefined, otherwise: KeptMeasurement | null): KeptMeasurement | null =>
    ofGlass.find((one) => String(one.id) === id) ?? otherwise;
  const before = find(chosen.before, likely.before);
  const after = find(chosen.after, likely.after);
  const options: [string, string][] = [
    ['', ofGlass.length === 0 ? 'none is kept of this glass' : 'choose'],
    ...ofGlass.map((one): [string, string] => [String(one.id), keptWords(one)]),
  ];
  const teach = async (): Promise<void> => {
    if (!before || !after) return;
    setBusy(true);
    await learnFrom(run, before.id, after.id);
    setBusy(false);
  };
  return (
    <section class="fields" aria-label="Learn">
      <h2>Learn from a run</h2>
      <div class="group">
        <SelectField
          label="The run"
          value={run.id}
          options={runs.map((one): [string, string] => [one.id, runWords(one)])}
          onChoose={(id) => setChosen({ run: id })}
        />
        <SelectField
          label="Measured before it"
          value={before ? String(before.id) : ''}
          options={options}
          onChoose={(id) => setChosen({ ...chosen, before: id })}
        />
        <SelectField
          label="Measured after it"
          value={after ? String(after.id) : ''}
          options={options}
          onChoose={(id) => setChosen({ ...chosen, after: id })}
        />
      </div>
      <div class="tools">
        <button
          type="button"
          disabled={!before || !after || before.id === after.id || busy}
          onClick={() => void teach()}
        >
          {busy ? 'Learning …' : 'Learn'}
        </button>
      </div>
      {learned.value ? (
        <Lesson report={learned.value.report} run={learned.value.run} title={lapTitle(view, learned.value.run)} />
      ) : null}
    </section>
  );
}

function lapTitle(view: View, run: RunOffered): string {
  return view.loaded?.shelf.laps[run.lapId]?.title ?? run.lapId;
}

function runWords(run: RunOffered): string {
  const turns =
    run.turnsWalked < run.plannedTurns - 0.01
      ? `${run.turnsWalked.toFixed(1)} of ${run.plannedTurns}`
      : String(run.plannedTurns);
  return `${run.title}, ${turns} turns, ${time(run.endedMs)}${run.virtual ? ', virtual' : ''}`;
}

function Lesson({ report, run, title }: { report: LearnReport; run: RunOffered; title: string }) {
  const length = unit.value ?? 'mm';
  const { ratio, refused, causes, warnings, breakIn } = report;
  return (
    <div class="lesson" role="status">
      {run.virtual ? <p class="virtual-mark">Of a virtual stand: it holds for a virtual stand only.</p> : null}
      {refused === null ? null : <p class="complaint numeric">{refused}</p>}
      <p class="verdict numeric">{coefficientWords(title, report)}</p>
      {ratio === null ? null : (
        <p class="numeric">
          This run took off {(100 * ratio).toFixed(0)} % of what was forecast with the published coefficient.
        </p>
      )}
      {breakIn ? (
        <p class="numeric">
          Fresh it cuts {Math.abs(100 * breakIn.atFirst).toFixed(0)} % {breakIn.atFirst < 0 ? 'less' : 'more'}; that
          fades within {breakIn.minutes} minutes of work.
        </p>
      ) : null}
      {ratio === null ? null : causes.length === 0 ? (
        <p>Its shape agrees with the forecast, as far as the measurements can tell.</p>
      ) : (
        <ul class="findings">
          {causes.map((words) => (
            <li key={words}>{inUnit(words, length)}</li>
          ))}
        </ul>
      )}
      {warnings.map((words) => (
        <p key={words} class="note">
          Beware: {words}
        </p>
      ))}
      {report.radiusMm.length > 1 ? <ResidualDrawing report={report} /> : null}
    </div>
  );
}

const HEIGHT = 172;
const RADII_PX = 24;

/** What came off more or less than forecast at the learned coefficient, with its band. */
function ResidualDrawing({ report }: { report: LearnReport }) {
  const box = useRef<HTMLDivElement>(null);
  const widthPx = useWidth(box);
  const { radiusMm, shapeResidualNm, shapeBandNm } = report;
  const upper = shapeBandNm.map((band) => Math.min(band, 100));
  const lower = upper.map((band) => -band);
  const range = heightRange([...shapeResidualNm, ...upper, ...lower]);
  const rimMm = radiusMm[radiusMm.length - 1]!;
  const section: Section = {
    widthPx,
    axisXPx: 58,
    rimXPx: Math.max(59, widthPx - 8),
    rimMm,
    topYPx: 8,
    bottomYPx: HEIGHT - RADII_PX,
    ...range,
  };
  const worst = shapeResidualNm.reduce((at, h, i) => (Math.abs(h) > Math.abs(shapeResidualNm[at]!) ? i : at), 0);
  const words = `Departure from the forecast's shape: at most ${shapeResidualNm[worst]!.toFixed(1)} nm, at ${lengthWords(radiusMm[worst]!, unit.value ?? 'mm')}.`;
  return (
    <figure class="residual">
      <div ref={box}>
        {widthPx === 0 ? null : (
          <svg
            class="section"
            width={widthPx}
            height={HEIGHT}
            viewBox={`0 0 ${widthPx} ${HEIGHT}`}
            role="img"
            aria-label={words}
          >
            <HeightMarks section={section} stepNm={range.stepNm} />
            <RadiusMarks section={section} unit={unit.value ?? 'mm'} />
            <path class="band" d={betweenPath(section, radiusMm, upper, lower)} />
            <path class="surface" d={curvePath(section, radiusMm, shapeResidualNm)} />
          </svg>
        )}
      </div>
      <figcaption class="soft">
        {words} Above the line more came off than forecast; inside the shade the measurements cannot tell.
      </figcaption>
    </figure>
  );
}
