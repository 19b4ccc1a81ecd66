// What was typed and not saved yet, kept by this browser. Where it may keep nothing, nothing is
// kept, and the page works all the same.

export function draft(key) {
  const name = `partline-draft-${key}`;
  return {
    keep(content) {
      try {
        localStorage.setItem(name, JSON.stringify(content));
      } catch {
        // Storage is full or forbidden.
      }
    },
    recall() {
      try {
        return JSON.parse(localStorage.getItem(name));
      } catch {
        return null;
      }
    },
    drop() {
      try {
        localStorage.removeItem(name);
      } catch {
        // Storage is forbidden.
      }
    },
  };
}
