// The page as a whole: what changes, what it becomes, and what is told.
import * as begins from "./begin.js";
import * as drafts from "./draft.js";
import { draft } from "./draft.js";
import * as drawing from "./drawing.js";
import { $, ask as box, el } from "./elements.js";
import { mmOf, shown as shownLength } from "./lengths.js";
import * as keeping from "./keep.js";
import * as pictures from "./pictures.js";
import * as rounds from "./rounds.js";
import * as settings from "./settings.js";
import * as solving from "./solving.js";
import * as space from "./space.js";
import { ask, newest, onServer, start } from "./talk.js";
import * as toys from "./toys.js";
import * as views from "./views.js";

let beginnings = { shapes: [], samples: [], languages: [["", ""]], files: [], keeps: [] };
let shown = null;
let faced = false;
const page = drafts.me;

function say(text, ...more) {
  $("news").replaceChildren(...(text ? [el("p", {}, text, ...more)] : []));
}

// ---- what it becomes ---------------------------------------------------------------------------------------

const { solve } = solving;

solving.onFirst((told) => {
  if (told.ok) {
    drawing.show(told, []);
    seen(told);
    provisional(told);
  } else if (told.problems.some((one) => one.points.length)) wrong(told);
});

const IS = { "flat oval": "as it lies", rows: "as it lies, worked", folded: "as it lies, folded flat", bent: "as it is when stuffed, from its sides" };

// A first look says what it is, and the rounds that it does not belong to stand back.
function provisional(told) {
  const first = told?.coarser ? "about, in fewer and larger stitches; the written rounds follow" : `as ${told?.rounds} whole rounds make it at first; the written ones follow`;
  $("formis").textContent = told ? first : IS[shown?.kind] || "as it is when stuffed";
  $("sheet").classList.toggle("first", Boolean(told));
  $("lines").classList.toggle("pending", Boolean(told));
}

function wrong(told) {
  const problems = told.ok ? [] : told.problems || [];
  $("problems").replaceChildren(...problems.map((one) => el("li", {}, one.points.length && draft.points
    ? el("button", { text: `Point ${one.points.map((i) => i + 1).join(" and ")}`, onclick: () => drawing.choose(one.points[0]) }) : null, el("span", { text: ` ${one.text}` }))));
  $("bench").classList.toggle("stale", !told.ok);
  if (!draft.tables.parts) drawing.show(told.ok ? told : null, problems);
}

// Half the edge of rows is drawn already: what is seen from above is the same.
const seen = (told) => $("drawing").classList.toggle("gone", views.show(told.kind === "rows" && draft.points ? null : told) && !draft.points);

solving.onBecame((told) => {
  if (told.ok && told.kind === "bent") told.form = []; // its half outline is drawn straight: it is seen from the sides
  if (told.ok && !draft.tables.parts) shown = told;
  provisional(null);
  wrong(told);
  if (draft.tables.parts) {
    toys.became(told);
    if (told.ok) notes(told);
    return;
  }
  rounds.show(told);
  if (!told.ok) return;
  seen(told);
  settings.sizes(told);
  notes(told);
  turned();
});

function notes(told) {
  const parts = [["Notes", [...(told.limits || []), ...told.data.notes]], ["Materials", told.materials], ["Cautions", told.data.cautions]];
  $("notes").replaceChildren(...parts.filter(([, items]) => items.length).map(([heading, items]) =>
    el("section", {}, el("h2", { text: heading }), el("ul", {}, ...items.map((text) => el("li", { text }))))));
}

const turned = newest(async () => {
  if ($("look").value !== "space" || !draft.tables || draft.tables.parts) return;
  const told = await ask("form", { draft: keeping.asked(), written: draft.written, page });
  if (told.ok && !faced) space.face(told); // later it stays as she turned it
  faced = faced || told.ok;
  if (told.ok && !space.show(told)) say("This browser can't draw in space (WebGL is missing or switched off).");
});

// ---- what changes ------------------------------------------------------------------------------------------

drafts.onChange((why) => {
  if (why === "full") say("The browser has no room left: save the part, or what you draw now is lost if it closes.");
  if (why === "history") return buttons();
  if (why === "begin") bench();
  if (why === "under") return drawing.redraw();
  if (why === "begin" || why === "undo") underlay();
  toys.show(why, beginnings.files || []);
  if (draft.tables.parts) {
    $("title").value = draft.tables.title || "";
    if (why !== "draw") settings.show();
    buttons();
    return solve();
  }
  if (why === "draw") settings.points();
  else {
    solving.otherKind();
    settings.show();
  }
  if (why === "begin" || why === "undo" || why === "fields") drawing.redraw("fit");
  rounds.own();
  buttons();
  solve();
});

