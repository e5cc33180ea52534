// The drawing: half the outline on the plumb line, mirrored, and the stuffed form under it.
import { draft, touch, commit } from "./draft.js";
import { $, svg, pathOf } from "./elements.js";
import { STEP, shown } from "./lengths.js";

const root = $("drawing");
const layer = {};
for (const name of ["grid", "under", "form", "band", "wanted", "mirror", "line", "hit", "faults", "points"]) {
  layer[name] = root.appendChild(svg("g", { class: name }));
}
let view = null; // scale, and where the axis and height 0 are [px]
let told = null;
let dragging = null;
let marked = null;
let faults = new Map();
let pointed = () => {};
export let at = 0;
export const onPointed = (tell) => { pointed = tell; };

const step = () => STEP[draft.options.unit];
const X = (r) => view.x + r * view.k;
const Y = (h) => view.y - h * view.k;
const both = (line, close = true) =>
  pathOf([...line.map(([r, h]) => [X(r), Y(h)]), ...line.map(([r, h]) => [X(-r), Y(h)]).reverse()], close);

function fit() {
  const box = root.getBoundingClientRect();
  const [w, h] = [Math.max(box.width, 200), Math.max(box.height, 240)];
  const lines = [draft.points || [], told?.drawn || [], told?.form || []].flat();
  const r = Math.max(15, ...lines.map((p) => p[0]));
  const low = Math.min(0, ...lines.map((p) => p[1]));
  const high = Math.max(30, ...lines.map((p) => p[1]));
  const k = Math.min((w - 56) / (2 * r), (h - 110) / (high - low));
  view = { k, x: w / 2, y: h - 70 + low * k, w, h };
  root.setAttribute("viewBox", `0 0 ${w} ${h}`);
  grid();
}

function grid() {
  const unit = step();
  const every = unit * [1, 2, 4, 10, 20, 40, 100, 200, 400, 1000].find((n) => n * unit * view.k >= 9);
  const lines = [];
  for (let r = -Math.floor(view.x / view.k / every) * every; X(r) < view.w; r += every) lines.push(`M${X(r)} 0V${view.h}`);
  for (let h = -Math.floor((view.h - view.y) / view.k / every) * every; Y(h) > 0; h += every) lines.push(`M0 ${Y(h)}H${view.w}`);
  layer.grid.replaceChildren(svg("path", { d: lines.join("") }));
  const bob = view.h - 34;
  layer.line.replaceChildren(
    svg("path", { class: "cord", d: `M${view.x} 0V${bob}` }),
    svg("path", { class: "weight", d: `M${view.x - 9} ${bob}h18l-3 9-6 20-6-20z` }),
  );
}

// A curve through the points while the true one is worked out: each slope from the two neighbours.
function quick(points) {
  if (draft.tables.shape.between === "straight" || points.length < 3) return points;
  const all = [...points];
  if (points[0][0] === 0) all.unshift([-points[1][0], points[1][1]]);
  if (points.at(-1)[0] === 0) all.push([-points.at(-2)[0], points.at(-2)[1]]);
  const offset = points[0][0] === 0 ? 1 : 0;
  const gap = (a, b) => Math.max(Math.hypot(b[0] - a[0], b[1] - a[1]), 1e-6);
  const slope = (i) => {
    const [a, b, c] = [all[Math.max(i - 1, 0)], all[i], all[Math.min(i + 1, all.length - 1)]];
    return [0, 1].map((n) => (c[n] - a[n]) / (gap(a, b) + gap(b, c)));
  };
  const line = [];
  for (let i = offset; i < offset + points.length - 1; i++) {
    const [p, q, m, n] = [all[i], all[i + 1], slope(i), slope(i + 1)];
    const d = gap(p, q);
    for (let t = 0; t < 1; t += 1 / 12) {
      const [a, b] = [2 * t ** 3 - 3 * t ** 2 + 1, t ** 3 - 2 * t ** 2 + t];
      const [c, e] = [-2 * t ** 3 + 3 * t ** 2, t ** 3 - t ** 2];
      line.push([0, 1].map((x) => a * p[x] + b * d * m[x] + c * q[x] + e * d * n[x]));
    }
  }
  line.push(points.at(-1));
  return line.map(([r, h]) => [Math.max(r, 0), h]);
}

const seen = ([r, h]) => X(r) < view.w - 8 && Y(h) > 8 && Y(h) < view.h - 8;

