/**
 * Who gets in. The items follow the OWASP WebSocket security cheat sheet (Origin check on every handshake, authentication in the
 * handshake, authorisation per message, schema validation, message size, rate limits, compression off); RFC 6455 section 10.2 puts
 * the Origin check on the server.
 */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Allowance, Gatekeeper, sameKey } from '../../firmware-host/server/gatekeeper';
import { askAnything, plainHttp, refusalOf, ServerUnderTest } from './harness';

let server: ServerUnderTest;
beforeEach(async () => {
  server = await ServerUnderTest.start();
});
afterEach(async () => {
  await server.close();
});

describe('the handshake', () => {
  test('our own page with the key gets in and gets a view', async () => {
    const { first } = await server.connected();
    expect(first.standWords).toBe('Stand of the test');
  });

  test.each([
    ['no key', undefined],
    ['a wrong key of the right length', 'x'.repeat(32)],
    ['a key of the wrong length', 'short'],
    ['a key that is no text', { toString: 'no' }],
  ])('%s is refused', async (_what, key) => {
    expect(await refusalOf(server.page({ key }))).toBe('wrong key');
  });

  test.each([
    ['a foreign origin', 'http://evil.example'],
    ['our address under another scheme', 'https://127.0.0.1'],
    ['an origin that only begins like ours', 'http://127.0.0.1.evil.example'],
    ['no origin', null],
    ['the null origin of a sandboxed frame', 'null'],
  ])('%s is refused, with the right key', async (_what, origin) => {
    expect(await refusalOf(server.page({ origin }))).toBe('websocket error');
  });

  test('a rebound name (Host of another site) is refused', async () => {
    const host = `evil.example:${server.served.port}`;
    expect(await refusalOf(server.page({ host, origin: `http://${host}` }))).toBe('websocket error');
  });

  test('long polling is not offered: there is no second door', async () => {
    const reply = await plainHttp(server.served.port, {
      path: '/live/?EIO=4&transport=polling',
      headers: { origin: server.origin },
    });
    expect(reply.status).toBe(400);
  });
});

describe('plain HTTP', () => {
  test('the page is served to the right Host, with a strict content policy and without a key', async () => {
    const reply = await plainHttp(server.served.port, {});
    expect(reply.status).toBe(200);
    expect(reply.headers['content-security-policy']).toContain("default-src 'self'");
    expect(reply.headers['content-security-policy']).toContain("frame-ancestors 'none'");
    // The solver's WebAssembly may be compiled; neither text nor inline script is run.
    expect(reply.headers['content-security-policy']).toMatch(/script-src 'self' 'wasm-unsafe-eval'(;|$)/);
    expect(reply.headers['x-content-type-options']).toBe('nosniff');
    expect(reply.headers['x-powered-by']).toBeUndefined();
    expect(reply.headers['access-control-allow-origin']).toBeUndefined();
    expect(reply.body).not.toContain(server.served.key);
  });

  test.each([
    ['another Host', { host: 'evil.example' }],
    ['the right Host name on another port', { host: '127.0.0.1:1' }],
    ['a foreign Origin', { origin: 'http://evil.example' }],
  ])('%s gets nothing', async (_what, headers) => {
    const reply = await plainHttp(server.served.port, { headers: headers as Record<string, string> });
    expect(reply.status).toBe(403);
    expect(reply.body).not.toContain('<title>');
  });

  test.each(['POST', 'PUT', 'DELETE', 'PATCH', 'OPTIONS'])('%s changes nothing', async (method) => {
    const reply = await plainHttp(server.served.port, {
      method,
      body: '{"ask":"start"}',
      headers: { 'content-type': 'application/json' },
    });
    expect(reply.status).toBe(405);
    expect(server.desk.asked).toEqual([]);
  });

  test('a path outside the pages is not served', async () => {
    const reply = await plainHttp(server.served.port, { path: '/..%2f..%2fpackage.json' });
    expect([403, 404]).toContain(reply.status);
    expect(reply.body).not.toContain('"dependencies"');
  });
});

describe('every message is read by a schema', () => {
  test.each([
    ['nothing', undefined],
    ['a number', 7],
    ['an unknown request', { ask: 'explode' }],
    ['an extra key', { ask: 'start', now: true }],
    ['a pace that is no number', { ask: 'pace', target: 'fast' }],
    ['a pace above the planned one', { ask: 'pace', target: 3 }],
    ['a pace of NaN (arrives as null)', { ask: 'pace', target: Number.NaN }],
    ['a path as a program name', { ask: 'load', example: '../../secret' }],
    ['a name that is far too long', { ask: 'takeControl', name: 'x'.repeat(500) }],
  ])('%s is answered with words and does nothing', async (_what, data) => {
    const { page } = await server.connected();
    await askAnything(page, { ask: 'takeControl', name: 'A' });
    const answer = await askAnything(page, data);
    expect(answer.ok).toBe(false);
    if (!answer.ok) expect(answer.words.length).toBeGreaterThan(20);
    expect(server.desk.asked).toEqual([]);
  });

  test('a message above the size limit ends that connection and nothing else', async () => {
    const { page } = await server.connected();
    const other = await server.connected();
    const gone = new Promise((resolve) => page.once('disconnect', resolve));
    page.emit('ask', { ask: 'takeControl', name: 'x'.repeat(100_000) }, () => {});
    await gone;
    expect(await askAnything(other.page, { ask: 'takeControl', name: 'B' })).toEqual({ ok: true });
  });

  test('a flood is held back, but stopping is not', async () => {
    const { page } = await server.connected();
    await askAnything(page, { ask: 'takeControl', name: 'A' });
    const answers = await Promise.all(
      Array.from({ length: 60 }, () => askAnything(page, { ask: 'pace', target: 0.5 })),
    );
    expect(answers.filter((answer) => !answer.ok).length).toBeGreaterThan(20);
    expect(await askAnything(page, { ask: 'stop' })).toEqual({ ok: true });
    server.advance(60_000);
    expect(await askAnything(page, { ask: 'pace', target: 1 })).toEqual({ ok: true });
  });
});

describe('the parts', () => {
  test('keys are compared whole', () => {
    expect(sameKey('abcdef', 'abcdef')).toBe(true);
    for (const wrong of ['abcdeg', 'abcde', '', null, undefined, 5, ['abcdef']])
      expect(sameKey('abcdef', wrong)).toBe(false);
  });

  test('only the two names of this machine with the very port are ours', () => {
    const gate = new Gatekeeper('k', 5000);
    const verdict = (host: string): string | null =>
      gate.refusal({ headers: { host, origin: `http://${host}` } }, true);
    expect(verdict('127.0.0.1:5000')).toBeNull();
    expect(verdict('localhost:5000')).toBeNull();
    for (const host of ['localhost6:5000', '127.0.0.1:5001', '127.0.0.1', '0.0.0.0:5000', 'LOCALHOST.evil:5000'])
      expect(verdict(host)).toBe('wrong Host');
  });

  test('an allowance fills up with time and never beyond its burst', () => {
    const allowance = new Allowance(2, 3, 0);
    expect([1, 2, 3, 4].map(() => allowance.take(0))).toEqual([true, true, true, false]);
    expect(allowance.take(0.5)).toBe(true);
    expect(allowance.take(0.5)).toBe(false);
    expect([1, 2, 3, 4].map(() => allowance.take(1_000))).toEqual([true, true, true, false]);
    expect(allowance.take(900), 'a clock that jumps back gives nothing away').toBe(false);
  });
});
