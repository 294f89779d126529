/**
 * A hostile page in a real browser, on another origin and under a rebound name, tries everything a page can: it reaches nothing.
 * OWASP: cross-site WebSocket hijacking, CSRF, DNS rebinding, framing.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser } from 'playwright-core';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { CHROMIUM_FLAGS, Host, introduce, openPage } from './support';

let browser: Browser;
let host: Host;
let evil: Server;
let evilPort: number;

beforeAll(async () => {
  host = await Host.start();
  evil = createServer((_request, response) => {
    response.setHeader('content-type', 'text/html');
    response.end('<!doctype html><title>hostile</title><body></body>');
  });
  await new Promise<void>((resolve) => evil.listen(0, '127.0.0.1', resolve));
  evilPort = (evil.address() as AddressInfo).port;
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [...CHROMIUM_FLAGS, '--host-resolver-rules=MAP evil.example 127.0.0.1'],
  });
});
afterAll(async () => {
  await browser.close();
  evil.close();
  await host.stop();
});

test('a page on another origin reaches nothing, even if it had stolen the key', async () => {
  const port = new URL(host.url).port;
  const key = host.url.split('key=')[1]!;
  const page = await browser.newPage();
  await page.goto(`http://127.0.0.1:${evilPort}/`);
  const reached = await page.evaluate(
    async ({ port, key }) => {
      const attempts: Record<string, string> = {};
      const base = `http://127.0.0.1:${port}`;
      const read = async (name: string, init?: RequestInit): Promise<void> => {
        attempts[name] = await fetch(`${base}/`, init).then(
          (answer) => (answer.type === 'opaque' ? 'opaque' : `read ${answer.status}`),
          () => 'blocked',
        );
      };
      await read('fetch');
      await read('post', { method: 'POST', body: '{"ask":"start"}', headers: { 'content-type': 'application/json' } });
      await read('no-cors post', { method: 'POST', mode: 'no-cors', body: 'ask=start' });
      attempts.websocket = await new Promise((resolve) => {
        const socket = new WebSocket(`ws://127.0.0.1:${port}/live/?EIO=4&transport=websocket`);
        socket.onmessage = () => resolve('a message came');
        socket.onopen = () => socket.send(`40${JSON.stringify({ key })}`);
        socket.onerror = () => resolve('refused');
      });
      attempts.frame = await new Promise((resolve) => {
        const frame = document.createElement('iframe');
        frame.src = base;
        frame.onload = () => {
          try {
            resolve(frame.contentDocument === null ? 'not ours to read' : `shown: ${frame.contentDocument.title}`);
          } catch {
            resolve('not ours to read');
          }
        };
        document.body.append(frame);
      });
      return attempts;
    },
    { port, key },
  );
  expect(reached).toEqual({
    fetch: 'blocked',
    post: 'blocked',
    // The browser sends it and hides the answer; the host refuses it (405 or 403), as test/server/door.test.ts shows.
    'no-cors post': 'opaque',
    websocket: 'refused',
    frame: 'not ours to read',
  });
});

test('a rebound name gets neither the page nor the live link', async () => {
  const port = new URL(host.url).port;
  const page = await browser.newPage();
  const answer = await page.goto(`http://evil.example:${port}/`);
  expect(answer?.status()).toBe(403);
  const socket = await page.evaluate(
    (port) =>
      new Promise((resolve) => {
        const socket = new WebSocket(`ws://evil.example:${port}/live/?EIO=4&transport=websocket`);
        socket.onopen = () => resolve('open');
        socket.onerror = () => resolve('refused');
      }),
    port,
  );
  expect(socket).toBe('refused');
});

test('after all that our own page works, and nothing has happened on the stand', async () => {
  const { page, expectQuiet } = await openPage(browser, host.url);
  await introduce(page);
  await page
    .getByRole('heading', { level: 1 })
    .getByText(/Just switched on: clear/)
    .waitFor();
  expectQuiet();
});
