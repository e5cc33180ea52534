// Gauge, stuffing, work and the sizes of a shape, typed.
import { draft, commit } from "./draft.js";
import { $, el } from "./elements.js";
import * as lines from "./lines.js";
import { mmOf, number, shown, written } from "./lengths.js";

let shapes = [];
let resize = () => {};
export const onResize = (tell) => { resize = tell; };
export function learn(told) { shapes = told; }

const OVALS = {
  oval: { length: "along the chain", width: "across it", height: "upward from it" },
  "flat oval": { length: "along the chain", width: "across it" },
};

function set(table, key, value) {
  const home = (draft.tables[table] ??= {});
  if (value === null || value === "") delete home[key];
  else home[key] = value;
  if (!Object.keys(home).length && table !== "shape") delete draft.tables[table];
}

function field(label, value, change, more = {}) {
  const input = el("input", { autocomplete: "off", size: "9", ...more });
  input.value = value ?? "";
  input.addEventListener("change", () => { change(input.value.trim()); commit("fields"); });
  return el("label", {}, `${label} `, input);
}

function choice(label, options, value, change, id) {
  const select = el("select", id ? { id } : {}, ...options.map(([key, text]) => el("option", { value: key, text, selected: key === value })));
  select.addEventListener("change", () => { change(select.value); commit("fields"); });
  return el("label", {}, `${label} `, select);
}

const asNumber = (text) => (/^\d+([.,]\d+)?$/.test(text) ? Number(text.replace(",", ".")) : text);
const asLength = (text) => (text ? written(text, draft.options.unit) : null);

export function show() {
  const toy = Boolean(draft.tables.parts);
  $("gaugeof").hidden = !toy;
  gauge();
  if (toy) return;
  fields();
  const points = Boolean(draft.points);
  $("pointtools").hidden = $("pointhelp").hidden = $("pointbox").hidden = !points;
  const kind = draft.tables.shape?.kind;
  $("topoints").hidden = points || !(shapes.some((s) => s.name === kind) || TRACED.includes(kind)) || Boolean(draft.tables.shape?.bends);
  const known = ["outline", ...shapes.map((s) => s.name), "oval", "flat oval", ...Object.keys(DRAWN)];
  $("kind").replaceChildren(...[...known, ...(kind && !known.includes(kind) ? [kind] : [])].map((name) =>
    el("option", { value: name, text: name === "outline" ? "drawn by points" : DRAWN[name]?.name || name, selected: name === kind })));
  const rows = kind === "flat";
  for (const id of ["multiple", "increases"]) $(id).closest("label").hidden = rows;
  for (const id of ["firstend", "lastend"]) $(id).closest("label").hidden = rows;
  const flat = rows || kind === "flat oval" || draft.tables.stuffing?.firmness === "none";
  $("rounds-h").textContent = $("fitted").textContent = rows ? "Rows" : "Rounds";
  $("snaps").hidden = !points && !lines.there() && !(kind in OVALS);
  $("straight").hidden = !(draft.tables.shape?.bends || draft.tables.shape?.spine);
  $("sheet").classList.toggle("straight", !$("straight").hidden);
  $("gauge-h").textContent = rows || kind === "flat oval" ? "Gauge" : "Gauge and stuffing";
  $("made").textContent = flat ? "Worked" : "Stuffed";
  $("between").value = draft.tables.shape?.between || "smooth";
  $("terms").value = draft.tables.work?.terms || "US";
  $("fit").value = draft.tables.work?.rounds || "plain";
  $("increases").value = draft.tables.work?.increases || "staggered";
  $("multiple").value = draft.tables.work?.multiple || 1;
  $("title").value = draft.tables.title || "";
  pointsChanged();
}

// What there is to tell of the points: their ends, and their numbers where these are looked at.
function pointsChanged() {
  if (draft.points) {
    $("firstend").value = draft.points[0][0] > 0 ? "open" : "closed";
    $("lastend").value = draft.points.at(-1)[0] > 0 ? "open" : "closed";
  }
  if ($("pointbox").open) table();
}
export { pointsChanged as points };
$("pointbox").addEventListener("toggle", pointsChanged);

