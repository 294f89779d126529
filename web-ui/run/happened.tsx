import type { View } from '../../firmware-host/server/messages';

/** What happened, newest first. */
export function Happened({ view }: { view: View }) {
  const rows = [...view.happened].reverse();
  return (
    <section class="happened" aria-label="What happened">
      <h2>What happened</h2>
      {rows.length === 0 ? (
        <p class="soft">Nothing yet.</p>
      ) : (
        // A list that scrolls must be reachable by keyboard.
        // biome-ignore lint/a11y/noNoninteractiveTabindex: scrolling by keyboard needs it
        <ol tabIndex={0} aria-label="What happened, newest first">
          {rows.map((row) => (
            <li key={row.id} class={row.kind}>
              <time class="soft numeric" dateTime={new Date(row.atMs).toISOString()}>
                {new Date(row.atMs).toLocaleTimeString([], {
                  hour: '2-digit',
                  minute: '2-digit',
                  second: '2-digit',
                  hour12: false,
                })}
              </time>{' '}
              {row.words}
              {row.turnsWalked !== null ? (
                <span class="soft numeric"> at turn {row.turnsWalked.toFixed(2)}</span>
              ) : null}
            </li>
          ))}
        </ol>
      )}
    </section>
  );
}
