// Her pictures that lie under drawings, kept by the browser beside what is drawn.
const HOME = "plumpline";
const SHELF = "pictures";
const DAY = 864e5; // that a picture is kept which no kept drawing names any more [ms]
const urls = new Map();

const ended = (asked) => new Promise((done, failed) => {
  asked.onsuccess = () => done(asked.result);
  asked.onerror = () => failed(asked.error);
});

let home = null;
function opened() {
  home ??= new Promise((done, failed) => {
    const asked = indexedDB.open(HOME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(SHELF, { keyPath: "key" });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  return home;
}
const shelf = async (mode) => (await opened()).transaction(SHELF, mode).objectStore(SHELF);

// Keeps a picture, and returns what it is found by; nothing where the browser keeps none.
export async function kept(file) {
  const key = crypto.randomUUID();
  urls.set(key, URL.createObjectURL(file));
  try {
    await ended((await shelf("readwrite")).put({ key, file, at: Date.now() }));
  } catch {
    return { key, url: urls.get(key), lost: true };
  }
  return { key, url: urls.get(key), lost: false };
}

// Where a kept picture can be shown from; "" where it is gone.
export async function found(key) {
  if (urls.has(key)) return urls.get(key);
  try {
    const one = await ended((await shelf("readonly")).get(key));
    if (one) urls.set(key, URL.createObjectURL(one.file));
  } catch {
    return "";
  }
  return urls.get(key) || "";
}

// Pictures that nothing names any more, of yesterday and before, go.
export async function tidied(named) {
  try {
    const all = await ended((await shelf("readonly")).getAll());
    const old = all.filter((one) => !named.has(one.key) && Date.now() - one.at > DAY);
    if (!old.length) return;
    const home = await shelf("readwrite");
    for (const one of old) home.delete(one.key);
  } catch {
    // a browser that keeps nothing has nothing to tidy
  }
}
