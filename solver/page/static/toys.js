// A toy: its parts listed, each placed by pointing at the one that carries it, or by numbers.
import { draft, commit, touch } from "./draft.js";
import { $, el, svg, pathOf } from "./elements.js";
import { mmOf } from "./lengths.js";
import * as space from "./space.js";

const JOINS = [["sewn", "sewn on by its open edge"], ["flat", "folded flat, sewn along a line"], ["pressed", "pressed on"], ["worked in", "worked into a round"]];
let told = null;
let chosen = "";
let drag = null;
let pressed = ["", ""]; // what was chosen before each of the last two presses
let openPart = () => {};
export const onOpen = (tell) => { openPart = tell; };

const parts = () => draft.tables?.parts;
const names = () => Object.keys(parts());
const numberOf = (name) => 1 + (told?.parts || []).findIndex((one) => one.name === name);

export function show(why, files) {
  const on = Boolean(draft.tables?.parts);
  $("bench").classList.toggle("toy", on);
  $("toy").hidden = !on;
  $("paper-h").textContent = on ? "The toy" : "Drawing";
  $("called").textContent = on ? "Toy" : "Part";
  if (!on) return;
  if (why === "begin") {
    told = null;
    chosen = names()[1] || "";
    space.look({ turn: -1.9, tilt: 0.25 });
  }
  $("space").hidden = false;
  $("shade").value = "colour";
  space.shadeBy("colour");
  const free = files.filter((name) => name !== draft.name);
  $("newpart").replaceChildren(...free.map((name) => el("option", { value: name, text: name.replace(/\.toml$/, "") })));
  $("addpart").disabled = !free.length;
  if (why !== "draw") list();
}

function list() {
  const focused = document.activeElement?.id;
  const body = names()[0];
  $("toyparts").replaceChildren(...names().map((name) => {
    const known = told?.parts?.find((one) => one.name === name);
    const set = el("fieldset", { class: name === chosen ? "chosen" : "", "data-part": name, "data-number": numberOf(name) },
      el("legend", {}, known?.line?.length ? picture(known.line) : null, ` ${name}${known && known.made > 1 ? ` × ${known.made}` : ""}`));
    if (name === body) set.append(el("span", { class: "quiet", text: "stands on the ground. " }));
    else if (parts()[name].join === "joined") set.append(el("span", { class: "quiet", text: `worked in one piece with the ${parts()[name].on}. ` }));
    else set.append(...place(name));
    const file = parts()[name].file;
    set.append(el("div", { class: "tools" }, file ? el("button", { text: "Open its drawing", "aria-label": `Open the drawing of ${name}`, onclick: () => openPart(file) }) : null,
      el("button", { text: "Take it off", "aria-label": `Take ${name} off`, onclick: () => takeOff(name) })));
    set.append(el("p", { class: "joined", text: known?.joined || "" }));
    return set;
  }));
  if (focused) document.getElementById(focused)?.focus();
}

function picture(line) {
  const [x, low, high] = [Math.max(...line.map((p) => Math.abs(p[0]))), Math.min(...line.map((p) => p[1])), Math.max(...line.map((p) => p[1]))];
  const k = 44 / Math.max(2 * x, high - low);
  return svg("svg", { viewBox: "-25 -25 50 50", "aria-hidden": "true" }, svg("path", { d: pathOf(line.map(([r, h]) => [r * k, ((low + high) / 2 - h) * k]), true) }));
}

