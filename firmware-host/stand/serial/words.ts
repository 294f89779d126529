/** Words for what a serial port does, and for what boards and makers call themselves. */

/**
 * What a plugged-in device says of itself, fit to be shown: printable characters on one line, and not many of them. A device can
 * claim to be called anything, so nothing of it reaches a terminal, a page or a command as it came.
 */
export function shownName(text: string | undefined, longest = 60): string {
  const plain = (text ?? '').replace(/[^\p{L}\p{N}\p{P}\p{S} ]/gu, '').trim();
  return plain.length > longest ? `${plain.slice(0, longest - 1)}…` : plain;
}

/** Why a port did not open, from the words of the operating system. `others` are the paths of the ports there are. */
export function openFailureWords(path: string, cause: string, others: readonly string[]): string {
  const port = shownName(path, 120);
  if (/permission denied/i.test(cause))
    return `${port} may not be used by you. On Linux add yourself to the group of the port (usually dialout) and log in again.`;
  if (/lock|busy|temporarily unavailable|access denied/i.test(cause))
    return `${port} is held by another program. Close it (a serial monitor, another Wholeturn) and try again.`;
  if (/no such file|not found|does not exist|no such device/i.test(cause)) {
    const there = others.length === 0 ? 'No serial port is there at all' : `There are: ${others.join(', ')}`;
    return `There is no port ${port}. ${there}. Check cable and power of the controller.`;
  }
  return `${port} cannot be opened (${shownName(cause, 200)}).`;
}

export function unpluggedWords(path: string, cause: string | undefined): string {
  const why = cause === undefined ? '' : ` (${shownName(cause, 120)})`;
  return `${shownName(path, 120)} is gone${why}. Was the cable pulled, or the power of the controller cut?`;
}
