// What is drawn: the tables of a part file, what can be undone, and the copy that the browser keeps.
const KEY = "plumpline:draft:";
const HOLD = 8000; // a window that told nothing for so long is closed [ms]

export const me = sessionStorage.getItem("plumpline:window") || crypto.randomUUID();
sessionStorage.setItem("plumpline:window", me);

const empty = () => ({
  name: "", stamp: "", base: "", tables: null, points: null, written: "", dirty: false, notes: [], under: null,
  options: { language: "", spelled: false, unit: "mm", snap: true },
});

export const draft = empty();
let past = [];
let future = [];
let last = "";
const watching = new Set();

export const onChange = (tell) => watching.add(tell);
const changed = (why) => { for (const tell of watching) tell(why); };
const state = () => JSON.stringify({ tables: draft.tables, points: draft.points, written: draft.written, under: draft.under });

export function begin(told, more = {}) {
  const options = draft.options;
  Object.assign(draft, empty(), { options }, more, {
    name: told.name || "", stamp: told.stamp || "", base: told.base || "", tables: told.tables,
    points: told.points || null,
  });
  past = [];
  future = [];
  last = state();
  store();
  changed("begin");
}

// Something is being changed (a drag); `commit` ends it, and makes one step of it to be undone.
export function touch(why = "draw") {
  if (draft.points && draft.tables.shape) draft.tables.shape.points = draft.points.map((p) => [...p]);
  draft.dirty = true;
  changed(why);
}

export function commit(why = "draw") {
  touch(why);
  const now = state();
  if (now === last) return;
  past.push(last);
  future = [];
  last = now;
  store();
  changed("history");
}

function restore(from, to) {
  if (!from.length) return;
  to.push(last);
  last = from.pop();
  Object.assign(draft, JSON.parse(last));
  draft.dirty = true;
  store();
  changed("undo");
}

export const undo = () => restore(past, future);
export const redo = () => restore(future, past);
export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;

export function saved(told) {
  Object.assign(draft, { name: told.name, stamp: told.stamp, base: told.text, dirty: false });
  store();
  changed("history");
}

// ---- what the browser keeps --------------------------------------------------------------------------------

export function store() {
  if (!draft.tables) return;
  try {
    localStorage.setItem(KEY + me, JSON.stringify({ ...draft, at: Date.now() }));
  } catch {
    changed("full");
  }
}

export function forget(id = me) {
  localStorage.removeItem(KEY + id);
}

export const mine = () => read(KEY + me);

function read(key) {
  try {
    const found = JSON.parse(localStorage.getItem(key));
    return found && found.tables ? found : null;
  } catch {
    return null;
  }
}

// Drafts of windows that are closed, and were not saved.
export function left() {
  const found = [];
  for (let i = 0; i < localStorage.length; i++) {
    const key = localStorage.key(i);
    if (!key.startsWith(KEY) || key === KEY + me) continue;
    const one = read(key);
    const id = key.slice(KEY.length);
    const alive = Number(localStorage.getItem(`plumpline:alive:${id}`) || 0);
    if (one && one.dirty && Date.now() - alive > HOLD) found.push({ ...one, id });
  }
  return found.sort((a, b) => b.at - a.at).slice(0, 6);
}

// The pictures that kept drawings name.
export function pictured() {
  const keys = new Set();
  for (let i = 0; i < localStorage.length; i++) {
    const key = localStorage.key(i);
    if (key.startsWith(KEY)) keys.add(read(key)?.under?.key);
  }
  return keys;
}

export function takeUp(one) {
  Object.assign(draft, empty(), one, { under: one.under?.key ? { ...one.under, url: "" } : null });
  past = [];
  future = [];
  last = state();
  if (one.id && one.id !== me) forget(one.id);
  delete draft.id;
  delete draft.at;
  store();
  changed("begin");
}

const alive = () => localStorage.setItem(`plumpline:alive:${me}`, String(Date.now()));
alive();
setInterval(alive, 3000);
addEventListener("pagehide", () => { store(); localStorage.removeItem(`plumpline:alive:${me}`); });

for (let i = localStorage.length - 1; i >= 0; i--) { // windows of long ago
  const key = localStorage.key(i);
  if (key.startsWith("plumpline:alive:") && Date.now() - Number(localStorage.getItem(key)) > 864e5) {
    localStorage.removeItem(key);
  }
}
