// Talking to the program on this machine. A refusal comes back as the sentence it carries.

const token = document.querySelector('meta[name="partline-token"]').content;

export class Refusal extends Error {
  constructor(details) {
    super(details.message);
    this.details = details;
  }
}

export function post(address, body) {
  return send(address, JSON.stringify(body), "application/json");
}

// A file goes as it is, whatever it calls itself.
export function upload(address, file) {
  return send(address, file, "application/octet-stream");
}

async function send(address, body, type) {
  let answer;
  try {
    answer = await fetch(address, {
      method: "POST",
      headers: { "Content-Type": type, Accept: "application/json", "X-Partline-Token": token },
      body,
    });
  } catch {
    throw new Refusal({
      message: "The program does not answer. Is it still running? What you typed is kept in this page.",
    });
  }
  const kind = answer.headers.get("content-type") ?? "";
  if (!kind.includes("json")) throw new Refusal({ message: await answer.text() });
  const content = await answer.json();
  if (!answer.ok) throw new Refusal(content.error ?? { message: "This was refused." });
  return content;
}

// One request in flight; while it runs only the newest question waits. Answers arrive in order.
export function latest(ask, show, refuse) {
  let busy = false;
  let waiting = null;
  return async function next(question) {
    if (busy) {
      waiting = question;
      return;
    }
    busy = true;
    try {
      show(await ask(question));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      refuse(error);
    } finally {
      busy = false;
      if (waiting !== null) {
        const newest = waiting;
        waiting = null;
        next(newest);
      }
    }
  };
}
