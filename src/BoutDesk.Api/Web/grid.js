// @ts-check
// Typing the results of a pool in. Both cells of a bout together are its result: it is kept as soon as both are there and
// do not contradict each other. What is typed and not kept yet stays in the cells.

import { send, tell } from './desk.js';
import { newKey } from './pad/key.js';

/** @typedef {{touches: number, won: boolean}} Half */
/** @typedef {{left: number, right: number, winner: 'left' | 'right'}} Result */
/** @typedef {{id: string, order: number, left: HTMLInputElement, right: HTMLInputElement, version: number, kept: Result | null, warned: string, sending: number, asked: Result | null, turn: Promise<void>}} Bout */

const entry = /** @type {HTMLElement} */ (document.getElementById('entry'));
const matter = /** @type {HTMLElement} */ (document.getElementById('matter'));
const undoButton = /** @type {HTMLButtonElement | null} */ (document.getElementById('undo'));
const target = Number(entry.dataset.target);
const closed = entry.dataset.closed !== undefined;
const cells = /** @type {HTMLInputElement[]} */ ([...entry.querySelectorAll('input.cell')]);
/** @type {Map<string, Bout>} */
const bouts = new Map();
/** @type {{bout: Bout, before: Result | null}[]} */
const done = [];
// Set when the fencers of these rows are no longer those of the pool.
let exchanged = false;

for (const cell of cells) {
  const id = cell.dataset.bout ?? '';
  const bout = bouts.get(id) ?? /** @type {any} */ ({ id, order: Number(cell.dataset.order), version: Number(cell.dataset.version), kept: null, warned: '', sending: 0, asked: null, turn: Promise.resolve() });
  bout[cell.dataset.side ?? ''] = cell;
  bouts.set(id, bout);
}

const inOrder = [...bouts.values()].sort((a, b) => a.order - b.order);
inOrder.forEach(bout => {
  bout.kept = resultOf(bout);
});

/** @param {HTMLInputElement} cell */
function boutOf(cell) {
  return /** @type {Bout} */ (bouts.get(cell.dataset.bout ?? ''));
}

/**
 * What a cell says: null when it is empty, undefined when it cannot be read.
 * @param {string} text
 * @returns {Half | null | undefined}
 */
function read(text) {
  const said = text.trim();
  if (said === '') {
    return null;
  }

  const found = /^(v?)(\d{0,2})$/i.exec(said);
  if (!found) {
    return undefined;
  }

  return { won: found[1] !== '', touches: found[2] === '' ? target : Number(found[2]) };
}

/** @param {string} key @param {...(string | number)} values */
function text(key, ...values) {
  return (entry.dataset[key] ?? '').replace(/\{(\d)\}/g, (_, i) => String(values[Number(i)]));
}

/**
 * What is wrong with a bout as it is typed, or an empty text. While a cell is still empty only the other is judged.
 * @param {Bout} bout
 */
function wrongWith(bout) {
  const [left, right] = [read(bout.left.value), read(bout.right.value)];
  if (left === undefined || right === undefined) {
    return text('unreadable');
  }

  if ((left?.touches ?? 0) > target || (right?.touches ?? 0) > target) {
    return text('tooMany', target);
  }

  if (!left || !right) {
    return '';
  }

  if (left.won && right.won) {
    return text('bothWon');
  }

  if (left.touches === right.touches) {
    return left.touches === target ? text('lostFull', target) : left.won || right.won ? '' : text('level', left.touches);
  }

  return (left.won && left.touches < right.touches) || (right.won && right.touches < left.touches) ? text('fewer') : '';
}

/**
 * The result that the two cells make, or null.
 * @param {Bout} bout
 * @returns {Result | null}
 */
function resultOf(bout) {
  const [left, right] = [read(bout.left.value), read(bout.right.value)];
  if (!left || !right || wrongWith(bout)) {
    return null;
  }

  const leftWon = left.won || (!right.won && left.touches > right.touches);
  return { left: left.touches, right: right.touches, winner: leftWon ? 'left' : 'right' };
}

/** @param {Result} result @param {'left' | 'right'} side */
function half(result, side) {
  return (result.winner === side ? 'V' : '') + result[side];
}

/** @param {Result | null} result */
function said(result) {
  return result ? `${half(result, 'left')} : ${half(result, 'right')}` : '–';
}

/** @param {Result | null} a @param {Result | null} b */
function same(a, b) {
  return said(a) === said(b);
}

