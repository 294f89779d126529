/** The door for everything a page sends: exact shapes, no extra keys, no number that is not one. */
import { z } from 'zod';
import type { Request } from './messages';

/**
 * Bytes of a program sent from a page: about a hundred different stints, and with its quoting still well within the largest message.
 * Longer ones are files for the command line.
 */
export const LARGEST_PROGRAM_BYTES = 12_000;
/** Bytes of a measurement sent from a page: about a hundred takes. */
export const LARGEST_MEASUREMENT_BYTES = 12_000;

const name = z.string().trim().min(1).max(40);

const textOf = (what: string, most: number, otherwise: string) =>
  z
    .string()
    .min(1)
    .refine((text) => Buffer.byteLength(text) <= most, {
      message: `a ${what} sent from a page has at most ${most} bytes; ${otherwise}`,
    });

const numberInLogbook = z.int().min(1);

const request = z.discriminatedUnion('ask', [
  z.strictObject({ ask: z.literal('start') }),
  z.strictObject({ ask: z.literal('goOn') }),
  z.strictObject({ ask: z.literal('startAnew') }),
  z.strictObject({ ask: z.literal('airRun') }),
  z.strictObject({ ask: z.literal('pause') }),
  z.strictObject({ ask: z.literal('resume') }),
  z.strictObject({ ask: z.literal('stop') }),
  z.strictObject({ ask: z.literal('stopAtTurnEnd') }),
  z.strictObject({ ask: z.literal('clear') }),
  z.strictObject({ ask: z.literal('reset') }),
  z.strictObject({ ask: z.literal('done') }),
  z.strictObject({ ask: z.literal('pace'), target: z.number().min(0.05).max(1) }),
  z.strictObject({ ask: z.literal('takeControl'), name }),
  z.strictObject({ ask: z.literal('leaveControl') }),
  z.strictObject({ ask: z.literal('acknowledgeCautions'), name }),
  z.strictObject({ ask: z.literal('load'), example: z.string().regex(/^[a-z0-9-]{1,60}$/) }),
  z.strictObject({
    ask: z.literal('loadProgram'),
    text: textOf('program', LARGEST_PROGRAM_BYTES, 'save it and give it to serve'),
  }),
  z.strictObject({ ask: z.literal('workbook') }),
  z.strictObject({
    ask: z.literal('readVirtualGlass'),
    takes: z.int().min(1).max(9),
    diameters: z.union([z.literal(1), z.literal(3)]),
  }),
  z.strictObject({
    ask: z.literal('keepMeasurement'),
    text: textOf('measurement', LARGEST_MEASUREMENT_BYTES, 'save it and give it to reduce and learn'),
  }),
  z.strictObject({
    ask: z.literal('learn'),
    runId: z.string().min(1).max(60),
    beforeId: numberInLogbook,
    afterId: numberInLogbook,
  }),
]);

/** The request, or words that say what is wrong with it. */
export function readRequest(data: unknown): Request | string {
  const read = request.safeParse(data);
  if (read.success) return read.data;
  const first = read.error.issues[0];
  const where = first && first.path.length > 0 ? first.path.join('.') : 'message';
  return `The host did not understand this request (${where}: ${first?.message ?? 'not valid'}); nothing was done.`;
}

/** What anyone with the key may ask, also without being in control: whatever makes the stand quieter, and what only reads. */
export const FOR_EVERYONE: ReadonlySet<Request['ask']> = new Set([
  'stop',
  'pause',
  'stopAtTurnEnd',
  'takeControl',
  'acknowledgeCautions',
  'workbook',
  'readVirtualGlass',
]);
