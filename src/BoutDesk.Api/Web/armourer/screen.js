// @ts-check
/** Draws the armourer's page. What is shown follows from the state alone. */
import { language, languages } from '../language.js';
import { button, h, patch } from '../tree.js';
import { complete, find, judge, limitsOf, units, verdictOf } from './checks.js';
import { n, t } from './words.js';

/** @typedef {ReturnType<typeof import('./main.js').stateNow>} State */
/** @typedef {import('./checks.js').Fencer} Fencer */
/** @typedef {import('./checks.js').Item} Item */
/** @typedef {import('./checks.js').Limit} Limit */

const by = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const clockTime = (/** @type {string} */ at) => new Date(at).toLocaleTimeString(language(), { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });

/** @param {string} item */
export function itemName(item) {
  switch (item) {
    case 'mask': return t('Mask');
    case 'jacket': return t('Jacket');
    case 'plastron': return t('Plastron');
    case 'breeches': return t('Breeches');
    case 'glove': return t('Glove');
    case 'chestProtector': return t('Chest protector');
    case 'weapon': return t('Weapon');
    case 'bodyCord': return t('Body cord');
    case 'maskCord': return t('Mask cord');
    case 'conductiveJacket': return t('Conductive jacket');
    default: return t('Conductive cuff');
  }
}

/** @param {string} measure */
function measureName(measure) {
  switch (measure) {
    case 'mass': return t('Mass');
    case 'bladeLength': return t('Length of the blade');
    case 'totalLength': return t('Length in all');
    case 'curve': return t('Curve of the blade');
    case 'pointForce': return t('The point pushes back');
    case 'stroke': return t('Way of the point');
    case 'strokeLeft': return t('Way left after contact');
    case 'guardGauge': return t('The guard passes its gauge');
    case 'resistance': return t('Resistance');
    default: return t('Punch that the mesh bears');
  }
}

/** @param {Limit} limit */
function limitText({ relation, bound, gauge, measure }) {
  const value = `${bound?.toLocaleString(language())} ${units[measure]}`;
  switch (relation) {
    case 'below': return t('less than {0}', value);
    case 'atMost': return t('at most {0}', value);
    case 'atLeast': return t('at least {0}', value);
    case 'above': return t('more than {0}', value);
    default: return t('gauge {0}', gauge);
  }
}

/** @param {Limit} limit */
const sourceText = ({ source, certainty }) =>
  certainty === 'seen' ? source : certainty === 'practice' ? t('{0}: common practice', source) : t('{0}: from memory, compare it', source);

/** Draws everything anew. @param {State} state */
export function draw(state) {
  const fencer = state.fencers.find(each => each.entrantId === state.open);
  const [name, content] = !state.ready ? ['wait', wait(state)]
    : !state.own ? ['code', code(state)]
    : !state.own.tournamentId ? ['choose', choose(state)]
    : fencer ? ['fencer', one(state, fencer)]
    : ['table', table(state)];
  const main = by('content');
  const moved = main.dataset.screen !== name;
  patch(main, h('main', { id: 'content', 'data-screen': name, tabindex: '-1' }, content));
  document.documentElement.lang = language();
  document.title = t('Equipment table');
  by('back').textContent = t('All fencers');
  by('back').hidden = !fencer;
  const waiting = state.entries.filter(entry => !entry.refused).length;
  patch(by('sent'), h('p', { id: 'sent', role: 'status', class: waiting ? 'waits' : 'sent' },
    waiting ? t('{0} not sent yet', waiting) : state.own ? t('All sent') : '',
    state.own && (!state.reached || !state.connected) ? h('small', {}, waiting ? t('No connection. Go on; the device keeps it.') : t('No connection')) : null));
  by('notice').hidden = !state.notice;
  if (by('notice').textContent !== (state.notice ?? '')) by('notice').textContent = state.notice ?? '';
  drawSheet(state, fencer);
  if (moved) {
    scrollTo(0, 0);
    const box = document.getElementById('who');
    (name === 'table' && box ? box : main).focus({ preventScroll: true });
    // What was looked for is done with.
    if (box instanceof HTMLInputElement) box.value = state.words;
  }
}