/**
 * Whether something stands in the cells of a bout that is not kept.
 * @param {Bout} bout
 */
function isTyped(bout) {
  return !same(resultOf(bout), bout.kept) || (!bout.kept && (bout.left.value !== '' || bout.right.value !== ''));
}

/** @param {Bout} bout */
function name(bout) {
  return document.querySelector(`#order li[data-order="${bout.order}"] a`)?.textContent ?? '';
}

/** @param {Bout} bout @param {Result | null} result */
function fill(bout, result) {
  bout.left.value = result ? half(result, 'left') : '';
  bout.right.value = result ? half(result, 'right') : '';
  mark(bout);
}

/**
 * Shows how a bout stands: wrong, being sent, kept.
 * @param {Bout} bout
 */
function mark(bout) {
  const wrong = wrongWith(bout);
  const kept = bout.kept !== null && same(resultOf(bout), bout.kept);
  for (const side of /** @type {const} */ (['left', 'right'])) {
    const cell = bout[side];
    if (wrong) {
      cell.setAttribute('aria-invalid', 'true');
    } else {
      cell.removeAttribute('aria-invalid');
    }

    cell.classList.toggle('sending', bout.sending > 0);
    cell.classList.toggle('won', kept && bout.kept?.winner === side);
    cell.classList.toggle('kept', kept);
  }

  const line = document.querySelector(`#order li[data-order="${bout.order}"]`);
  line?.classList.toggle('wrong', wrong !== '');
  const state = line?.querySelector('.state');
  if (state) {
    state.textContent = bout.kept ? said(bout.kept) : '';
  }

  return wrong;
}

/** @param {string} what @param {HTMLElement[]} [buttons] */
function say(what, buttons = []) {
  if (what === '' && buttons.length === 0) {
    matter.replaceChildren();
    return;
  }

  const box = document.createElement('p');
  box.className = 'refused';
  box.append(what, ...buttons.flatMap(b => [' ', b]));
  matter.replaceChildren(box);
}

/** @param {string} label @param {() => void} act */
function button(label, act) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = label;
  made.addEventListener('click', () => {
    say('');
    act();
  });
  return made;
}

/**
 * Takes what stands in a cell as said. Tells whether the cursor may go on.
 * @param {HTMLInputElement} cell
 */
function settle(cell) {
  if (exchanged) {
    return false;
  }

  const bout = boutOf(cell);
  const meant = read(cell.value);
  if (meant) {
    cell.value = (meant.won ? 'V' : '') + meant.touches;
  }

  const wrong = mark(bout);
  if (wrong) {
    say(wrong);
    return false;
  }

  say('');
  const empty = bout.left.value === '' && bout.right.value === '';
  const result = resultOf(bout);
  if (same(result, bout.sending ? bout.asked : bout.kept) || (!result && !empty)) {
    return true;
  }

  if (bout.kept && bout.warned !== said(result)) {
    bout.warned = said(result);
    say(text('replace', said(bout.kept)));
    return false;
  }

  bout.warned = '';
  keep(bout, result, true);
  return true;
}

/**
 * Sends a result, or takes one back, after what was sent for the same bout before: it rests on that.
 * @param {Bout} bout
 * @param {Result | null} result
 * @param {boolean} undoable
 */
function keep(bout, result, undoable) {
  bout.sending++;
  bout.asked = result;
  mark(bout);
  bout.turn = bout.turn.then(() => put(bout, result, undoable));
}

/**
 * Goes on trying while the service does not answer.
 * @param {Bout} bout
 * @param {Result | null} result
 * @param {boolean} undoable
 */
