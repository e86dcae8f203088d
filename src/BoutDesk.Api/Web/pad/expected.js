// @ts-check
/**
 * When a bout is expected, from what the service said last: pure.
 *
 * @typedef {{ at: string, bouts: { boutId: string, begins: { at: string, from: string, to: string } }[] }} Forecast
 */

// The service works times out anew each minute. What is older is told with its age, and what is too old not at all: a
// wrong time is worse than none, since people walk off for it.
const Fresh = 3 * 60000;
const Oldest = 15 * 60000;

// The clock of the hall stands in the text itself, wherever this phone believes to be.
const clock = (/** @type {string} */ at) => at.slice(11, 16);

/** The day in the hall at a moment. @param {number} now @param {string} at any moment as the hall writes it */
const dayAt = (now, at) => new Date(now + Date.parse(`${at.slice(0, 19)}Z`) - Date.parse(at)).toISOString().slice(0, 10);

/**
 * The clock times of a bout, or null when nothing is known of it, or nothing that still holds.
 *
 * @param {Forecast | null | undefined} forecast @param {string} boutId @param {number} now the service's time, in milliseconds
 * @returns {{ at: string, from: string, to: string, day: string | null, as: string | null } | null} day when it is another than today, as when it was worked out if that was a while ago
 */
export function expected(forecast, boutId, now) {
  const age = forecast ? now - Date.parse(forecast.at) : Infinity;
  const begins = age < Oldest && forecast?.bouts.find(bout => bout.boutId === boutId)?.begins;
  if (!begins || Date.parse(begins.to) < now) {
    return null;
  }
  const day = begins.at.slice(0, 10);
  return {
    at: clock(begins.at),
    from: clock(begins.from),
    to: clock(begins.to),
    day: day === dayAt(now, begins.at) ? null : day,
    as: age > Fresh ? clock(/** @type {Forecast} */ (forecast).at) : null,
  };
}