const caution = () => h('p', { class: 'caution' },
  t('An aid to the armourer. The rule book in force, its homologation marks and a qualified armourer decide. Who has failed or missing protection does not fence.'));

/** @param {State} state */
const wait = state => h('div', {}, h('h1', {}, t('Equipment table')), h('p', {}, state.reached ? t('One moment…') : t('The service does not answer. Check the Wi-Fi of the hall; this page tries again by itself.')));

/** @param {State} state */
const code = state => h('div', { class: 'text' },
  h('h1', {}, t('Equipment table')),
  passTrouble(state),
  h('p', {}, t("Scan the armourer's code, which the desk gives out, with the camera of this device.")),
  h('label', { for: 'address' }, t('No camera? Type or paste the address below the code:')),
  h('input', { id: 'address', type: 'url', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false' }),
  button('takeAddress', t('Open'), { class: 'main' }),
  otherLanguages());

const otherLanguages = () => h('p', {}, Object.entries(languages).filter(([each]) => each !== language()).map(([each, name]) =>
  button('language', name, { 'data-arg': each, lang: each, class: 'plain' })));

/** @param {State} state */
function passTrouble({ wrongKind, passRefused }) {
  if (wrongKind) {
    return h('p', { class: 'trouble' }, t("This code is for a strip. Ask the desk for an armourer's code, and scan that."));
  }
  return passRefused && h('div', { class: 'trouble' },
    h('p', {}, t('This code does not hold at {0}, or no longer. Ask the desk for a new one, and scan it with this device. What is not sent stays here.', location.host)),
    button('tryAgain', t('Try again')));
}

/** @param {State} state */
const choose = ({ tournaments }) => h('div', { class: 'text' },
  h('h1', {}, t('Which tournament?')),
  (tournaments ?? []).map(each => button('choose', each.name, { 'data-arg': each.id })));

/** @param {State} state */
function table(state) {
  const { own, table: known, fencers, words } = state;
  const looking = words.trim().length > 0;
  const shown = looking ? find(fencers, words) : fencers.filter(fencer => fencer.here && !complete(fencer));
  return h('div', { class: 'text' },
    h('h1', {}, own.tournament ?? t('Equipment table')),
    passTrouble(state),
    refusals(state),
    h('p', { class: 'queue' }, queue(state)),
    known?.failures.length > 0 && h('p', { class: 'faint' }, t('Failed most today: {0}', known.failures.slice(0, 3).map((/** @type {any} */ each) => `${itemName(each.item)} ${each.failed}/${each.checks}`).join(', '))),
    h('label', { for: 'who' }, t('A few letters of the name or club, or a scanned code, then Enter')),
    h('input', { id: 'who', type: 'search', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false' }),
    h('h2', {}, looking ? n(shown.length, '{0} found', '{0} found') : t('Waiting')),
    shown.length
      ? h('ul', { class: 'fencers' }, shown.slice(0, 60).map(fencer => h('li', {}, button('open', [
        h('span', {}, h('b', {}, fencer.name), h('small', {}, [fencer.club, fencer.competition].filter(Boolean).join(' · '))),
        standing(fencer),
      ], { 'data-arg': fencer.entrantId }))))
      : h('p', { class: 'next' }, looking ? t('Nobody of that name is entered here.') : fencers.length ? t('Nobody waits. Who is here has passed.') : t('Nobody is entered yet.')),
    shown.length > 60 && h('p', { class: 'faint' }, t('And {0} more: type a few letters.', shown.length - 60)),
    !state.secure && h('p', { class: 'faint' }, t('Keep this page open: without https it cannot be opened again while the network is away.')),
    caution(),
    otherLanguages());
}

/** How the queue moves. Counted here, so that it is right without a network; the pace is the service's. @param {State} state */
function queue({ fencers, table: known }) {
  const here = fencers.filter(fencer => fencer.here);
  const waiting = here.filter(fencer => !complete(fencer)).length;
  return [
    h('b', {}, t('{0} wait, {1} are through.', waiting, here.length - waiting)), ' ',
    known?.perHour ? t('{0} an hour lately.', known.perHour.toLocaleString(language())) : '', ' ',
    known?.doneAt && waiting ? t('At that pace all are through at about {0}.', clockTime(known.doneAt)) : '',
  ];
}

/** What the service did not take. @param {State} state */
const refusals = ({ entries, fencers }) => entries.filter(entry => entry.refused).map(entry => h('div', { class: 'trouble' },
  h('p', {}, h('b', {}, fencers.find(each => each.entrantId === entry.entrantId)?.name ?? ''), ' ', entry.body?.item ? itemName(entry.body.item) : '', ': ', entry.refused),
  h('div', { class: 'row' }, button('again', t('Try again'), { 'data-arg': entry.seq }), button('drop', t('Drop it'), { 'data-arg': entry.seq }))));

/** How far a fencer is, in a word and a colour. @param {Fencer} fencer */
function standing(fencer) {
  const failed = fencer.items.filter(item => item.failed && item.missing);
  const missing = fencer.items.reduce((sum, item) => sum + item.missing, 0);
  return complete(fencer) ? h('b', { class: 'good' }, t('through'))
    : failed.length ? h('b', { class: 'bad' }, t('failed: {0}', failed.map(item => itemName(item.item)).join(', ')))
    : fencer.waived ? h('b', { class: 'good' }, t('waived by the desk'))
    : h('span', {}, n(missing, '{0} to check', '{0} to check'));
}

/** @param {State} state @param {Fencer} fencer */
function one(state, fencer) {
  const missing = fencer.items.filter(item => item.missing > 0);
  const failed = missing.filter(item => item.failed > 0);
  const whole = complete(fencer);
  return h('div', { class: 'text' },
    h('h1', {}, fencer.name),
    h('p', { class: 'faint' }, [fencer.club, fencer.competition, fencer.hand && (fencer.hand === 'left' ? t('left-handed') : t('right-handed'))].filter(Boolean).join(' · ')),
    h('p', { class: `verdict ${whole ? 'good' : failed.length ? 'bad' : ''}`, role: 'status' },
      whole ? t('✓ Everything has passed')
        : failed.length ? t('✗ Failed: {0}', failed.map(item => itemName(item.item)).join(', '))
        : t('Still to check: {0}', missing.map(item => item.missing > 1 ? `${itemName(item.item)} × ${item.missing}` : itemName(item.item)).join(', ')),
      fencer.waived && !whole ? h('small', {}, t('The desk lets this fencer fence without.')) : null),
    refusals({ ...state, entries: state.entries.filter(entry => entry.entrantId === fencer.entrantId) }),
    button('rest', t('All that was not checked yet passes'), { class: 'main', disabled: !unchecked(fencer) }),
    h('div', { class: 'row' },
      button('undo', t('Undo the last check'), { disabled: fencer.latest.length === 0 }),
      button('print', t('Print the card'))),
    h('div', { class: 'row' },
      h('label', { for: 'mark' }, t('Mark put on what passes, such as "green 14"')),
      h('input', { id: 'mark', value: state.mark, maxlength: '40', autocomplete: 'off' })),
    h('ul', { class: 'items' }, fencer.items.flatMap(item => pieces(fencer, item))),
    fencer.notes.length > 0 && h('section', { class: 'notes' }, h('h2', {}, t('To look at')), h('ul', {}, fencer.notes.map(each => h('li', {}, each.note)))),
    caution(),
    card(state, fencer));
}

/** Whether a piece that is needed was not checked yet. @param {Fencer} fencer */
const unchecked = fencer => fencer.items.some(item =>
  Array.from({ length: item.needed }, (_, i) => i + 1).some(piece => !fencer.latest.some(each => each.item === item.item && each.piece === piece)));

/** The pieces of a kind: those that are needed, and those beyond that were checked, with room for a spare. @param {Fencer} fencer @param {Item} item */
function pieces(fencer, item) {
  const last = Math.max(item.needed, ...fencer.latest.filter(each => each.item === item.item).map(each => each.piece));
  const more = ['weapon', 'bodyCord', 'maskCord'].includes(item.item) && last < 9 ? 1 : 0;
  return Array.from({ length: last + more }, (_, i) => i + 1).map(piece => {
    const known = fencer.latest.find(each => each.item === item.item && each.piece === piece);
    const name = last + more > 1 ? `${itemName(item.item)} ${piece}` : itemName(item.item);
    const spare = piece > item.needed;
    return h('li', { class: known?.verdict ?? (spare ? 'spare' : '') },
      h('span', {}, h('b', {}, name), h('small', {},
        known ? [known.verdict === 'passed' ? t('✓ passed') : t('✗ failed'), known.mark, known.note].filter(Boolean).join(' · ') : spare ? t('one more') : t('not checked yet'))),
      !known && !spare ? button('pass', t('Pass'), { 'data-arg': `${item.item} ${piece}`, 'aria-label': t('{0} passes', name) }) : null,
      button('piece', known ? t('Again') : t('Check'), { 'data-arg': `${item.item} ${piece}`, 'aria-label': known ? t('Check {0} again', name) : t('Check {0}', name) }));
  });
}

/** The sheet of a piece: what is measured on it, a note, and the verdict. @param {State} state @param {Fencer | undefined} fencer */
function drawSheet(state, fencer) {
  const sheet = /** @type {HTMLDialogElement} */ (by('sheet'));
  const { at, typed } = state;
  if (!at || !fencer) {
    if (sheet.open) sheet.close();
    sheet.replaceChildren();
    sheet.dataset.of = '';
    return;
  }
  const limits = limitsOf(state.rules.rules.limits, at.item, fencer.weapon);
  const follows = verdictOf(limits, typed);
  // Said once, at the end, where it is the same for most.
  const common = limits[0];
  const of = `${fencer.entrantId} ${at.item} ${at.piece}`;
  const fresh = h('dialog', { id: 'sheet', 'aria-labelledby': 'sheet-title', open: true, 'data-of': of },
    h('h2', { id: 'sheet-title' }, `${fencer.name}: ${itemName(at.item)} ${at.piece > 1 ? at.piece : ''}`),
    limits.map(limit => measureField(limit, typed, sourceText(limit) !== sourceText(common) ? sourceText(limit) : '')),
    at.item === 'weapon' && select('bladeSize', t('Size of the blade'), ['0', '1', '2', '3', '4', '5'].map(size => [size, size])),
    ['jacket', 'conductiveJacket'].includes(at.item) && select('opens', t('Opens, as its wearer sees it'), [['left', t('in front, on the left')], ['right', t('in front, on the right')], ['back', t('at the back')]]),
    ['mask', 'conductiveJacket'].includes(at.item) && select('madeFor', t('Made for'), [['foil', t('foil')], ['epee', t('épée')], ['sabre', t('sabre')]]),
    h('label', { for: 'note' }, t('Note: what is to be mended')),
    h('input', { id: 'note', maxlength: '200', autocomplete: 'off' }),
    h('p', { class: `verdict ${follows === 'failed' ? 'bad' : follows === 'passed' ? 'good' : ''}`, role: 'status' },
      follows === 'failed' ? t('✗ A limit is broken') : follows === 'passed' ? t('✓ All limits are kept') : limits.length ? t('What is measured is optional: you decide.') : t('Nothing is measured on it: you decide.')),
    common && h('p', { class: 'faint' }, h('small', {}, t('Limits: {0}.', sourceText(common)))),
    h('div', { class: 'row' },
      button('failed', t('Fails'), { class: 'alert' }),
      button('passed', t('Passes'), { class: 'main' })),
    button('closeSheet', t('Cancel'), { class: 'plain' }));
  if (sheet.open && sheet.dataset.of === of) {
    patch(sheet, fresh);
    return;
  }
  if (sheet.open) sheet.close();
  sheet.dataset.of = of;
  sheet.replaceChildren(...fresh.childNodes);
  sheet.showModal();
}

/** @param {Limit} limit @param {Record<string, string | boolean | undefined>} typed @param {string} source */
function measureField(limit, typed, source) {
  const { measure } = limit;
  const said = judge(limit, typed[measure]);
  const mark = said === 'broken' ? h('b', { class: 'bad' }, t('✗ breaks it')) : said === 'kept' ? h('b', { class: 'good' }, '✓') : '';
  const about = h('small', { id: `about-${measure}` }, source ? `${limitText(limit)} (${source}) ` : `${limitText(limit)} `, mark);
  if (limit.relation === 'passes') {
    return h('div', { class: 'measure' },
      h('span', { class: 'name-of' }, measureName(measure), about),
      h('div', { class: 'row' },
        button('gauge', t('Yes'), { 'data-arg': `${measure} yes`, 'aria-pressed': String(typed[measure] === true), 'aria-label': `${measureName(measure)}: ${t('Yes')}` }),
        button('gauge', t('No'), { 'data-arg': `${measure} no`, 'aria-pressed': String(typed[measure] === false), 'aria-label': `${measureName(measure)}: ${t('No')}` })));
  }
  return h('div', { class: 'measure' },
    h('label', { for: `measure-${measure}` }, measureName(measure), about),
    h('span', { class: 'with-unit' },
      h('input', { id: `measure-${measure}`, 'data-measure': measure, inputmode: 'decimal', autocomplete: 'off', maxlength: '9', 'aria-describedby': `about-${measure}` }), h('span', { class: 'unit' }, units[measure])));
}

/** @param {string} name @param {string} label @param {string[][]} options */
const select = (name, label, options) => h('div', { class: 'measure' },
  h('label', { for: `measure-${name}` }, label),
  h('select', { id: `measure-${name}`, 'data-measure': name }, h('option', { value: '' }, '–'), options.map(([value, text]) => h('option', { value }, text))));

/** What is printed: the card that goes with the fencer. @param {State} state @param {Fencer} fencer */
const card = (state, fencer) => h('section', { class: 'print-card', 'aria-hidden': 'true' },
  h('h2', {}, fencer.name),
  h('p', {}, [fencer.club, fencer.competition].filter(Boolean).join(' · ')),
  h('p', {}, h('b', {}, complete(fencer) ? t('✓ Everything has passed') : t('Not everything has passed yet'))),
  h('table', {}, h('tbody', {}, fencer.items.map(item => h('tr', {},
    h('td', {}, itemName(item.item)),
    h('td', {}, `${item.passed} / ${Math.max(item.needed, item.passed + item.failed)}`),
    h('td', {}, fencer.latest.filter(each => each.item === item.item).map(each => [each.verdict === 'passed' ? '✓' : '✗', each.mark, each.note].filter(Boolean).join(' ')).join('; ')))))),
  h('p', {}, h('small', {}, `${state.own.tournament ?? ''}, ${new Date().toLocaleString(language() === 'en' ? 'en-GB' : language(), { dateStyle: 'medium', timeStyle: 'short' })}`)),
  h('p', {}, h('small', {}, t('An aid to the armourer. The rule book in force, its homologation marks and a qualified armourer decide. Who has failed or missing protection does not fence.'))));
