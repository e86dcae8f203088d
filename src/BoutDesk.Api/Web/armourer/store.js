// @ts-check
/**
 * What the device keeps: the pass, the table and the rules as last read, and the checks that the service does not have
 * yet. Every change is one transaction that is on the disk before it is shown.
 *
 * @typedef {import('./checks.js').Entry} Entry
 */

const opened = new Promise((resolve, reject) => {
  const request = indexedDB.open('boutdesk-armourer', 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore('kept');
    request.result.createObjectStore('outbox', { keyPath: 'seq', autoIncrement: true });
  };
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** @param {IDBRequest} request @returns {Promise<any>} */
const answer = request => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** @template T @param {string} name @param {IDBTransactionMode} mode @param {(store: IDBObjectStore) => Promise<T>} work @returns {Promise<T>} */
async function within(name, mode, work) {
  const transaction = (await opened).transaction(name, mode, { durability: 'strict' });
  const ended = new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error);
  });
  const result = await work(transaction.objectStore(name));
  await ended;
  return result;
}

/** @param {string} name */
export const kept = name => within('kept', 'readonly', store => answer(store.get(name)));

/** @param {string} name @param {any} value */
export const keep = (name, value) => within('kept', 'readwrite', store => answer(store.put(value, name)));

/** What is to be sent, in order. @returns {Promise<Entry[]>} */
export const entries = () => within('outbox', 'readonly', store => answer(store.getAll()));

/** @param {Entry} entry */
export const add = entry => within('outbox', 'readwrite', store => answer(store.add(entry)));

/** @param {Entry} entry */
export const update = entry => within('outbox', 'readwrite', store => answer(store.put(entry)));

/** @param {number} seq */
export const remove = seq => within('outbox', 'readwrite', store => answer(store.delete(seq)));
