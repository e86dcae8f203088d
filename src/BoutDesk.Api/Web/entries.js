// @ts-check
// Entries, check-in and loan kit by keyboard: the cursor stays where the next name is typed.

const box = document.getElementById('who');
if (box instanceof HTMLInputElement) {
  /** @type {HTMLElement} */ (document.getElementById('door')).hidden = false;
  box.focus();
  box.addEventListener('keydown', event => {
    if (event.key !== 'Enter') {
      return;
    }

    event.preventDefault();
    // A scanned identifier means one row, though others may begin with it.
    const wanted = box.value.trim();
    const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll(`${box.dataset.sieve} > li`)]);
    const row = rows.find(r => r.dataset.code === wanted) ?? rows.find(r => !r.hidden);
    const form = wanted === '' ? null : row?.querySelector('form.here');
    if (form instanceof HTMLFormElement) {
      form.requestSubmit();
      box.value = '';
      box.dispatchEvent(new Event('input', { bubbles: true }));
    }
  });
}

document.addEventListener('sent', event => {
  const form = event.target;
  const answer = /** @type {CustomEvent} */ (event).detail;
  if (!(form instanceof HTMLFormElement)) {
    return;
  }

  if (form.id === 'one') {
    /** @type {HTMLElement} */ (document.getElementById('familyName')).focus();
  } else if (form.id === 'list') {
    const place = document.getElementById('checked');
    const lines = [(place?.dataset.good ?? '').replace('{0}', answer?.added ?? 0),
      ...(answer?.rows ?? []).map((/** @type {{line: number, field: string, problem: string}} */ row) => `${(place?.dataset.bad ?? '').replace('{0}', String(row.line))}: ${row.field} – ${row.problem}`)];
    place?.replaceChildren(...lines.map(text => Object.assign(document.createElement('p'), { textContent: text })));
  }
});
