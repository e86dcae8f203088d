// @ts-check
/** A key that nobody else makes. crypto.randomUUID is missing without https. */
export function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map(byte => byte.toString(16).padStart(2, '0')).join('');
}