async function put(bout, result, undoable) {
  if (exchanged) {
    bout.sending--;
    return;
  }

  const before = bout.kept;
  const body = new URLSearchParams({ _key: newKey(), _match: String(bout.version) });
  if (result) {
    body.set('left:int', String(result.left));
    body.set('right:int', String(result.right));
    body.set('winner', result.winner);
  }

  let answer = await send(`/desk/send/${result ? 'PUT' : 'DELETE'}/bouts/${bout.id}/result`, body);
  for (let wait = 1000; !answer || answer.status === 503; wait = Math.min(wait * 2, 10000)) {
    say(text('unreachable', `${name(bout)} ${said(result)}`));
    await new Promise(resolve => setTimeout(resolve, wait));
    answer = await send(`/desk/send/${result ? 'PUT' : 'DELETE'}/bouts/${bout.id}/result`, body);
    if (answer?.ok) {
      say('');
    }
  }

  bout.sending--;
  if (answer.ok) {
    bout.version = Number((answer.etag ?? '').replace(/^W?\/?"/, '').split('-')[0]) || bout.version;
    bout.kept = result;
    if (undoable) {
      done.push({ bout, before });
      showUndo();
    }

    mark(bout);
    tell(result ? text('saved', `${name(bout)} ${said(result)}`) : text('takenBack', name(bout)));
    void look();
  } else if (answer.status === 412 || answer.status === 428) {
    await meet(bout, result);
  } else {
    mark(bout);
    say([answer.told?.title, answer.told?.detail].filter(Boolean).join(': '));
    bout.left.setAttribute('aria-invalid', 'true');
    bout.right.setAttribute('aria-invalid', 'true');
  }
}

/**
 * Another desk, or the referee, was faster: both results are shown, and one is chosen.
 * @param {Bout} bout
 * @param {Result | null} mine
 */
async function meet(bout, mine) {
  const pool = await fetchPool();
  const theirs = pool?.bouts.find(b => b.id === bout.id);
  if (!pool || !theirs || stopIfExchanged(pool)) {
    return;
  }

  bout.version = theirs.version;
  bout.kept = confirmed(theirs);
  if (same(bout.kept, mine)) {
    mark(bout);
    say('');
    return;
  }

  if (!bout.kept) {
    // Touches at the strip, or another strip: nothing that a result contradicts.
    keep(bout, mine, true);
    return;
  }

  mark(bout);
  say(text('meanwhile', said(bout.kept), name(bout), said(mine)), [
    button(text('theirs'), () => fill(bout, bout.kept)),
    button(text('mine'), () => keep(bout, mine, true)),
  ]);
}

/**
 * @param {{status: string, score: {left: number, right: number} | null, winner: 'left' | 'right' | null}} bout
 * @returns {Result | null}
 */
function confirmed(bout) {
  return bout.status === 'decided' && bout.winner && bout.score ? { ...bout.score, winner: bout.winner } : null;
}

/** @returns {Promise<{fencers: { entrantId: string }[], bouts: any[], standings: any[]} | null>} */
async function fetchPool() {
  try {
    const answer = await fetch(`/api/pools/${entry.dataset.pool}`, { cache: 'no-cache' });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

/**
 * Stops where another desk exchanged fencers, so that these are the rows of somebody else: nothing more is taken here, and
 * the page loads itself anew, or says so where something was typed. Tells whether it has stopped.
 * @param {{fencers: { entrantId: string }[]}} pool
 */
function stopIfExchanged(pool) {
  const rows = [...entry.querySelectorAll('tr[data-entrant]')].map(row => /** @type {HTMLElement} */ (row).dataset.entrant);
  if (exchanged || pool.fencers.map(f => f.entrantId).join() === rows.join()) {
    return exchanged;
  }

  exchanged = true;
  if (!inOrder.some(b => b.sending || isTyped(b))) {
    location.reload();
    return true;
  }

  cells.forEach(cell => {
    cell.readOnly = true;
  });
  say(text('exchanged'), [button(text('reload'), () => location.reload())]);
  return true;
}

/** Puts into the sheet what others did, and the standings. */
async function look() {
  const pool = await fetchPool();
  if (pool && stopIfExchanged(pool)) {
    return;
  }

  for (const now of pool?.bouts ?? []) {
    const bout = bouts.get(now.id);
    if (!bout || bout.sending || now.version === bout.version) {
      continue;
    }

    if (isTyped(bout)) {
      continue; // What is typed here and not kept is settled when it is sent.
    }

    bout.version = now.version;
    bout.kept = confirmed(now);
    if (bout.kept || now.status === 'open') {
      fill(bout, bout.kept);
    }

    for (const side of /** @type {const} */ (['left', 'right'])) {
      bout[side].placeholder = bout.kept || !now.score ? '' : String(now.score[side]);
    }
  }

  for (const line of pool?.standings ?? []) {
    const row = entry.querySelector(`tr[data-entrant="${line.entrantId}"]`);
    /** @type {Record<string, string>} */
    const sums = {
      won: `${line.victories}/${line.bouts}`,
      touches: String(line.touchesScored),
      indicator: line.indicator > 0 ? `+${line.indicator}` : String(line.indicator).replace('-', '\u2212'),
      place: String(line.place),
    };
    for (const cell of row?.querySelectorAll('[data-sum]') ?? []) {
      cell.textContent = sums[/** @type {HTMLElement} */ (cell).dataset.sum ?? ''];
    }
  }
}

function showUndo() {
  if (undoButton) {
    undoButton.disabled = done.length === 0;
  }
}

function undo() {
  const last = done.pop();
  showUndo();
  if (last) {
    fill(last.bout, last.before);
    last.bout.left.focus();
    keep(last.bout, last.before, false);
  }
}

function followsRows() {
  return entry.querySelector('input[name="follow"][value="rows"]:checked') !== null;
}

/**
 * The cell after this one: of the same bout, then of the next one without a result; or along the rows.
 * @param {HTMLInputElement} cell
 */
function after(cell) {
  if (followsRows()) {
    return cells[cells.indexOf(cell) + 1];
  }

  const bout = boutOf(cell);
  const other = cell === bout.left ? bout.right : bout.left;
  if (other.value === '' && cell.value !== '') {
    return other;
  }

  const at = inOrder.indexOf(bout);
  const next = [...inOrder.slice(at + 1), ...inOrder.slice(0, at)].find(b => !b.kept && !b.sending);
  return next && (next.left.value === '' ? next.left : next.right);
}

/** @param {HTMLInputElement | undefined} cell */
function go(cell) {
  cell?.focus();
}

/**
 * The nearest cell above, below or beside, past those in which nothing is typed.
 * @param {HTMLInputElement} from
 * @param {number} down
 * @param {number} right
 */
function beside(from, down, right) {
  const [, r, c] = /** @type {RegExpExecArray} */ (/^r(\d+)c(\d+)$/.exec(from.id));
  for (let step = 1; step < 13; step++) {
    const found = document.getElementById(`r${Number(r) + down * step}c${Number(c) + right * step}`);
    if (found instanceof HTMLInputElement) {
      return found;
    }
  }

  return undefined;
}

entry.addEventListener('keydown', event => {
  const cell = event.target;
  if (!(cell instanceof HTMLInputElement) || !cell.classList.contains('cell') || closed) {
    return;
  }

  const arrows = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  const arrow = arrows[/** @type {keyof typeof arrows} */ (event.key)];
  if (event.key === 'Enter') {
    event.preventDefault();
    if (settle(cell)) {
      go(after(cell));
    }
  } else if (event.key === 'Escape') {
    const bout = boutOf(cell);
    bout.warned = '';
    fill(bout, bout.kept);
    cell.select();
    say('');
  } else if (arrow) {
    event.preventDefault();
    go(beside(cell, arrow[0], arrow[1]));
  } else if (event.key.toLowerCase() === 'z' && (event.ctrlKey || event.metaKey) && same(resultOf(boutOf(cell)), boutOf(cell).kept)) {
    event.preventDefault();
    undo();
  }
});

entry.addEventListener('input', event => {
  if (event.target instanceof HTMLInputElement && event.target.classList.contains('cell')) {
    const wrong = mark(boutOf(event.target));
    boutOf(event.target).warned = '';
    say(wrong);
  }
});

entry.addEventListener('change', event => {
  // Left with the mouse or Tab: what is there counts as said, too.
  if (event.target instanceof HTMLInputElement && event.target.classList.contains('cell')) {
    settle(event.target);
  }
});

entry.addEventListener('focusin', event => {
  const cell = event.target;
  if (cell instanceof HTMLInputElement && cell.classList.contains('cell')) {
    cell.select();
    document.querySelectorAll('#order .here, .typing .here').forEach(e => e.classList.remove('here'));
    const bout = boutOf(cell);
    [document.querySelector(`#order li[data-order="${bout.order}"]`), bout.left, bout.right].forEach(e => e?.classList.add('here'));
  }
});

undoButton?.addEventListener('click', undo);
document.addEventListener('shown', () => void look());
addEventListener('pageshow', event => {
  if (event.persisted) {
    void look();
  }
});
addEventListener('beforeunload', event => {
  if (!exchanged && inOrder.some(b => b.sending || (!same(resultOf(b), b.kept) && resultOf(b)))) {
    event.preventDefault();
  }
});

if (!closed) {
  /** @type {HTMLElement} */ (document.getElementById('keys')).hidden = false;
  inOrder.forEach(mark);
  go(inOrder.find(b => !b.kept)?.left);
}
