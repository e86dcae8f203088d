// @ts-check
/**
 * Sends what was done here: in order, each with its own key, until the service has it. What the service refuses stays,
 * until a person has decided.
 *
 * @typedef {import('./store.js').Entry} Entry
 * @typedef {import('./store.js').Kept} Kept
 */
import { newKey } from './key.js';
import * as store from './store.js';
import { ask, timeOffset, Unreachable } from './server.js';

const Lease = 15000;
// The same after a reload of this window, so that it need not wait for its own lease to lapse.
const owner = sessionStorage.getItem('pad') ?? newKey();
sessionStorage.setItem('pad', owner);

export class Outbox {
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #timer;
  #busy = false;
  #again = false;
  #failures = 0;

  /** The bouts that the pass does not cover. @type {Set<string>} */
  foreign = new Set();
  /** Whether the pass was refused. */
  passRefused = false;
  /** Whether the last request was answered. */
  reached = true;

  /**
   * @param {() => string | null} pass the pass to send with
   * @param {() => Promise<void>} changed called after everything that a person should see
   */
  constructor(pass, changed) {
    this.pass = pass;
    this.changed = changed;
  }

  /** Sends what there is, now. */
  async send() {
    clearTimeout(this.#timer);
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#busy = true;
    try {
      do {
        this.#again = false;
        await this.#sendAll();
      } while (this.#again);
    } finally {
      this.#busy = false;
    }
  }

  /** Another pass may be taken. */
  async passChanged() {
    this.passRefused = false;
    this.foreign.clear();
    await this.send();
  }

  async #sendAll() {
    while (this.pass() && !this.passRefused) {
      const { bouts, entries } = await store.all();
      const stopped = new Set(bouts.filter(bout => bout.conflict).map(bout => bout.id));
      const entry = entries.find(each => !stopped.has(each.bout) && !this.foreign.has(each.bout));
      if (!entry) {
        return;
      }
      if (!await store.lease(owner, Date.now(), Lease)) {
        this.#sendLater(2000);
        return;
      }
      try {
        const kept = /** @type {Kept} */ (bouts.find(bout => bout.id === entry.bout));
        await this.#sendOne(entry, kept, entries.filter(each => each.bout === entry.bout));
        this.#failures = 0;
        this.reached = true;
      } catch (failure) {
        if (!(failure instanceof Unreachable)) {
          throw failure;
        }
        this.reached = false;
        this.#sendLater(Math.max(failure.waitMs ?? 0, Math.min(15000, 500 * 2 ** this.#failures++)));
        await this.changed();
        return;
      }
      await this.changed();
    }
  }

  /** @param {number} ms */
  #sendLater(ms) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.send(), ms);
  }

  /** @param {Entry} entry @param {Kept} kept @param {Entry[]} waiting everything of this bout */
  async #sendOne(entry, kept, waiting) {
    if (!entry.tried) {
      // From now on it may have arrived, so it must stay as it is.
      const late = Date.now() - entry.at > 2000 && entry.body && /(touches|clock|breaks)$/.test(entry.path);
      entry = { ...entry, tried: true, body: late ? { ...entry.body, at: new Date(entry.at + timeOffset()).toISOString() } : entry.body };
      await store.update(entry);
    }

    const pass = /** @type {string} */ (this.pass());
    const { status, version, body } = await ask(entry.method, entry.path, { pass, key: entry.key, version: kept.version, body: entry.body });
    switch (status) {
      case 200:
        await store.arrived(entry, version, body);
        break;
      case 401:
        this.passRefused = true;
        break;
      case 403:
        this.foreign.add(entry.bout);
        break;
      case 422: {
        // The key was used, and by nobody else: it had arrived with the pass before this one.
        const now = await ask('GET', `/api/bouts/${entry.bout}`);
        await store.arrived(entry, now.version, now.body);
        break;
      }
      default: {
        const now = await ask('GET', `/api/bouts/${entry.bout}`);
        const theirs = now.status === 200 ? now : { version: kept.version, body: null };
        if (status === 412 && theirs.body && (sameCourse(theirs.body, kept.bout) || waiting.every(each => each.clock))) {
          // Only the clock is in question, or the strip, so what was done here is still true.
          await store.rebase(entry.bout, theirs.version, theirs.body);
        } else {
          await store.dispute(entry.bout, { version: theirs.version, bout: theirs.body, problem: body });
        }
      }
    }
  }
}

/** Whether two readings of a bout tell the same course of it. @param {any} one @param {any} two */
export function sameCourse(one, two) {
  const told = (/** @type {any} */ bout) => JSON.stringify([bout.actions, bout.confirmed, bout.status === 'annulled', bout.score, bout.left, bout.right]);
  return told(one) === told(two);
}