export function redraw(how = "all") {
  if (!draft.tables || root.getBoundingClientRect().width < 10) return;
  if (!view || (how === "fit" && !dragging)) fit();
  const points = draft.points;
  const fresh = told?.ok && told.forPoints === JSON.stringify(points);
  const line = points && !fresh ? quick(points) : [...(told?.drawn || [])];
  if (!points && line.length && told.kind === "folded" && draft.tables.shape?.kind === "oval") { // over its chain, and along its seam
    line.unshift([0, line[0][1]]);
    if (draft.tables.work?.finish !== "open") line.push([0, line.at(-1)[1]]);
  }
  layer.wanted.replaceChildren(svg("path", { d: pathOf(line.map(([r, h]) => [X(r), Y(h)])) }));
  layer.mirror.replaceChildren(svg("path", { d: pathOf(line.map(([r, h]) => [X(-r), Y(h)])) }));
  layer.hit.replaceChildren();
  if (points) layer.hit.append(svg("path", { d: pathOf(line.map(([r, h]) => [X(r), Y(h)])), onpointerdown: split }));
  const form = told?.form || [];
  const thick = Math.max((told?.data?.gauge?.thickness_mm || 0) * view.k, 1.5);
  layer.form.replaceChildren();
  if (form.length) layer.form.append(svg("path", { d: both(form), "stroke-width": thick }));
  drawPoints();
  underlay();
  mark(marked, false);
}

