// @ts-check
/** Drawing for pages that live on a phone: what is shown is made anew, and what is there is made to look like it. */

/**
 * Makes an element. Attributes that are null or false are left out.
 *
 * @param {string} tag @param {Record<string, any>} attributes @param {...any} children
 */
export function h(tag, attributes, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined && value !== false) {
      element.setAttribute(name, value === true ? '' : value);
    }
  }
  element.append(...children.flat(2).filter(child => child !== null && child !== undefined && child !== false));
  return element;
}

/** A button that does something. @param {string} does @param {any} text @param {Record<string, any>} [attributes] */
export const button = (does, text, attributes = {}) => h('button', { type: 'button', 'data-do': does, ...attributes }, text);

/**
 * Makes a tree look like another one and keeps the elements that are there, so that a finger on a button, the focus and
 * what is being typed survive.
 *
 * @param {Element} old @param {Element} fresh
 */
export function patch(old, fresh) {
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && name !== 'value' && !(name === 'open' && old.tagName === 'DETAILS')) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  const have = [...old.childNodes];
  const wants = [...fresh.childNodes];
  for (const [i, wanted] of wants.entries()) {
    const there = have[i];
    if (!there) {
      old.append(wanted);
    } else if (there instanceof Element && wanted instanceof Element && there.tagName === wanted.tagName && there.id === wanted.id) {
      patch(there, wanted);
    } else if (there.nodeType === Node.TEXT_NODE && wanted.nodeType === Node.TEXT_NODE) {
      if (there.nodeValue !== wanted.nodeValue) there.nodeValue = wanted.nodeValue;
    } else {
      there.replaceWith(wanted);
    }
  }
  for (const extra of have.slice(wants.length)) {
    extra.remove();
  }
}
