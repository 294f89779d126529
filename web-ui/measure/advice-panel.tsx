/** "What next": the wish, the answer at once, and the plans side by side. */
import type { View } from '../../firmware-host/server/messages';
import type { Figure } from '../../planner/figure/types';
import type { Lap, Shelf } from '../../planner/shelf/types';
import { waysDown } from '../../planner/suggest/target';
import { lastRefusal } from '../live/connection';
import { goTo } from '../page';
import { SelectField } from '../plan/choices';
import { download } from '../plan/download';
import { takeProgram } from '../plan/open';
import { inUnit, nmWords } from '../plan/plan-words';
import { fileName } from '../plan/send';
import { unit } from '../settings';
import { type LengthUnit, lengthWords, plural } from '../words';
import {
  adviceFailed,
  answered,
  askForAdvice,
  atOnce,
  canAsk,
  enoughNm,
  lapsOf,
  progress,
  stopAdvice,
  type Way,
  WISHED,
  type Wish,
  whole,
  wish,
  wishTrouble,
} from './advice';
import { BeforeAfterDrawing } from './before-after';
import { knownOf } from './book';
import { TextEntry } from './field';
import { planTitle } from './sentences';
import type { ShownPlan } from './suggested';
import { workbook } from './workbook';

const set = (part: Partial<Wish>): void => {
  wish.value = { ...wish.value, ...part };
};

export function AdvicePanel({ view, figure }: { view: View; figure: Figure }) {
  const { shelf, stand } = view.loaded!;
  const length = unit.value ?? 'mm';
  const recipe = { slurryId: wish.value.slurryId || null, glassId: figure.glass.id, virtual: view.virtual };
  const known = (lap: Lap) => knownOf(workbook.value?.knowledge ?? [], lap, recipe);
  const mixed = figure.virtual && !view.virtual;
  return (
    <section class="advice" aria-label="What next">
      <h2>What next</h2>
      <WishFields shelf={shelf} figure={figure} />
      {wish.value.given ? null : (
        <ul class="findings">
          {lapsOf(wish.value, shelf).map((lap) => (
            <li key={lap.id} class="numeric">
              {knownWords(lap, known(lap), view.virtual)}
            </li>
          ))}
        </ul>
      )}
      {mixed ? (
        <p class="note">This was read from a virtual glass; the stand is of iron. Nothing is suggested for it.</p>
      ) : null}
      <div class="tools">
        <button
          type="button"
          class="strong"
          disabled={!canAsk(wish.value) || progress.value === 'working' || mixed}
          onClick={() => askForAdvice({ figure, shelf, stand, known })}
        >
          Ask for a suggestion
        </button>
        {progress.value === 'working' ? (
          <button type="button" onClick={stopAdvice}>
            Stop working it out
          </button>
        ) : null}
      </div>
      <Answer figure={figure} shelf={shelf} length={length} />
    </section>
  );
}

function knownWords(lap: Lap, { kPerPa, sigma, runs }: ReturnType<typeof knownOf>, virtual: boolean): string {
  const k = `${kPerPa.toExponential(2)} /Pa`;
  if (runs === 0)
    return `${lap.title}: nobody has measured how fast it cuts here; ${k} is published, to ${(100 * sigma).toFixed(0)} %. A shallow test run comes first.`;
  return `${lap.title}: ${k}, known to ${(100 * sigma).toFixed(0)} % from ${plural(runs, virtual ? 'virtual run' : 'measured run')}.`;
}

const WAYS: readonly (readonly [Way, number])[] = [
  ['everything', 0],
  ['enough', 1],
  ['local', 2],
];

function WishFields({ shelf, figure }: { shelf: Shelf; figure: Figure }) {
  const now = wish.value;
  const entry = (field: keyof typeof WISHED, label: string) => (
    <TextEntry
      label={label}
      text={now[field]}
      unit={WISHED[field][0].word}
      field={`wish ${field}`}
      wrong={wishTrouble(now, field)}
      onText={(text) => set({ [field]: text })}
    />
  );
  const laps = Object.entries(shelf.laps).map(([id, { title }]): [string, string] => [id, title]);
  const slurries = Object.entries(shelf.slurries).map(([id, { title }]): [string, string] => [id, title]);
  return (
    <>
      <div class="group">
        <SelectField
          label="Lap to work with"
          value={Object.hasOwn(shelf.laps, now.lapId) ? now.lapId : ''}
          options={[['', 'the best of all on the shelf'], ...laps]}
          onChoose={(lapId) => set({ lapId })}
        />
        <SelectField
          label="Slurry to work with"
          value={Object.hasOwn(shelf.slurries, now.slurryId) ? now.slurryId : ''}
          options={[['', 'not said'], ...slurries]}
          onChoose={(slurryId) => set({ slurryId })}
        />
        {entry('turntable', 'Turntable')}
        {entry('rate', 'Strokes, out and back')}
        {entry('enough', 'Wavefront that is good enough')}
        {entry('margin', 'It may cut below the target by')}
        <div class="field">
          <label class="check">
            <input
              type="checkbox"
              checked={now.given}
              onChange={(event) => set({ given: event.currentTarget.checked })}
            />
            I know how fast the lap cuts
          </label>
        </div>
        {now.given ? entry('coefficient', 'Removal coefficient') : null}
        {now.given ? entry('doubt', 'known to') : null}
      </div>
      <WayChoice figure={figure} />
    </>
  );
}

