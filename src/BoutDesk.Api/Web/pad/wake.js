// @ts-check
/** Keeps the screen awake while a bout is open. Without https no browser does; then nothing happens. */

let wanted = false;
let asking = false;
/** @type {WakeLockSentinel | null} */
let held = null;

/** @param {boolean} awake */
export async function keepAwake(awake) {
  wanted = awake;
  if (!wanted) {
    await held?.release();
    held = null;
  } else if (!asking && (!held || held.released) && document.visibilityState === 'visible') {
    asking = true;
    // Refused when the battery is low; the pad works all the same.
    held = await navigator.wakeLock?.request('screen').catch(() => null) ?? null;
    asking = false;
  }
}

document.addEventListener('visibilitychange', () => wanted && keepAwake(true));
