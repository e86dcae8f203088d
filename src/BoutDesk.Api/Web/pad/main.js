// @ts-check
/** The referee's pad: what a tap does, and what the pad knows. */
import { keepPage } from '../kept.js';
import { speak } from '../language.js';
import { cardFor, clockPeriod, lot, standing } from './bout.js';
import { jumped, remaining, runs, timeBase, untouched, withTime } from './clock.js';
import { newKey } from './key.js';
import { Outbox } from './outbox.js';
import { draw, drawClock, scoreOf, titleOf, words } from './screen.js';
import { ask, forgetTime, listen, timeOffset, Unreachable } from './server.js';
import * as store from './store.js';
import { keepAwake } from './wake.js';
import { t } from './words.js';

/** @typedef {import('./store.js').Entry} Entry */
/** @typedef {import('./store.js').Kept} Kept */
/** @typedef {import('./bout.js').Side} Side */

// A finger that trembles taps again within this time; nobody scores two touches in it.
const DoubleTap = 600;

/** @type {string | null} */ let pass = null;
/** @type {any} */ let own = null;
/** @type {Kept[]} */ let bouts = [];
/** @type {Entry[]} */ let entries = [];
/** @type {import('./clock.js').Clock} */ let clock = untouched;
// The base of the time in which the clock was taken: what was taken after the phone's time was changed needs no more moving.
let clockBase = timeBase();
/** @type {string | null} */ let open = null;
/** @type {string | null} */ let sheet = null;
/** @type {string | null} */ let said = null;
/** @type {string | null} */ let notice = null;
/** @type {string | null} */ let wrongKind = null;
let offence = '';
let keeping = 0;
let confirming = false;
let ready = false;
let connected = false;
let stopListening = () => {};

const others = new BroadcastChannel('boutdesk-pad');
const outbox = new Outbox(() => pass, changed);
const of = (/** @type {{ id: string }} */ kept) => entries.filter(entry => entry.bout === kept.id);

/** Everything that the screen shows. */
export const stateNow = () => ({
  own, bouts, entries, keeping, clock, open, sheet, said, notice, wrongKind, justTapped, confirming, ready, connected, of,
  passRefused: outbox.passRefused, foreign: outbox.foreign, reached: outbox.reached, secure: isSecureContext,
});

function show() {
  draw(stateNow());
  void keepAwake(open !== null);
}

/** Reads what is kept, and shows it. */
async function reload() {
  const now = await store.all();
  bouts = now.bouts.sort((a, b) => a.place - b.place);
  entries = now.entries;
  show();
}

/** After something was kept here. */
async function changed() {
  await reload();
  others.postMessage('changed');
}

// One thing after the other, so that a tap finds what the tap before it has kept.
let working = Promise.resolve();
const inTurn = (/** @type {() => Promise<void>} */ work) => (working = working.then(work).catch(failure => {
  notice = t('This phone could not keep that ({0}). Look whether it is shown; if not, note it on paper and tell the desk.', failure?.name ?? failure);
  show();
}));

/** @param {string} bout @param {string} method @param {string} path @param {any} body @param {Partial<Entry>} rest @returns {Entry} */
const entry = (bout, method, path, body, rest) =>
  ({ key: newKey(), bout, at: Date.now(), method, path: `/api/bouts/${bout}/${path}`, body, tried: false, ...rest });

/** @param {string} bout @param {'start' | 'halt' | 'set'} action @param {number} remainingMs */
const clockEntry = (bout, action, remainingMs) => entry(bout, 'POST', 'clock', { action, remainingMs }, { clock: action });

/**
 * Does something to the bout that is open, as it stands then.
 *
 * @param {(bout: any, now: ReturnType<typeof standing>, at: { period: number, ms: number, running: boolean }) => Entry[] | Promise<Entry[]>} work
 */
const act = work => {
  // A tap is not sent from the moment of the tap, not only once it is kept.
  keeping++;
  show();
  return inTurn(async () => {
    let added = 0;
    try {
      added = await keepWork(work);
    } finally {
      keeping--;
    }
    if (added) {
      await changed();
      void outbox.send();
    } else {
      show();
    }
  });
};

