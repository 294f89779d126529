/**
 * The live link to the host: one socket, one store of what was last heard. The key comes from the address the host printed; it is
 * moved from the address bar into this tab's own memory, so that it does not end up in a screenshot or a bookmark.
 */
import { signal } from '@preact/signals';
import { io, type Socket } from 'socket.io-client';
import type { AnswerTo, PageToServer, Request, ServerToPage, View } from '../../firmware-host/server/messages';
import { takeTick } from './place';

export type LinkState = 'connecting' | 'live' | 'lost' | 'refused';

export const view = signal<View | null>(null);
export const linkState = signal<LinkState>('connecting');
/** Whether this page is the one in control; told by the answers to takeControl and by the view's holder. */
export const inControl = signal(false);
/** The last answer that was a no, in words, until the next request. */
export const lastRefusal = signal<string | null>(null);

const KEY_STORE = 'wholeturn.key';
/** How long a request may go unanswered before the page says so. */
const ANSWER_MS = 4_000;
/** What is reckoned or kept for a page takes its time on a slow machine; Stop is not held up by it. */
const RECKONED_MS = 60_000;
const RECKONED: ReadonlySet<Request['ask']> = new Set([
  'load',
  'loadProgram',
  'workbook',
  'readVirtualGlass',
  'keepMeasurement',
  'learn',
]);

let socket: Socket<ServerToPage, PageToServer> | null = null;
let launch: string | null = null;

export function connect(): void {
  const key = takeKey();
  if (key === null) {
    linkState.value = 'refused';
    return;
  }
  socket = io({
    path: '/live',
    transports: ['websocket'],
    auth: { key },
    reconnectionDelay: 300,
    reconnectionDelayMax: 2_000,
  });
  socket.on('connect', () => {
    linkState.value = 'live';
  });
  socket.on('disconnect', () => {
    linkState.value = 'lost';
    inControl.value = false;
  });
  socket.on('connect_error', (error) => {
    const keyIsWrong = error.message === 'wrong key';
    linkState.value = keyIsWrong ? 'refused' : 'lost';
    if (keyIsWrong) socket?.close();
  });
  socket.on('view', (next, taken) => {
    if (launch !== null && launch !== next.launch) inControl.value = false;
    launch = next.launch;
    if (next.control.holder === null) inControl.value = false;
    view.value = next;
    taken();
  });
  socket.on('tick', takeTick);
}

/** Asks and returns the answer; a no, or no answer, also stands in `lastRefusal`. */
export async function ask<R extends Request>(request: R): Promise<AnswerTo<R['ask']>> {
  lastRefusal.value = null;
  const answer = await send(request);
  if (request.ask === 'takeControl' && answer.ok) inControl.value = true;
  if (request.ask === 'leaveControl' && answer.ok) inControl.value = false;
  if (!answer.ok) lastRefusal.value = answer.words;
  return answer;
}

async function send<R extends Request>(request: R): Promise<AnswerTo<R['ask']>> {
  if (!socket?.connected)
    return {
      ok: false,
      words: 'The host cannot be reached from this page; nothing was sent. Use the stand’s own switch to stop it.',
    };
  try {
    const waitMs = RECKONED.has(request.ask) ? RECKONED_MS : ANSWER_MS;
    // The event is one for all requests; which answer belongs to which is the contract of ../../firmware-host/server/messages.ts.
    return (await socket.timeout(waitMs).emitWithAck('ask', request)) as AnswerTo<R['ask']>;
  } catch {
    return { ok: false, words: 'The host did not answer. Look at the stand; use its own switch if it must stop.' };
  }
}

function takeKey(): string | null {
  const fragment = new URLSearchParams(location.hash.slice(1));
  const given = fragment.get('key');
  if (given === null) return sessionStorage.getItem(KEY_STORE);
  sessionStorage.setItem(KEY_STORE, given);
  fragment.delete('key');
  const rest = fragment.toString();
  history.replaceState(null, '', rest === '' ? location.pathname : `#${rest}`);
  return given;
}
