// @ts-check
// Keeps a page of the board as it would be if it were loaded now. The page itself comes from the service, whole, and
// works without this. Here the feed is followed: touches are put into their cells at once; whatever changes more is
// fetched as the same page again and what differs is exchanged.

/**
 * @typedef {{what: string, competitionId?: string, boutId?: string, winner?: 'left' | 'right' | null,
 *   score?: {left: number, right: number} | null}} FeedItem
 */

/** What no page of the board shows. */
const quiet = new Set(['clock-started', 'clock-halted', 'clock-set', 'break-taken', 'break-taken-back']);

/** What changes no more than two numbers, unless the bout begins or ends with it. */
const touches = new Set(['touch-scored', 'touch-taken-back', 'card-shown', 'card-taken-back']);

const spread = 1500; // So many milliseconds lie at most between something happening and a page that fetches itself.
const patience = 3000; // A connection that comes back sooner was not lost.
const silence = 60000; // After so long without a word it is asked whether anybody is there.

/** @type {EventSource | undefined} */
let source;
let address = location.pathname + location.search;
let board = theBoard(document);
let position = board.dataset.after ?? '0';
let served = htmlOf(board);
let contact = Date.now();
let ticked = Date.now();
let hiddenSince = 0;
let brokenSince = 0;
let failures = 0;
/** @type {number | undefined} */
let planned;
/** @type {Promise<boolean> | undefined} */
let fetching;
/** @type {{id: number, item: FeedItem}[]} */
let recent = [];
/** @type {Set<string>} */
const begun = new Set();

/**
 * Shows another page in this one's place. Tells whether it could.
 * @param {string} to
 */
export async function turnTo(to) {
  await fetching;
  address = to;
  return refresh();
}

/** @param {Document} from */
function theBoard(from) {
  const found = from.getElementById('board');
  if (!found) {
    throw new Error('no board');
  }

  return found;
}

/** @param {Element} of */
function htmlOf(of) {
  return [...of.children].map(child => child.outerHTML);
}

function connect() {
  source?.close();
  source = new EventSource(`/api/tournaments/${board.dataset.feed}/feed?after=${position}`);
  source.onopen = () => {
    if (brokenSince && Date.now() - brokenSince > patience) {
      plan();
    }

    brokenSince = 0;
    heard();
  };
  source.onerror = () => {
    brokenSince ||= Date.now();
    setTimeout(tell, patience);
    if (source?.readyState === EventSource.CLOSED) {
      setTimeout(connect, 2000 + Math.random() * 2000);
    }
  };
  for (const name of (board.dataset.names ?? '').split(' ')) {
    source.addEventListener(name, event => take(/** @type {MessageEvent} */ (event)));
  }
}

/** @param {MessageEvent} event */
function take(event) {
  position = event.lastEventId;
  heard();
  /** @type {FeedItem} */
  const item = JSON.parse(event.data);
  const about = board.dataset.about;
  const ofEquipment = item.what.startsWith('equipment-');
  if (quiet.has(item.what) || (ofEquipment && !board.querySelector('[data-equipment]')) || (about && item.competitionId && item.competitionId !== about)) {
    return;
  }

  recent.push({ id: Number(position), item });
  if (!put(item)) {
    plan();
  }
}

/**
 * Puts the score of a bout into its cells. Tells whether that is all there is to do.
 * @param {FeedItem} item
 */
function put(item) {
  const { boutId, score, winner } = item;
  if (!boutId || !score) {
    return false;
  }

  let whole = touches.has(item.what);
  let found = false;
  for (const side of /** @type {const} */ (['left', 'right'])) {
    for (const cell of cellsOf(boutId, side)) {
      found = true;
      const target = Number(/** @type {HTMLElement} */ (cell.closest('[data-bouts]')).dataset.target);
      const won = winner === side;
      cell.textContent = (won && cell.closest('.grid') ? 'V' : '') + score[side];
      cell.classList.toggle('won', won);
      whole &&= cell.classList.contains('now') && score[side] < target;
    }
  }

  if (!found && whole) {
    // It is not on this page. Once it has begun it may be.
    whole = begun.has(boutId);
    begun.add(boutId);
  }

  return whole;
}

