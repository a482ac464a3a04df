// Elements of the page. Text goes in as text: nothing of a car's file is ever read as markup.

const SVG = "http://www.w3.org/2000/svg";

/**
 * The element of an id; the page has it.
 * @param {string} id
 * @returns {any}
 */
export function part(id) {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no ${id}`);
  return found;
}

/**
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @param {...(Node | string)} content
 * @returns {any}
 */
export function element(name, attributes = {}, ...content) {
  return filled(document.createElement(name), attributes, content);
}

/**
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @param {...(Node | string)} content
 * @returns {SVGElement}
 */
export function drawing(name, attributes = {}, ...content) {
  return filled(document.createElementNS(SVG, name), attributes, content);
}

/**
 * Lists warnings. How an engine compares with published ones does not matter in the pit.
 * @param {Element} list
 * @param {{code: string, text: string}[]} warnings
 * @param {string} [opening]
 */
export function listWarnings(list, warnings, opening = "") {
  const told = warnings.filter(({ code }) => code !== "outside_published");
  list.replaceChildren(...told.map(({ text }) => element("li", {}, opening + text)));
}

function filled(made, attributes, content) {
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...content);
  return made;
}
