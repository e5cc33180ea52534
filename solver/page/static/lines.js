// Lines that a part is drawn by in its views: the front and the back of a belly, the edges of rows, a middle line.
import { draft, touch, commit } from "./draft.js";
import { $, el, svg } from "./elements.js";
import { STEP, mmOf, number, shown } from "./lengths.js";

// Of each line: its name, what its first number tells, the view that shows it, and to which side it counts.
const LINES = {
  front: ["Front", "Forward", "side", 1],
  back: ["Back", "Backward", "side", -1],
  left: ["Left edge", "To the left", "plan", -1],
  right: ["Right edge", "To the right", "plan", 1],
  spine: ["Middle line", "Forward", "side", 1],
};
const MOST = 60;

export const isLine = (key) => key in LINES;
const asMm = (value) => (typeof value === "number" ? value : mmOf(String(value ?? ""), "mm"));
const kept = (mm) => (draft.options.unit === "mm" ? Number(mm.toFixed(1)) : `${number(mm, draft.options.unit)} ${draft.options.unit}`);
const drawn = () => Object.keys(draft.tables?.shape || {}).filter((key) => isLine(key) && Array.isArray(draft.tables.shape[key]));
const readable = (pairs) => pairs.every((pair) => Array.isArray(pair) && pair.length === 2 && pair.every((one) => asMm(one) !== null));

export const there = () => drawn().length > 0;

let held = null; // the handle that is dragged
let focus = ""; // where the keys are, over a new drawing
export const dragging = () => held?.home || null;

// The handles of a view, on top of it.
export function handles(home, view) {
  return drawn().filter((key) => LINES[key][2] === view && readable(draft.tables.shape[key]))
    .flatMap((key) => draft.tables.shape[key].map((_, i) => (key === "spine" && i === 0 ? null : handle(home, key, i))))
    .filter(Boolean); // a middle line begins where the part does
}

function handle(home, key, i) {
  const made = svg("g", { class: "point", role: "slider", tabindex: "0", "aria-valuemin": "-10000", "aria-valuemax": "10000", "data-line": `${key}-${i}` },
    svg("circle", { r: 16, class: "reach" }), svg("circle", { r: 5.5, class: "dot" }));
  put(made, home, key, i);
  made.addEventListener("focus", () => { focus = `${key}-${i}`; });
  made.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    event.preventDefault();
    made.focus();
    made.setPointerCapture(event.pointerId);
    const box = home.getBoundingClientRect();
    const px = home.viewBox.baseVal.width / Math.min(box.width, (box.height * home.viewBox.baseVal.width) / home.viewBox.baseVal.height);
    held = { home, px: px / home.k, from: [event.clientX, event.clientY], at: draft.tables.shape[key][i].map(asMm) };
  });
  made.addEventListener("pointermove", (event) => {
    if (!held || !made.hasPointerCapture(event.pointerId)) return;
    const by = [(event.clientX - held.from[0]) * LINES[key][3], held.from[1] - event.clientY].map((px) => px * held.px);
    const before = draft.tables.shape[key][i].join();
    move(key, i, held.at[0] + by[0], held.at[1] + by[1]);
    if (draft.tables.shape[key][i].join() === before) return;
    put(made, home, key, i);
    touch();
  });
  for (const end of ["pointerup", "pointercancel"]) made.addEventListener(end, () => { if (held) { held = null; commit("fields"); } });
  made.addEventListener("keydown", (event) => {
    const step = STEP[draft.options.unit] * (event.shiftKey ? 10 : 1);
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const pairs = draft.tables.shape[key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (moves) {
      const [r, h] = pairs[i].map(asMm);
      move(key, i, r + moves[0] * step * LINES[key][3], h + moves[1] * step);
    } else if (event.key === "Insert" || event.key === "+") add(key, i);
    else if (event.key === "Delete" || event.key === "Backspace") remove(key, i);
    else return;
    event.preventDefault();
    if (moves) put(made, home, key, i);
    commit("fields");
  });
  return made;
}

