// What the page asks of the program that serves it.

/** @typedef {{ ok: boolean, value: any }} Answer */

/**
 * Asks for a value, or sends one.
 * @param {string} path
 * @param {any} [body]
 * @returns {Promise<Answer>}
 */
export async function ask(path, body) {
  return send(path, body === undefined ? {} : { method: 'POST', body: JSON.stringify(body) });
}

/**
 * Sends a file.
 * @param {File} file
 * @returns {Promise<Answer>}
 */
export function upload(file) {
  return send(`/api/upload?name=${encodeURIComponent(file.name)}`, { method: 'POST', body: file });
}

/**
 * @param {string} path
 * @param {RequestInit} options
 * @returns {Promise<Answer>}
 */
async function send(path, options) {
  try {
    const response = await fetch(path, options);
    const value = await response.json().catch(() => ({ error: 'landplaster did not understand.' }));
    return { ok: response.ok && !value?.error, value };
  } catch {
    return { ok: false, value: { error: 'landplaster has ended. Start it again: landplaster page' } };
  }
}
