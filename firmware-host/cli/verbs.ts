import type { Verbs } from './command-line';
import type { Verb } from './verb';

/** Loaded only when called, so that `check` does not wait for what `serve` needs. */
export const VERBS: Verbs = {
  check: () => (require('./check') as { check: Verb }).check,
  compile: () => (require('./compile') as { compile: Verb }).compile,
  predict: () => (require('./predict') as { predict: Verb }).predict,
  rehearse: () => (require('./rehearse') as { rehearse: Verb }).rehearse,
  run: () => (require('./run') as { run: Verb }).run,
  ports: () => (require('./ports') as { ports: Verb }).ports,
  contacts: () => (require('./contacts') as { contacts: Verb }).contacts,
  flash: () => (require('./flash') as { flash: Verb }).flash,
  reduce: () => (require('./reduce') as { reduce: Verb }).reduce,
  suggest: () => (require('./suggest') as { suggest: Verb }).suggest,
  learn: () => (require('./learn') as { learn: Verb }).learn,
  logbook: () => (require('./logbook') as { logbook: Verb }).logbook,
  serve: () => (require('./serve') as { serve: Verb }).serve,
};