const long = (pairs) => pairs.slice(1).reduce((sum, [x, y], k) => sum + Math.hypot(asMm(x) - asMm(pairs[k][0]), asMm(y) - asMm(pairs[k][1])), 0);

// A part is as long as its middle line: its outline goes along.
function follow(before) {
  const times = long(draft.tables.shape.spine) / before;
  if (!draft.points || !Number.isFinite(times) || Math.abs(times - 1) < 1e-6) return;
  draft.points = draft.points.map(([r, h]) => [r, Number((h * times).toFixed(2))]);
  draft.tables.shape.points = draft.points.map((one) => [...one]);
}

function move(key, i, r, h) {
  const before = key === "spine" ? long(draft.tables.shape.spine) : 0;
  moved(key, i, r, h);
  if (before) follow(before);
}

function moved(key, i, r, h) {
  const step = STEP[draft.options.unit];
  const snap = (mm) => (draft.options.snap ? Math.round(mm / step) * step : mm);
  const pairs = draft.tables.shape[key];
  // heights go up along a line; where two lines meet they end at one height
  const [low, high] = key === "spine" ? [-Infinity, Infinity] : [i ? asMm(pairs[i - 1][1]) : -Infinity, i < pairs.length - 1 ? asMm(pairs[i + 1][1]) : Infinity];
  const height = Math.min(Math.max(snap(h), low), high);
  pairs[i] = [kept(key === "front" || key === "back" ? Math.max(snap(r), 0) : snap(r)), kept(height)];
  const other = draft.tables.shape[{ front: "back", back: "front", left: "right", right: "left" }[key]];
  if (other && i === 0) other[0] = [other[0][0], pairs[0][1]];
  if (other && i === pairs.length - 1) other[other.length - 1] = [other.at(-1)[0], pairs[i][1]];
}

function put(made, home, key, i) {
  const pairs = draft.tables.shape[key];
  const [r, h] = pairs[i].map(asMm);
  const [x, y] = key === "spine" ? pairs[0].map(asMm) : [0, 0]; // seen from where the part begins
  made.setAttribute("transform", `translate(${(r - x) * LINES[key][3] * home.k} ${(y - h) * home.k})`);
  made.setAttribute("aria-label", `${LINES[key][0]}, point ${i + 1} of ${pairs.length}`);
  made.setAttribute("aria-valuenow", r.toFixed(1));
  made.setAttribute("aria-valuetext", `${LINES[key][1].toLowerCase()} ${shown(r, draft.options.unit)}, height ${shown(h, draft.options.unit)}`);
}

function add(key, i) {
  const pairs = draft.tables.shape[key];
  if (pairs.length >= MOST) return;
  const k = Math.min(i, pairs.length - 2);
  pairs.splice(k + 1, 0, [0, 1].map((n) => kept((asMm(pairs[k][n]) + asMm(pairs[k + 1][n])) / 2)));
  focus = `${key}-${k + 1}`;
}

function remove(key, i) {
  const pairs = draft.tables.shape[key];
  if (pairs.length < (key === "spine" ? 4 : 3) || (key !== "spine" && (i === 0 || i === pairs.length - 1))) return; // its ends stay
  pairs.splice(i, 1);
  focus = `${key}-${i - 1}`;
}

// Where the keys were, after the views were drawn anew.
export function refocus(home) {
  if (focus) home.querySelector(`[data-line="${focus}"]`)?.focus();
}
export const focused = () => Boolean(document.activeElement?.dataset?.line);