/** @param {Parameters<typeof act>[0]} work */
async function keepWork(work) {
  const kept = bouts.find(bout => bout.id === open);
  if (!kept || kept.conflict) {
    return 0;
  }
  const now = standing(kept.bout, of(kept));
  const period = clockPeriod(kept.bout, now.course);
  const ms = remaining(clock, kept.bout, period, Date.now());
  const added = await work(kept.bout, now, { period, ms, running: runs(clock, period) });
  await store.add(added);
  return added.length;
}

/** @param {import('./clock.js').Clock} next */
function takeClock(next) {
  clock = next;
  clockBase = timeBase();
}

/** @param {import('./clock.js').Clock} next */
async function setClock(next) {
  takeClock(next);
  await store.keep(`clock ${open}`, next);
}

/** Halts the clock if it runs; what is recorded next is so told after the halt. @param {any} bout @param {{ period: number, ms: number, running: boolean }} at */
async function halted(bout, { period, ms, running }) {
  if (!running) {
    return [];
  }
  await setClock(withTime(clock, period, ms, null));
  return [clockEntry(bout.id, 'halt', ms)];
}

/** @type {Record<string, number>} */
const taps = {};

/** @param {string} what */
const justTapped = what => performance.now() - (taps[what] ?? -Infinity) < DoubleTap;

/** Whether it is the second tap of a trembling finger. @param {string} what */
function again(what) {
  if (!justTapped(what)) {
    taps[what] = performance.now();
    return false;
  }
  said = t('Second tap ignored.');
  navigator.vibrate?.([40, 60, 40]);
  show();
  return true;
}

