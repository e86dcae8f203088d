// @ts-check
/**
 * What the device keeps: the pass, the table and the rules as last read, and the checks that the service does not have
 * yet. Every change is one transaction that is on the disk before it is shown.
 *
 * @typedef {import('./checks.js').Entry} Entry
 */

import { answer, open } from '../database.js';

const within = open('boutdesk-armourer', database => {
  database.createObjectStore('kept');
  database.createObjectStore('outbox', { keyPath: 'seq', autoIncrement: true });
});

/** @param {string} name */
export const kept = name => within(['kept'], 'readonly', store => answer(store.get(name)));

/** @param {string} name @param {any} value */
export const keep = (name, value) => within(['kept'], 'readwrite', store => answer(store.put(value, name)));

/** What is to be sent, in order. @returns {Promise<Entry[]>} */
export const entries = () => within(['outbox'], 'readonly', store => answer(store.getAll()));

/** @param {Entry} entry */
export const add = entry => within(['outbox'], 'readwrite', store => answer(store.add(entry)));

/** @param {Entry} entry */
export const update = entry => within(['outbox'], 'readwrite', store => answer(store.put(entry)));

/** @param {number} seq */
export const remove = seq => within(['outbox'], 'readwrite', store => answer(store.delete(seq)));
