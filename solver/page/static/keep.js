// Saving into the folder, and taking away pictures, meshes, pages and sheets.
import { draft, me as page, saved } from "./draft.js";
import { $, ask as box, el } from "./elements.js";
import { ask, keep as fetchFile } from "./talk.js";
import { open } from "./begin.js";

let tell = () => {};
export const onNews = (say) => { tell = say; };

export const asked = () => ({ tables: draft.tables, base: draft.base, name: draft.name });

function fileName() {
  const plain = (draft.tables.title || "part").normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  return `${plain.replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60) || "part"}.toml`;
}

export async function save() {
  if (!draft.tables) return;
  if (!draft.tables.shape && !draft.tables.parts) {
    tell("Rounds without a drawing are laid out as a sheet: use “Take away”.");
    return;
  }
  if (draft.name) await write(draft.name, draft.stamp);
  else saveAs("Save as", fileName());
}

function saveAs(heading, name, why = "") {
  const input = el("input", { id: "file-name", value: name, size: "30", autocomplete: "off", spellcheck: "false" });
  const out = el("div", { role: "alert" });
  const form = el("form", {}, why ? el("p", { text: why }) : null, el("p", {}, el("label", {}, "Name of the file ", input)), el("p", {}, el("button", { class: "ink", text: "Save" })), out);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const told = input.value.trim();
    const full = /\.toml$/i.test(told) ? told : `${told}.toml`;
    const wrong = await write(full, "", out);
    if (!wrong) $("box").close();
  });
  box(heading, form);
  input.select();
}

// Returns what is wrong; nothing when it was written.
async function write(name, stamp, out = null) {
  const told = await ask("save", { draft: { ...asked(), name }, stamp });
  if (told.ok) {
    saved({ ...told, name });
    tell(`Saved as ${name}.`);
    return "";
  }
  if (told.gone) return "gone";
  if (told.changed && !stamp) {
    if (out) out.textContent = `There is a file ${name} already. Choose another name.`;
    return "there";
  }
  if (told.changed) {
    conflict(told.stamp);
    return "changed";
  }
  const text = told.problems.map((one) => one.text).join(" ");
  if (out) out.textContent = text;
  else tell(`Not saved. ${text}`);
  return text;
}

// The file is not as it was when it was opened here: nothing is overwritten.
export function conflict(now) {
  const name = draft.name;
  box("The file has changed", el("p", { text: now
    ? `${name} was changed meanwhile, in another window or by another program. Nothing was overwritten.`
    : `${name} is no longer in the folder. Nothing was written.` }),
  el("p", {}, el("button", { class: "ink", text: "Save mine under another name", onclick: () => {
    saveAs("Save mine as", name.replace(/(\.toml)$/, "-2$1"));
  } })),
  now ? el("p", {}, el("button", { text: "Open what is in the file, and leave mine", onclick: () => { $("box").close(); open({ name }); } })) : null,
  el("p", {}, el("button", { text: "Go on drawing", onclick: () => $("box").close() })));
}

const FILES = [
  ["sheet", "A sheet to sell or to work from", [".pdf", ".html", ".txt"]],
  ["rounds", "The rounds as text", [".txt"]],
  ["stuffed", "A picture of it, stuffed", [".png", ".svg", ".pdf"]],
  ["over", "A picture of its form over the drawing", [".png", ".svg", ".pdf"]],
  ["turning", "A page on which it turns", [".html"]],
  ["mesh", "A mesh", [".stl", ".obj", ".ply", ".glb"]],
];

const TOY = ["sheet", "stuffed", "turning", "mesh"];

export function keep(known) {
  if (!draft.tables) return;
  const out = el("p", { role: "status" });
  const drawn = Boolean(draft.tables.shape);
  const toy = Boolean(draft.tables.parts);
  const offered = ([what]) => (toy ? TOY.includes(what) : drawn || what === "sheet");
  box("Take away", ...FILES.filter((each) => known.includes(each[0]) && offered(each)).map(([what, text, endings]) =>
    el("p", { class: "taking" }, el("span", { text }), ...endings.map((ending) => el("button", { text: ending.slice(1).toUpperCase(), "aria-label": `${text}, ${ending.slice(1)}`, onclick: () => take(what, ending, out) })))),
  out, el("p", {}, el("button", { text: "Close", onclick: () => $("box").close() })));
}

async function take(what, ending, out) {
  out.textContent = "It is being made …";
  const { language, spelled } = draft.options;
  const told = await fetchFile({ draft: asked(), page, what, ending, options: { language, spelled, written: draft.written, inches: draft.options.unit === "in" } });
  if (!told.ok) {
    out.textContent = (told.problems || []).map((one) => one.text).join(" ") || "The server does not answer.";
    return;
  }
  const url = URL.createObjectURL(told.blob);
  const name = fileName().replace(/\.toml$/, what === "rounds" || what === "sheet" ? ending : `-${what}${ending}`);
  el("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
  out.textContent = `${name} went to your downloads.`;
}