function gauge() {
  const home = $("gauge");
  if (home.contains(document.activeElement) && document.activeElement.matches("input")) {
    const label = document.activeElement.closest("label");
    const i = [...home.querySelectorAll("input,select")].indexOf(label?.querySelector("input"));
    setTimeout(() => home.querySelectorAll("input,select")[i]?.focus());
  }
  const table = draft.tables.gauge;
  if (typeof table === "string") {
    home.replaceChildren(el("p", { text: `From the file ${table}.` }), ...stuffing());
    return;
  }
  const circle = Boolean(table?.circle);
  const to = (how) => {
    draft.tables.gauge = how === "circle"
      ? { circle: { rounds: 6, stitches: 36, across: "56 mm" }, ...(table.thickness !== undefined && { thickness: table.thickness }) }
      : { stitches: 20, rows: 20, over: "10 cm", ...(table.thickness !== undefined && { thickness: table.thickness }) };
  };
  const put = (key, read) => (text) => set("gauge", key, text ? read(text) : null);
  const inside = (key, read) => (text) => { table.circle[key] = read(text); };
  home.replaceChildren(...[
    choice("Measured on", [["swatch", "a swatch"], ["circle", "a flat circle"]], circle ? "circle" : "swatch", to),
    ...(circle
      ? [field("Rounds", table.circle.rounds, inside("rounds", asNumber)), field("Stitches", table.circle.stitches, inside("stitches", asNumber)),
        field("Across", table.circle.across, inside("across", asLength))]
      : [field("Stitches", table?.stitches, put("stitches", asNumber), { id: "stitches" }), field(draft.tables.shape?.kind === "flat" ? "Rows" : "Rounds", table?.rows, put("rows", asNumber)),
        field("Over", table?.over ?? "10 cm", put("over", asLength))]),
    field("Fabric thick", table?.thickness, put("thickness", asLength)),
    draft.tables.shape?.kind === "flat" ? null : field("Marker moves on, stitches a round", table?.lean, put("lean", asSigned), { id: "lean" }),
    ...stuffing(),
    ...yarn(),
    ["bent", "foot", "belly"].includes(draft.tables.shape?.kind) || table?.heights || draft.tables.parts ? heights(table) : null,
  ].filter(Boolean));
}

// How high other stitches are, in rows of single crochet: what bends a part.
const HEIGHTS = [["slst", "Slip stitch", 0.3], ["hdc", "Half double crochet", 1.5], ["dc", "Double crochet", 2]];
function heights(table) {
  const inside = (key) => (text) => {
    const all = { ...table?.heights };
    if (text) all[key] = asNumber(text);
    else delete all[key];
    set("gauge", "heights", Object.keys(all).length ? all : null);
  };
  return el("details", { id: "heights", open: Boolean(table?.heights) || heightsOpen, ontoggle: (event) => { heightsOpen = event.target.open; } },
    el("summary", { text: "Heights of other stitches" }),
    el("p", { class: "quiet", text: "In rows of single crochet (US words). Left empty they are assumed." }),
    el("div", { class: "fields" }, ...HEIGHTS.map(([key, name, usual]) => field(name, table?.heights?.[key], inside(key), { id: `height-${key}`, placeholder: String(usual) }))));
}
let heightsOpen = false;

const asSigned = (text) => (/^[-−]/.test(text) ? -asNumber(text.slice(1)) : asNumber(text));