/**
 * @param {string} boutId
 * @param {'left' | 'right'} side
 */
function* cellsOf(boutId, side) {
  for (const group of board.querySelectorAll('[data-bouts]')) {
    const prefix = /** @type {HTMLElement} */ (group).dataset.bouts ?? '';
    if (boutId.startsWith(prefix)) {
      yield* group.querySelectorAll(`[data-bout="${boutId.slice(prefix.length)}${side[0]}"]`);
    }
  }
}

/** Fetches the page before long: not at once, so that a thousand phones do not ask in the same moment. */
function plan() {
  if (!document.hidden) {
    planned ??= setTimeout(refresh, Math.random() * spread);
  }
}

function refresh() {
  clearTimeout(planned);
  planned = undefined;
  fetching ??= fetchPage().finally(() => {
    fetching = undefined;
  });
  return fetching;
}

async function fetchPage() {
  const wanted = address;
  try {
    const answer = await fetch(wanted, { cache: 'no-cache', headers: { Accept: 'text/html' }, signal: AbortSignal.timeout(10000) });
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html');
    if (answer.status >= 500 || (answer.ok && !fresh.getElementById('board'))) {
      throw new Error(answer.statusText);
    }

    failures = 0;
    heard();
    if (!answer.ok) {
      // What the page was about is gone: drawn anew, or scrapped. Let the browser say so.
      location.reload();
      return false;
    }

    exchange(fresh);
    return true;
  } catch {
    failures++;
    brokenSince ||= Date.now();
    tell();
    planned ??= setTimeout(refresh, Math.min(30000, 1000 * 2 ** failures) * (0.5 + Math.random()));
    return false;
  }
}

/** @param {Document} fresh */
function exchange(fresh) {
  const now = theBoard(fresh);
  const html = htmlOf(now);
  const after = Number(now.dataset.after);
  const shared = Math.min(served.length, html.length);
  let from = 0;
  while (from < shared && served[from] === html[from]) {
    from++;
  }

  let same = 0;
  while (same < shared - from && served[served.length - 1 - same] === html[html.length - 1 - same]) {
    same++;
  }

  const old = [...board.children].slice(from, served.length - same);
  if (old.some(typedIn)) {
    // Somebody is filling a form in. What he typed is not taken away; the rest can wait.
    planned ??= setTimeout(refresh, 2000);
    return;
  }

  const made = [...now.children].slice(from, html.length - same);
  const focus = keyOf(document.activeElement);
  const open = new Set(old.flatMap(e => [...e.querySelectorAll('details[open]'), e].filter(d => d.matches('details[open]')).map(d => d.id)));
  const scrolled = old.flatMap(e => [e, ...e.querySelectorAll('.wide')]).filter(e => e.matches('.wide')).map(e => e.scrollLeft);
  const next = board.children[served.length - same] ?? null;
  old.forEach(e => e.remove());
  made.forEach(e => board.insertBefore(document.adoptNode(e), next));
  made.flatMap(e => [e, ...e.querySelectorAll('details')]).forEach(d => {
    if (d instanceof HTMLDetailsElement) {
      d.open = open.has(d.id);
    }
  });
  made.flatMap(e => [e, ...e.querySelectorAll('.wide')]).filter(e => e.matches('.wide')).forEach((e, i) => {
    e.scrollLeft = scrolled[i] ?? 0;
  });
  for (const name of ['after', 'about', 'next', 'back']) {
    if (now.dataset[name] !== undefined) {
      board.dataset[name] = now.dataset[name];
    }
  }

  document.title = fresh.title;
  served = html;
  if (focus && document.activeElement === document.body) {
    const again = [...board.querySelectorAll('a, button, input, select, summary, [tabindex]')].find(e => keyOf(e) === focus);
    if (again instanceof HTMLElement) {
      again.focus({ preventScroll: true });
    }
  }

  // What happened while the page was on its way is newer than the page.
  recent = recent.filter(r => r.id > after);
  if (recent.map(r => put(r.item)).includes(false)) {
    plan();
  }

  document.dispatchEvent(new CustomEvent('shown'));
}