function bench() {
  $("begin").hidden = true;
  $("bench").hidden = false;
  scrollTo(0, 0);
  shown = null;
  faced = false;
  solving.anew();
  drawing.clear();
  space.mark(null);
  for (const id of ["problems", "notes", "lines", "proof", "check", "views"]) $(id).replaceChildren();
  $("sizes").tBodies[0].replaceChildren();
  $("toyparts").replaceChildren();
  if (!draft.tables.parts && $("look").value === "flat") $("space").hidden = true;
  $("unit").value = draft.options.unit;
  $("snap").checked = draft.options.snap;
  $("spelled").checked = draft.options.spelled;
  $("language").value = draft.options.language;
  $("paper").classList.toggle("alone", !draft.tables.shape && !draft.tables.parts);
  $("drawing").classList.remove("gone");
  say("");
  document.title = `${draft.tables.title || draft.name || "A drawing"} – Plumpline`;
  if (draft.tables.shape) (draft.points ? $("work") : $("size-width") || $("work")).focus({ preventScroll: true });
  channel.postMessage({ asks: draft.name });
}

function buttons() {
  $("undo").disabled = !drafts.canUndo();
  $("redo").disabled = !drafts.canRedo();
  const open = Boolean(draft.tables) && !$("bench").hidden;
  for (const id of ["save", "keep", "again"]) $(id).disabled = !open;
  $("title").disabled = !open;
  $("kept").textContent = !open ? "" : draft.dirty ? (draft.name ? `${draft.name}, changed` : "not saved") : draft.name || "";
}

const option = (id, name, read) => $(id).addEventListener("change", () => {
  draft.options[name] = read($(id));
  drafts.store();
  settings.show();
  drawing.redraw("fit");
  if (shown) settings.sizes(shown);
  solve();
});
option("unit", "unit", (one) => one.value);
option("snap", "snap", (one) => one.checked);
option("spelled", "spelled", (one) => one.checked);
option("language", "language", (one) => one.value);

const changes = (id, change) => $(id).addEventListener("change", () => { change($(id).value); drafts.commit("fields"); });
changes("title", (text) => { if (text.trim()) draft.tables.title = text.trim(); else delete draft.tables.title; });
changes("kind", (kind) => settings.become(kind, shown?.data?.wanted && { height: shown.data.wanted.height_mm, width: shown.data.wanted.width_mm }));
changes("between", (how) => { draft.tables.shape.between = how; });
changes("firstend", (how) => settings.end(false, how));
changes("lastend", (how) => settings.end(true, how));
changes("terms", (terms) => settings.work("terms", terms, "US"));
changes("increases", (how) => settings.work("increases", how, "staggered"));
changes("multiple", (text) => settings.work("multiple", Math.max(1, Math.round(Number(text)) || 1), 1));
changes("fit", (fit) => settings.work("rounds", fit, "plain"));

$("add").addEventListener("click", drawing.add);
$("remove").addEventListener("click", drawing.remove);
$("undo").addEventListener("click", drafts.undo);
$("redo").addEventListener("click", drafts.redo);
$("save").addEventListener("click", keeping.save);
$("keep").addEventListener("click", () => keeping.keep(beginnings.keeps));
$("topoints").addEventListener("click", async () => {
  const told = await ask("points", { draft: keeping.asked() });
  if (!told.ok) return say(told.problems[0]?.text);
  draft.tables = told.tables;
  draft.points = told.points;
  drafts.commit("fields");
});

$("look").addEventListener("change", () => {
  const on = $("look").value === "space";
  $("space").hidden = !on;
  $("drawing").toggleAttribute("hidden", on);
  $("views").classList.toggle("gone", on);
  if (on) turned();
  else drawing.redraw("fit");
});
$("shade").addEventListener("change", () => space.shadeBy($("shade").value));
function laid(change) {
  const dirty = draft.dirty; // a picture under it changes nothing of the part
  change();
  drafts.commit("under");
  draft.dirty = dirty;
  drafts.store();
  buttons();
  underlay();
}
function underlay() {
  const unit = draft.options.unit;
  $("underlay").value = draft.under ? "own" : "";
  $("underplace").hidden = !draft.under;
  if (draft.under) for (const key of ["height", "low", "aside"]) $(`under-${key}`).value = shownLength(draft.under[key], unit);
  if (draft.under && !draft.under.url) fetched(draft.under);
}

// A picture that the browser kept, after the page was loaded anew.
async function fetched(under) {
  const url = await pictures.found(under.key);
  if (draft.under !== under) return;
  if (url) under.url = url;
  else draft.under = null;
  if (!url) say("The picture that lay under this drawing is gone from the browser: choose it again.");
  underlay();
  drawing.redraw();
}
$("underlay").addEventListener("change", () => {
  if (!$("underlay").value) return laid(() => drawing.under(null));
  $("underlay").value = draft.under ? "own" : ""; // until a picture is chosen
  begins.choosePicture(async (file) => {
    const { key, url, lost } = await pictures.kept(file);
    const image = new Image();
    image.onload = () => {
      laid(() => drawing.under({ key, url, width: image.naturalWidth, height: image.naturalHeight }));
      say(lost ? "The browser has no room for this picture: it is here until the page is closed." : "");
    };
    image.onerror = () => say("This picture can't be shown here.");
    image.src = url;
  });
});
for (const key of ["height", "low", "aside"]) {
  $(`under-${key}`).addEventListener("change", (event) => {
    const mm = mmOf(event.target.value, draft.options.unit);
    if (mm !== null && (key !== "height" || mm > 0)) laid(() => { draft.under = { ...draft.under, [key]: mm }; });
    else underlay();
  });
}

