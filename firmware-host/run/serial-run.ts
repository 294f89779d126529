/** Conducts a run on the stand that a serial port leads to, on the clock on the wall. */
import { AXES } from '../../planner/stand/types';
import { imageHash } from '../controller/images';
import { standImage } from '../controller/stand-image';
import type { SegmentLink } from '../stand/segment-link';
import { SerialLink, type SerialLinkOptions } from '../stand/serial/serial-link';
import { Conductor, type ConductorOptions } from './conductor';

export interface SerialRunOptions
  extends Omit<ConductorOptions, 'link'>,
    Pick<SerialLinkOptions, 'path' | 'linkId' | 'ports'> {}

export interface SerialRun {
  conductor: Conductor;
  link: SegmentLink;
}

/** Finds the stand; nothing moves. Rejects with a person's words when it cannot be used. */
export async function connectSerial({ path, linkId, ports, ...options }: SerialRunOptions): Promise<SerialRun> {
  const { clock, plan } = options;
  const { virtual, tickHz, axes, board, pins } = plan.stand;
  const reversedAxes = AXES.reduce((bits, name, axis) => bits | (axes[name]?.reversed ? 1 << axis : 0), 0);
  const expected = { virtual, tickHz };
  const expectedImage = imageHash(board && standImage(board, pins));
  const link = new SerialLink({ clock, linkId, path, expected, expectedImage, reversedAxes, ...(ports && { ports }) });
  try {
    return { conductor: await Conductor.connect({ ...options, link }), link };
  } catch (error) {
    await link.close();
    throw error;
  }
}
