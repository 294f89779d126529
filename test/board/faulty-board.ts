/** Boards that break a rule: every frame of a good one goes through a hand that may change it or keep it. */
import { decodeToHost, encodeToHost } from '../../firmware-host/wire/frame';
import type { ToHost } from '../../firmware-host/wire/frame-table';
import { StreamSplitter } from '../../firmware-host/wire/splitter';
import type { Port } from '../wire/conformance/port';

/** `change` returns the frame to tell instead, or null where none is told. */
export function faulty(good: Port, change: (frame: ToHost) => ToHost | null): Port {
  const out: number[] = [];
  const splitter = new StreamSplitter({
    frame(packed, length) {
      const frame = change(decodeToHost(packed, length) as ToHost);
      if (frame !== null) out.push(...encodeToHost(frame, frame.link, frame.seq));
    },
    firmata: (message) => out.push(...message),
  });
  return {
    ...good,
    run(ticks) {
      splitter.feed(good.run(ticks));
      return Uint8Array.from(out.splice(0));
    },
  };
}
