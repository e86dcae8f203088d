// @ts-check
/** The armourer's page: what a press does, and what the page knows. */
import { keepPage } from '../kept.js';
import { speak } from '../language.js';
import { newKey } from '../pad/key.js';
import { ask, listen, timeOffset, Unreachable } from '../pad/server.js';
import { find, limitsOf, measured, verdictOf, withAnswer, withEntries } from './checks.js';
import { draw, itemName } from './screen.js';
import * as store from './store.js';
import { t } from './words.js';

/** @typedef {import('./checks.js').Entry} Entry */
/** @typedef {import('./checks.js').Fencer} Fencer */

/** @type {string | null} */ let pass = null;
/** @type {any} */ let own = null;
/** @type {any} */ let table = null;
/** @type {any} */ let rules = null;
/** @type {any[] | null} */ let tournaments = null;
/** @type {Entry[]} */ let entries = [];
/** @type {string | null} */ let open = null;
/** The piece whose sheet is open. @type {{ item: string, piece: number } | null} */ let at = null;
/** What is typed on that sheet. @type {Record<string, string | boolean | undefined>} */ let typed = {};
let words = '';
let mark = '';
/** @type {string | null} */ let notice = null;
let passRefused = false;
let wrongKind = false;
let reached = true;
let connected = false;
let ready = false;
let sending = false;
let sendAgain = false;
let failures = 0;
let stopListening = () => {};

const others = new BroadcastChannel('boutdesk-armourer');
const tournamentId = () => own?.tournamentId ?? null;

/** Everybody, with what is to be sent on top. */
const fencers = () => /** @type {Fencer[]} */ (table?.fencers ?? []).map(fencer => withEntries(fencer, entries));

/** Everything that the screen shows. */
export const stateNow = () => ({
  own, table, rules, tournaments, fencers: fencers(), entries, open, at, typed, words, mark, notice, passRefused, wrongKind, reached, connected, ready, secure: isSecureContext,
});

const show = () => draw(stateNow());

// One thing after the other, so that a press finds what the press before it has kept.
let working = Promise.resolve();
const inTurn = (/** @type {() => Promise<void>} */ work) => (working = working.then(work).catch(failure => {
  notice = t('This device could not keep that ({0}). Look whether it is shown; if not, note it on paper.', failure?.name ?? failure);
  show();
}));

async function reload() {
  entries = await store.entries();
  show();
}

/** Keeps something to be sent. @param {string} entrantId @param {string} method @param {string} path @param {any} body */
const enqueue = (entrantId, method, path, body) => inTurn(async () => {
  await store.add({ key: newKey(), entrantId, at: Date.now(), method, path: `/api/entrants/${entrantId}/equipment-checks${path}`, body, tried: false });
  await reload();
  others.postMessage('changed');
  void send();
});