// What the label tells, and a swatch that was weighed: then yarn is measured and no guess.
function yarn() {
  const swatch = draft.tables.yarn?.swatch;
  const inside = (key, read) => (text) => { swatch[key] = read(text); };
  const weighed = (text) => set("yarn", "swatch", text ? { stitches: 20, rows: 20, ...swatch, weight: asNumber(text) } : null);
  return [
    field("Metres to 100 g", draft.tables.yarn?.metres_per_100g, (text) => set("yarn", "metres_per_100g", text ? asNumber(text) : null), { id: "metres" }),
    field("Swatch weighs, g", swatch?.weight, weighed, { id: "weighs" }),
    ...(swatch ? [field("It has stitches", swatch.stitches, inside("stitches", asNumber)), field("and rows", swatch.rows, inside("rows", asNumber))] : []),
  ];
}

function stuffing() {
  const table = draft.tables.stuffing || {};
  const ball = table.ball;
  const how = ball ? "ball" : table.stretch ? "stretch" : table.firmness || "medium";
  const bends = ["bent", "foot", "belly"].includes(draft.tables.shape?.kind) || draft.tables.shape?.bends || draft.tables.shape?.spine;
  const words = [...["light", "medium", "firm", "very firm"].map((w) => [w, w]), ...(bends && how !== "none" ? [] : [["none", "not at all, folded flat"]])];
  const to = (value) => {
    if (value === "ball") draft.tables.stuffing = { ball: { stitches: 36, girth: "20 cm" } };
    else if (value !== "stretch") draft.tables.stuffing = { firmness: value };
  };
  if (["flat", "flat oval"].includes(draft.tables.shape?.kind)) return []; // nothing is stuffed
  const measured = table.stretch ? [["stretch", `measured, ${(100 * table.stretch).toFixed(1)} %`]] : [];
  return [
    choice("Stuffed", [...words, ["ball", "as a ball of mine"], ...measured], how, to, "firmness"),
    ...(ball ? [field("Its stitches", ball.stitches, (t) => { ball.stitches = asNumber(t); }), field("Its girth", ball.girth, (t) => { ball.girth = asLength(t); })] : []),
  ];
}

const FOOT = { length: "from the toe to the back of the heel", width: "of the foot", height: "of the instep", ankle: "across the ankle and the leg", leg: "from the instep to its end" };
const TOLD = ["kind", "first", "base", "worked", "between", "bends", "points", "section"]; // what has a choice of its own, or is drawn

function fields() {
  const home = $("fields");
  const shape = draft.tables.shape;
  if (!shape) return home.replaceChildren();
  const named = shapes.find((each) => each.name === shape.kind);
  const sizes = named ? { ...named.needed, ...named.optional } : shape.kind === "foot" ? FOOT : OVALS[shape.kind] || {};
  const given = Object.keys(shape).filter((key) => !(key in sizes) && !TOLD.includes(key) && !lines.isLine(key));
  const isSize = (key) => !WORDS.includes(key) && !Array.isArray(shape[key]) && asMm(shape[key]) !== null;
  home.replaceChildren(...(draft.points ? [] : [el("div", { class: "fields" },
    ...Object.entries(sizes).map(([key, meaning]) => el("div", {}, field(key.replace("_", " "), shape[key], (text) => set("shape", key, asLength(text)), { id: `size-${key}`, "aria-describedby": `about-${key}` }), el("small", { id: `about-${key}`, text: meaning }))),
    named?.ends.length ? choice("Worked first", named.ends.map((e) => [e, e]), shape.first || named.ends[0], (v) => set("shape", "first", v)) : null,
    shape.kind === "oval" ? choice("Base", [["domed", "domed"], ["flat", "flat"]], shape.base || "domed", (v) => set("shape", "base", v)) : null,
    shape.kind === "flat" ? choice("Line", [["smooth", "smooth"], ["straight", "straight"]], shape.between || "smooth", (v) => set("shape", "between", v === "smooth" ? null : v)) : null,
    ...given.filter(isSize).map((key) => field(key, shape[key], (text) => set("shape", key, asLength(text)), { id: `size-${key}` })),
    ...given.filter((key) => !isSize(key) && !Array.isArray(shape[key])).map((key) => el("p", { class: "quiet", text: `${key}: ${shape[key]}` })))]),
    el("div", { class: "fields" }, ...ends(shape)),
    ...lines.tables(),
    ...(shape.bends ? [lines.bends(field, asLength)] : []));
}

