/** The Measure page is fetched when it is first opened: the other pages do without it. */
import { signal } from '@preact/signals';
import type { View } from '../../firmware-host/server/messages';

const room = signal<typeof import('./measure-page') | null>(null);
const failed = signal(false);
let asked = false;

function enter(): void {
  if (asked) return;
  asked = true;
  import('./measure-page').then(
    (page) => (room.value = page),
    () => {
      asked = false;
      failed.value = true;
    },
  );
}

export function MeasureDoor({ view }: { view: View }) {
  enter();
  if (room.value !== null) return <room.value.MeasurePage view={view} />;
  return (
    <main class="measure" aria-label="Measure" aria-busy={!failed.value}>
      <p role="status">{failed.value ? 'This page could not be fetched from the host. Load it anew.' : 'Opening …'}</p>
    </main>
  );
}

export function MeasureDoorCommands({ view }: { view: View }) {
  return room.value === null ? null : <room.value.MeasureCommands view={view} />;
}
