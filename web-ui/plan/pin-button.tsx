import { pinOf } from './plan-words';
import { light, pinned, turnsOfPlan, whole } from './store';

/** Keeps the present curve in the drawing, to compare others with it. */
export function PinButton() {
  const now = light.value && pinOf(light.value, turnsOfPlan());
  const pin = (): void => {
    const remainders = (whole.value && pinOf(whole.value, 0)?.remainders) ?? null;
    pinned.value = now && { ...now, remainders };
  };
  return (
    <button
      type="button"
      class="small"
      disabled={now === null && pinned.value === null}
      onClick={pinned.value ? () => (pinned.value = null) : pin}
    >
      {pinned.value ? 'Unpin' : 'Pin'}
      <span class="unseen"> this forecast, to compare others with it</span>
    </button>
  );
}
