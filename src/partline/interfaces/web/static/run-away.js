// A page that was hidden, frozen, asleep or closed: noticed by the gap since it last ran.

const LONG_MS = 20_000;

export function presence(code, { wall = () => Date.now(), back }) {
  const name = `partline-seen-${code}`;
  let seen = Number(recall(name)) || wall();
  let hiddenSince = null;

  function look() {
    const now = wall();
    const gap = now - (hiddenSince ?? seen);
    const isAway = document.visibilityState === "hidden";
    if (isAway) hiddenSince ??= seen;
    else {
      hiddenSince = null;
      if (gap >= LONG_MS) back(gap);
    }
    if (Math.floor(now / 2000) !== Math.floor(seen / 2000)) keep(name, now, isAway);
    seen = now;
  }

  document.addEventListener("visibilitychange", look);
  window.addEventListener("pageshow", look);
  window.addEventListener("focus", look);
  return { look };
}

function keep(name, now, isAway) {
  if (isAway) return; // what counts is when somebody could last see it
  try {
    localStorage.setItem(name, String(now));
  } catch {
    // A browser that keeps nothing: a reload is then not noticed, a frozen page still is.
  }
}

function recall(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}
