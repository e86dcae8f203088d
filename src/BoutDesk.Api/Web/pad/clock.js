// @ts-check
/**
 * The fencing clock. A clock is a plain value that is kept, so that it runs on over a reload.
 *
 * @typedef {{ left: Record<number, number>, period: number, since: number | null }} Clock
 *   left: the milliseconds left in each period in which it was touched; since: the moment from which it runs, or null
 * @typedef {import('./bout.js').Rules} Rules
 */
import { periodMs } from './bout.js';

/** @type {Clock} */
export const untouched = { left: {}, period: 1, since: null };

/** @param {Clock} clock @param {number} period */
export const runs = (clock, period) => clock.since !== null && clock.period === period;

/**
 * The milliseconds left in a period.
 *
 * @param {Clock} clock @param {Rules} rules @param {number} period @param {number} now
 */
export function remaining(clock, rules, period, now) {
  const left = clock.left[period] ?? periodMs(rules, period);
  return runs(clock, period) ? Math.max(0, Math.round(left - Math.max(0, now - /** @type {number} */ (clock.since)))) : left;
}

/** @param {Clock} clock @param {number} period @param {number} ms @param {number | null} since @returns {Clock} */
export const withTime = (clock, period, ms, since) => ({ left: { ...clock.left, [period]: ms }, period, since });

/** @param {number} ms */
export function told(ms) {
  // The last ten seconds are told in tenths; before them a second counts until it has passed.
  if (ms < 10000) {
    return `0:0${(Math.ceil(ms / 100) / 10).toFixed(1)}`.replace('0:010.0', '0:10');
  }
  const seconds = Math.ceil(ms / 1000);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}

/** The phone's time less its steady one, in milliseconds: it changes when the phone's time is changed, or the phone has slept. */
export const timeBase = () => Date.now() - performance.now();

let base = timeBase();

/**
 * How far the phone's time has jumped since the last call, in milliseconds: below 0 it was put back, above 0 it was put
 * forward or the phone slept. 0 while all is well.
 */
export function jumped() {
  const jump = timeBase() - base;
  base += jump;
  return Math.abs(jump) > 2000 ? Math.round(jump) : 0;
}
