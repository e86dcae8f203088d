// @ts-check
/** IndexedDB for pages that a device keeps: each change one transaction that is on the disk before it is acknowledged. */

/** @param {IDBRequest} request @returns {Promise<any>} */
export const answer = request => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/**
 * Opens a database.
 *
 * @param {string} name @param {(database: IDBDatabase) => void} make makes its stores the first time
 */
export function open(name, make) {
  const opened = new Promise((resolve, reject) => {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => make(request.result);
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

  /** Works within one transaction. @template T @param {string[]} names @param {IDBTransactionMode} mode @param {(...stores: IDBObjectStore[]) => Promise<T>} work @returns {Promise<T>} */
  return async function within(names, mode, work) {
    const transaction = (await opened).transaction(names, mode, { durability: 'strict' });
    const ended = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    const result = await work(...names.map(each => transaction.objectStore(each)));
    await ended;
    return result;
  };
}