/** @type {Record<string, (arg: string) => unknown>} */
const does = {
  back: () => goTo(null),
  open: id => goTo(id),

  touch(side) {
    if (again(`touch ${side}`)) {
      return;
    }
    navigator.vibrate?.(30);
    setTimeout(show, DoubleTap + 20);
    void act(async (bout, now, at) => {
      if (!now.open || now.course.priorityDue) {
        return [];
      }
      if (at.running) {
        await setClock(withTime(clock, at.period, at.ms, null));
      }
      /** @type {import('./bout.js').Action} */
      const action = side === 'both' ? { kind: 'doubleTouch' } : { kind: 'touch', side: /** @type {Side} */ (side) };
      const { score } = standing({ ...bout, actions: [...now.actions, action] }, []).course;
      said = side === 'both' && score.left === now.score.left
        ? t('Double touch: it does not count at this score.')
        : side === 'both' ? t('Touch for both. {0}', scoreOf(score)) : t('Touch {0}. {1}', t(side), scoreOf(score));
      return [entry(bout.id, 'POST', 'touches', at.running ? { side, remainingMs: at.ms } : { side }, { action })];
    });
  },

  undo() {
    if (again('undo')) {
      return;
    }
    void act((bout, now) => {
      if (!now.undo) {
        return [];
      }
      said = t('Taken back: {0}.', words(now.undo));
      return [entry(bout.id, 'DELETE', 'actions/last', null, { takesBack: true })];
    });
  },

  clock() {
    if (again('clock')) {
      return;
    }
    said = null;
    void act(async (bout, now, at) => {
      if (at.running) {
        return halted(bout, at);
      }
      if (!now.open || now.course.priorityDue) {
        return [];
      }
      if (at.ms === 0) {
        sheet = 'time';
        show();
        return [];
      }
      await setClock(withTime(clock, at.period, at.ms, Date.now()));
      return [clockEntry(bout.id, 'start', at.ms)];
    });
  },

  setClock() {
    const part = (/** @type {string} */ id) => Math.min(59, Math.max(0, Math.floor(Number(/** @type {HTMLInputElement} */ (document.getElementById(id)).value) || 0)));
    const ms = 60000 * part('minutes') + 1000 * part('seconds');
    sheet = null;
    notice = null;
    void act(async (bout, _, { period }) => {
      await setClock(withTime(clock, period, ms, null));
      said = t('Clock set.');
      return [clockEntry(bout.id, 'set', ms)];
    });
  },

  time() {
    sheet = null;
    void act(async (bout, now, at) => {
      if (!now.open || now.course.priorityDue) {
        return [];
      }
      await setClock(withTime(clock, at.period, 0, null));
      said = t('Time.');
      // The pause is counted from the halt, so it is told even where nobody ran the clock.
      return [clockEntry(bout.id, 'halt', 0), entry(bout.id, 'POST', 'time', null, { action: { kind: 'time' } })];
    });
  },

  priority(who) {
    void act((bout, now) => {
      if (!now.course.priorityDue) {
        return [];
      }
      const [high, low] = crypto.getRandomValues(new Uint32Array(2));
      const drawSeed = (high % 2 ** 21) * 2 ** 32 + low;
      const side = who === 'lot' ? lot(drawSeed) : /** @type {Side} */ (who);
      said = t('Priority {0}: {1}.', t(side), bout[side].name);
      return [entry(bout.id, 'POST', 'priority', who === 'lot' ? { drawSeed } : { side }, { action: { kind: 'priority', side } })];
    });
  },

  card(arg) {
    const [side, group, sure] = /** @type {[Side, string, string | undefined]} */ (arg.split(' '));
    // Not there any more when a black card is confirmed.
    offence = /** @type {HTMLInputElement | null} */ (document.getElementById('reason'))?.value.trim() ?? offence;
    const reason = offence;
    void act(async (bout, now, at) => {
      if (!now.open) {
        return [];
      }
      const card = cardFor(now.actions, side, Number(group));
      sheet = card === 'black' && !sure ? `black ${side} ${group}` : null;
      if (sheet) {
        show();
        return [];
      }
      said = `${words({ kind: 'card', card, side })}.`;
      return [...await halted(bout, at), entry(bout.id, 'POST', 'cards',
        { side, group: Number(group), reason: reason || `Offence of group ${group}.` }, { action: { kind: 'card', side, card, group: Number(group) } })];
    });
  },

  break(side) {
    sheet = null;
    void act(async (bout, now, at) => now.open
      ? [...await halted(bout, at), entry(bout.id, 'POST', 'breaks', { side, kind: 'medical' }, { action: { kind: 'break', side: /** @type {Side} */ (side) } })]
      : []);
  },

  show() {
    confirming = true;
    taps.confirm = performance.now();
    // A second tap must not confirm what nobody has read; after that the button takes one.
    setTimeout(show, DoubleTap + 20);
    show();
  },

  correct() {
    confirming = false;
    show();
  },

  confirm() {
    if (again('confirm')) {
      return;
    }
    void act((bout, now) => {
      if (!now.winner || now.done) {
        return [];
      }
      const result = { ...now.score, winner: now.winner };
      notice = t('{0} is confirmed: {1}.', titleOf(/** @type {Kept} */ (bouts.find(kept => kept.id === bout.id))), scoreOf(now.score));
      queueMicrotask(() => goTo(null, true));
      return [entry(bout.id, 'PUT', 'result', result, { result })];
    });
  },

  sheet(which) {
    sheet = null;
    show();
    sheet = which;
    show();
  },

  closeSheet() {
    sheet = null;
    show();
  },

  takeTheirs: () => settle(false),
  mineAgain: () => settle(true),
  decideLater: () => goTo(null),

  takeAddress() {
    const text = /** @type {HTMLInputElement} */ (document.getElementById('address')).value.trim();
    if (text) {
      void inTurn(() => takePass(text.slice(text.indexOf('#') + 1)));
    }
  },

  language(code) {
    speak(/** @type {import('../language.js').Language} */ (code));
    show();
  },

  async tryAgain() {
    await outbox.passChanged();
    await refresh();
  },
};

/** @param {boolean} mineToo */
const settle = mineToo => inTurn(async () => {
  const kept = bouts.find(bout => bout.id === open);
  if (kept?.conflict) {
    await store.settle(kept.id, kept.conflict.version, kept.conflict.bout ?? kept.bout, mineToo);
    await adoptClock();
    said = null;
    await changed();
    await refresh();
    void outbox.send();
  }
});

/** Opens a bout, or with null the list. @param {string | null} id @param {boolean} [keepNotice] */
function goTo(id, keepNotice) {
  if (id && !open) {
    history.pushState({ bout: id }, '');
  }
  return inTurn(async () => {
    open = id;
    confirming = false;
    sheet = null;
    said = null;
    notice = keepNotice ? notice : null;
    takeClock((id && await store.kept(`clock ${id}`)) ?? untouched);
    await store.keep('open', id);
    await adoptClock();
    show();
  });
}

addEventListener('popstate', () => open && goTo(null));

