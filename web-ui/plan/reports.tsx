import { DrawnCanvas } from '../look/drawn-canvas';
import { standing, unit } from '../settings';
import { COEFFICIENT_CAVEAT, REMOVAL_COEFFICIENT } from './assumptions';
import { SelectField } from './choices';
import { saysStint } from './complaints';
import type { StintDraft } from './draft';
import type { Forecast, Ring } from './forecast';
import { COEFFICIENT } from './number-entry';
import { NumberField } from './number-field';
import {
  differences,
  evennessWords,
  inUnit,
  nmWords,
  offerWords,
  pinOf,
  rimWords,
  ringWords,
  trackWords,
} from './plan-words';
import { drawRing } from './ring-canvas';
import { changeShown, complaints, kPerPa, light, pinned, turnsOfPlan, whole } from './store';

/** Depths at the lap's rims and middle, laid out as the person sees them. */
export function RimReport({ forecast }: { forecast: Forecast }) {
  const length = unit.value ?? 'mm';
  if (forecast.stint === null) return null;
  return (
    <section class="rims" aria-label="Rim and middle">
      <h2>Rim and middle of this stint</h2>
      <dl>
        {rimWords(forecast.stint, length).map(({ name, where, depth, edge }) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd class="numeric">
              <strong>{depth}</strong> <span class="soft">{where}</span>
            </dd>
            <dd class="soft numeric">{edge}</dd>
          </div>
        ))}
      </dl>
      <p class="numeric">{trackWords(forecast.stint, length)}</p>
      <SelectField
        label="Left and right as seen from"
        value={standing.value}
        options={[
          ['end of the stroke', 'the end of the stroke'],
          ['start of the stroke', 'the start of the stroke'],
          ['working side', 'the working side'],
        ]}
        onChoose={(value) => (standing.value = value as typeof standing.value)}
      />
    </section>
  );
}

export function Evenness({ forecast, stint, number }: { forecast: Forecast; stint: StintDraft; number: number }) {
  const geared = forecast.geared[number];
  if (geared === undefined) return null;
  return (
    <section class="evenness" aria-label="Evenness">
      <h2>Evenness</h2>
      <RingView ring={forecast.ring} words={ringWords(forecast.ring)} />
      <div class="findings">
        <p class="verdict numeric">{evennessWords(geared, stint.turns)}</p>
        <p>{ringWords(forecast.ring)}</p>
        {geared.warnings.map((warning) => (
          <p class="complaint" key={warning}>
            {inUnit(saysStint(warning), unit.value ?? 'mm')}
          </p>
        ))}
        {forecast.offers.map((offer) => (
          <p key={offer.turns} class="offer">
            <button type="button" class="small" onClick={() => changeShown({ turns: offer.turns })}>
              Take {offer.turns} turns
            </button>{' '}
            <span class="soft numeric">{offerWords(offer)}</span>
          </p>
        ))}
        <ul class="key soft">
          <li>Inner ticks: near ends of the strokes</li>
          <li>Outer ticks: far ends</li>
          {forecast.ring.counts.nudged > 0 ? <li>Dots with a line: far ends that are nudged</li> : null}
          <li>Triangle: the index of the glass</li>
        </ul>
      </div>
    </section>
  );
}

function RingView({ ring, words }: { ring: Ring; words: string }) {
  return (
    <DrawnCanvas
      class="ring"
      words={`Ring of azimuths. ${words}`}
      shows={[ring] as const}
      draw={(ctx, [drawn], { widthPx }, brush) => drawRing(ctx, drawn, widthPx, brush)}
    />
  );
}

/** What stays behind besides the depth that was meant. */
export function Remainders() {
  const prediction = whole.value?.prediction ?? null;
  return (
    <section class="remainders" aria-label="What stays behind" aria-busy={prediction === null}>
      <h2>What stays behind, in all stints together</h2>
      {prediction === null ? (
        <p class="soft">Reckoning …</p>
      ) : (
        <ul>
          {prediction.remainders.map(({ name, words, warns, limit, unit: of }) => (
            <li key={name} class={warns ? 'complaint' : ''}>
              {warns ? <strong>Too much. </strong> : null}
              {words}{' '}
              <span class="soft">
                Warns above {limit} {of === 'x mean' ? 'times the mean' : of}.
              </span>
            </li>
          ))}
          <li>
            Of the volume {percent(prediction.bandShare.inside)} lies in the zone that the settings mean,{' '}
            {percent(prediction.bandShare.inward)} inward and {percent(prediction.bandShare.outward)} outward of it.
          </li>
        </ul>
      )}
    </section>
  );
}

function percent(share: number): string {
  return `${(100 * share).toFixed(0)} %`;
}

/** The present forecast against the one that was pinned, in words; the drawing shows both curves. */
export function Differences() {
  const before = pinned.value;
  const now = light.value && pinOf(light.value, turnsOfPlan());
  if (before === null || now === null) return null;
  const remainders = (whole.value && pinOf(whole.value, now.turns)?.remainders) ?? null;
  return (
    <section class="differences" aria-label="Against what you pinned">
      <h2>Against what you pinned</h2>
      <ul>
        {differences({ ...now, remainders }, before, unit.value ?? 'mm').map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </section>
  );
}

/** Deepest place at both ends of what was published, nm; null without a forecast. */
function publishedRange(): { low: string; high: string } | null {
  const profile = light.value?.profile;
  if (!profile) return null;
  const { least, most } = REMOVAL_COEFFICIENT;
  const perCoefficient = Math.max(...profile.depthNm) / kPerPa.value;
  return { low: nmWords(perCoefficient * least), high: nmWords(perCoefficient * most) };
}

/** Stands under the headline: the number there is no better than its coefficient. */
export function DepthCaveat() {
  const range = publishedRange();
  if (range === null || complaints.value.length > 0) return null;
  return (
    <p class="soft numeric">
      By a published removal coefficient; {range.low} to {range.high} is possible. A test run tells.
    </p>
  );
}

/** What the depths rest on, and how far they may be off. */
export function Assumptions() {
  const { least, most } = REMOVAL_COEFFICIENT;
  const range = publishedRange();
  return (
    <section class="assumptions" aria-label="What the depth rests on">
      <h2>How fast the lap polishes</h2>
      <NumberField
        label="Removal coefficient"
        value={kPerPa.value}
        unit={COEFFICIENT}
        least={least}
        most={most}
        onChange={(value) => (kPerPa.value = value)}
      />
      <p>
        {COEFFICIENT_CAVEAT}
        {range ? ` Over all that was published the deepest place comes to between ${range.low} and ${range.high}.` : ''}
      </p>
    </section>
  );
}
