// Asking the program: with a time limit, and with a fresh token when the program was started anew.

const PATIENCE_MS = 8000;
const UPLOAD_MS = 60_000;

let token = document.querySelector('meta[name="partline-token"]').content;

// Always answers: {status, content, sent, received}; status 0 when nobody answered.
export async function ask(address, { body, patience = PATIENCE_MS } = {}) {
  let answer = await once(address, body, patience);
  // NOTE: a program that was started anew refuses every older page's token (see guards.py).
  if (answer.status === 403 && body !== undefined && (await renew(address))) {
    answer = await once(address, body, patience);
  }
  return answer;
}

export function upload(address, file) {
  return ask(address, { body: file, patience: UPLOAD_MS });
}

async function renew(address) {
  const run = address.split("/").slice(0, 3).join("/");
  const { content } = await once(`${run}/token`, undefined, PATIENCE_MS);
  if (!content?.token || content.token === token) return false;
  token = content.token;
  return true;
}

async function once(address, body, patience) {
  const stop = new AbortController();
  const limit = setTimeout(() => stop.abort(), patience);
  const sent = Date.now();
  try {
    const answer = await fetch(address, { ...request(body), signal: stop.signal, cache: "no-store" });
    const received = Date.now();
    const isJson = (answer.headers.get("content-type") ?? "").includes("json");
    return { status: answer.status, content: isJson ? await answer.json() : null, sent, received };
  } catch {
    return { status: 0, content: null, sent, received: Date.now() };
  } finally {
    clearTimeout(limit);
  }
}

function request(body) {
  const headers = { Accept: "application/json" };
  if (body === undefined) return { headers };
  headers["X-Partline-Token"] = token;
  const isFile = body instanceof Blob;
  headers["Content-Type"] = isFile ? "application/octet-stream" : "application/json";
  return { method: "POST", headers, body: isFile ? body : JSON.stringify(body) };
}
