// @ts-check
/** Requests to the service, and what its time is. */

/** The service did not answer, or not now; the same request can be sent again. */
export class Unreachable extends Error {
  /** @param {number} [waitMs] how long the service asks to wait */
  constructor(waitMs) {
    super('The service does not answer.');
    this.waitMs = waitMs;
  }
}

// The service's time is told in whole seconds; each answer narrows down how far the phone's is from it.
let least = -Infinity;
let most = Infinity;

/** The service's time less the phone's, in milliseconds, as well as known. */
export const timeOffset = () => (most === Infinity ? 0 : (least + most) / 2);

/** Begins to find the service's time anew, after the phone's time has jumped. */
export function forgetTime() {
  least = -Infinity;
  most = Infinity;
}

/**
 * Sends a request and waits at most ten seconds for the answer.
 *
 * @param {string} method @param {string} path
 * @param {{ pass?: string, key?: string, version?: number, body?: any }} [options]
 * @returns {Promise<{ status: number, version: number, body: any }>}
 */
export async function ask(method, path, { pass, key, version, body } = {}) {
  /** @type {Record<string, string>} */
  const headers = {};
  if (pass) headers.Authorization = `Bearer ${pass}`;
  if (key) headers['Idempotency-Key'] = key;
  if (version) headers['If-Match'] = `"${version}"`;
  if (body) headers['Content-Type'] = 'application/json';

  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), 10000);
  const sentAt = Date.now();
  try {
    const response = await fetch(path, { method, headers, body: body && JSON.stringify(body), signal: patience.signal, cache: 'no-store' });
    hearTime(response, sentAt);
    if (response.status === 429 || response.status >= 500) {
      throw new Unreachable(1000 * Number(response.headers.get('Retry-After') ?? 0));
    }
    return {
      status: response.status,
      version: Number.parseInt((response.headers.get('ETag') ?? '').replace('"', ''), 10),
      body: await response.json(),
    };
  } catch (failure) {
    throw failure instanceof Unreachable ? failure : new Unreachable();
  } finally {
    clearTimeout(timer);
  }
}

/** @param {Response} response @param {number} sentAt */
function hearTime(response, sentAt) {
  const told = Date.parse(response.headers.get('Date') ?? '');
  if (!Number.isNaN(told)) {
    const low = told - Date.now();
    const high = told + 1000 - sentAt;
    // Without a common part the phone's time was changed; the newest answer holds.
    const agrees = low <= most && high >= least;
    least = agrees ? Math.max(least, low) : low;
    most = agrees ? Math.min(most, high) : high;
  }
}

/**
 * Listens to what happens in a tournament until stopped. The handler is called with null each time it begins to
 * listen, since anything can have happened before.
 *
 * @param {string} tournamentId @param {(item: any) => void} heard @param {(connected: boolean) => void} connected
 * @returns {() => void} stops it
 */
export function listen(tournamentId, heard, connected) {
  let stopped = false;
  let breakOff = new AbortController();
  const lost = () => breakOff.abort();
  addEventListener('offline', lost);
  const follow = async () => {
    for (let waits = 1; !stopped; waits = Math.min(waits * 2, 8)) {
      try {
        breakOff = new AbortController();
        // A dead connection sends no sign of life, which a living one does every 15 seconds.
        let quiet = setTimeout(lost, 40000);
        const response = await fetch(`/api/tournaments/${tournamentId}/feed`, { signal: breakOff.signal, cache: 'no-store' });
        if (response.ok && response.body) {
          waits = 1;
          connected(true);
          heard(null);
          let text = '';
          const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
          for (let part = await reader.read(); !part.done; part = await reader.read()) {
            clearTimeout(quiet);
            quiet = setTimeout(lost, 40000);
            text += part.value;
            const items = text.split('\n\n');
            text = /** @type {string} */ (items.pop());
            for (const data of items.flatMap(item => item.split('\n')).filter(line => line.startsWith('data:'))) {
              heard(JSON.parse(data.slice(5)));
            }
          }
        }
        clearTimeout(quiet);
      } catch {
        // Broken off: by the service, the network or us. It is tried again.
      }
      if (!stopped) {
        connected(false);
        await new Promise(resolve => setTimeout(resolve, 1000 * waits));
      }
    }
  };
  void follow();
  return () => {
    stopped = true;
    removeEventListener('offline', lost);
    lost();
  };
}
