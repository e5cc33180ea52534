// Ovals from above and from the front, their sizes set by dragging the ends.
import { draft, touch, commit } from "./draft.js";
import { $, el, svg, pathOf } from "./elements.js";
import * as lines from "./lines.js";
import { STEP, mmOf, number, shown } from "./lengths.js";

const NAMES = { plan: "from above", front: "from the front", side: "from the side" };
const GRIPS = { plan: { length: [0.5, 0], width: [0, 0.5] }, front: { height: [0, 1] } };
const OVALS = ["oval", "flat oval"]; // whose sizes are those that are seen
let drag = null;

let rings = {}; // where each round is seen, by view
let lit = null;
let pointed = () => {};
export const onPointed = (tell) => { pointed = tell; };

// The rounds that light up, in every view.
export function mark(rounds) {
  lit = rounds;
  for (const home of $("views").querySelectorAll(".view")) lights(home);
}

function lights(home) {
  const own = lit ? (rings[home.dataset.view] || []).slice(lit[0] - 1, lit[1]) : [];
  home.querySelector(".lit")?.setAttribute("d", own.map((ring) => pathOf(ring.map(([x, y]) => [x * home.k, -y * home.k]), true)).join(""));
}

// The round whose places are nearest to the pointer, if it is near.
function roundAt(home, event) {
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(home.getScreenCTM().inverse());
  let best = [12, null];
  (rings[home.dataset.view] || []).forEach((ring, i) => ring.forEach(([x, y], n) => {
    const [u, v] = ring[(n + 1) % ring.length];
    const [dx, dy] = [(u - x) * home.k, (y - v) * home.k];
    const t = Math.max(0, Math.min(1, ((point.x - x * home.k) * dx + (point.y + y * home.k) * dy) / (dx * dx + dy * dy || 1)));
    const d = Math.hypot(x * home.k + t * dx - point.x, -y * home.k + t * dy - point.y);
    if (d < best[0]) best = [d, i + 1];
  }));
  return best[1];
}

const sizeOf = (key) => {
  const value = draft.tables.shape[key];
  return typeof value === "number" ? value : mmOf(String(value ?? ""), "mm");
};

// Returns whether there is anything to be seen from several sides.
export function show(told) {
  const home = $("views");
  const wanted = told?.data?.wanted?.outlines || {};
  const form = told?.data?.form?.outlines || {};
  const names = (told?.kind === "bent" ? ["side", "front", "plan"] : ["plan", "front", "side"]).filter((name) => form[name]);
  home.hidden = !names.length;
  rings = told?.rings || {}; // a first look's rounds are not those in the list
  const moving = drag?.figure || lines.dragging();
  if (moving || !names.length) {
    for (const one of home.querySelectorAll(".view")) if (form[one.dataset.view]) paint(one, one.dataset.view, wanted[one.dataset.view] || [], form[one.dataset.view], one !== moving);
    return names.length > 0;
  }
  const focused = document.activeElement?.dataset?.grip;
  const line = lines.focused();
  home.classList.toggle("single", names.length === 1);
  home.replaceChildren(...names.map((name) => figure(name, wanted[name] || [], form[name])));
  if (focused) home.querySelector(`[data-grip="${focused}"]`)?.focus();
  if (line) lines.refocus(home);
  return true;
}

function figure(name, wanted, form) {
  const home = svg("svg", { class: "view", role: "group", "data-view": name, "aria-label": `The part ${NAMES[name]}` });
  home.addEventListener("pointermove", (event) => { if (!event.buttons) pointed(roundAt(home, event)); });
  home.addEventListener("pointerleave", () => pointed(null));
  const made = el("figure", {}, home, el("figcaption", { text: NAMES[name] }));
  paint(home, name, wanted, form, true);
  return made;
}

function paint(home, name, wanted, form, fit = false) {
  const all = [...wanted, ...form];
  if (fit) {
    const span = (n, least) => {
      const [low, high] = [Math.min(...all.map((p) => p[n])), Math.max(...all.map((p) => p[n]))];
      const more = Math.max(least - (high - low), 0) / 2;
      return [low - more, high + more];
    };
    const [left, right] = span(0, 10);
    const [low, high] = span(1, 5);
    home.k = Math.min(360 / (right - left), 210 / (high - low));
    home.low = low;
    home.setAttribute("viewBox", `${left * home.k - 34} ${-high * home.k - 34} ${(right - left) * home.k + 68} ${(high - low) * home.k + 68}`);
  }
  const k = home.k;
  const at = ([x, y]) => [x * k, -y * k];
  const moving = drag?.figure === home || lines.dragging() === home;
  const made = { formed: pathOf(form.map(at), true), lit: "", asked: pathOf(wanted.map(at), true) };
  // what is held stays in its place: taken out, it would lose the pointer
  if (moving) for (const [what, d] of Object.entries(made)) home.querySelector(`.${what}`).setAttribute("d", d);
  else home.replaceChildren(...Object.entries(made).map(([what, d]) => svg("path", { class: what, d })),
    ...[...Object.entries(GRIPS[name] || {}).map(([key, where]) => grip(home, key, where, name)), ...lines.handles(home, name)].filter(Boolean));
  for (const one of home.querySelectorAll("[data-grip]")) set(one, home);
  lights(home);
}

function grip(home, key, where, name) {
  if (draft.points || !OVALS.includes(draft.tables.shape.kind) || sizeOf(key) === null || draft.tables.shape[key] === undefined) return null;
  const made = svg("g", { class: "point", role: "slider", tabindex: "0", "aria-valuemin": "0", "aria-valuemax": "10000",
    "data-grip": key },
    svg("circle", { r: 22, class: "reach" }), svg("circle", { r: 7, class: "dot" }));
  made.where = where;
  made.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    made.focus();
    made.setPointerCapture(event.pointerId);
    const box = home.getBoundingClientRect();
    drag = { key, figure: home, name, from: [event.clientX, event.clientY], size: sizeOf(key), px: (home.viewBox.baseVal.width / box.width) / home.k };
  });
  made.addEventListener("pointermove", (event) => {
    if (!drag || drag.key !== key) return;
    const moved = [(event.clientX - drag.from[0]) * drag.px, -(event.clientY - drag.from[1]) * drag.px];
    change(key, drag.size + (where[0] ? moved[0] / where[0] : 0) + (where[1] ? moved[1] / where[1] : 0));
    set(made, home);
    touch();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    made.addEventListener(end, () => { if (drag) { drag = null; commit("fields"); } });
  }
  made.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    change(key, sizeOf(key) + by * STEP[draft.options.unit] * (event.shiftKey ? 10 : 1));
    set(made, home);
    commit("fields");
  });
  return made;
}

function change(key, mm) {
  const unit = draft.options.unit;
  const step = STEP[unit];
  const size = Math.max(draft.options.snap ? Math.round(mm / step) * step : mm, step);
  draft.tables.shape[key] = unit === "mm" ? Number(size.toFixed(1)) : `${number(size, unit)} ${unit}`;
}

function set(one, home) {
  const size = sizeOf(one.dataset.grip);
  const [x, y] = [one.where[0] * size, one.where[1] * size];
  one.setAttribute("transform", `translate(${x * home.k} ${-(y + (one.where[1] === 1 ? Math.max(home.low, 0) : 0)) * home.k})`);
  one.setAttribute("aria-label", one.dataset.grip);
  one.setAttribute("aria-valuenow", size.toFixed(1));
  one.setAttribute("aria-valuetext", shown(size, draft.options.unit));
}
