// @ts-check
// Makes the forms of the desk answer on the spot. They work without this too, by whole pages.

import { newKey } from './pad/key.js';

const forms = '/desk/send/';
const aboutBout = /^[a-z0-9]+-\d+-d\d+[a-z0-9]+$/;

/**
 * Sends what a form would send. Tells what came back; null when nothing did.
 * @param {string} address
 * @param {FormData | URLSearchParams} body
 */
export async function send(address, body) {
  try {
    const answer = await fetch(address, { method: 'POST', body, headers: { Accept: 'application/json' }, redirect: 'error', signal: AbortSignal.timeout(30000) });
    const text = await answer.text();
    return { ok: answer.ok, status: answer.status, etag: answer.headers.get('ETag'), told: text ? JSON.parse(text) : null };
  } catch {
    return null;
  }
}

/** @param {SubmitEvent} event */
async function submitted(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.getAttribute('action')?.startsWith(forms) || form.dataset.plain || event.defaultPrevented) {
    return;
  }

  event.preventDefault();
  if (form.dataset.busy) {
    return;
  }

  const data = new FormData(form, event.submitter);
  if (form.classList.contains('result') && data.get('winner') === '' && Number(data.get('left:int')) !== Number(data.get('right:int'))) {
    data.set('winner', Number(data.get('left:int')) > Number(data.get('right:int')) ? 'left' : 'right');
  }

  const address = event.submitter?.getAttribute('formaction') ?? form.getAttribute('action') ?? '';
  // What got no answer is repeated with its key; anything else than the same again is another action.
  if (form.dataset.keyFor !== address) {
    delete form.dataset.key;
  }

  form.dataset.key ??= newKey();
  form.dataset.keyFor = address;
  data.set('_key', form.dataset.key);
  const body = form.enctype === 'multipart/form-data' ? data : new URLSearchParams(/** @type {any} */ (data));
  form.dataset.busy = 'yes';
  form.setAttribute('aria-busy', 'true');
  const answer = await send(address, body);
  delete form.dataset.busy;
  form.removeAttribute('aria-busy');
  if (!answer) {
    say(form, document.body.dataset.unreachable ?? '');
    return;
  }

  delete form.dataset.key;
  if (!answer.ok) {
    refused(form, answer.told);
    return;
  }

  form.querySelector('.refused')?.remove();
  form.dispatchEvent(new CustomEvent('sent', { bubbles: true, detail: answer.told }));
  const back = String(data.get('_back') ?? '').replace(/\{(\w+)\}/g, (_, name) => encodeURIComponent(answer.told?.[name] ?? ''));
  if (back && back !== location.pathname + location.search) {
    location.assign(back);
    return;
  }

  if (!event.submitter?.hasAttribute('formaction')) {
    // What follows by the rules when a fencer leaves, is odd about a loan, or has no referee, is said with it.
    tell([form.dataset.done ?? '', ...(answer.told?.consequences ?? answer.told?.warnings ?? answer.told?.uncovered ?? []).map((/** @type {{what: string}} */ c) => c.what)].join(' '));
  }

  if (form.matches('.results .result')) {
    // On to the next bout, as on the list that is being read out.
    const list = [...document.querySelectorAll('.results .result')];
    const next = list[list.indexOf(form) + 1]?.querySelector('input:not([type=hidden])');
    if (next instanceof HTMLElement) {
      next.focus();
    }
  }

  if (!event.submitter?.hasAttribute('formaction')) {
    form.reset();
  }

  form.querySelectorAll('[aria-invalid]').forEach(field => field.removeAttribute('aria-invalid'));
  document.dispatchEvent(new CustomEvent('outdated'));
}

/**
 * Shows why it was refused, at the form and at its fields.
 * @param {HTMLFormElement} form
 * @param {{detail?: string, title?: string, errors?: Record<string, string[]>, rows?: {line: number, field: string, problem: string}[],
 *   concerns?: string[]} | null} problem
 */
