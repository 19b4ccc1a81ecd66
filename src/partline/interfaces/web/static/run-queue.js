// Every tap, kept by this browser before it is sent and until the program has said that it has it.
// One entry a tap, so that two tabs never write over one another; the program keeps an id once, so
// that sending twice does no harm.

const LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const NEWEST = 250; // taps of one request: about 250 kB at the very most
const WAITS = [500, 1000, 2000, 4000, 8000, 15_000];

// NOTE: crypto.randomUUID is not there over plain http on a local network.
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(20));
  return [...bytes].map((byte) => LETTERS[byte % 32]).join("");
}

// What is waiting, oldest first: in the browser's store, or in this page where that is refused.
export function shelf(code, store = () => localStorage) {
  const start = `partline-run-${code}-`;
  const held = new Map();
  let count = 0;

  function names() {
    try {
      return Object.keys(store()).filter((name) => name.startsWith(start));
    } catch {
      return [];
    }
  }

  return {
    // False where the browser keeps nothing: the tap is held in this page alone.
    keep(event) {
      const order = `${String(Date.now()).padStart(15, "0")}-${String(count++).padStart(6, "0")}`;
      const name = `${start}${order}-${event.id}`;
      try {
        store().setItem(name, JSON.stringify(event));
        return true;
      } catch {
        held.set(name, event);
        return false;
      }
    },
    waiting() {
      const kept = names().map((name) => [name, read(store, name)]);
      return [...kept, ...held].filter(([, event]) => event !== null)
        .sort(([one], [other]) => (one < other ? -1 : 1)).map(([, event]) => event);
    },
    drop(ids) {
      const done = new Set(ids);
      for (const name of [...held.keys()]) if (done.has(name.slice(-20))) held.delete(name);
      for (const name of names()) if (done.has(name.slice(-20))) store().removeItem(name);
    },
    isOnlyHere: () => held.size > 0,
  };
}

function read(store, name) {
  try {
    return JSON.parse(store().getItem(name));
  } catch {
    return null;
  }
}

// Sends what waits, in order, one request at a time, again and again until it is acknowledged.
// tell is called with what became of it: {waiting, isDown, sentence}.
export function sender({ kept, post, onState, tell, timer = (call, wait) => setTimeout(call, wait) }) {
  let isBusy = false;
  let failures = 0;
  let most = NEWEST;
  let next = null;
  const refused = [];

  function say(isDown, sentence = "") {
    tell({ waiting: kept.waiting().length, isDown, sentence, refused });
  }

  function later() {
    clearTimeout(next);
    next = timer(send, WAITS[Math.min(failures, WAITS.length) - 1] ?? WAITS[0]);
  }

  async function send() {
    if (isBusy) return;
    const events = kept.waiting().slice(0, most);
    if (events.length === 0) {
      say(failures > 0);
      return;
    }
    isBusy = true;
    clearTimeout(next);
    try {
      settle(events, await post(events));
    } finally {
      isBusy = false;
    }
    if (failures > 0) later();
    else if (kept.waiting().length > 0) send();
  }

  function settle(events, { status, content }) {
    if (Array.isArray(content?.kept)) {
      failures = 0;
      most = NEWEST;
      kept.drop(content.kept);
      setAside(events, content);
      if (content.state) onState(content.state);
      say(false);
      return;
    }
    failures += 1;
    // Too large, or unreadable as a whole: fewer at a time, so that one cannot hold up the others.
    if (status === 413 || status === 422) {
      if (most > 1) most = Math.max(1, Math.floor(most / 4));
      else setAside(events, { problems: [{ id: events[0].id, message: content?.error?.message }] });
    }
    say(true, status === 0 ? "" : content?.error?.message ?? "");
  }

  // What can never be kept is taken out of the queue and shown, not dropped unseen.
  function setAside(events, { problems = [] }) {
    for (const problem of problems) {
      const event = events.find((each) => each.id === problem.id);
      if (!event) continue;
      refused.push({ event, message: problem.message ?? "The program could not read this tap." });
      kept.drop([event.id]);
    }
  }

  return {
    add(event) {
      const isKept = kept.keep(event);
      if (!isKept) say(failures > 0);
      send();
      return isKept;
    },
    // At once, whatever the last failures said: the network came back, or the page woke.
    now() {
      clearTimeout(next);
      send();
    },
    reached() {
      if (failures > 0) this.now();
      else say(false);
    },
    lost: () => say(true),
    refused,
  };
}