/** Takes the clock from the service, when another device has moved it or this one has never touched it. */
async function adoptClock() {
  const kept = bouts.find(bout => bout.id === open);
  const told = kept?.bout.clock;
  // After a jump of the phone's time the next tick puts the running clock right, to the millisecond; the service tells seconds.
  if (!kept || of(kept).length || !told?.used || (runs(clock, told.period) && Math.abs(timeBase() - clockBase) > 1500)) {
    return;
  }
  const since = told.runningSince && Date.parse(told.runningSince) - timeOffset();
  const theirs = withTime(clock, told.period, told.remainingMs, since || null);
  const left = (/** @type {import('./clock.js').Clock} */ which) => remaining(which, kept.bout, told.period, Date.now());
  if (runs(theirs, told.period) !== runs(clock, told.period) || Math.abs(left(theirs) - left(clock)) > 1500) {
    await setClock(theirs);
    show();
  }
}

/** Reads what the pass is for, and its bouts. */
async function refresh() {
  if (!pass || outbox.passRefused) {
    return;
  }
  try {
    const about = await ask('GET', '/api/pass', { pass });
    outbox.reached = true;
    if (about.status === 401) {
      outbox.passRefused = true;
    } else if (about.body.kind !== 'referee') {
      wrongKind = about.body.kind;
      own = null;
    } else {
      const list = await ask('GET', '/api/pass/bouts', { pass });
      if (list.status === 200) {
        if (about.body.expected && about.body.expected.at === own?.expected?.at) {
          // On a large day the service goes on computing while it tells what it expected before.
          clearTimeout(later);
          later = setTimeout(renewTimes, 2000);
        }
        own = about.body;
        await store.keep('own', own);
        warnOfOthers(await store.takeList(list.body));
      }
    }
    ready = true;
    await changed();
    void inTurn(adoptClock);
    follow();
  } catch (failure) {
    if (!(failure instanceof Unreachable)) {
      throw failure;
    }
    outbox.reached = false;
    clearTimeout(soon);
    soon = setTimeout(refresh, 3000);
  }
  show();
}

/** Reads again when bouts are expected, which moves by the minute, whatever happens; without a network it grows old on the screen. */
async function renewTimes() {
  if (open || !own || !pass || document.visibilityState !== 'visible') {
    return;
  }
  const asked = pass;
  const about = await ask('GET', '/api/pass', { pass }).catch(() => null);
  if (about?.status === 200 && pass === asked && own) {
    own = about.body;
    await store.keep('own', own);
  }
  show();
}

/** @param {string[]} moved the bouts that others have gone on with */
function warnOfOthers(moved) {
  if (open && moved.includes(open)) {
    notice = t('Another device has changed this bout. Score it on one phone only; look at the score before you go on.');
    navigator.vibrate?.(200);
  }
}

/** Reads one bout that another device may have changed. @param {string} id */
async function rereadBout(id) {
  const before = bouts.find(bout => bout.id === id);
  if (!before || of(before).length) {
    return;
  }
  const answer = await ask('GET', `/api/bouts/${id}`).catch(() => null);
  if (answer?.status !== 200 || answer.version <= before.version) {
    return;
  }
  await inTurn(async () => {
    if (await store.reread(id, answer.version, answer.body)) {
      warnOfOthers([id]);
    }
    await changed();
    await adoptClock();
    show();
  });
}

/** @type {string | null} */
let followed = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let soon;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let later;

/** Follows the feed of the tournament. */
function follow() {
  if (!own || followed === own.tournamentId) {
    return;
  }
  stopListening();
  followed = own.tournamentId;
  stopListening = listen(own.tournamentId, item => {
    if (item && /^(touch|card|clock|break|time|priority)-/.test(item.what)) {
      void rereadBout(item.boutId);
    } else if (item && /^equipment-(check|waive)/.test(item.what) && !bouts.some(kept => kept.equipment)) {
      // Nobody asks for it here.
    } else {
      // Several things happen together when pools are drawn or a strip is given.
      clearTimeout(soon);
      soon = setTimeout(refresh, 300);
    }
  }, now => {
    connected = now;
    if (now) void outbox.send();
    show();
  });
}

