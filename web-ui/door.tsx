/** Pages that are fetched when they are first opened: a page that shows the stand should not wait for those that plan. */
import { type Signal, signal } from '@preact/signals';
import type { FunctionComponent } from 'preact';
import { useEffect } from 'preact/hooks';
import type { View } from '../firmware-host/server/messages';

interface Room {
  Page: FunctionComponent<{ view: View }>;
  /** The page's own commands in the bar at the foot. */
  Commands: FunctionComponent<{ view: View }>;
}

export interface Door {
  name: string;
  fetch: () => Promise<Room>;
  room: Signal<Room | 'closed' | 'asked' | 'gone'>;
}

export function doorTo(name: string, fetch: () => Promise<Room>): Door {
  return { name, fetch, room: signal('closed') };
}

function enter({ room, fetch }: Door): void {
  room.value = 'asked';
  fetch().then(
    (found) => (room.value = found),
    () => (room.value = 'gone'),
  );
}

export function PageBehind({ door, view }: { door: Door; view: View }) {
  const room = door.room.value;
  useEffect(() => {
    if (door.room.value === 'closed') enter(door);
  }, [door]);
  if (typeof room === 'object') return <room.Page view={view} />;
  return (
    <main aria-label="Opening" aria-busy={room !== 'gone'}>
      {room === 'gone' ? (
        <p role="status">
          This page could not be fetched from the host.{' '}
          <button type="button" onClick={() => enter(door)}>
            Try again
          </button>
        </p>
      ) : (
        <p role="status">Opening …</p>
      )}
    </main>
  );
}

export function CommandsBehind({ door, view }: { door: Door; view: View }) {
  const room = door.room.value;
  return typeof room === 'object' ? <room.Commands view={view} /> : null;
}