// How the last end is worked, where the drawing alone does not tell it; and what holds an open one.
function ends(shape) {
  const work = draft.tables.work || {};
  const along = shape.kind === "oval" || shape.section === "oval";
  const rows = shape.kind === "flat";
  const flat = rows || shape.kind === "flat oval" || draft.tables.stuffing?.firmness === "none";
  const open = along ? work.finish === "open" : shape.kind === "foot" || (draft.points || shape.front || [[0]]).at(-1)[0] > 0;
  return [
    along ? choice("Last end", [["seamed", "sewn flat"], ["open", "open"], ["cinched", "drawn to a point"]], work.finish || "seamed", (v) => set("work", "finish", v), "finish") : null,
    rows ? choice("When it is done", [["open", "left as one layer"], ["seamed", "folded and sewn"]], work.finish || "open", (v) => set("work", "finish", v === "open" ? null : v), "finish") : null,
    open && !flat ? choice("Open edge", [["held", "sewn to something stiff"], ["free", "left free"]], work.edge || "held", (v) => set("work", "edge", v === "held" ? null : v), "edge") : null,
    shape.kind === "oval" && shape.base === "flat" ? choice("Base inside", [["stiff", "a stiff insert"], ["none", "nothing"]], work.sole || "stiff", (v) => set("work", "sole", v), "sole") : null,
  ];
}

const TRACED = ["sketch", "drawing", "model"];
const WORDS = ["file", "plan", "section", "worked", "drawn", "axis", "side", "shows", "unit", "tolerance", "between", "element", "base"];
const asMm = (value) => (typeof value === "number" ? value : typeof value === "string" ? mmOf(value, "mm") : null);

// What bends, stands out or is worked in rows: how each begins.
export const DRAWN = {
  bent: { name: "a limb that bends", sentence: "An arm, a leg, a tail: a tube with bends.", finish: "open",
    shape: { points: [[0, 0], [9, 1], [14, 6], [15, 14], [15, 90]], between: "smooth", bends: [{ at: 48, angle: 50, over: 30 }] } },
  foot: { name: "a foot with its leg", sentence: "Worked from the toe round the heel and up the leg.",
    shape: { length: 52, width: 32, height: 28, ankle: 24, leg: 30 } },
  belly: { name: "a belly", sentence: "A body that stands out in front.",
    shape: { front: [[0, 0], [22, 3], [33, 18], [34, 34], [26, 60], [18, 80]], back: [[0, 0], [20, 3], [28, 18], [28, 34], [24, 60], [18, 80]] } },
  flat: { name: "a flat piece in rows", sentence: "An ear, a wing, a scarf: worked back and forth.",
    shape: { worked: "rows", left: [[14, 0], [20, 25], [14, 60], [4, 80]], right: [[14, 0], [20, 25], [14, 60], [4, 80]] } },
};

// Another kind of shape: what is drawn stays as its size.
export function become(kind, size) {
  const named = shapes.find((each) => each.name === kind);
  const shape = { kind };
  const work = { ...draft.tables.work };
  for (const key of ["start", "finish", "ring", "chain"]) delete work[key];
  draft.points = null;
  if (kind in DRAWN && draft.tables.stuffing?.firmness === "none") delete draft.tables.stuffing; // what bends is stuffed
  if (kind === "outline") {
    draft.points = [[0, 0], [20, 8], [28, 30], [20, 52], [0, 60]];
    shape.points = draft.points;
    shape.between = "smooth";
  } else if (kind in DRAWN) {
    Object.assign(shape, structuredClone(DRAWN[kind].shape));
    if (DRAWN[kind].finish) work.finish = DRAWN[kind].finish;
    draft.points = kind === "bent" ? shape.points : null;
  } else if (named) {
    Object.assign(shape, Object.fromEntries(Object.entries(named.example).map(([key, mm]) => [key, length(mm)])));
  } else {
    Object.assign(shape, kind === "oval" ? { length: length(Math.max(size?.height || 90, size?.width || 45)), width: length(Math.min(size?.height || 90, size?.width || 45)), height: length(40) } : { length: length(90), width: length(40) });
    work.start = "chain";
  }
  draft.tables.shape = shape;
  if (Object.keys(work).length) draft.tables.work = work;
  else delete draft.tables.work;
}