/** @param {string} given */
async function takePass(given) {
  pass = given;
  // What is known stays until the service has told what the new pass is for: it may be out of reach just now.
  own = own && { ...own, expiresAt: null };
  wrongKind = null;
  notice = null;
  open = null;
  outbox.passRefused = false;
  await store.keep('pass', pass);
  history.replaceState(null, '', location.pathname);
  await store.keep('own', own);
  await store.keep('open', null);
  await refresh();
  void outbox.passChanged();
}

/** The pass in the address. Once kept it is taken out of there, so that nobody reads it over a shoulder. */
const passInAddress = () => decodeURIComponent(location.hash.slice(1));

// What was known at the last tick: an answer that comes just after the phone's time was changed knows of it already.
let offsetBefore = 0;

/** Watches the clock: its end, and the phone's time, which may be changed while it runs. */
async function tick() {
  const jump = jumped();
  const before = offsetBefore;
  offsetBefore = timeOffset();
  const kept = bouts.find(bout => bout.id === open);
  if (!kept) {
    return;
  }
  const now = standing(kept.bout, of(kept));
  const period = clockPeriod(kept.bout, now.course);
  if (jump && runs(clock, period)) {
    await inTurn(() => timeJumped(jump, before));
  }
  if (runs(clock, period) && remaining(clock, kept.bout, period, Date.now()) === 0) {
    navigator.vibrate?.([300, 100, 300]);
    await act(async (bout, _, at) => {
      sheet = at.running && at.ms === 0 ? 'time' : sheet;
      return at.ms === 0 ? halted(bout, at) : [];
    });
    show();
  }
  drawClock(stateNow());
}

/** @param {number} jump @param {number} before what the phone's time lacked to the service's before the jump */
async function timeJumped(jump, before) {
  const held = clock;
  forgetTime();
  const knows = before !== 0 && await ask('GET', '/health/live').then(() => true, failure => failure instanceof Unreachable && timeOffset() !== 0);
  // Put back: time has not passed backwards. Put forward and asleep look alike here; only the service can tell.
  const changedByHand = jump < 0 || (knows && Math.abs(before - timeOffset() - jump) < 2500);
  const by = Math.round(timeBase() - clockBase);
  if (changedByHand && held.since !== null) {
    await setClock({ ...held, since: held.since + by });
  }
  clockBase = timeBase();
  notice = changedByHand
    ? t('The time of this phone was changed. The fencing clock goes on as it was. Compare it, and set it under More if it is wrong.')
    : t('This phone slept for {0} s while the clock ran, or its time was changed. Halt, and set the clock under More if it is wrong.', Math.round(jump / 1000));
  show();
}

document.addEventListener('click', event => {
  const pressed = /** @type {Element} */ (event.target).closest('[data-do]');
  if (pressed instanceof HTMLElement && !(/** @type {HTMLButtonElement} */ (pressed).disabled)) {
    does[/** @type {string} */ (pressed.dataset.do)](pressed.dataset.arg ?? '');
  }
});
document.getElementById('back')?.addEventListener('click', () => goTo(null));
document.getElementById('sheet')?.addEventListener('cancel', event => {
  event.preventDefault();
  does.closeSheet('');
});
others.onmessage = () => inTurn(reload);
addEventListener('hashchange', () => {
  const given = passInAddress();
  if (given) void inTurn(() => takePass(given));
});
const wakeUp = () => {
  if (document.visibilityState === 'visible') {
    void outbox.send();
    void refresh();
  }
};
addEventListener('online', wakeUp);
document.addEventListener('visibilitychange', wakeUp);
addEventListener('offline', () => { connected = false; show(); });

async function begin() {
  const given = passInAddress();
  pass = await store.kept('pass') ?? null;
  own = await store.kept('own') ?? null;
  open = await store.kept('open') ?? null;
  takeClock((open && await store.kept(`clock ${open}`)) ?? untouched);
  if (given && given !== pass) {
    await takePass(given);
  } else {
    if (given) history.replaceState(null, '', location.pathname);
    ready = own !== null || pass === null;
    await reload();
    void refresh();
  }
  void outbox.send();
  void keepPage('/strip');
  setInterval(tick, 100);
  setInterval(renewTimes, 60000);
}

begin().catch(() => {
  notice = t('This browser keeps nothing, so the pad cannot work in it. Leave private browsing, or use another browser.');
  ready = true;
  show();
});
