/**
 * Who may talk to the host. Loopback is no boundary: any web page a browser shows can reach it, under its own name by DNS
 * rebinding or across origins by WebSocket. So Host and Origin are compared exactly, and every command needs the key that was
 * minted for this launch and handed over in the fragment of the printed URL (a fragment is never sent to a server).
 * Threats and what answers them: ./THREATS.md.
 */
import { randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

export function mintKey(): string {
  return randomBytes(24).toString('base64url');
}

/** Constant-time for keys of the right length; a wrong length tells nothing worth having. */
export function sameKey(expected: string, given: unknown): boolean {
  if (typeof given !== 'string') return false;
  const a = Buffer.from(expected);
  const b = Buffer.from(given);
  return a.length === b.length && timingSafeEqual(a, b);
}

export class Gatekeeper {
  private readonly hosts: ReadonlySet<string>;

  constructor(
    readonly key: string,
    port: number,
  ) {
    this.hosts = new Set([`127.0.0.1:${port}`, `localhost:${port}`]);
  }

  /** Null if the request may pass, else why not. `Origin` may be missing on plain page loads, never be another one. */
  refusal(request: Pick<IncomingMessage, 'headers'>, originNeeded: boolean): string | null {
    const { host, origin } = request.headers;
    if (host === undefined || !this.hosts.has(host)) return 'wrong Host';
    if (origin === undefined) return originNeeded ? 'no Origin' : null;
    return origin === `http://${host}` ? null : 'foreign Origin';
  }
}

/** At most `burst` at once and `perSecond` on average; time is a parameter. */
export class Allowance {
  private left: number;
  private lastSeconds: number;

  constructor(
    private readonly perSecond: number,
    private readonly burst: number,
    nowSeconds: number,
  ) {
    this.left = burst;
    this.lastSeconds = nowSeconds;
  }

  take(nowSeconds: number): boolean {
    const earned = Math.max(0, nowSeconds - this.lastSeconds) * this.perSecond;
    this.left = Math.min(this.burst, this.left + earned);
    this.lastSeconds = nowSeconds;
    if (this.left < 1) return false;
    this.left -= 1;
    return true;
  }
}
