// Small helpers to make and find elements. Texts only ever become text nodes.

// el("input", {type: "text", value: "x", on: {input: f}, data: {key: 1}}, child, ...)
export function el(tag, props = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === "on") for (const [type, f] of Object.entries(value)) node.addEventListener(type, f);
    else if (name === "data") Object.assign(node.dataset, value);
    else if (name === "class") node.className = value;
    else if (name === "value" || name === "checked" || name === "disabled" || name === "hidden" || name === "open") node[name] = value;
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

const SVG = "http://www.w3.org/2000/svg";

export function svg(tag, attributes = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

export const byId = (id) => document.getElementById(id);

let last = 0;
export const uid = (prefix = "u") => `${prefix}${++last}`;

// later calls f once calls have stopped for ms.
export function later(ms, f) {
  let timer = 0;
  return (...args) => {
    clearTimeout(timer);
    timer = setTimeout(() => f(...args), ms);
  };
}
