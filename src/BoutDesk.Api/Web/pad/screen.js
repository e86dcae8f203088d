// @ts-check
/** Draws the pad. What is shown follows from the state alone; buttons carry the name of what they do. */
import { cardFor, clockPeriod, follow, other, standing } from './bout.js';
import { remaining, runs, told } from './clock.js';
import { language, languages } from '../language.js';
import { button, h, patch } from '../tree.js';
import { expected } from './expected.js';
import { timeOffset } from './server.js';
import { n, t } from './words.js';

/** @typedef {import('./store.js').Kept} Kept */
/** @typedef {import('./bout.js').Side} Side */
/** @typedef {import('./bout.js').Action} Action */

const by = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const clockTime = (/** @type {string} */ at) => new Date(at).toLocaleTimeString(language(), { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
const names = { pause: 'Pause', sabreBreak: 'Break', medicalBreak: 'Medical break' };
/** @type {Side[]} */
const sides = ['left', 'right'];

/** @param {any} bout @param {Side} side */
const nameOf = (bout, side) => bout[side]?.name ?? t('not known yet');

/** What an action was, in words. @param {Action} action */
export function words({ kind, side, card }) {
  switch (kind) {
    case 'doubleTouch': return t('double touch');
    case 'card': return t('{0} card {1}', t(String(card)), t(String(side)));
    case 'time': return t('time');
    case 'break': return t('medical break {0}', t(String(side)));
    case 'priority': return t('priority {0}', t(String(side)));
    default: return t('touch {0}', t(String(side)));
  }
}

/** @param {import('./bout.js').Score} score */
export const scoreOf = score => `${score.left}:${score.right}`;

/** @param {Kept} kept */
export const titleOf = kept => kept.bout.poolId
  ? t('Pool {0}, bout {1}', kept.pool, kept.bout.order)
  : t('{0}, bout {1}', t({ 2: 'Final', 4: 'Semi-final', 8: 'Quarter-final' }[/** @type {2} */ (kept.bout.tableOf)] ?? 'Table of {0}', kept.bout.tableOf), kept.bout.order);

/** @param {Kept} kept */
const whoIn = kept => t('{0}: {1}, {2}', titleOf(kept), nameOf(kept.bout, 'left'), nameOf(kept.bout, 'right'));

/** @typedef {ReturnType<typeof import('./main.js').stateNow>} State */

/** Draws everything anew. @param {State} state */
export function draw(state) {
  const kept = state.bouts.find(bout => bout.id === state.open);
  const [name, content] = !state.ready ? ['wait', wait(state)]
    : !state.own ? ['code', code(state)]
    : !kept ? ['list', list(state)]
    : kept.conflict ? ['conflict', conflict(state, kept)]
    : state.confirming && standing(kept.bout, state.of(kept)).winner ? ['confirm', confirm(state, kept)]
    : ['bout', bout(state, kept)];
  const main = by('content');
  const moved = main.dataset.screen !== name;
  patch(main, h('main', { id: 'content', 'data-screen': name, tabindex: '-1' }, content));
  if (moved) {
    scrollTo(0, 0);
    main.focus({ preventScroll: true });
  }
  document.documentElement.lang = language();
  document.title = t("Referee's pad");
  by('back').textContent = t('Bouts');
  by('back').hidden = !kept || state.confirming;
  drawSent(state);
  by('notice').hidden = !state.notice;
  if (by('notice').textContent !== state.notice) by('notice').textContent = state.notice;
  drawSheet(state, kept);
  drawClock(state);
}

/** @param {State} state */
function drawSent({ entries, keeping, reached, connected, own, passRefused, bouts }) {
  const waiting = entries.length + keeping;
  const stuck = bouts.some(bout => bout.conflict) || passRefused;
  const text = waiting ? t('{0} not sent yet', waiting) : own ? t('All sent') : '';
  patch(by('sent'), h('p', { id: 'sent', role: 'status', class: waiting ? 'waits' : 'sent' },
    text, waiting && !stuck && (!reached || !connected) ? h('small', {}, t('No connection. Go on; the phone keeps it.')) : null,
    !waiting && own && !connected ? h('small', {}, t('No connection')) : null));
}

/** @param {State} state */
const wait = state => h('div', {}, h('h1', {}, t("Referee's pad")), h('p', {}, state.reached ? t('One moment…') : t('The service does not answer. Check the Wi-Fi of the hall; the pad tries again by itself.')));

/** @param {State} state */
function code(state) {
  return h('div', { class: 'text' },
    h('h1', {}, t("Referee's pad")),
    passTrouble(state),
    h('p', {}, t('Scan the code on the sheet of your pool or strip with the camera of this phone.')),
    h('label', { for: 'address' }, t('No camera? Type or paste the address below the code:')),
    h('input', { id: 'address', type: 'url', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false' }),
    button('takeAddress', t('Open'), { class: 'main' }),
    otherLanguages());
}

/** The way to the other languages. */
const otherLanguages = () => h('p', {}, Object.entries(languages).filter(([code]) => code !== language()).map(([code, name]) =>
  button('language', name, { 'data-arg': code, lang: code, class: 'plain' })));

/** What is the matter with the pass, and what to do. @param {State} state @param {boolean} [brief] */
function passTrouble(state, brief) {
  const { own, passRefused, wrongKind, entries } = state;
  if (wrongKind) {
    return h('p', { class: 'trouble', id: 'pass-trouble' }, `${wrongKind === 'armourer' ? t('This code is for the armourer, not for a strip.') : t('This code is for the desk, not for a strip.')} ${t("Ask the desk for a referee's code, and scan that.")}`);
  }
  if (!passRefused) {
    return null;
  }
  const ended = own?.expiresAt && Date.parse(own.expiresAt) < Date.now();
  return h('div', { class: 'trouble', id: 'pass-trouble' },
    h('p', {}, ended ? t('This code ended at {0}.', clockTime(own.expiresAt)) : t('This code does not hold at {0}, or no longer.', location.host), ' ',
      t('Ask the desk for a new one, and scan it with this phone.'), ' ',
      entries.length ? t('What is not sent stays here and is sent then. You can go on scoring meanwhile.') : ''),
    !brief && button('tryAgain', t('Try again')));
}

/** @param {State} state */
function list(state) {
  const { own, bouts, secure } = state;
  // The service calls it the same in English.
  const poolName = (/** @type {any} */ part) => {
    const kept = bouts.find(each => each.bout.poolId === part.id);
    return kept ? t('{0}, pool {1}', kept.competition, kept.pool) : part.name;
  };
  const all = bouts.map(kept => ({ kept, now: standing(kept.bout, state.of(kept)) }));
  const ahead = all.filter(({ kept, now }) => !now.done && kept.bout.status !== 'waiting');
  const [next, then] = ahead;
  return h('div', { class: 'text' },
    h('h1', {}, [...own.pools.map(poolName), ...own.strips.map((/** @type {any} */ part) => part.name)].join(', ') || own.tournament),
    passTrouble(state),
    state.foreign.size > 0 && h('p', { class: 'trouble', id: 'foreign' },
      t('This code is not for {0}. What you scored there stays here. Ask the desk for a code of that pool or strip, and scan it.', bouts.filter(kept => state.foreign.has(kept.id)).map(titleOf).join(', '))),
    all.filter(({ kept }) => kept.conflict).map(({ kept }) =>
      button('open', t('{0} has two versions. Look at both', titleOf(kept)), { 'data-arg': kept.id, class: 'alert' })),
    next
      ? h('section', { class: 'next', 'aria-label': t('Next bout') },
        h('p', { class: 'label' }, t('Next')),
        h('h2', {}, titleOf(next.kept)),
        when('p', state, next),
        equipmentTrouble(next.kept, next.now),
        sides.map(side => h('p', { class: `fencer ${side}` }, h('small', {}, t(side)), h('b', {}, nameOf(next.kept.bout, side)), h('small', {}, about(next.kept.bout, side)))))
      : h('p', { class: 'next' }, bouts.length
        ? t('All bouts of this code have a result. Thank you. Ask the desk what comes next.')
        : t('There is no bout on this code yet. It appears here as soon as the desk puts one on.')),
    then && h('p', { class: 'then' }, h('span', { class: 'label' }, t('Then'), ' '), whoIn(then.kept), when('small', state, then)),
    h('details', {}, h('summary', {}, n(ahead.length, 'All bouts ({0} is open)', 'All bouts ({0} are open)')),
      h('ol', { class: 'bouts' }, all.map(({ kept, now }) => h('li', {}, button('open', [
        h('span', {}, whoIn(kept), when('small', state, { kept, now })),
        h('b', {}, kept.bout.status === 'annulled' ? t('does not count') : now.done || now.actions.length ? scoreOf(now.score) : ''),
      ], { 'data-arg': kept.id, class: 'plain' }))))),
    !secure && h('p', { class: 'faint' }, t('Keep this page open: without https it cannot be opened again while the network is away, and the screen may go dark.')),
    otherLanguages(),
    next && h('div', { class: 'hands' }, button('open',
      next.now.winner ? t('Confirm the result') : next.now.actions.length ? t('Go on at {0}', scoreOf(next.now.score)) : t('Go to this bout'), { 'data-arg': next.kept.id, class: 'main' })));
}

/** When a bout that has not begun is expected. @param {string} tag @param {State} state @param {{ kept: Kept, now: ReturnType<typeof standing> }} of */
function when(tag, { own }, { kept, now }) {
  const begins = now.done || now.actions.length || kept.bout.status === 'fencing' ? null : expected(own.expected, kept.id, Date.now() + timeOffset());
  if (!begins) {
    return null;
  }
  const at = begins.day ? `${new Date(`${begins.day}T12:00Z`).toLocaleDateString(language(), { weekday: 'short', timeZone: 'UTC' })} ${begins.at}` : begins.at;
  const about = begins.from === begins.to ? t('about {0}', at) : t('about {0} ({1}–{2})', at, begins.from, begins.to);
  return h(tag, { class: 'when' }, begins.as ? t('{0}, as of {1}', about, begins.as) : about);
}

const handed = (/** @type {string | undefined} */ hand) => hand && (hand === 'left' ? t('left-handed') : t('right-handed'));

/** Club and hand. @param {any} bout @param {Side} side */
const about = (bout, side) => [bout[side]?.club ?? bout[side]?.country, handed(bout[side]?.hand)].filter(Boolean).join(', ');

/** @param {State} state @param {Kept} kept */
function bout(state, kept) {
  const now = standing(kept.bout, state.of(kept));
  const { bout } = kept;
  const { course } = now;
  return h('section', { class: 'bout' },
    h('h1', { class: 'where' }, titleOf(kept), h('small', {}, t('{0}, to {1}', kept.competition, bout.touches))),
    passTrouble(state, true),
    state.foreign.has(kept.id) && h('p', { class: 'trouble' }, t('This code is not for this bout. What you score stays here. Ask the desk for a code of this pool or strip, and scan it.')),
    h('div', { class: 'sides' }, sides.map(side => h('div', { class: side },
      h('p', { class: 'name' }, nameOf(bout, side)),
      h('p', { class: 'about' }, about(bout, side)),
      h('p', { class: 'score' }, String(now.score[side])),
      h('p', { class: 'marks' },
        now.actions.filter(action => action.kind === 'card' && action.side === side).map(({ card }) => h('span', { class: `card ${card}` }, t('{0} card', t(String(card))))),
        course.priority === side && h('span', { class: 'priority' }, t('priority')))))),
    now.open && !course.priorityDue
      ? h('div', { class: 'time' }, h('p', { id: 'clock' }), h('p', { class: 'label' },
        now.interval ? t(names[now.interval.phase]) : course.priority ? t('extra minute') : bout.periods > 1 ? t('period {0} of {1}', course.period, bout.periods) : t('fencing time')))
      : null,
    h('p', { id: 'said', role: 'status' }, state.said ?? ''),
    equipmentTrouble(kept, now),
    hands(state, kept, now));
}

/** Whose equipment has not passed, before the bout has begun. @param {Kept} kept @param {ReturnType<typeof standing>} now */
function equipmentTrouble({ equipment }, now) {
  const names = (equipment?.unready ?? []).map(each => each.name).join(' + ');
  return names && !now.actions.length && !now.done && h('p', { class: 'trouble', id: 'equipment' }, equipment?.hindered
    ? t('Do not begin: the equipment of {0} has not passed. Send the fencer to the armourer, or ask the desk.', names)
    : t('The equipment of {0} has not passed. Ask the armourer.', names));
}

/** The buttons, where the thumb is. @param {State} state @param {Kept} kept @param {ReturnType<typeof standing>} now */
function hands(state, { bout }, now) {
  if (now.done || bout.status === 'waiting') {
    return h('div', { class: 'hands' },
      h('p', { class: 'verdict' }, bout.status === 'waiting' ? t('The fencers are not known yet. This bout waits for the ones before it.')
        : bout.status === 'annulled' ? t('This bout does not count. Go to the next one.')
        : now.result ? t('Confirmed: {0} wins {1}.', now.winner && nameOf(bout, now.winner), scoreOf(now.score))
        : now.winner ? t('Decided without fencing: {0} goes on.', nameOf(bout, now.winner)) : t('Decided without fencing.')),
      now.result && h('p', {}, t('Is it wrong? Only the desk can change it now. Go there and name this bout.')),
      button('back', t('To the next bout'), { class: 'main' }));
  }
  if (now.winner) {
    return h('div', { class: 'hands' },
      h('p', { class: 'verdict' }, t('{0} wins {1}.', nameOf(bout, now.winner), scoreOf(now.score))),
      undo(now),
      button('show', t('Show it to both fencers'), { class: 'main' }));
  }
  if (now.course.priorityDue) {
    return h('div', { class: 'hands' },
      h('p', { class: 'verdict' }, t('Time at a level score. Draw who has priority in the extra minute.')),
      undo(now),
      h('div', { class: 'row' }, sides.map(side => button('priority', t('{0} drew it', t(side)), { 'data-arg': side }))),
      button('priority', t('Draw by lot'), { class: 'main', 'data-arg': 'lot' }));
  }
  const running = runs(state.clock, clockPeriod(bout, now.course));
  const just = (/** @type {string} */ side) => (state.justTapped(`touch ${side}`) ? ' just' : '');
  return h('div', { class: 'hands' },
    h('div', { class: 'row touches' }, sides.map(side => button('touch', t('Touch {0}', t(side)), { 'data-arg': side, class: `touch ${side}${just(side)}` }))),
    h('div', { class: 'row' },
      undo(now),
      bout.weapon === 'epee' && button('touch', t('Both'), { 'data-arg': 'both', class: `both${just('both')}` }),
      button('sheet', t('Cards'), { 'data-arg': 'cards' }),
      button('sheet', t('More'), { 'data-arg': 'more' })),
    button('clock', running ? t('Halt') : t('Start'), { class: running ? 'main halt' : 'main' }));
}

/** @param {ReturnType<typeof standing>} now */
const undo = now => button('undo', now.undo ? [t('Undo'), h('small', {}, words(now.undo).replace(/ touch| card|medical |coup |carton | médical/, ''))] : t('Undo'), { disabled: !now.undo });

/** The result, to be read by both fencers. @param {State} state @param {Kept} kept */
function confirm(state, kept) {
  const now = standing(kept.bout, state.of(kept));
  return h('section', { class: 'confirm' },
    h('h1', { class: 'where' }, titleOf(kept), h('small', {}, kept.competition)),
    h('div', { class: 'sides' }, sides.map(side => h('div', { class: `${side}${side === now.winner ? ' wins' : ''}` },
      h('p', { class: 'name' }, nameOf(kept.bout, side)),
      h('p', { class: 'score' }, String(now.score[side])),
      h('p', { class: 'label' }, side === now.winner ? t('wins') : '')))),
    h('p', {}, t('Fencers, is this right? Once it is confirmed only the desk can change it.')),
    h('div', { class: 'hands' },
      button('correct', t('No, go back and correct')),
      button('confirm', t('Yes, confirm'), { class: 'main', disabled: state.justTapped('confirm') })));
}

/** What the service has beside what is here. @param {State} state @param {Kept} kept */
function conflict(state, kept) {
  const { bout: theirs, problem } = /** @type {any} */ (kept.conflict);
  const mine = state.of(kept);
  const now = standing(kept.bout, mine);
  const added = mine.filter(entry => !entry.clock);
  const both = theirs && standing(theirs, mine.filter(entry => !entry.result));
  const free = theirs && !theirs.confirmed && standing(theirs, []).open;
  return h('section', { class: 'text' },
    h('h1', {}, t('{0}: two versions', titleOf(kept))),
    h('p', {}, !theirs ? t('This bout is no longer on the programme.')
      : theirs.confirmed && !kept.bout.confirmed ? t('Meanwhile the desk or another phone confirmed this bout.')
      : theirs.status === 'annulled' ? t('Meanwhile this bout was taken out: it does not count.')
      : JSON.stringify(theirs.actions) !== JSON.stringify(kept.bout.actions) ? t('Meanwhile the desk or another phone changed this bout.')
      : `${t(problem.title)}. ${problem.detail}`),
    h('div', { class: 'versions' },
      h('article', { 'aria-label': t('At the desk') }, h('h2', {}, t('At the desk')),
        theirs && h('p', { class: 'score' }, scoreOf(theirs.score ?? { left: 0, right: 0 })),
        h('p', {}, theirs?.confirmed ? t('confirmed') : theirs ? lastOf(theirs.actions) : t('nothing'))),
      h('article', { 'aria-label': t('On this phone') }, h('h2', {}, t('On this phone')),
        h('p', { class: 'score' }, scoreOf(now.score)),
        h('p', {}, t('not sent: {0}', added.map(entry => entry.result ? t('result') : entry.takesBack ? t('undo') : words(/** @type {Action} */ (entry.action))).join(', ') || t('clock'))))),
    h('p', {}, t('Not sure? Decide later, and show this at the desk. Nothing is lost until you choose.')),
    h('div', { class: 'hands' },
      button('decideLater', t('Decide later')),
      free && button('mineAgain', [t('Add mine to the desk’s'), h('small', {}, t('makes {0}', scoreOf(both.score)))]),
      button('takeTheirs', [t('Take the desk’s version'), h('small', {}, n(mine.length, 'drops {0} entry of this phone', 'drops {0} entries of this phone'))], { class: 'main' })));
}

/** @param {Action[]} actions */
const lastOf = actions => (actions.length ? t('last: {0}', actions.slice(-3).map(words).join(', ')) : t('nothing recorded'));

/** @param {State} state @param {Kept | undefined} kept */
function drawSheet(state, kept) {
  const sheet = /** @type {HTMLDialogElement} */ (by('sheet'));
  const now = kept && standing(kept.bout, state.of(kept));
  if (!state.sheet || !kept || !now?.open) {
    if (sheet.open) sheet.close();
    sheet.replaceChildren();
    return;
  }
  const { bout } = kept;
  const title = (/** @type {string} */ text) => h('h2', { id: 'sheet-title' }, text);
  const cancel = button('closeSheet', t('Cancel'));
  const [kind, side] = /** @type {[string, Side]} */ (state.sheet.split(' '));
  /** @type {any[]} */
  let content = [];
  switch (kind) {
    case 'cards':
      content = [title(t('Card for an offence of')),
        h('div', { class: 'offences' }, sides.map(side => h('div', { role: 'group', 'aria-label': nameOf(bout, side) },
          h('p', { class: 'name' }, nameOf(bout, side)),
          [1, 2, 3, 4].map(group => {
            const card = cardFor(now.actions, side, group);
            return button('card', [t('Group {0}', group), h('span', { class: `card ${card}` }, t(card))], { 'data-arg': `${side} ${group}` });
          })))),
        h('label', { for: 'reason' }, t('What for (may stay empty)')), h('input', { id: 'reason', maxlength: '150', autocomplete: 'off' }), cancel];
      break;
    case 'black':
      content = [title(t('Black card')), h('p', {}, t('{0} is then out of the competition, and {1} wins this bout. Only the desk can lift it.', nameOf(bout, side), nameOf(bout, other(side)))),
        cancel, button('card', t('Show the black card'), { 'data-arg': `${state.sheet.slice(6)} sure`, class: 'main alert' })];
      break;
    case 'more':
      content = [title(t('More')),
        button('time', t('Time has run out')),
        button('sheet', t('Set the clock'), { 'data-arg': 'set' }),
        sides.map(side => button('break', t('Medical break {0}: {1}', t(side), nameOf(bout, side)), { 'data-arg': side })), cancel];
      break;
    case 'set': {
      const seconds = Math.ceil(remaining(state.clock, bout, clockPeriod(bout, now.course), Date.now()) / 1000);
      content = [title(t('Set the clock')),
        h('div', { class: 'row' },
          h('label', {}, t('Minutes'), h('input', { id: 'minutes', type: 'number', inputmode: 'numeric', min: '0', max: '59', value: sheet.open ? null : Math.floor(seconds / 60) })),
          h('label', {}, t('Seconds'), h('input', { id: 'seconds', type: 'number', inputmode: 'numeric', min: '0', max: '59', value: sheet.open ? null : seconds % 60 }))),
        cancel, button('setClock', t('Set'), { class: 'main' })];
      break;
    }
    case 'time':
      content = [title(t('The clock is at zero')),
        h('p', {}, after(bout, now)),
        button('sheet', t('Not yet: set the clock'), { 'data-arg': 'set' }),
        button('time', t('Time has run out'), { class: 'main' })];
      break;
  }
  patch(sheet, h('dialog', { id: 'sheet', 'aria-labelledby': 'sheet-title', open: sheet.open }, content));
  if (!sheet.open) sheet.showModal();
}

/** What the end of the time means. @param {any} bout @param {ReturnType<typeof standing>} now */
function after(bout, now) {
  const { winner, priorityDue, score } = follow(bout, [...now.actions, { kind: 'time' }]);
  return winner ? t('{0} wins {1}.', nameOf(bout, winner), scoreOf(score)) : priorityDue ? t('The score is level: priority is drawn, and a minute is fenced.') : t('The period ends; a minute of pause follows.');
}

/** Only the figures that go by themselves. @param {State} state */
export function drawClock(state) {
  const clock = document.getElementById('clock');
  const kept = state.bouts.find(bout => bout.id === state.open);
  if (clock && kept) {
    const now = standing(kept.bout, state.of(kept));
    const period = clockPeriod(kept.bout, now.course);
    const length = now.interval?.phase === 'medicalBreak' ? 300000 : 60000;
    const text = now.interval
      ? told(now.interval.since === null ? length : Math.max(0, length - Math.max(0, Date.now() - now.interval.since)))
      : told(remaining(state.clock, kept.bout, period, Date.now()));
    if (clock.textContent !== text) clock.textContent = text;
    clock.className = now.interval ? 'break' : runs(state.clock, period) ? 'runs' : '';
  }
}
