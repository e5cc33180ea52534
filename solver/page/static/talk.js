// What the page asks of the server, and how it notices that nobody answers.
const heard = new Set();
let gone = "";

export const onServer = (tell) => heard.add(tell);

function is(now) {
  if (now === gone) return;
  gone = now;
  for (const tell of heard) tell(gone);
}

async function send(path, options) {
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    is("gone");
    return { ok: false, gone: true, problems: [] };
  }
  if (answer.status === 403 || answer.status === 421) {
    is("anew");
    return { ok: false, gone: true, problems: [] };
  }
  is("");
  return answer;
}

async function told(answer) {
  if (answer.gone) return answer;
  if ((answer.headers.get("content-type") || "").includes("json")) return answer.json();
  return { ok: false, problems: [{ text: await answer.text(), place: "", points: [] }] };
}

export const ask = async (job, body) =>
  told(await send(`api/${job}`, { method: "POST", body: JSON.stringify(body) }));

export const start = async () => told(await send("api/start", {}));

export const trace = async (file, query) =>
  told(await send(`api/trace?${new URLSearchParams(query)}`, { method: "POST", body: file }));

export async function keep(body) {
  const answer = await send("api/keep", { method: "POST", body: JSON.stringify(body) });
  if (answer.gone || (answer.headers.get("content-type") || "").includes("json")) return told(answer);
  if (!answer.ok) return { ok: false, problems: [{ text: await answer.text(), points: [] }] };
  return { ok: true, blob: await answer.blob() };
}

// Only the newest of many questions is asked: one is under way, one waits, what lies between is dropped.
export function newest(work, done = () => {}) {
  let waiting = null;
  let busy = false;
  return async function next(...what) {
    waiting = what;
    if (busy) return;
    busy = true;
    try {
      while (waiting) {
        const now = waiting;
        waiting = null;
        await work(...now);
      }
    } finally {
      busy = false;
      done();
    }
  };
}
