// What a drawing can begin with.
import { begin, draft, forget, left, takeUp } from "./draft.js";
import { $, ask as box, el, svg, pathOf } from "./elements.js";
import { ask, trace } from "./talk.js";
import { mmOf } from "./lengths.js";
import { DRAWN } from "./settings.js";

let start = null;
let tell = () => {};
const GAUGE = () => {
  try {
    return JSON.parse(localStorage.getItem("plumpline:gauge")) || { gauge: { stitches: 20, rows: 20, over: "10 cm" } };
  } catch {
    return { gauge: { stitches: 20, rows: 20, over: "10 cm" } };
  }
};

export function rememberGauge() {
  if (typeof draft.tables?.gauge !== "object") return;
  const { gauge, stuffing } = draft.tables;
  const stuffed = stuffing && stuffing.firmness !== "none"; // the next part is stuffed again
  localStorage.setItem("plumpline:gauge", JSON.stringify({ gauge, ...(stuffed && { stuffing }) }));
}

export const fresh = (more) => ({ ok: true, base: "", name: "", stamp: "", ...more, tables: { ...GAUGE(), ...more.tables } });

export async function show(told, say) {
  start = told;
  tell = say;
  $("begin").hidden = false;
  $("bench").hidden = true;
  const before = left();
  $("left").replaceChildren(...(before.length ? [el("h3", { text: "Left from before, not saved" }), el("ul", { class: "cards" }, ...before.map((one) =>
    el("li", {}, el("button", { text: `${one.tables.title || one.name || "A drawing"}, ${new Date(one.at).toLocaleString()}`, onclick: () => takeUp(one) }),
      el("button", { class: "small", text: "Throw away", "aria-label": `Throw away ${one.tables.title || "the drawing"} of ${new Date(one.at).toLocaleString()}`, onclick: (e) => { forget(one.id); e.target.closest("li").remove(); } }))))] : []));
  const files = start.files || [];
  $("folder").replaceChildren(...(files.length ? [el("h3", { text: `In the folder ${start.folder}` }), el("ul", { class: "cards" }, ...files.map((name) => card(name.replace(/\.toml$/, ""), { name })))] : []));
  $("samples").replaceChildren(...(start.samples || []).map((name) => card(name.replaceAll("-", " "), { sample: name })));
  $("shapes").replaceChildren(...(start.shapes || []).map((shape) => {
    const tables = { title: shape.name[0].toUpperCase() + shape.name.slice(1), shape: { kind: shape.name, ...shape.example } };
    return card(shape.name, null, fresh({ tables }), shape.sentence);
  }), card("oval", null, fresh({ tables: { title: "Oval", shape: { kind: "oval", length: 90, width: 50, height: 40 }, work: { start: "chain" } } }), "Longer than wide, worked on a chain."),
  card("flat oval", null, fresh({ tables: { title: "Flat oval", shape: { kind: "flat oval", length: 90, width: 40 }, work: { start: "chain" } } }), "A flat piece, not stuffed."),
  ...Object.entries(DRAWN).map(([kind, { name, sentence, finish, shape }]) => {
    const tables = { title: name.replace(/^a /, "").replace(/^./, (one) => one.toUpperCase()), shape: { kind, ...structuredClone(shape) }, ...(finish && { work: { finish } }) };
    return card(name, null, fresh({ tables, points: kind === "bent" ? shape.points.map((one) => [...one]) : null }), sentence);
  }));
  $("begin-h").tabIndex = -1;
  $("begin-h").focus({ preventScroll: true });
}

function card(text, source, whole = null, sentence = "") {
  const picture = svg("svg", { class: "small", viewBox: "-60 -60 120 120", "aria-hidden": "true" });
  const button = el("button", { class: "card", onclick: () => (whole ? begin(whole) : open(source)) }, picture, el("span", { text }), sentence ? el("small", { text: sentence }) : null);
  const seen = new IntersectionObserver(async (all) => {
    if (!all.some((one) => one.isIntersecting)) return;
    seen.disconnect();
    const told = await look(source, whole);
    if (told?.ok) picture.append(told.line.length ? outline(told.line) : svg("path", { d: "M0-46a17 17 0 1 1-.1 0M0-12a27 27 0 1 1-.1 0M-24 6l-18 16M24 6l18 16" }));
    else if (told?.problems?.length) button.append(el("small", { class: "fault", text: told.problems[0].text }));
  });
  seen.observe(button);
  return el("li", {}, button);
}

