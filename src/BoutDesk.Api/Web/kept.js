// @ts-check
/**
 * Keeps a page itself on the device. A new edition takes over at the opening, and not in the middle of work.
 *
 * @param {string} scope the address of the page
 */
export async function keepPage(scope) {
  const worker = await navigator.serviceWorker?.register(`${scope}-worker.js`, { scope }).catch(() => null);
  if (worker?.waiting && navigator.serviceWorker.controller) {
    navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
    worker.waiting.postMessage('take over');
  }
  await navigator.storage?.persist?.();
}
