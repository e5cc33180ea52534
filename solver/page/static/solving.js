// What a drawing becomes: a first look within a blink where there is one, then the rounds.
import { draft, me as page } from "./draft.js";
import { $ } from "./elements.js";
import { asked } from "./keep.js";
import { ask, newest } from "./talk.js";
import * as toys from "./toys.js";

let number = 0; // of the newest question
let shown = 0; // of the one whose rounds are shown
let under = 0; // questions for rounds that are under way
let again = false; // one waits
let quick = true; // whether this kind of part has a first look
let last = { sent: "", told: null };
let asking = null; // the newest of them
let lookedAt = "";
let looked = false; // a first look stands in the place of what was told last

let first = () => {};
let became = () => {};
export const onFirst = (tell) => { first = tell; };
export const onBecame = (tell) => { became = tell; };
export function anew() {
  last = { sent: "", told: null };
  lookedAt = "";
  quick = true;
}
export function otherKind() { quick = true; }

const NOTHING = { ok: false, problems: [{ text: "A toy begins with its body: add a part of the folder.", points: [] }] };
const hasLook = () => quick && draft.tables.shape && !draft.tables.parts && !draft.written.trim();

export function solve() {
  if (!draft.tables) return;
  $("work").dataset.busy = "yes";
  number += 1;
  if (hasLook()) look();
  if (under && !hasLook()) again = true; // with nothing to look at meanwhile, what is under way is let end
  else question();
}

// The form of whole rounds, not yet the plain ones.
const look = newest(async () => {
  const [mine, points, sent] = [number, JSON.stringify(draft.points), { draft: asked(), page }];
  const same = JSON.stringify(sent);
  if (same === lookedAt || mine <= shown) return;
  lookedAt = same;
  const told = await ask("first", sent);
  if (told.none) quick = false;
  if (told.none || told.gone || told.stale || mine <= shown) return;
  looked = true;
  first(Object.assign(told, { forPoints: points }));
});

async function question() {
  const sent = { draft: asked(), written: draft.written, page, language: draft.options.language, spelled: draft.options.spelled };
  const points = JSON.stringify(draft.points);
  const parts = draft.tables.parts;
  if (parts) Object.assign(sent, toys.pointed());
  const same = JSON.stringify(sent);
  if (asking?.same === same) asking.number = number; // the end of a drag asks what its last move did
  else if (parts && !Object.keys(parts).length) became(NOTHING);
  else if (same === last.sent) {
    shown = number;
    if (looked) show(last.told);
  } else if (parts || sent.draft.tables.shape || sent.written.trim()) await rounds(sent, same, points);
  if (again) {
    again = false;
    await question();
  } else if (!under) delete $("work").dataset.busy;
}

async function rounds(sent, same, points) {
  const mine = { number, same };
  asking = mine;
  under += 1;
  const long = setTimeout(() => { $("working").textContent = "Being worked out …"; }, 1500);
  const told = await ask("solve", sent);
  clearTimeout(long);
  under -= 1;
  if (!under) $("working").textContent = "";
  if (asking === mine) asking = null;
  if (told.gone || told.stale || mine.number <= shown || (mine.number < number && hasLook())) return;
  shown = mine.number;
  last = { sent: same, told: Object.assign(told, { forPoints: points }) };
  show(told);
  document.body.dataset.solved = String(Number(document.body.dataset.solved || 0) + 1);
}

function show(told) {
  looked = false;
  lookedAt = "";
  became(told);
}
