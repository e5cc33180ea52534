// Elements made in one line; text is always text.
export const $ = (id) => document.getElementById(id);

function fill(made, attributes, inside) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "text") made.textContent = value;
    else if (typeof value === "boolean") made.toggleAttribute(name, value);
    else if (value !== undefined) made.setAttribute(name, value);
  }
  made.append(...inside.filter((one) => one !== null && one !== undefined));
  return made;
}

export const el = (tag, attributes = {}, ...inside) => fill(document.createElement(tag), attributes, inside);
export const svg = (tag, attributes = {}, ...inside) =>
  fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, inside);

export function ask(heading, ...inside) {
  const box = $("box");
  $("box-h").textContent = heading;
  $("box-in").replaceChildren(...inside);
  if (!box.open) box.showModal();
  return () => box.close();
}

export const pathOf = (points, close = false) =>
  points.map(([x, y], i) => `${i ? "L" : "M"}${x.toFixed(2)} ${y.toFixed(2)}`).join("") + (close ? "Z" : "");
