// @ts-check
// Shows how a longer search for a day plan comes on, and lets it be stopped. Without this the link does the same by a page.

const longer = document.getElementById('longer');
const searching = document.getElementById('searching');
if (longer instanceof HTMLAnchorElement && searching) {
  longer.addEventListener('click', event => {
    event.preventDefault();
    search(longer, searching);
  });
}

/**
 * @param {HTMLAnchorElement} link
 * @param {HTMLElement} place
 */
function search(link, place) {
  const [bar, line, stop] = /** @type {[HTMLProgressElement, HTMLElement, HTMLButtonElement]} */ ([...place.children]);
  const source = new EventSource(link.dataset.search ?? '');
  let tried = 0;
  stop.onclick = take;
  link.hidden = true;
  place.hidden = false;
  stop.focus();
  source.addEventListener('progress', event => {
    /** @type {{tried: number, of: number, endsAt: string, done: boolean}} */
    const come = JSON.parse(/** @type {MessageEvent} */ (event).data);
    tried = come.tried;
    bar.value = (100 * come.tried) / come.of;
    // The clock of the hall stands in the text itself, wherever this laptop believes to be.
    const clock = come.endsAt.slice(11, 16);
    const end = come.endsAt.slice(0, 10) > (link.dataset.day ?? '') ? (link.dataset.next ?? '').replace('{0}', clock) : clock;
    line.textContent = (link.dataset.came ?? '').replace('{0}', bar.value.toFixed(0)).replace('{1}', end);
    if (come.done) {
      take();
    }
  });
  // A search that broke off has told how far it came; it is not begun again by itself.
  source.onerror = take;

  function take() {
    source.close();
    location.assign((link.dataset.then ?? '').replace('{0}', String(tried)));
  }
}