/** Sends what there is, in order. */
async function send() {
  clearTimeout(later);
  if (sending) {
    sendAgain = true;
    return;
  }
  sending = true;
  try {
    do {
      sendAgain = false;
      await sendAll();
    } while (sendAgain);
  } finally {
    sending = false;
  }
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let later;

async function sendAll() {
  for (;;) {
    const entry = (await store.entries()).find(each => !each.refused);
    if (!entry || !pass || passRefused) {
      return;
    }
    try {
      await sendOne(entry, pass);
      failures = 0;
      reached = true;
    } catch (failure) {
      if (!(failure instanceof Unreachable)) {
        throw failure;
      }
      reached = false;
      clearTimeout(later);
      later = setTimeout(send, Math.max(failure.waitMs ?? 0, Math.min(15000, 500 * 2 ** failures++)));
      await reload();
      return;
    }
    await reload();
  }
}

/** @param {Entry} entry @param {string} withPass */
async function sendOne(entry, withPass) {
  if (!entry.tried) {
    // From now on it may have arrived, so it must stay as it is.
    const late = entry.method === 'POST' && Date.now() - entry.at > 2000;
    entry = { ...entry, tried: true, body: late ? { ...entry.body, at: new Date(entry.at + timeOffset()).toISOString() } : entry.body };
    await store.update(entry);
  }
  const { status, body } = await ask(entry.method, entry.path, { pass: withPass, key: entry.key, body: entry.body });
  if (status === 200 || status === 201) {
    take(entry.entrantId, body);
    await store.remove(/** @type {number} */ (entry.seq));
  } else if (status === 422) {
    // The key was used, and by nobody else: it had arrived with the pass before this one.
    await store.remove(/** @type {number} */ (entry.seq));
    await reread(entry.entrantId);
  } else if (status === 401) {
    passRefused = true;
  } else {
    await store.update({ ...entry, refused: body.detail ?? body.title });
  }
}

/** @param {string} entrantId @param {any} equipment */
function take(entrantId, equipment) {
  if (table) {
    table = { ...table, fencers: table.fencers.map((/** @type {Fencer} */ fencer) => fencer.entrantId === entrantId ? withAnswer(fencer, equipment) : fencer) };
    void store.keep('table', table);
  }
}

/** Reads one fencer, whom another device may have checked. @param {string} entrantId */
async function reread(entrantId) {
  const answer = await ask('GET', `/api/entrants/${entrantId}/equipment-checks`, { pass: pass ?? undefined }).catch(() => null);
  if (answer?.status === 200) {
    take(entrantId, answer.body);
    show();
  }
}

/** Reads what the pass is for, the rules and the table. */
async function refresh() {
  if (!pass || passRefused) {
    return;
  }
  try {
    const about = await ask('GET', '/api/pass', { pass });
    reached = true;
    if (about.status === 401) {
      passRefused = true;
    } else if (about.body.kind === 'referee') {
      wrongKind = true;
      own = null;
    } else {
      // A pass for all tournaments says none; which one it is to be here was chosen.
      const chosen = own?.tournamentId ?? location.pathname.split('/')[2] ?? null;
      own = { ...about.body, tournamentId: about.body.tournamentId ?? chosen };
      if (own.tournamentId) {
        const [inForce, now] = [
          await ask('GET', `/api/tournaments/${own.tournamentId}/equipment-rules`),
          await ask('GET', `/api/tournaments/${own.tournamentId}/equipment-table`, { pass }),
        ];
        if (inForce.status === 200 && now.status === 200) {
          rules = inForce.body;
          table = now.body;
          await store.keep('rules', rules);
          await store.keep('table', table);
        }
      } else {
        tournaments = (await ask('GET', '/api/tournaments')).body;
      }
      await store.keep('own', own);
    }
    ready = true;
    follow();
  } catch (failure) {
    if (!(failure instanceof Unreachable)) {
      throw failure;
    }
    reached = false;
    refreshSoon(3000);
  }
  show();
}

/** @type {ReturnType<typeof setTimeout> | undefined} */
let soon;

/** @param {number} ms */
function refreshSoon(ms) {
  clearTimeout(soon);
  soon = setTimeout(refresh, ms);
}

/** @type {string | null} */
let followed = null;

/** Follows the feed of the tournament. */
function follow() {
  if (!tournamentId() || followed === tournamentId()) {
    return;
  }
  stopListening();
  followed = tournamentId();
  stopListening = listen(/** @type {string} */ (followed), item => {
    if (item && /^equipment-(check|waive)/.test(item.what)) {
      void reread(item.entrantId);
    } else if (!item || /^(entrant|competition|equipment|check-in)-/.test(item.what)) {
      refreshSoon(500);
    }
  }, now => {
    connected = now;
    if (now) void send();
    show();
  });
}

/** @param {string} given */
async function takePass(given) {
  pass = given;
  wrongKind = false;
  passRefused = false;
  notice = null;
  await store.keep('pass', pass);
  history.replaceState(null, '', location.pathname);
  await refresh();
  void send();
}

/** @param {string | null} id */
function goTo(id) {
  if (id && !open) {
    history.pushState({ fencer: id }, '');
  }
  open = id;
  at = null;
  notice = null;
  if (!id) {
    words = '';
  }
  show();
}

/** @param {import('./checks.js').Verdict | null} verdict */
function record(verdict) {
  const fencer = fencers().find(each => each.entrantId === open);
  if (!fencer || !at) {
    return;
  }
  const { item, piece } = at;
  const note = /** @type {HTMLInputElement | null} */ (document.getElementById('note'))?.value.trim() || undefined;
  const limits = limitsOf(rules.rules.limits, item, fencer.weapon);
  const follows = verdictOf(limits, typed);
  if (verdict === 'passed' && follows === 'failed' && !note) {
    notice = t('A measured value breaks its limit. Say in the note why it passes all the same, or let it fail.');
    show();
    document.getElementById('note')?.focus();
    return;
  }
  const said = verdict ?? follows;
  notice = t(said === 'passed' ? '{0}: passed.' : '{0}: failed.', itemName(item));
  void enqueue(fencer.entrantId, 'POST', '', {
    item,
    piece,
    verdict: said,
    measured: measured(typed),
    mark: said === 'passed' && mark ? mark : undefined,
    note,
    ...typed.opens ? { opens: typed.opens } : {},
    ...typed.bladeSize ? { bladeSize: Number(typed.bladeSize) } : {},
    ...typed.madeFor ? { madeFor: typed.madeFor } : {},
  });
  does.closeSheet('');
}

/** @type {Record<string, (arg: string) => unknown>} */
const does = {
  open: id => goTo(id),

  pass(arg) {
    const [item, piece] = arg.split(' ');
    at = { item, piece: Number(piece) };
    typed = {};
    record('passed');
  },

  piece(arg) {
    const [item, piece] = arg.split(' ');
    at = { item, piece: Number(piece) };
    typed = {};
    show();
  },

  gauge(arg) {
    const [measure, passes] = arg.split(' ');
    typed[measure] = passes === 'yes';
    show();
  },

  passed: () => record('passed'),
  failed: () => record('failed'),

  rest() {
    const fencer = fencers().find(each => each.entrantId === open);
    if (fencer) {
      notice = t('Everything that was not checked yet has passed.');
      void enqueue(fencer.entrantId, 'POST', '/rest', mark ? { mark } : {});
    }
  },

  undo() {
    const id = /** @type {string} */ (open);
    void inTurn(async () => {
      const last = (await store.entries()).filter(entry => entry.entrantId === id).at(-1);
      if (last && !last.tried) {
        await store.remove(/** @type {number} */ (last.seq));
        notice = t('Taken back.');
        await reload();
      } else {
        notice = t('Taken back.');
        void enqueue(id, 'DELETE', '/last', undefined);
      }
    });
  },

  again: seq => inTurn(async () => {
    const entry = entries.find(each => String(each.seq) === seq);
    if (entry) {
      await store.update({ ...entry, key: newKey(), refused: null, tried: false });
      await reload();
      void send();
    }
  }),

  drop: seq => inTurn(async () => {
    await store.remove(Number(seq));
    await reload();
  }),

  print: () => print(),

  closeSheet() {
    at = null;
    typed = {};
    show();
  },

  choose: id => inTurn(async () => {
    own = { ...own, tournamentId: id };
    await store.keep('own', own);
    await refresh();
  }),

  takeAddress() {
    const text = /** @type {HTMLInputElement} */ (document.getElementById('address')).value.trim();
    if (text) {
      void inTurn(() => takePass(text.slice(text.indexOf('#') + 1)));
    }
  },

  language(code) {
    speak(/** @type {import('../language.js').Language} */ (code));
    void refresh();
    show();
  },

  tryAgain() {
    passRefused = false;
    void refresh();
    void send();
  },
};

document.addEventListener('click', event => {
  const pressed = /** @type {Element} */ (event.target).closest('[data-do]');
  if (pressed instanceof HTMLButtonElement && !pressed.disabled) {
    does[/** @type {string} */ (pressed.dataset.do)](pressed.dataset.arg ?? '');
  }
});

document.addEventListener('input', event => {
  const field = event.target;
  if (!(field instanceof HTMLInputElement || field instanceof HTMLSelectElement)) {
    return;
  }
  if (field.id === 'who') {
    words = field.value;
    show();
  } else if (field.id === 'mark') {
    mark = field.value.trim();
    void store.keep('mark', mark);
  } else if (field.dataset.measure) {
    typed[field.dataset.measure] = field.value;
    show();
  }
});

document.addEventListener('keydown', event => {
  if (event.key === 'Enter' && event.target instanceof HTMLInputElement && event.target.id === 'who') {
    const [first] = find(fencers(), words);
    if (first && words.trim()) {
      goTo(first.entrantId);
    }
  }
});

document.getElementById('back')?.addEventListener('click', () => goTo(null));
document.getElementById('sheet')?.addEventListener('cancel', event => {
  event.preventDefault();
  does.closeSheet('');
});
addEventListener('popstate', () => open && goTo(null));
others.onmessage = () => inTurn(reload);

const passInAddress = () => decodeURIComponent(location.hash.slice(1));
addEventListener('hashchange', () => {
  const given = passInAddress();
  if (given) void inTurn(() => takePass(given));
});
const wakeUp = () => {
  if (document.visibilityState === 'visible') {
    void send();
    void refresh();
  }
};
addEventListener('online', wakeUp);
document.addEventListener('visibilitychange', wakeUp);
addEventListener('offline', () => { connected = false; show(); });

async function begin() {
  const given = passInAddress();
  [pass, own, table, rules, mark] = [
    await store.kept('pass') ?? null, await store.kept('own') ?? null, await store.kept('table') ?? null, await store.kept('rules') ?? null, await store.kept('mark') ?? '',
  ];
  if (given && given !== pass) {
    // Another pass may be for another tournament.
    [own, table, rules] = [null, null, null];
    await reload();
    await takePass(given);
  } else {
    if (given) history.replaceState(null, '', location.pathname);
    ready = table !== null || pass === null;
    await reload();
    void refresh();
  }
  void send();
  void keepPage('/equipment');
  // The pace changes while nothing happens.
  setInterval(() => document.visibilityState === 'visible' && refresh(), 60000);
}

begin().catch(() => {
  notice = t('This browser keeps nothing, so the page cannot work in it. Leave private browsing, or use another browser.');
  ready = true;
  show();
});

