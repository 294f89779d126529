/** A server on a free port with the fake desk, and pages that are plain socket.io clients. */
import { mkdtempSync, writeFileSync } from 'node:fs';
import { request as httpRequest } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { io, type Socket } from 'socket.io-client';
import type { Answer, PageToServer, ServerToPage, View } from '../../firmware-host/server/messages';
import { type Served, serve } from '../../firmware-host/server/server';
import { FakeDesk } from './fake-desk';

export type Page = Socket<ServerToPage, PageToServer>;

export class ServerUnderTest {
  private readonly pages: Page[] = [];

  private constructor(
    readonly served: Served,
    readonly desk: FakeDesk,
    private readonly clock: { nowMs: number },
  ) {}

  static async start(): Promise<ServerUnderTest> {
    const pages = mkdtempSync(join(tmpdir(), 'wholeturn-pages-'));
    writeFileSync(join(pages, 'index.html'), '<!doctype html><title>test</title>');
    const desk = new FakeDesk();
    const clock = { nowMs: 1_000_000 };
    return new ServerUnderTest(await serve({ desk, pages, port: 0, nowMs: () => clock.nowMs }), desk, clock);
  }

  advance(ms: number): void {
    this.clock.nowMs += ms;
  }

  get origin(): string {
    return `http://127.0.0.1:${this.served.port}`;
  }

  /** Opens a page's socket; headers as a browser would send them unless told otherwise. */
  page(options: { key?: unknown; origin?: string | null; host?: string } = {}): Page {
    const headers: Record<string, string> = {};
    if (options.origin !== null) headers.Origin = options.origin ?? this.origin;
    if (options.host !== undefined) headers.Host = options.host;
    const auth = 'key' in options ? (options.key === undefined ? {} : { key: options.key }) : { key: this.served.key };
    const page: Page = io(this.origin, {
      path: '/live',
      transports: ['websocket'],
      auth,
      extraHeaders: headers,
      reconnection: false,
      forceNew: true,
    });
    this.pages.push(page);
    return page;
  }

  /** A page that is connected, has its first view and takes every later one at once. */
  async connected(): Promise<{ page: Page; first: View }> {
    const page = this.page();
    page.on('view', (_view, taken) => taken());
    const first = await new Promise<View>((resolve, reject) => {
      page.once('view', resolve);
      page.once('connect_error', reject);
    });
    return { page, first };
  }

  async close(): Promise<void> {
    for (const page of this.pages) page.close();
    await this.served.close();
  }
}

export function refusalOf(page: Page): Promise<string> {
  return new Promise((resolve, reject) => {
    page.once('connect_error', (error) => resolve(error.message));
    page.once('connect', () => reject(new Error('this page was let in')));
  });
}

/** Asks with anything at all, as a hostile or broken page would. */
export async function askAnything(page: Page, data: unknown): Promise<Answer> {
  return (await page.timeout(3_000).emitWithAck('ask', data as never)) as Answer;
}

export function plainHttp(
  port: number,
  options: { method?: string; path?: string; headers?: Record<string, string>; body?: string },
): Promise<{ status: number; body: string; headers: Record<string, string | string[] | undefined> }> {
  return new Promise((resolve, reject) => {
    const sent = httpRequest(
      {
        host: '127.0.0.1',
        port,
        method: options.method ?? 'GET',
        path: options.path ?? '/',
        headers: options.headers ?? {},
      },
      (response) => {
        let body = '';
        response.setEncoding('utf8');
        response.on('data', (chunk: string) => (body += chunk));
        response.on('end', () => resolve({ status: response.statusCode ?? 0, body, headers: response.headers }));
      },
    );
    sent.on('error', reject);
    if (options.body !== undefined) sent.write(options.body);
    sent.end();
  });
}
