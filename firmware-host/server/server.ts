/**
 * Serves the pages and the live link on 127.0.0.1. GET changes nothing; every command comes through one socket event with an
 * answer. A page can never slow the run: the desk is asked, never waits, and what a page is too slow to take is replaced by what is
 * newer.
 */
import { randomUUID } from 'node:crypto';
import { createServer, type Server as HttpServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import express, { type Request as HttpRequest, type NextFunction, type Response } from 'express';
import helmet from 'helmet';
import { type Socket, Server as SocketServer } from 'socket.io';
import { Control } from './control';
import type { RunDesk, RunRequest } from './desk';
import { Allowance, Gatekeeper, mintKey, sameKey } from './gatekeeper';
import {
  type AnswerTo,
  type PageToServer,
  PROTOCOL_PATH,
  type Request,
  type ServerToPage,
  type View,
} from './messages';
import { FOR_EVERYONE, readRequest } from './requests';

/** A message larger than this is no request of ours; socket.io closes such a connection. */
const LARGEST_MESSAGE_BYTES = 16_384;
const REQUESTS_PER_SECOND = 10;
const REQUESTS_AT_ONCE = 30;
const TICK_MS = 50;

export interface ServeOptions {
  desk: RunDesk;
  /** Folder of the built pages. */
  pages: string;
  /** 0 picks a free one. */
  port: number;
  /** Wall clock in milliseconds since 1970. */
  nowMs(): number;
  /** For tests; a fresh one is minted otherwise. */
  key?: string;
}

export interface Served {
  /** With the key in the fragment: for the person at this machine only. */
  url: string;
  port: number;
  key: string;
  close(): Promise<void>;
}

/** Whether a view is on its way to this page, and whether there is a newer one already. */
interface PageState {
  taking?: boolean;
  newer?: boolean;
}
type PageSocket = Socket<PageToServer, ServerToPage, Record<string, never>, PageState>;

export async function serve(options: ServeOptions): Promise<Served> {
  const { desk, nowMs } = options;
  const key = options.key ?? mintKey();
  const app = express();
  const http = createServer(app);
  await listen(http, options.port);
  const { port } = http.address() as AddressInfo;
  const gate = new Gatekeeper(key, port);

  app.disable('x-powered-by');
  app.use((request: HttpRequest, response: Response, next: NextFunction) => {
    const refused = gate.refusal(request, false);
    if (refused)
      response.status(403).json({ ok: false, words: `Refused: ${refused}. Open the address that the host printed.` });
    else if (request.method !== 'GET' && request.method !== 'HEAD')
      response.status(405).json({ ok: false, words: 'Nothing here is changed over plain HTTP.' });
    else next();
  });
  app.use(
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'self'"],
          // The solver of the Measure page is WebAssembly, compiled by its worker; no text is ever run as a program.
          scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
          imgSrc: ["'self'", 'data:', 'blob:'],
          objectSrc: ["'none'"],
          baseUri: ["'none'"],
          formAction: ["'none'"],
          frameAncestors: ["'none'"],
        },
      },
      strictTransportSecurity: false,
    }),
  );
  app.use(express.static(options.pages, { index: 'index.html', redirect: false }));
  app.use((_request, response) => {
    response.status(404).json({ ok: false, words: 'There is no such page here.' });
  });

  const sockets = new SocketServer<PageToServer, ServerToPage, Record<string, never>, PageState>(http, {
    path: PROTOCOL_PATH,
    transports: ['websocket'],
    serveClient: false,
    maxHttpBufferSize: LARGEST_MESSAGE_BYTES,
    perMessageDeflate: false,
    pingInterval: 2_000,
    pingTimeout: 4_000,
    allowRequest: (request, decide) => {
      const refused = gate.refusal(request, true);
      decide(refused, refused === null);
    },
  });
  sockets.use((socket, next) => {
    next(sameKey(gate.key, socket.handshake.auth?.key) ? undefined : new Error('wrong key'));
  });

  const launch = randomUUID();
  const control = new Control();
  const view = (): View => ({
    ...desk.view(),
    launch,
    control: {
      holder: control.holder?.name ?? null,
      watching: Math.max(0, sockets.sockets.sockets.size - (control.holder ? 1 : 0)),
    },
    cautionsAcknowledged: desk.cautionsAcknowledged(),
  });
  const sendView = (): void => {
    for (const socket of sockets.sockets.sockets.values()) sendLatest(socket, view);
  };
  const stopListening = desk.onChange(sendView);

  let tickNumber = 0;
  const ticking = setInterval(() => {
    if (sockets.sockets.sockets.size === 0) return;
    sockets.volatile.emit('tick', { ...desk.tick(), sentAtMs: nowMs(), number: tickNumber++ });
  }, TICK_MS);

  sockets.on('connection', (socket) => {
    const allowance = new Allowance(REQUESTS_PER_SECOND, REQUESTS_AT_ONCE, nowMs() / 1000);
    sendView();
    socket.on('ask', (data, answer) => {
      // The type says what an honest page sends; what really came is read by the schema.
      const reply = typeof answer === 'function' ? answer : () => {};
      void respond(socket, data, allowance).then(reply, (error: unknown) => {
        reply({
          ok: false,
          words: `The host failed at this request: ${error instanceof Error ? error.message : String(error)}`,
        });
      });
    });
    socket.on('disconnect', () => {
      const left = control.has(socket.id) ? control.holder : null;
      control.leave(socket.id);
      if (left) desk.note(`${left.name}'s page is gone; nobody is in control. The run goes on; anyone may stop it.`);
      sendView();
    });
  });

  async function respond(socket: PageSocket, data: unknown, allowance: Allowance): Promise<AnswerTo<Request['ask']>> {
    const request = readRequest(data);
    if (typeof request === 'string') return { ok: false, words: request };
    // Stopping is never held up, neither by the allowance nor by who is in control.
    const stopping = request.ask === 'stop' || request.ask === 'pause';
    if (!stopping && !allowance.take(nowMs() / 1000))
      return { ok: false, words: 'Too many requests from this page; wait a second. Stop and Pause always work.' };
    if (!FOR_EVERYONE.has(request.ask) && !control.has(socket.id)) {
      const holder = control.holder?.name;
      return {
        ok: false,
        words: holder ? `${holder} is in control; this page watches. It may pause and stop.` : 'Take control first.',
      };
    }
    return carryOut(socket, request);
  }

  async function carryOut(socket: PageSocket, request: Request): Promise<AnswerTo<Request['ask']>> {
    if (request.ask === 'takeControl') {
      const before = control.take(socket.id, request.name);
      if (before) desk.note(`${request.name} took control from ${before.name}.`);
      sendView();
      return { ok: true };
    }
    if (request.ask === 'leaveControl') {
      control.leave(socket.id);
      sendView();
      return { ok: true };
    }
    if (request.ask === 'acknowledgeCautions') {
      desk.acknowledgeCautions(request.name);
      sendView();
      return { ok: true };
    }
    if (
      startsMotion(request) &&
      !desk.view().virtual &&
      !desk.cautionsAcknowledged().includes(control.holder?.name ?? '')
    )
      return { ok: false, words: 'Read and acknowledge the cautions first; then the first real run can start.' };
    return desk.ask(request);
  }

  return {
    url: `http://127.0.0.1:${port}/#key=${key}`,
    port,
    key,
    close: async () => {
      clearInterval(ticking);
      stopListening();
      await sockets.close();
      await desk.close();
    },
  };
}

const STARTS_MOTION: ReadonlySet<RunRequest['ask']> = new Set([
  'start',
  'startAnew',
  'airRun',
  'goOn',
  'resume',
  'done',
] as const);

function startsMotion(request: RunRequest): boolean {
  return STARTS_MOTION.has(request.ask);
}

/**
 * Sends the newest view, but never a second one before the page has said that it took the first: for a slow page several
 * changes become one, and the last one always arrives.
 */
function sendLatest(socket: PageSocket, view: () => View): void {
  if (socket.data.taking) {
    socket.data.newer = true;
    return;
  }
  socket.data.taking = true;
  socket.data.newer = false;
  socket.emit('view', view(), () => {
    socket.data.taking = false;
    if (socket.data.newer) sendLatest(socket, view);
  });
}

function listen(http: HttpServer, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    http.once('error', reject);
    http.listen(port, '127.0.0.1', resolve);
  });
}
