// @ts-check
// Turns the pages of the hall's screen. Each page is fetched when it is turned to, so that it is never an old one; when the
// service does not answer, the page that is there stays and says so.
import { turnTo } from './live.js';

const reading = 12000;
let stopped = false;
let turned = Date.now();

/** @param {'next' | 'back'} way */
async function turn(way) {
  turned = Date.now();
  const to = document.getElementById('board')?.dataset[way];
  if (to && await turnTo(to)) {
    history.replaceState(null, '', to);
    scrollTo(0, 0);
  }
}

function stop() {
  stopped = !stopped;
  turned = Date.now();
  show();
}

function show() {
  const button = document.getElementById('pause');
  if (button) {
    button.hidden = false;
    button.setAttribute('aria-pressed', String(stopped));
    button.textContent = (stopped ? button.dataset.go : button.dataset.stop) ?? '';
  }
}

document.addEventListener('click', event => {
  const on = event.target instanceof Element ? event.target.closest('#pause, .turn a') : null;
  if (on?.id === 'pause') {
    stop();
  } else if (on) {
    event.preventDefault();
    void turn(on.getAttribute('rel') === 'next' ? 'next' : 'back');
  }
});
document.addEventListener('keydown', event => {
  if (event.altKey || event.ctrlKey || event.metaKey) {
    return;
  }

  if (event.key === 'ArrowRight' || event.key === 'PageDown') {
    void turn('next');
  } else if (event.key === 'ArrowLeft' || event.key === 'PageUp') {
    void turn('back');
  } else if (event.key === 'p' || (event.key === ' ' && document.activeElement === document.body)) {
    stop();
  } else {
    return;
  }

  event.preventDefault();
});
document.addEventListener('shown', show);
setInterval(() => {
  if (!stopped && !document.hidden && Date.now() - turned >= reading) {
    void turn('next');
  }
}, 500);
show();