function place(name) {
  const part = parts()[name];
  const at = typeof part.at === "object" ? part.at : null;
  const id = (key) => `toy-${name}-${key}`;
  const change = (key, value, usual) => { if (value === usual) delete part[key]; else part[key] = value; commit("fields"); };
  const pick = (label, key, options, value, then) => el("label", {}, `${label} `, el("select", { id: id(key), onchange: (e) => then(e.target.value) },
    ...options.map(([v, text]) => el("option", { value: v, text, selected: v === value }))));
  const count = (label, key, value, then, more = {}) => {
    const input = el("input", { id: id(key), type: "number", step: "1", ...more, onchange: (e) => { if (e.target.value !== "") then(Number(e.target.value)); } });
    input.value = value;
    return el("label", {}, `${label} `, input);
  };
  const carriers = names().slice(0, names().indexOf(name)).map((one) => [one, one]);
  const where = part.at === "top" ? "top" : at && "round" in at ? "stitch" : "place";
  const height = at && "height" in at ? (typeof at.height === "number" ? at.height : mmOf(String(at.height), "mm") ?? 0) : 20;
  return [el("div", { class: "fields" },
    el("label", {}, el("input", { type: "radio", name: "chosen", id: id("chosen"), checked: name === chosen, onchange: () => choose(name) }), " move it"),
    pick("on", "on", carriers, part.on, (v) => { part.on = v; part.at = { height: 20, turn: 0 }; commit("fields"); }),
    pick("at", "where", [["top", "its top"], ["place", "a height and a turn"], ["stitch", "a round and a stitch"]], where,
      (v) => { part.at = v === "top" ? "top" : v === "stitch" ? { round: Math.max(1, Math.round((roundsOf(part.on) || 2) / 2)), stitch: 1 } : { height: 20, turn: 0 }; commit("fields"); }),
    ...(where === "place" ? [count("Height, mm", "height", height, (v) => { part.at = { ...at, height: v }; commit("fields"); }, { min: "0" }),
      count("Turn to its left, °", "turn", at?.turn ?? 0, (v) => { part.at = { ...at, turn: v }; commit("fields"); }, { min: "-180", max: "180" })] : []),
    ...(where === "stitch" ? [count("Round", "round", at.round, (v) => { part.at = { ...at, round: v }; commit("fields"); }, { min: "1", max: roundsOf(part.on) }),
      count("Stitch, from the marker", "stitch", at.stitch, (v) => { part.at = { ...at, stitch: v }; commit("fields"); }, { min: "1" })] : []),
    pick("Joined", "join", JOINS, part.join || "sewn", (v) => change("join", v, "")),
    el("label", {}, el("input", { type: "checkbox", id: id("twins"), checked: Boolean(part.twins), onchange: (e) => change("twins", e.target.checked, false) }), " twins, left and right"),
    count("Leans down, °", "lean", part.lean ?? 0, (v) => change("lean", v, 0), { min: "-180", max: "180" }),
    count("Spun, °", "spin", part.spin ?? 0, (v) => change("spin", v, 0), { min: "-180", max: "180" }))];
}

const roundsOf = (name) => told?.parts?.find((one) => one.name === name)?.rounds;

function choose(name) {
  chosen = name;
  for (const set of $("toyparts").children) set.classList.toggle("chosen", set.dataset.part === name);
  space.mark([numberOf(name), numberOf(name)]);
}

function takeOff(name) {
  delete parts()[name];
  for (const [other, part] of Object.entries(parts())) if (part.on === name) delete parts()[other];
  const first = names()[0];
  if (first) for (const key of ["on", "at", "join", "twins", "lean", "spin"]) delete parts()[first][key];
  commit("fields");
}

$("addpart").addEventListener("click", () => {
  const file = $("newpart").value;
  const stem = file.replace(/\.toml$/, "").replace(/[^A-Za-z0-9_-]+/g, "-");
  let name = stem;
  for (let n = 2; name in parts(); n++) name = `${stem}-${n}`;
  const body = names()[0];
  parts()[name] = body ? { file, on: body, at: { height: 20, turn: 0 } } : { file };
  chosen = body ? name : "";
  commit("fields");
  document.getElementById(`toy-${name}-chosen`)?.focus();
});

// ---- what it becomes ---------------------------------------------------------------------------------------

export function became(now) {
  if (!now.ok) return;
  told = now;
  $("toysizes").textContent = now.sizes;
  if (now.at && drag && parts()[drag.name]) {
    parts()[drag.name].at = now.at;
    drag.moved = true;
  }
  space.show(now.mesh);
  if (!drag) {
    if (now.at) return;
    list();
  }
}

export const pointed = () => (drag?.point ? { dragged: drag.name, point: drag.point } : {});

// A part is dragged on the one that carries it.
space.home.addEventListener("pointerdown", (event) => {
  if (!draft.tables?.parts || event.button) return;
  pressed = [pressed[1], chosen];
  const hit = space.pick(event);
  const name = hit && told?.parts?.[hit.part - 1]?.name;
  if (!name || name === names()[0] || parts()[name].join === "joined") return;
  event.preventDefault();
  choose(name);
  drag = { name, on: numberOf(parts()[name].on), id: event.pointerId };
  space.home.setPointerCapture(event.pointerId);
}, { capture: true });
space.home.addEventListener("pointermove", (event) => {
  if (!drag || event.pointerId !== drag.id) return;
  event.preventDefault();
  const spot = space.pick(event, drag.on);
  if (!spot) return;
  drag.point = spot.point.map((x) => Number(x.toFixed(2)));
  touch("draw");
}, { capture: true });
for (const end of ["pointerup", "pointercancel"]) space.home.addEventListener(end, () => { if (drag) settled(drag); });

function settled(ended) {
  if (document.querySelector("#work").dataset.busy) return setTimeout(() => settled(ended), 30);
  if (drag !== ended) return;
  drag = null;
  commit("fields");
  list();
}

// Or it goes where the one that carries it is pointed at twice.
space.home.addEventListener("dblclick", (event) => {
  const name = pressed[0];
  const on = parts() && parts()[name]?.on;
  const spot = on && parts()[name].join !== "joined" && space.pick(event, numberOf(on));
  if (!spot) return;
  choose(name);
  drag = { name, on: numberOf(on), id: null, point: spot.point.map((x) => Number(x.toFixed(2))) };
  touch("draw");
  settled(drag);
});