$("again").addEventListener("click", () => {
  const go = async () => {
    $("box").close();
    drafts.forget();
    draft.tables = null;
    await restart();
    buttons();
  };
  leave(go, "Begin another");
});

// What was changed and is in no file is not left without a question.
function leave(go, what) {
  if (!draft.dirty) return go();
  box(`${what}?`, el("p", { text: "This drawing has changes that are in no file." }),
    el("p", {}, el("button", { class: "ink", text: "Save it first", onclick: () => { $("box").close(); keeping.save(); } })),
    el("p", {}, el("button", { text: `${what}, and drop the changes`, onclick: () => { $("box").close(); go(); } })),
    el("p", {}, el("button", { text: "Go on with this one", onclick: () => $("box").close() })));
}

settings.onResize(async (measure, input) => {
  const text = input.value.trim();
  const target = measure === "volume" || /[a-z"]/i.test(text) ? text : `${text} ${draft.options.unit}`;
  input.disabled = true;
  say(`A ${measure} of ${text} is being looked for …`);
  const told = await ask("size", { draft: keeping.asked(), measure, target });
  input.disabled = false;
  input.value = "";
  if (told.gone) return;
  if (!told.ok) return say(told.problems.map((one) => one.text).join(" "));
  draft.tables = told.tables;
  draft.points = told.points;
  drafts.commit("fields");
  const unit = measure === "volume" ? "ml" : "mm";
  say(told.missed ? `Whole stitches and rounds come no nearer than a ${measure} of ${told.got.toFixed(1)} ${unit}.` : `The ${measure} comes out at ${told.got.toFixed(1)} ${unit}.`);
});

// ---- rounds light up on the form, and the other way round --------------------------------------------------

for (const where of [drawing, views, space]) where.onPointed((round) => {
  if (draft.tables?.parts) return;
  const lit = round ? [round, round] : null;
  where.mark(lit);
  rounds.mark(lit);
});
rounds.onLight((lit) => { for (const where of [drawing, views, space]) where.mark(lit); });

// ---- keys --------------------------------------------------------------------------------------------------

addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = document.activeElement?.matches("textarea, input:not([type=checkbox])");
  const key = event.key.toLowerCase();
  if (key === "s") {
    document.activeElement?.blur(); // what is being typed counts
    keeping.save();
  }
  else if (typing) return;
  else if (key === "z") (event.shiftKey ? drafts.redo : drafts.undo)();
  else if (key === "y") drafts.redo();
  else return;
  event.preventDefault();
});

// ---- the server, other windows, the file on disk -----------------------------------------------------------

let away = "";
onServer((gone) => {
  away = gone;
  $("work").dataset.server = gone || "there";
  if (gone === "gone") say("The server is not answering. What you draw is kept in this browser; start Plumpline again, and this page goes on.");
  else if (gone === "anew") say("Plumpline was started anew. Open the address that it printed, in this browser: this page then goes on. What you drew is kept.");
  else {
    say("The server is back.");
    solve();
  }
});

let warned = "";
async function check() {
  const name = draft.tables ? draft.name : "";
  const told = await ask("stamp", { name });
  if (!told.ok || !name || name !== draft.name || told.stamp === draft.stamp || warned === told.stamp + name) return;
  warned = told.stamp + name;
  say(`${name} was changed meanwhile, in another window or by another program. `,
    el("button", { text: "Show me what I can do", onclick: () => keeping.conflict(told.stamp) }));
}
(function beat() {
  setTimeout(async () => {
    if (!document.hidden || away) await check();
    beat();
  }, away ? 1000 : 4000);
})();

const channel = new BroadcastChannel("plumpline");
channel.onmessage = ({ data }) => {
  if (!draft.name) return;
  if (data.asks === draft.name) channel.postMessage({ has: draft.name });
  if (data.has === draft.name || data.asks === draft.name) say(`${draft.name} is open in two windows. Whichever saves second is told, and nothing is overwritten.`);
};

drafts.onChange((why) => { if (why === "fields") begins.rememberGauge(); });
addEventListener("beforeunload", (event) => { if (draft.dirty && draft.tables) event.preventDefault(); });

async function restart() {
  const told = await start();
  if (told.ok) {
    beginnings = told;
    settings.learn(told.shapes);
    $("language").replaceChildren(...told.languages.map(([key, text]) => el("option", { value: key, text })));
  }
  if (!draft.tables) await begins.show(beginnings, say);
  return told;
}

keeping.onNews(say);
toys.onOpen((name) => leave(() => begins.open({ name }), "Open its drawing"));
begins.wire();
buttons();
const before = drafts.mine();
if (before && before.tables) draft.tables = before.tables;
const told = await restart();
if (before) drafts.takeUp(before);
else if (told.ok && told.first) await begins.open({ name: told.first });
document.body.dataset.ready = "yes";
pictures.tidied(drafts.pictured());