const length = (mm) => (draft.options.unit === "mm" ? mm : `${number(mm, draft.options.unit)} ${draft.options.unit}`);

// The ends of a drawn outline, cut open or closed.
export function end(last, how) {
  const points = draft.points;
  const i = last ? points.length - 1 : 0;
  const beside = points[last ? i - 1 : 1];
  if (how === "open" && points[i][0] === 0) {
    if (points.length > 2 && Math.abs(beside[1] - points[i][1]) < 0.5) points.splice(i, 1);
    else points[i][0] = Math.max(Math.round(beside[0] / 2), 2);
  } else if (how === "closed" && points[i][0] > 0) {
    points.splice(last ? i + 1 : 0, 0, [0, points[i][1]]);
  }
  const key = last ? "finish" : "start";
  if (draft.tables.work?.[key]) set("work", key, how === "open" ? "open" : last ? "cinched" : "ring");
}

export function work(key, value, usual) {
  set("work", key, value === usual ? null : value);
  if (key === "rounds" && value === "exact" && draft.tables.work) delete draft.tables.work.tolerance;
}

function table() {
  const body = $("points").tBodies[0];
  const unit = draft.options.unit;
  const points = draft.points || [];
  if (body.contains(document.activeElement)) {
    const all = [...body.querySelectorAll("input")];
    const i = all.indexOf(document.activeElement);
    setTimeout(() => body.querySelectorAll("input")[i]?.focus());
  }
  body.replaceChildren(...points.map((point, i) => el("tr", {}, el("th", { scope: "row", text: i + 1 }),
    ...[0, 1].map((k) => {
      const input = el("input", { size: "8", "aria-label": `Point ${i + 1}, ${k ? "height" : "from the line"}, in ${unit}`, autocomplete: "off" });
      input.value = number(point[k], unit);
      input.addEventListener("change", () => {
        const mm = mmOf(input.value, unit);
        if (mm === null) {
          input.setAttribute("aria-invalid", "true");
          return;
        }
        point[k] = Number(mm.toFixed(3));
        commit("fields");
      });
      return el("td", {}, input);
    }))));
}

export function sizes(told) {
  const body = $("sizes").tBodies[0];
  if (body.contains(document.activeElement) && document.activeElement.value) return;
  const unit = draft.options.unit;
  const [wanted, got] = [told.data.wanted, told.data.form];
  const names = told.measures.length ? told.measures : ["height", "width", "girth"];
  const say = (name, from) => {
    const value = from[name === "volume" ? "volume_ml" : `${name}_mm`];
    return value === undefined ? "" : name === "volume" ? `${value.toFixed(0)} ml` : shown(value, unit);
  };
  const focused = document.activeElement?.id;
  body.replaceChildren(...names.map((name) => el("tr", {}, el("th", { scope: "row", text: name }), el("td", { text: say(name, wanted) }), el("td", { text: say(name, got) }),
    el("td", {}, told.measures.length && !draft.written ? aim(name, unit) : null))));
  if (focused) document.getElementById(focused)?.focus();
}

function aim(name, unit) {
  const input = el("input", { id: `aim-${name}`, size: "7", "aria-label": `${name} when stuffed shall be, in ${name === "volume" ? "ml" : unit}`, autocomplete: "off" });
  input.addEventListener("change", () => { if (input.value) resize(name, input); });
  return input;
}
