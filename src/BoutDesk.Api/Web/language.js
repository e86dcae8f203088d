// @ts-check
/** The reader's language, and texts in it. They are looked up by their English form, as those of the pages are. */

/** The languages by their code, each under the name it calls itself. */
export const languages = { en: 'English', fr: 'Français' };
/** @typedef {keyof typeof languages} Language */

// The pages of the service read and write the same cookie.
const cookie = '.AspNetCore.Culture';

/** @param {string | undefined} code @returns {code is Language} */
const spoken = code => code !== undefined && code in languages;

/** The language chosen on this device, else the browser's, else English. */
function found() {
  const kept = new RegExp(`(?:^|; )${cookie}=c%3D(\\w+)`).exec(document.cookie)?.[1];
  return spoken(kept) ? kept : navigator.languages.map(name => name.slice(0, 2)).find(spoken) ?? 'en';
}

/** @type {Language} */
let chosen = found();

/** The language in use. */
export const language = () => chosen;

/** Chooses a language for all pages on this device. @param {Language} code */
export function speak(code) {
  chosen = code;
  document.cookie = `${cookie}=c%3D${code}%7Cuic%3D${code}; path=/; max-age=31536000; samesite=lax`;
}

/**
 * The texts of a page, given their French.
 *
 * @param {Record<string, string>} french
 */
export function texts(french) {
  /** The text in the reader's language, with values put in for {0}, {1} and so on. @param {string} english @param {...any} values */
  const t = (english, ...values) =>
    (chosen === 'fr' ? french[english] ?? english : english).replace(/\{(\d)\}/g, (_, index) => String(values[index]));

  /** One of two texts by number, the number put in for {0}. @param {number} number @param {string} one @param {string} many */
  const n = (number, one, many) => t(number === 1 || (number === 0 && chosen === 'fr') ? one : many, number);
  return { t, n };
}