/**
 * Whether a field holds something else than what the page came with.
 * @param {Element} part
 */
function typedIn(part) {
  return [...part.querySelectorAll('form input, form textarea, form select')].some(field =>
    field instanceof HTMLSelectElement
      ? field.selectedIndex !== Math.max(0, [...field.options].findIndex(o => o.defaultSelected))
      : field instanceof HTMLTextAreaElement
        ? field.value !== field.defaultValue
        : field instanceof HTMLInputElement && (field.checked !== field.defaultChecked || (field.type !== 'hidden' && field.value !== field.defaultValue)));
}

/** @param {Element | null} element */
function keyOf(element) {
  return !element || !board.contains(element) ? '' : element.id || element.getAttribute('rel') || element.getAttribute('href') || element.getAttribute('aria-label') || element.parentElement?.id || '';
}

function heard() {
  contact = Date.now();
  tell();
}

/** Says whether what stands here is what is. */
function tell() {
  const line = document.getElementById('live');
  if (!line) {
    return;
  }

  const on = navigator.onLine && !(brokenSince && Date.now() - brokenSince >= patience - 100);
  const at = new Date(contact).toLocaleTimeString(document.documentElement.lang, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
  const text = on ? line.dataset.live ?? '' : (line.dataset.lost ?? '').replace('{0}', at);
  if (line.textContent !== text) {
    line.textContent = text;
    line.classList.toggle('off', !on);
  }
}

/** After sleep, or a while in the background, nothing that stood here can be relied on. */
function wake() {
  connect();
  void refresh();
}

document.addEventListener('visibilitychange', () => {
  if (document.hidden) {
    hiddenSince = Date.now();
  } else if (Date.now() - hiddenSince > 2000) {
    wake();
  }
});
addEventListener('pageshow', event => {
  if (event.persisted) {
    wake();
  }
});
addEventListener('online', wake);
addEventListener('offline', () => {
  brokenSince ||= Date.now();
  tell();
});
setInterval(() => {
  const slept = Date.now() - ticked > 20000;
  ticked = Date.now();
  if (slept) {
    wake();
  } else if (!document.hidden && Date.now() - contact > silence) {
    void refresh();
  }
}, 5000);

// "My fencer": kept on this device only.

/** @returns {{id: string, name: string} | null} */
function mine() {
  try {
    return JSON.parse(localStorage.getItem('my fencer') ?? 'null');
  } catch {
    return null;
  }
}

/** @param {{id: string, name: string} | null} fencer */
function keepMine(fencer) {
  try {
    if (fencer) {
      localStorage.setItem('my fencer', JSON.stringify(fencer));
    } else {
      localStorage.removeItem('my fencer');
    }
  } catch {
    // A browser that keeps nothing: then not.
  }
}

function showMine() {
  const fencer = mine();
  const link = document.getElementById('mine');
  if (link instanceof HTMLAnchorElement) {
    link.hidden = !fencer?.id.startsWith(`${board.dataset.feed}-`);
    link.href = `/entrants/${fencer?.id}`;
    link.textContent = fencer?.name ?? '';
  }

  const button = document.getElementById('remember');
  if (button) {
    const remembered = fencer?.id === location.pathname.split('/')[2];
    button.hidden = false;
    button.setAttribute('aria-pressed', String(remembered));
    button.textContent = (remembered ? button.dataset.forget : button.dataset.remember) ?? '';
  }
}

document.addEventListener('click', event => {
  const button = event.target instanceof Element ? event.target.closest('#remember') : null;
  if (button instanceof HTMLElement) {
    keepMine(button.getAttribute('aria-pressed') === 'true' ? null : { id: location.pathname.split('/')[2], name: button.dataset.name ?? '' });
    showMine();
  }
});
document.addEventListener('shown', showMine);
document.addEventListener('outdated', () => void refresh());
showMine();
connect();