// The same lines as numbers, each of which can be typed anew; points come and go there too.
export function tables() {
  if (!there()) return [];
  const help = "Drag a point of the line. By keys: Tab goes from point to point, arrows move it (with Shift ten steps), Insert adds one, Delete takes it away.";
  return [el("p", { class: "quiet", text: help }), ...drawn().map((key) => {
    const [name, across] = LINES[key];
    const pairs = draft.tables.shape[key];
    const rows = pairs.map((pair, i) => el("tr", {}, el("th", { scope: "row", text: i + 1 }), ...[0, 1].map((k) => el("td", {}, typed(key, i, k))),
      el("td", {}, el("button", { class: "small", text: "+", "aria-label": `A point after point ${i + 1} of ${name}`, title: "A point after it", onclick: () => { add(key, i); commit("fields"); } }),
        el("button", { class: "small", text: "−", "aria-label": `Take point ${i + 1} of ${name} away`, title: "Take it away", disabled: pairs.length < 3 || (key !== "spine" && (i === 0 || i === pairs.length - 1)), onclick: () => { remove(key, i); commit("fields"); } }))));
    return el("details", { "data-of": key, open: opened.has(key), ontoggle: (event) => { opened[event.target.open ? "add" : "delete"](key); } }, el("summary", { text: `${name} as numbers` }),
      el("table", {}, el("thead", {}, el("tr", {}, ...["Point", across, "Height"].map((text) => el("th", { scope: "col", text })), el("td"))), el("tbody", {}, ...rows)));
  })];
}
const opened = new Set();

function typed(key, i, k) {
  const pair = draft.tables.shape[key][i];
  const input = el("input", { size: "8", id: `line-of-${key}-${i}-${k}`, "aria-label": `${LINES[key][0]}, point ${i + 1}, ${k ? "height" : LINES[key][1].toLowerCase()}`, autocomplete: "off" });
  const mm = asMm(pair[k]);
  input.value = mm === null ? pair[k] : number(mm, draft.options.unit);
  input.addEventListener("change", () => {
    const told = mmOf(input.value, draft.options.unit);
    if (told === null) return input.setAttribute("aria-invalid", "true");
    draft.tables.shape[key][i] = pair.map((one, n) => (n === k ? kept(told) : one));
    commit("fields");
  });
  return input;
}

// Where a part bends, by how much, and over which length; bends come and go.
export function bends(field, asLength) {
  const shape = draft.tables.shape;
  const all = shape.bends || [];
  const long = asMm(shape.points?.at(-1)?.[1]) || 80;
  const ways = [["forward", "forward"], ["backward", "backward"]];
  const angle = (bend) => Number(String(bend.angle ?? "").replace(/\s*(deg(rees?)?|°)\s*$/, "").replace(",", ".").replace("−", "-"));
  return el("div", { id: "bends" }, ...all.map((bend, i) => {
    const degrees = angle(bend);
    const way = el("select", { id: `bend-${i}-way`, "aria-label": `Bend ${i + 1} goes` }, ...ways.map(([value, text]) => el("option", { value, text, selected: (degrees < 0) === (value === "backward") })));
    way.addEventListener("change", () => { bend.angle = (way.value === "backward" ? -1 : 1) * Math.abs(degrees); commit("fields"); });
    return el("div", { class: "fields", role: "group", "aria-label": `Bend ${i + 1}` },
      field(`Bend ${i + 1} at`, bend.at, (text) => { bend.at = asLength(text); }, { id: `bend-${i}-at` }),
      field("by, °", Number.isFinite(degrees) ? Math.abs(degrees) : bend.angle, (text) => { const turn = Number(text.replace(",", ".")); bend.angle = Number.isFinite(turn) ? (degrees < 0 ? -1 : 1) * turn : text; }, { id: `bend-${i}-angle`, size: "5" }),
      way,
      field("over", bend.over, (text) => { bend.over = asLength(text); }, { id: `bend-${i}-over` }),
      all.length > 1 ? el("button", { text: "Take it away", "aria-label": `Take bend ${i + 1} away`, onclick: () => { all.splice(i, 1); commit("fields"); } }) : null);
  }), el("p", { class: "tools" }, el("button", { id: "addbend", text: "Another bend", disabled: all.length > 7, onclick: () => {
    const last = all.at(-1);
    const at = last ? ((asMm(last.at) || 0) + long) / 2 : long / 2;
    all.push({ at: kept(at), angle: 30, over: kept(Math.max(long / 6, 5)) });
    commit("fields");
    document.getElementById(`bend-${all.length - 1}-at`)?.focus();
  } })), el("p", { class: "quiet", text: "At: how far along the part, from its beginning. Over: how much of its length bends." }));
}
