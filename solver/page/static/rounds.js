// The written rounds, which light up with the form; and rounds that she writes herself, proof-read.
import { draft, commit, touch } from "./draft.js";
import { $, el } from "./elements.js";

const list = $("lines");
let told = null;
let current = 0;
let light = () => {};
export const onLight = (tell) => { light = tell; };

export function show(now) {
  if (now.lines) {
    told = now;
    const kept = list.scrollTop;
    list.replaceChildren(...now.lines.map((line, i) => el("li", {
      id: `line-${i}`, role: "option", class: line.kind, text: line.text, "aria-selected": "false",
      "data-first": line.first, "data-last": line.last,
    })));
    list.scrollTop = kept;
    current = Math.min(current, now.lines.length - 1);
  }
  list.classList.toggle("stale", !now.ok);
  own();
  proof(now.proof);
  const reading = now.reading || [];
  if (now.ok) {
    const open = $("reading").querySelector("details")?.open;
    $("reading").replaceChildren(el("details", { open: Boolean(open) }, el("summary", { text: "How to read them" }),
      el("ul", {}, ...reading.map((text) => el("li", { text })))));
  }
}

function choose(i, scroll = true) {
  current = Math.max(0, Math.min(i, list.children.length - 1));
  const line = list.children[current];
  if (!line) return;
  const rounds = line.classList.contains("round") ? [Number(line.dataset.first), Number(line.dataset.last)] : null;
  mark(rounds, line);
  light(rounds);
  if (scroll) line.scrollIntoView({ block: "nearest" });
}

// Mark the line of a round; the line itself where it is known.
export function mark(rounds, only = null) {
  let lit = null;
  for (const line of list.children) {
    const on = only ? line === only : Boolean(rounds) && line.classList.contains("round")
      && Number(line.dataset.first) <= rounds[1] && Number(line.dataset.last) >= rounds[0];
    line.setAttribute("aria-selected", String(on));
    if (on && !lit) lit = line;
  }
  if (lit) list.setAttribute("aria-activedescendant", lit.id);
  else list.removeAttribute("aria-activedescendant");
  if (lit && !only) {
    const [top, bottom] = [lit.offsetTop, lit.offsetTop + lit.offsetHeight];
    if (top < list.scrollTop) list.scrollTop = top;
    else if (bottom > list.scrollTop + list.clientHeight) list.scrollTop = bottom - list.clientHeight;
  }
}

list.addEventListener("pointerover", (event) => {
  const i = [...list.children].indexOf(event.target.closest("li"));
  if (i >= 0) choose(i, false);
});
list.addEventListener("pointerleave", () => { mark(null); light(null); });
list.addEventListener("keydown", (event) => {
  const to = { ArrowDown: current + 1, ArrowUp: current - 1, Home: 0, End: list.children.length - 1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  choose(to);
});
list.addEventListener("focus", () => choose(current));
list.addEventListener("blur", () => { mark(null); light(null); });

// ---- her own rounds ----------------------------------------------------------------------------------------

const text = $("written");

export function own() {
  const on = Boolean(draft.written) || !draft.tables?.shape;
  $("own").hidden = !on;
  $("write").hidden = on;
  $("solveagain").hidden = !on || !draft.tables?.shape;
  if (on && document.activeElement !== text) text.value = draft.written;
  for (const id of ["fit", "increases", "multiple"]) $(id).closest("label").classList.toggle("gone", !draft.tables?.shape); // nothing is searched
  list.hidden = on && !draft.tables?.shape && !told?.ok;
}

$("write").addEventListener("click", () => {
  draft.written = (told?.lines || []).filter((line) => line.kind !== "stuffing").map((line) => line.text).join("\n");
  commit("written");
  own();
  text.focus();
});
$("solveagain").addEventListener("click", () => {
  draft.written = "";
  commit("written");
  own();
  $("write").focus();
});
text.addEventListener("input", () => { draft.written = text.value; touch("written"); });
text.addEventListener("change", () => commit("written"));

function proof(lines) {
  const wrong = lines || [];
  $("proof").replaceChildren(...wrong.map((line) => el("li", { class: line.problems.length ? "wrong" : "right", value: line.line },
    ...words(line), ...line.problems.map((one) => el("p", { class: "fault" }, el("span", { text: one.message }), " ",
      one.mended ? el("button", { text: "Mend it", "aria-label": `Mend line ${line.line}: ${one.fix}`, title: one.fix, onclick: () => mend(line, one) }) : null)))));
}

function words(line) {
  const one = line.problems.find((each) => each.end > each.start);
  if (!one) return [el("span", { text: line.text })];
  return [line.text.slice(0, one.start), el("mark", { text: line.text.slice(one.start, one.end) }), line.text.slice(one.end)];
}

function mend(line, one) {
  const lines = text.value.split("\n");
  lines.splice(line.line - 1, line.text.split("\n").length, one.mended);
  text.value = draft.written = lines.join("\n");
  commit("written");
  text.focus();
}
