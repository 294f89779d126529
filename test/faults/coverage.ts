/**
 * What the campaign must be able to draw. First the errors of communication that IEC 61784-3 lists (as OPC 10000-15, 5.3 gives them); then
 * what else befalls a stand, its host and its people. A list to be complete by, no claim of conformity.
 */
export interface Listed {
  what: string;
  /** Names of the incidents that are it. */
  shown: RegExp;
}

export const COVERAGE: readonly Listed[] = [
  { what: 'corruption', shown: /^line: corruption/ },
  { what: 'unintended repetition', shown: /^line: unintended repetition/ },
  { what: 'incorrect sequence', shown: /^line: wrong order/ },
  { what: 'loss', shown: /^line: loss/ },
  { what: 'unacceptable delay', shown: /^line: delay/ },
  { what: 'insertion', shown: /^line: insertion/ },
  { what: 'masquerade, as a client of the stock protocol', shown: /^line: masquerade as Firmata/ },
  { what: 'masquerade, as the other end', shown: /^line: masquerade as the other end/ },
  { what: 'addressing', shown: /^line: addressed to another link/ },
  { what: 'all of it at once', shown: /^line: everything/ },
  { what: 'another host', shown: /^another host opens the link/ },
  { what: 'a system reset from the line', shown: /^system reset/ },
  { what: 'a host that is late', shown: /^host late/ },
  { what: 'a host that stalls', shown: /^host stalls/ },
  { what: 'a host that is killed', shown: /^host killed/ },
  { what: 'a stop, then the program ended', shown: /^stopped, then the program is ended/ },
  { what: 'a cut line and a new connection', shown: /^cable out/ },
  { what: 'power off and on', shown: /^controller restarts: power/ },
  { what: 'a reset of the controller', shown: /^controller restarts: external/ },
  { what: 'the watchdog', shown: /^controller restarts: watchdog/ },
  { what: 'a dip of the supply at any moment', shown: /^controller restarts: brown-out/ },
  { what: 'a dip of the supply with the lap down', shown: /^supply dips with the lap down/ },
  { what: 'halt', shown: /^halt$/ },
  { what: 'halt, and somebody who tries to go on', shown: /^halt, and somebody/ },
  { what: 'guard', shown: /^guard$/ },
  { what: 'guard, for a moment', shown: /^guard opens for a moment/ },
  { what: 'drive fault', shown: /^driveFault/ },
  { what: 'limit', shown: /^(?:stroke|radial)(?:Low|High)/ },
  { what: 'index early', shown: /^index early/ },
  { what: 'index late', shown: /^index late/ },
  { what: 'index missing', shown: /^index missing/ },
  { what: 'index bouncing', shown: /^index bounces/ },
  { what: 'index slipping', shown: /^slips/ },
  { what: 'missed steps of the table', shown: /^motor of the table misses/ },
  { what: 'missed steps of a slide', shown: /^motor of the (?:stroke|radial) slide misses/ },
  { what: 'a lift that sticks, going up', shown: /^lift sticks going up/ },
  { what: 'a lift that sticks, going down', shown: /^lift sticks going down/ },
  { what: 'a lift that loses its sensor', shown: /^lift loses its lower sensor/ },
  { what: 'a full disc', shown: /^disc full/ },
  { what: 'a wall clock that jumps', shown: /^wall clock jumps/ },
  { what: 'two commanders', shown: /^two commanders/ },
  { what: 'pause, stop, wait', shown: /^(?:pause|stop|slurry)/ },
];

/** What of the list is shown by fewer than `least` of the names. */
export function missingOf(names: readonly string[], least: number): string[] {
  return COVERAGE.flatMap(({ what, shown }) => {
    const times = names.filter((name) => shown.test(name)).length;
    return times < least ? [`${what}: ${times} times`] : [];
  });
}
