// @ts-check
/**
 * What the phone keeps: the pass, the bouts as last read, and the actions that the service does not have yet. Every
 * change is one transaction that is on the disk before it is acknowledged, so a dead battery loses nothing.
 *
 * @typedef {import('./bout.js').Action} Action
 * @typedef {{ seq?: number, key: string, bout: string, at: number, method: string, path: string, body: any, tried: boolean,
 *   action?: Action, takesBack?: boolean, clock?: string, result?: { left: number, right: number, winner: string } }} Entry
 *   something to send; seq gives the order, key makes it count once
 * @typedef {{ id: string, place: number, version: number, competition: string, pool: number | null, bout: any,
 *   equipment?: { hindered: boolean, unready: { name: string }[] } | null, conflict?: { version: number, bout: any, problem: any } | null }} Kept a bout as it was when everything in the outbox was added
 */

import { answer, open } from '../database.js';

const within = open('boutdesk-pad', database => {
  database.createObjectStore('kept');
  database.createObjectStore('bouts', { keyPath: 'id' });
  database.createObjectStore('outbox', { keyPath: 'seq', autoIncrement: true });
});

/** @param {string} name */
export const kept = name => within(['kept'], 'readonly', store => answer(store.get(name)));

/** @param {string} name @param {any} value */
export const keep = (name, value) => within(['kept'], 'readwrite', store => answer(store.put(value, name)));

/** Everything at one moment. @returns {Promise<{ bouts: Kept[], entries: Entry[] }>} */
export const all = () => within(['bouts', 'outbox'], 'readonly', async (bouts, outbox) =>
  ({ bouts: await answer(bouts.getAll()), entries: await answer(outbox.getAll()) }));

/** Adds actions, each after the ones before. @param {Entry[]} entries */
export const add = entries => within(['outbox'], 'readwrite', async outbox => {
  for (const entry of entries) {
    await answer(outbox.add(entry));
  }
});

/** @param {Entry} entry */
export const update = entry => within(['outbox'], 'readwrite', outbox => answer(outbox.put(entry)));

/** An action has arrived, and the bout is now as answered. @param {Entry} entry @param {number} version @param {any} bout */
export const arrived = (entry, version, bout) => within(['bouts', 'outbox'], 'readwrite', async (bouts, outbox) => {
  const before = await answer(bouts.get(entry.bout));
  await answer(bouts.put({ ...before, id: entry.bout, version, bout }));
  await answer(outbox.delete(/** @type {number} */ (entry.seq)));
});

/**
 * Takes a bout as read, unless something was done to it here that is still to be sent.
 *
 * @param {string} id @param {number} version @param {any} bout
 * @returns {Promise<boolean>} whether others have gone on with it
 */
export const reread = (id, version, bout) => within(['bouts', 'outbox'], 'readwrite', async (bouts, outbox) => {
  const before = await answer(bouts.get(id));
  if (!before || before.version >= version || (await answer(outbox.getAll())).some((/** @type {Entry} */ entry) => entry.bout === id)) {
    return false;
  }
  await answer(bouts.put({ ...before, version, bout }));
  return otherActions(before.bout, bout);
});

/** @param {any} one @param {any} two */
const otherActions = (one, two) => JSON.stringify(one.actions) !== JSON.stringify(two.actions);

/**
 * Takes the list of bouts as read; those with something still to be sent stay as they are.
 *
 * @param {any[]} list
 * @returns {Promise<string[]>} the bouts of before that others have gone on with
 */
export const takeList = list => within(['bouts', 'outbox'], 'readwrite', async (bouts, outbox) => {
  const moved = [];
  const waiting = new Set((await answer(outbox.getAll())).map((/** @type {Entry} */ entry) => entry.bout));
  const before = new Map((await answer(bouts.getAll())).map((/** @type {Kept} */ bout) => [bout.id, bout]));
  for (const id of before.keys()) {
    if (!waiting.has(id) && !list.some(item => item.bout.id === id)) {
      await answer(bouts.delete(id));
    }
  }
  for (const [place, { version, competition, pool, bout, equipment }] of list.entries()) {
    const old = before.get(bout.id);
    if (!waiting.has(bout.id) && !(old && old.version > version)) {
      await answer(bouts.put({ id: bout.id, place, version, competition, pool, bout, equipment }));
      if (old && otherActions(old.bout, bout)) {
        moved.push(bout.id);
      }
    }
  }
  return moved;
});

/** The service has moved on in a way that leaves what was done here as true as it was. @param {string} id @param {number} version @param {any} bout */
export const rebase = (id, version, bout) => within(['bouts'], 'readwrite', async bouts =>
  answer(bouts.put({ ...await answer(bouts.get(id)), version, bout })));

/** Notes that the service has it otherwise, or with null that it is settled. @param {string} id @param {Kept['conflict']} conflict */
export const dispute = (id, conflict) => within(['bouts'], 'readwrite', async bouts =>
  answer(bouts.put({ ...await answer(bouts.get(id)), conflict })));

/**
 * Settles a conflict on the bout as the service has it. What was done here is dropped, or stays to be sent after it; a
 * result is dropped in any case, since nobody has seen it on top of the other.
 *
 * @param {string} id @param {number} version @param {any} bout @param {boolean} again
 */
export const settle = (id, version, bout, again) => within(['bouts', 'outbox'], 'readwrite', async (bouts, outbox) => {
  await answer(bouts.put({ ...await answer(bouts.get(id)), version, bout, conflict: null }));
  for (const entry of await answer(outbox.getAll())) {
    if (entry.bout === id && (!again || entry.result)) {
      await answer(outbox.delete(entry.seq));
    }
  }
});

/**
 * Takes the right to send, so that two windows of one phone do not send at once. It lapses by itself, because a window
 * can die at any moment; web locks would do it too, but are missing without https.
 *
 * @param {string} owner @param {number} now @param {number} ms
 * @returns {Promise<boolean>}
 */
export const lease = (owner, now, ms) => within(['kept'], 'readwrite', async store => {
  const held = await answer(store.get('lease'));
  if (held && held.owner !== owner && held.until > now && held.until <= now + ms) {
    return false;
  }
  await answer(store.put({ owner, until: now + ms }, 'lease'));
  return true;
});