/** Local figuring against lowering everything else, with what each costs. */
function WayChoice({ figure }: { figure: Figure }) {
  const now = wish.value;
  const enough = enoughNm(now, figure.wavelengthNm);
  const timed = whole.value && answered.value?.figure === figure && whole.value.waysDown.length > 0;
  const ways = timed
    ? whole.value!.waysDown
    : Number.isFinite(enough) && enough > 0
      ? waysDown(figure, enough, null)
      : [];
  return (
    <fieldset class="choice ways">
      <legend>Where the glass is taken down to</legend>
      {WAYS.map(([way, index]) => (
        <label key={way}>
          <input type="radio" name="way" checked={now.way === way} onChange={() => set({ way })} />
          <span class="numeric">{(ways[index]?.words ?? way).replace(' mm3', ' mm³')}</span>
        </label>
      ))}
    </fieldset>
  );
}

function Answer({ figure, shelf, length }: { figure: Figure; shelf: Shelf; length: LengthUnit }) {
  const said = whole.value;
  const first = atOnce.value;
  const old = answered.value !== null && (answered.value.figure !== figure || answered.value.wish !== wish.value);
  return (
    <div class="answer" aria-busy={progress.value === 'working'}>
      <p class="unseen" role="status">
        {progress.value === 'working' ? 'Working out a suggestion.' : (said?.words[0] ?? '')}
      </p>
      {adviceFailed.value ? <p class="complaint">{adviceFailed.value}</p> : null}
      {old && (said || first) ? (
        <p class="note">The measurement or the wish has changed since this was worked out. Ask again.</p>
      ) : null}
      {progress.value === 'working' && !first ? <p class="soft">Trying laps, settings and strokes …</p> : null}
      {first && !said ? (
        <>
          <p class="numeric">
            {first.words} <span class="soft">Whole turns are being worked out …</span>
          </p>
          <BeforeAfterDrawing curve={first.curve} words={first.words} />
        </>
      ) : null}
      {said ? (
        <>
          {said.words.map((words) => (
            <p key={words} class="verdict numeric">
              {inUnit(words, length)}
            </p>
          ))}
          <p class="numeric">
            Before: {nmWords(said.before.pvNm)} from high to low against the best fit. Limited by{' '}
            {inUnit(said.limitedBy, length)}.
          </p>
          <div class="plans">
            {said.plans.map((plan) => (
              <PlanCard key={plan.names[0]} plan={plan} before={said.before.pvNm} shelf={shelf} length={length} />
            ))}
          </div>
          {said.plans.length > 0 ? (
            <p class="soft key">
              Dashed: the surface before, over the curve that is aimed at (the thin dashes at 0 nm). Solid with its
              shade: after.
            </p>
          ) : null}
        </>
      ) : null}
    </div>
  );
}

function PlanCard(props: { plan: ShownPlan; before: number; shelf: Shelf; length: LengthUnit }) {
  const { plan, before, shelf, length } = props;
  const name = planTitle(plan.names);
  const [first] = plan.names;
  const send = async (): Promise<void> => {
    const wrong = await takeProgram(plan.programText, `${first}.yaml`, shelf);
    if (wrong.length > 0) lastRefusal.value = `The Plan page does not take it: ${wrong.join(' ')}`;
    else goTo('plan');
  };
  return (
    <article class="plan-card" aria-label={name}>
      <h3>{name}</h3>
      <p class="soft">{plan.lapTitle}</p>
      <BeforeAfterDrawing
        curve={plan.curve}
        words={`${name}: ${before.toFixed(0)} nm from high to low before, ${plan.pvNm.toFixed(0)} nm after.`}
      />
      <dl class="numeric">
        <div>
          <dt>left</dt>
          <dd>{nmWords(plan.pvNm)}</dd>
        </div>
        <div>
          <dt>work</dt>
          <dd>{plan.minutes.toFixed(0)} min</dd>
        </div>
        <div>
          <dt>turns</dt>
          <dd>{plan.turns}</dd>
        </div>
        <div>
          <dt>cuts below</dt>
          <dd>{nmWords(plan.overcutNm)}</dd>
        </div>
      </dl>
      <ul class="findings numeric">
        {plan.stints.map((stint, i) => (
          <li key={i}>{stintWords(stint, length)}</li>
        ))}
      </ul>
      <div class="tools">
        <button
          type="button"
          class="small"
          disabled={plan.turns === 0}
          aria-label={`Send to the Plan page: ${first}`}
          onClick={() => void send()}
        >
          Send to the Plan page
        </button>
        <button
          type="button"
          class="small"
          disabled={plan.turns === 0}
          aria-label={`Save the program: ${first}`}
          onClick={() => download(plan.programText, fileName(`${first} ${plan.lapTitle}`))}
        >
          Save the program
        </button>
      </div>
    </article>
  );
}

function stintWords(
  { turns, shape, settingMm, lengthMm, nudgeMm }: ShownPlan['stints'][number],
  unit: LengthUnit,
): string {
  const nudged = nudgeMm === 0 ? '' : ', nudged';
  return `${plural(turns, 'turn')} ${shape === 'straight' ? 'straight' : 'elliptical'} ${lengthWords(lengthMm, unit)} at ${lengthWords(settingMm, unit)}${nudged}`;
}