function refused(form, problem) {
  const lines = [
    ...(problem?.rows ?? []).map(row => `${row.line}: ${row.field} – ${row.problem}`),
    ...(problem?.concerns ?? []).map(concern => aboutBout.test(concern) ? link(concern) : concern).filter(c => c instanceof Node || c.includes(' ')),
  ];
  say(form, problem?.detail ?? '', lines, problem?.title);
  form.dispatchEvent(new CustomEvent('refused', { bubbles: true, detail: problem }));
  form.querySelectorAll('[aria-invalid]').forEach(field => field.removeAttribute('aria-invalid'));
  const wrong = Object.keys(problem?.errors ?? {});
  const fields = [...form.elements].filter(e => e instanceof HTMLElement && wrong.includes((e.getAttribute('name') ?? '').split(':')[0]));
  fields.forEach(field => field.setAttribute('aria-invalid', 'true'));
  const first = fields[0];
  if (first instanceof HTMLElement) {
    first.focus();
  }
}

/**
 * The way to a bout that a refusal names.
 * @param {string} boutId
 */
function link(boutId) {
  return Object.assign(document.createElement('a'), { href: `/desk/bouts/${boutId}`, textContent: boutId });
}

/**
 * @param {HTMLFormElement} form
 * @param {string} text
 * @param {(string | Node)[]} [lines]
 * @param {string} [title]
 */
function say(form, text, lines = [], title = '') {
  let line = form.querySelector('.refused');
  if (!line) {
    line = document.createElement('div');
    line.className = 'refused';
    line.setAttribute('role', 'alert');
    form.append(line);
  }

  line.textContent = text;
  if (title) {
    line.prepend(Object.assign(document.createElement('strong'), { textContent: title }), document.createElement('br'));
  }

  if (lines.length > 0) {
    const list = document.createElement('ul');
    list.append(...lines.map(l => {
      const item = document.createElement('li');
      item.append(l);
      return item;
    }));
    line.append(list);
  }
}

/**
 * Says in a line at the bottom what was done.
 * @param {string} text
 */
export function tell(text) {
  const line = document.getElementById('told');
  if (line) {
    line.textContent = text;
  }
}

document.addEventListener('submit', event => void submitted(event));

document.addEventListener('input', event => {
  if (event.target instanceof HTMLElement) {
    delete event.target.closest('form')?.dataset.key;
  }
});

// A list with a box above it shows what fits what was typed.
document.addEventListener('input', event => {
  const box = event.target;
  if (box instanceof HTMLInputElement && box.dataset.sieve) {
    sieve(box);
  }
});
document.addEventListener('shown', () => document.querySelectorAll('input[data-sieve]').forEach(box => sieve(/** @type {HTMLInputElement} */ (box))));

/** @param {HTMLInputElement} box */
function sieve(box) {
  const wanted = plain(box.value).split(/\s+/).filter(Boolean);
  let left = 0;
  for (const row of document.querySelectorAll(`${box.dataset.sieve} > *`)) {
    if (row instanceof HTMLElement) {
      const words = plain(row.dataset.words ?? row.textContent ?? '');
      row.hidden = !wanted.every(w => words.includes(w));
      left += row.hidden ? 0 : 1;
    }
  }

  const count = document.getElementById(`${box.id}-count`);
  if (count) {
    count.textContent = wanted.length > 0 ? String(left) : '';
  }
}

/**
 * Without accents and in small letters, so that a few letters find a name however it is written.
 * @param {string} text
 */
function plain(text) {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
}

// What a browser can fill in by itself.
for (const field of document.querySelectorAll('input[data-fill="time-zone"]')) {
  if (field instanceof HTMLInputElement && !field.value) {
    field.value = Intl.DateTimeFormat().resolvedOptions().timeZone;
  }
}

const door = document.getElementById('enter');
if (door instanceof HTMLFormElement && location.hash.length > 1) {
  /** @type {HTMLInputElement} */ (door.elements.namedItem('pass')).value = decodeURIComponent(location.hash.slice(1));
  history.replaceState(null, '', location.pathname + location.search);
  door.requestSubmit();
}