function drawPoints() {
  const points = draft.points || [];
  at = Math.min(at, Math.max(points.length - 1, 0));
  while (layer.points.children.length > points.length) layer.points.lastChild.remove();
  while (layer.points.children.length < points.length) layer.points.append(handle());
  points.forEach(([r, h], i) => {
    const one = layer.points.children[i];
    const fault = faults.get(i);
    one.setAttribute("transform", `translate(${X(r)} ${Y(h)})`);
    one.setAttribute("tabindex", i === at ? "0" : "-1");
    one.setAttribute("aria-label", `Point ${i + 1} of ${points.length}${fault ? `, at fault: ${fault}` : ""}`);
    one.setAttribute("aria-valuenow", r.toFixed(1));
    one.setAttribute("aria-valuetext", `${shown(r, draft.options.unit)} from the line, height ${shown(h, draft.options.unit)}`);
    one.classList.toggle("chosen", i === at);
    one.classList.toggle("fault", Boolean(fault));
  });
  layer.faults.replaceChildren(...[...faults].filter(([i]) => points[i]).map(([i, text]) => {
    const [x, y] = [X(points[i][0]), Y(points[i][1])];
    const words = text.split(/[.(:]/)[0].trim();
    const left = x > view.w * 0.55;
    return svg("g", {}, svg("circle", { cx: x, cy: y, r: 15 }),
      svg("text", { x: left ? view.w - 12 : x + 20, y: y - 14, "text-anchor": left ? "end" : "start", text: words }));
  }));
}

function handle() {
  return svg("g", { role: "slider", class: "point", "aria-valuemin": "0", "aria-valuemax": "10000",
    onpointerdown: grab, onkeydown: keys, onfocus: (e) => choose(place(e.currentTarget), false) },
    svg("circle", { r: 22, class: "reach" }), svg("circle", { r: 7, class: "dot" }));
}

const place = (element) => [...layer.points.children].indexOf(element);

export function choose(i, focus = true) {
  at = i;
  drawPoints();
  if (focus) layer.points.children[i]?.focus();
}

function where(event) {
  const box = root.getBoundingClientRect();
  const x = (event.clientX - box.left) * (view.w / box.width);
  const y = (event.clientY - box.top) * (view.h / box.height);
  return [(x - view.x) / view.k, (view.y - y) / view.k];
}

const onGrid = (value) => (draft.options.snap ? Math.round(value / step()) * step() : value);
const tidy = (value) => Number(value.toFixed(3));

function put(i, r, h) {
  const end = i === 0 || i === draft.points.length - 1;
  let radius = Math.max(onGrid(r), 0);
  if (!end) radius = Math.max(radius, Math.min(step(), 1));
  draft.points[i] = [tidy(radius), tidy(onGrid(h))];
}

function grab(event) {
  if (event.button) return;
  event.preventDefault();
  event.currentTarget.focus();
  take(place(event.currentTarget), event);
}

function take(i, event) {
  at = i;
  const [r, h] = where(event);
  dragging = { i, off: [draft.points[i][0] - r, draft.points[i][1] - h], id: event.pointerId };
  root.setPointerCapture(event.pointerId);
}

root.addEventListener("pointermove", (event) => {
  if (!view || !draft.tables) return;
  const [r, h] = where(event);
  if (dragging && event.pointerId === dragging.id) {
    const before = draft.points[dragging.i].join();
    put(dragging.i, r + dragging.off[0], h + dragging.off[1]);
    if (draft.points[dragging.i].join() === before) return;
    redraw();
    touch();
    return;
  }
  pointed(roundAt(Math.abs(r), h));
});
root.addEventListener("pointerleave", () => pointed(null));
for (const end of ["pointerup", "pointercancel"]) {
  root.addEventListener(end, () => {
    if (!dragging) return;
    dragging = null;
    commit();
  });
}

// The round whose stretch of the form is nearest to a place, if it is near.
function roundAt(r, h) {
  const form = told?.first ? [] : told?.form || [];
  let best = [10 / view.k + 3, null];
  for (let i = 1; i < form.length; i++) {
    const [a, b] = [form[i - 1], form[i]];
    const inside = r <= Math.max(a[0], b[0]) && h >= Math.min(a[1], b[1]) && h <= Math.max(a[1], b[1]);
    const d = inside ? 0 : Math.hypot((a[0] + b[0]) / 2 - r, (a[1] + b[1]) / 2 - h);
    if (d < best[0]) best = [d, i];
  }
  return best[1] && Math.min(best[1], told.data.rounds.length);
}

export function mark(rounds, now = true) {
  marked = rounds;
  const form = told?.first ? [] : told?.form || []; // a first look's rounds are not those in the list
  layer.band.replaceChildren();
  if (!rounds || !form.length || !view) return;
  const part = form.slice(Math.max(rounds[0] - 1, 0), rounds[1] + 1);
  if (part.length > 1) layer.band.append(svg("path", { d: both(part) }));
  if (now) root.dataset.marked = rounds.join("-");
}

function split(event) {
  if (event.button || !draft.points) return;
  event.preventDefault();
  const [r, h] = where(event);
  const i = between(r, h);
  draft.points.splice(i, 0, [tidy(Math.max(r, 0.5)), tidy(h)]);
  at = i;
  redraw();
  take(i, event);
  layer.points.children[i].focus();
  touch();
}

function between(r, h) {
  const points = draft.points;
  let best = [Infinity, 1];
  for (let i = 1; i < points.length; i++) {
    const [a, b] = [points[i - 1], points[i]];
    const along = [b[0] - a[0], b[1] - a[1]];
    const t = Math.min(1, Math.max(0, ((r - a[0]) * along[0] + (h - a[1]) * along[1]) / (along[0] ** 2 + along[1] ** 2 || 1)));
    const d = Math.hypot(a[0] + t * along[0] - r, a[1] + t * along[1] - h);
    if (d < best[0]) best = [d, i];
  }
  return best[1];
}

export function add() {
  const points = draft.points;
  if (!points) return;
  const i = Math.min(at, points.length - 2);
  const [a, b] = [points[i], points[i + 1]];
  points.splice(i + 1, 0, [tidy(Math.max((a[0] + b[0]) / 2, 0.5)), tidy((a[1] + b[1]) / 2)]);
  at = i + 1;
  commit();
  redraw("fit");
  layer.points.children[at]?.focus();
}

export function remove() {
  if (!draft.points || draft.points.length < 3) return;
  draft.points.splice(at, 1);
  at = Math.max(0, at - 1);
  commit();
  redraw("fit");
  layer.points.children[at]?.focus();
}

function keys(event) {
  const i = place(event.currentTarget);
  const far = (event.shiftKey ? 10 : 1) * step();
  const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  if (moves[event.key] && !event.ctrlKey && !event.metaKey && !event.altKey) {
    const [r, h] = draft.points[i];
    put(i, r + moves[event.key][0] * far, h + moves[event.key][1] * far);
    commit();
    redraw(seen(draft.points[i]) ? "all" : "fit");
  } else if (event.key === "PageDown" || event.key === "PageUp") {
    choose((i + (event.key === "PageDown" ? 1 : -1) + draft.points.length) % draft.points.length);
  } else if (event.key === "Home" || event.key === "End") {
    choose(event.key === "Home" ? 0 : draft.points.length - 1);
  } else if (event.key === "Insert" || event.key === "+") {
    add();
  } else if (event.key === "Delete" || event.key === "Backspace") {
    remove();
  } else {
    return;
  }
  event.preventDefault();
}

// What the server told of this drawing, or what is wrong with it.
export function show(now, problems) {
  if (now) {
    const first = !told || !view;
    told = now;
    if (first) view = null;
  }
  faults = new Map();
  for (const one of problems || []) for (const i of one.points) if (!faults.has(i)) faults.set(i, one.text);
  redraw();
}

export function clear() {
  told = null;
  view = null;
  at = 0;
  marked = null;
  faults = new Map();
  layer.under.replaceChildren();
}

// The picture laid under it, in its place on the paper: its foot and its middle are in millimetres too.
function underlay() {
  const there = Boolean(draft.under?.url);
  layer.form.classList.toggle("over", there);
  if (!there) return layer.under.replaceChildren();
  const { url, ratio, height, low, aside } = draft.under;
  const image = layer.under.firstChild || layer.under.appendChild(svg("image", {}));
  const placed = { href: url, x: X(aside - (height * ratio) / 2), y: Y(low + height), width: height * ratio * view.k, height: height * view.k };
  for (const [name, value] of Object.entries(placed)) if (image.getAttribute(name) !== String(value)) image.setAttribute(name, value);
}

export function under(picture) {
  const tops = [...(draft.points || []), ...(told?.drawn || [])].map((p) => p[1]);
  draft.under = picture && { key: picture.key, url: picture.url, ratio: picture.width / picture.height, height: Math.round(Math.max(...tops, 30)), low: 0, aside: 0 };
}

new ResizeObserver(() => { if (draft.tables && !dragging) redraw("fit"); }).observe(root);
