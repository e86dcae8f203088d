// @ts-check
/**
 * What the actions of a bout amount to, by the same rules as the service, so that the pad can go on without it.
 * Pure: no clock, no chance, no storage. A test feeds the same actions to both and compares.
 *
 * @typedef {'left' | 'right'} Side
 * @typedef {'yellow' | 'red' | 'black'} Card
 * @typedef {{ kind: 'touch' | 'doubleTouch' | 'card' | 'time' | 'priority' | 'break', side?: Side | null, card?: Card | null, group?: number | null }} Action
 * @typedef {{ weapon: string, touches: number, periods: number, minutes: number }} Rules
 * @typedef {{ left: number, right: number }} Score
 * @typedef {'pause' | 'sabreBreak' | 'medicalBreak'} Interval
 * @typedef {{ score: Score, winner: Side | null, period: number, priority: Side | null, priorityDue: boolean, interval: Interval | null }} Course
 */

/** @param {Side} side @returns {Side} */
export const other = side => (side === 'left' ? 'right' : 'left');

/**
 * Follows a bout through its actions, first to last.
 *
 * @param {Rules} rules
 * @param {readonly Action[]} actions
 * @returns {Course}
 */
export function follow(rules, actions) {
  const score = { left: 0, right: 0 };
  let period = 1;
  /** @type {Side | null} */ let priority = null;
  /** @type {Side | null} */ let winner = null;
  /** @type {Interval | null} */ let interval = null;
  let priorityDue = false;
  const half = rules.weapon === 'sabre' && rules.periods > 1 ? Math.ceil(rules.touches / 2) : Infinity;

  /** @param {Side} side */
  const touch = side => {
    score[side]++;
    if (priority || priorityDue || score[side] >= rules.touches) {
      winner = side;
    } else if (period === 1 && score[side] >= half) {
      period = 2;
      interval = 'sabreBreak';
    }
  };

  for (const action of actions) {
    // What stands after the end was recorded before something earlier was taken back. It does not count.
    if (winner) {
      break;
    }

    const side = /** @type {Side} */ (action.side);
    switch (action.kind) {
      case 'touch':
        interval = null;
        touch(side);
        break;
      case 'doubleTouch':
        interval = null;
        if (!priority && !(score.left === rules.touches - 1 && score.right === rules.touches - 1)) {
          score.left++;
          score.right++;
          if (Math.max(score.left, score.right) >= rules.touches) {
            winner = leader(score);
          }
        }
        break;
      case 'card':
        if (action.card === 'red') {
          touch(other(side));
        } else if (action.card === 'black') {
          winner = other(side);
        }
        break;
      case 'time':
        if (priority) {
          winner = priority;
        } else if (period < rules.periods) {
          period++;
          interval = 'pause';
        } else {
          interval = null;
          winner = leader(score);
          priorityDue = !winner;
        }
        break;
      case 'priority':
        if (priorityDue) {
          interval = null;
          priority = side;
          priorityDue = false;
        }
        break;
      case 'break':
        interval = 'medicalBreak';
        break;
    }
  }

  return { score, winner, period, priority, priorityDue: priorityDue && !winner, interval: winner ? null : interval };
}

/** @param {Score} score @returns {Side | null} */
const leader = score => (score.left === score.right ? null : score.left > score.right ? 'left' : 'right');

/**
 * The card that follows an offence of a group, 1 to 4.
 *
 * @param {readonly Action[]} actions
 * @param {Side} side
 * @param {number} group
 * @returns {Card}
 */
export function cardFor(actions, side, group) {
  const shown = actions.filter(action => action.kind === 'card' && action.side === side);
  switch (group) {
    case 1: return shown.length ? 'red' : 'yellow';
    case 2: return 'red';
    case 3: return shown.some(card => card.group === 3) ? 'black' : 'red';
    default: return 'black';
  }
}

/**
 * The period that the clock times; the extra minute is the one after the last.
 *
 * @param {Rules} rules
 * @param {Course} course
 */
export const clockPeriod = (rules, course) => (course.priority ? rules.periods + 1 : course.period);

/** The fencing time of a period in milliseconds. @param {Rules} rules @param {number} period */
export const periodMs = (rules, period) => 60000 * (period > rules.periods ? 1 : rules.minutes);

/**
 * Who a seed gives priority to. The service draws the same from it (SplitMix64, its first output), so the lot can be
 * drawn here without a network and checked there.
 *
 * @param {number} seed from 0 to 2^53 - 1
 * @returns {Side}
 */
export function lot(seed) {
  const word = (/** @type {bigint} */ value) => BigInt.asUintN(64, value);
  let z = word(BigInt(seed) + 0x9E3779B97F4A7C15n);
  z = word((z ^ (z >> 30n)) * 0xBF58476D1CE4E5B9n);
  z = word((z ^ (z >> 27n)) * 0x94D049BB133111EBn);
  z ^= z >> 31n;
  return z % 2n === 0n ? 'left' : 'right';
}

/**
 * A bout as it stands on this phone: as the service had it, and then what was done here and is still to be sent.
 *
 * @param {any} bout as the service answers it
 * @param {readonly import('./store.js').Entry[]} entries what is to be sent of it, in order
 */
export function standing(bout, entries) {
  const rules = /** @type {Rules} */ (bout);
  /** @type {Action[]} */
  const actions = [...bout.actions];
  let course = follow(rules, actions);
  let result = bout.confirmed ? { ...bout.score, winner: bout.winner } : null;
  /** @type {{ phase: Interval, since: number | null } | null} */
  let interval = bout.interval && { phase: bout.interval.phase, since: Date.parse(bout.interval.since) || null };
  for (const entry of entries) {
    if (entry.takesBack) {
      actions.pop();
      course = follow(rules, actions);
      interval = null;
    } else if (entry.action) {
      const before = course.interval;
      actions.push(entry.action);
      course = follow(rules, actions);
      if (course.interval !== before || entry.action.kind === 'time' || entry.action.kind === 'break') {
        interval = course.interval && { phase: course.interval, since: entry.at };
      }
    } else if (entry.clock === 'start') {
      interval = null;
    } else if (entry.result) {
      result = entry.result;
    }
  }

  const last = actions.at(-1);
  const off = bout.status === 'annulled' || (bout.status === 'decided' && !course.winner && !result);
  return {
    actions, course, result, interval: course.winner ? null : interval,
    score: result ?? course.score,
    winner: /** @type {Side | null} */ (result?.winner ?? (off ? bout.winner : course.winner)),
    /** Nothing is left to be done in it here. */
    done: off || result !== null,
    /** It can be scored. */
    open: !off && !result && !course.winner && bout.status !== 'waiting',
    undo: off || result || last?.card === 'black' ? null : last ?? null,
  };
}