const look = (source, whole) => ask("look", whole ? { draft: whole } : source);

function outline(line) {
  const x = Math.max(...line.map((p) => Math.abs(p[0])));
  const [low, high] = [Math.min(...line.map((p) => p[1])), Math.max(...line.map((p) => p[1]))];
  const k = 92 / Math.max(2 * x, high - low);
  return svg("path", { d: pathOf(line.map(([r, h]) => [r * k, ((low + high) / 2 - h) * k]), true) });
}

export async function open(source) {
  const told = await ask("open", source);
  if (told.ok) begin(told);
  else if (!told.gone) tell(told.problems[0]?.text || "This can't be opened.");
}

export function wire() {
  $("newtoy").addEventListener("click", () => begin(fresh({ tables: { title: "New toy", parts: {} } })));
  $("blank").addEventListener("click", () => begin(fresh({
    tables: { title: "New part", shape: { kind: "outline", points: [[0, 0], [20, 8], [28, 30], [20, 52], [0, 60]], between: "smooth" } },
    points: [[0, 0], [20, 8], [28, 30], [20, 52], [0, 60]],
  })));
  $("paste").addEventListener("click", () => {
    begin(fresh({ tables: { title: "Written rounds" } }), { written: " " });
    $("written").value = "";
    $("written").focus();
  });
  $("photo").addEventListener("click", () => { picture.onchoose = read; picture.click(); });
  const picture = $("picture");
  picture.addEventListener("change", () => {
    const file = picture.files[0];
    picture.value = "";
    if (file) (picture.onchoose || read)(file);
  });
}

export function choosePicture(then) {
  $("picture").onchoose = then;
  $("picture").click();
}

// A picture is read: how large it shall be, then the check picture, then it is taken or not.
function read(file) {
  const height = el("input", { id: "picture-height", value: draft.options.unit === "in" ? "3 in" : "8 cm", size: "8", autocomplete: "off" });
  const ends = ["first", "last"].map((which) => el("select", { id: `picture-${which}` }, el("option", { value: "", text: "closed" }), el("option", { value: "open", text: "open" })));
  const out = el("div", { role: "status" });
  const go = el("button", { class: "ink", text: "Read it", onclick: async () => {
    const mm = mmOf(height.value, draft.options.unit);
    if (mm === null) {
      out.textContent = "The height is a length, such as 8 cm.";
      return;
    }
    out.textContent = "Reading …";
    go.disabled = true;
    const { gauge, stuffing } = draft.tables && !$("bench").hidden ? draft.tables : GAUGE();
    const tables = { ...(draft.tables && !$("bench").hidden ? { ...draft.tables, shape: undefined } : {}), gauge, ...(stuffing && { stuffing }) };
    const told = await trace(file, { name: file.name, height: String(mm), start: ends[0].value, finish: ends[1].value, draft: JSON.stringify({ tables, name: "" }) });
    go.disabled = false;
    if (!told.ok) {
      out.replaceChildren(...told.problems.map((one) => el("p", { class: "fault", text: one.text })));
      return;
    }
    const title = file.name.replace(/\.[^.]*$/, "").replaceAll("-", " ").slice(0, 90);
    out.replaceChildren(el("p", { text: "Look whether this is your line:" }),
      el("img", { class: "check", alt: `What was read in ${file.name}: the line, the outline that came of it, and its axis`, src: `data:image/png;base64,${told.picture}` }),
      ...told.notes.map((text) => el("p", { class: "quiet", text })),
      el("button", { class: "ink", id: "take", text: "Take it", onclick: () => {
        $("box").close();
        begin({ ...told, tables: { ...told.tables, title: told.tables.title || title || "Traced part" } });
        draft.dirty = true;
      } }));
    $("take").focus();
  } });
  box(`From ${file.name}`, el("p", {}, el("label", {}, "Height of the part, along its axis ", height)),
    el("p", {}, el("label", {}, "First end ", ends[0]), " ", el("label", {}, "Last end ", ends[1])), el("p", {}, go), out);
  height.focus();
}
