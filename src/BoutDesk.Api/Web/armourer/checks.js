// @ts-check
/**
 * What was checked, and what is still to be sent of it. Pure, so that a phone without a network knows as much as the
 * service.
 *
 * @typedef {'passed' | 'failed'} Verdict
 * @typedef {{ item: string, piece: number, verdict: Verdict, mark?: string | null, note?: string | null, at?: string | null, waits?: boolean }} Piece
 * @typedef {{ item: string, needed: number, passed: number, failed: number, missing: number }} Item
 * @typedef {{ entrantId: string, name: string, club?: string | null, competitionId: string, competition: string, weapon: string,
 *   hand?: string | null, here: boolean, waived: boolean, items: Item[], latest: Piece[], notes: { concern: string, note: string }[] }} Fencer
 * @typedef {{ item: string, measure: string, relation: string, bound?: number | null, gauge?: string | null, weapon?: string | null,
 *   source: string, certainty: string }} Limit
 * @typedef {{ seq?: number, key: string, entrantId: string, at: number, method: string, path: string, body: any, tried: boolean, refused?: string | null }} Entry
 */

/** The unit of each measure, and the steps in which it is usually read. @type {Record<string, string>} */
export const units = {
  mass: 'g', bladeLength: 'mm', totalLength: 'mm', curve: 'mm', pointForce: 'g', stroke: 'mm', strokeLeft: 'mm', guardGauge: '', resistance: 'Ω', punch: 'kg',
};

/**
 * A fencer with what is to be sent on top of what the service had.
 *
 * @param {Fencer} fencer @param {readonly Entry[]} entries
 * @returns {Fencer}
 */
export function withEntries(fencer, entries) {
  const mine = entries.filter(entry => entry.entrantId === fencer.entrantId && !entry.refused);
  if (mine.length === 0) {
    return fencer;
  }

  let latest = fencer.latest.slice();
  for (const { method, path, body, at } of mine) {
    const when = new Date(at).toISOString();
    if (method === 'DELETE') {
      // Which check was the last is known to the service; here it is the one of the latest time.
      const last = latest.reduce((/** @type {Piece | null} */ found, piece) => found && (found.at ?? '') > (piece.at ?? '') ? found : piece, null);
      latest = latest.filter(piece => piece !== last);
    } else if (path.endsWith('/rest')) {
      for (const { item, needed } of fencer.items) {
        for (let piece = 1; piece <= needed; piece++) {
          if (!latest.some(each => each.item === item && each.piece === piece)) {
            latest.push({ item, piece, verdict: 'passed', mark: body?.mark, at: when, waits: true });
          }
        }
      }
    } else {
      latest = latest.filter(each => each.item !== body.item || each.piece !== (body.piece ?? 1));
      latest.push({ item: body.item, piece: body.piece ?? 1, verdict: body.verdict, mark: body.mark, note: body.note, at: when, waits: true });
    }
  }

  return { ...fencer, latest, items: count(fencer.items, latest) };
}

/** A fencer as the service answers after a check. @param {Fencer} fencer @param {any} equipment @returns {Fencer} */
export function withAnswer(fencer, equipment) {
  /** @type {Map<string, Piece>} */
  const latest = new Map();
  for (const check of equipment.checks) {
    latest.set(`${check.item} ${check.piece}`, check);
  }
  return { ...fencer, waived: equipment.waived, items: equipment.items, notes: equipment.notes, latest: [...latest.values()] };
}

/** @param {Item[]} items @param {Piece[]} latest @returns {Item[]} */
function count(items, latest) {
  const others = [...new Set(latest.map(piece => piece.item))].filter(name => items.every(each => each.item !== name));
  return [...items, ...others.map(item => ({ item, needed: 0, passed: 0, failed: 0, missing: 0 }))].map(({ item, needed }) => {
    const pieces = latest.filter(piece => piece.item === item);
    const passed = pieces.filter(piece => piece.verdict === 'passed').length;
    return { item, needed, passed, failed: pieces.length - passed, missing: Math.max(0, needed - passed) };
  });
}

/** Whether everything that is needed has passed. @param {Fencer} fencer */
export const complete = fencer => fencer.items.every(item => item.missing === 0);

/** The limits of an item with a weapon. @param {readonly Limit[]} limits @param {string} item @param {string} weapon */
export const limitsOf = (limits, item, weapon) => limits.filter(limit => limit.item === item && (limit.weapon ?? weapon) === weapon);

/**
 * What a limit says of a value as it is typed: null while nothing is, or while it is no number.
 *
 * @param {Limit} limit @param {string | boolean | undefined} typed
 * @returns {'kept' | 'broken' | null}
 */
export function judge(limit, typed) {
  if (limit.relation === 'passes') {
    return typeof typed === 'boolean' ? (typed ? 'kept' : 'broken') : null;
  }
  const value = number(typed);
  const bound = /** @type {number} */ (limit.bound);
  if (value === null) {
    return null;
  }
  const kept = limit.relation === 'below' ? value < bound : limit.relation === 'atMost' ? value <= bound : limit.relation === 'atLeast' ? value >= bound : value > bound;
  return kept ? 'kept' : 'broken';
}

/** A typed number, with a point or a comma. @param {string | boolean | undefined} typed */
export function number(typed) {
  const text = typeof typed === 'string' ? typed.trim().replace(',', '.') : '';
  return /^\d+(\.\d+)?$/.test(text) ? Number(text) : null;
}

/**
 * The verdict that follows from what is typed: failed when a limit is broken, passed when there are limits and all are
 * kept, else null.
 *
 * @param {readonly Limit[]} limits @param {Record<string, string | boolean | undefined>} typed
 * @returns {Verdict | null}
 */
export function verdictOf(limits, typed) {
  const said = limits.map(limit => judge(limit, typed[limit.measure]));
  return said.includes('broken') ? 'failed' : said.length === 0 || said.includes(null) ? null : 'passed';
}

/** What is typed, as a request tells it. @param {Record<string, string | boolean | undefined>} typed @returns {Record<string, string | boolean> | undefined} */
export function measured(typed) {
  /** @type {Record<string, string | boolean>} */
  const values = {};
  for (const [measure, value] of Object.entries(typed)) {
    if (typeof value === 'boolean') {
      values[measure] = value;
    } else if (number(value) !== null) {
      values[measure] = `${number(value)} ${units[measure]}`;
    }
  }
  return Object.keys(values).length ? values : undefined;
}

/** Makes letters comparable. @param {string} text */
const plain = text => text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();

/** The fencers whose name, club, competition or code holds all the words. @param {readonly Fencer[]} fencers @param {string} words */
export function find(fencers, words) {
  const wanted = plain(words).split(/\s+/).filter(Boolean);
  return fencers.filter(fencer => {
    const held = plain(`${fencer.name} ${fencer.club ?? ''} ${fencer.competition} ${fencer.entrantId}`);
    return wanted.every(word => held.includes(word) || word.includes(fencer.entrantId));
  });
}
