// After a shot: how long the push took, and five seconds to take the shot back.
//
// One tap, as the push starts, is the whole record of a shot; a second one as it ends adds the push
// time. Not press-and-hold: both hands push, a glove loses touch with the glass for a moment and
// would end the push, and a foot pedal that repeats or sends one short press can do two taps only.

import { key } from "./run-screen.js";

const place = document.getElementById("offer");
const UNDO_MS = 5000;
const PUSH_MS = 30_000;

export function offers({ tap, wall = () => Date.now(), sinceMs = (from) => wall() - from }) {
  let shot = null;
  let from = 0;
  let undo = null;
  let push = null;

  function clear() {
    shot = null;
    document.body.dataset.offer = "";
    place.hidden = true;
    place.replaceChildren();
  }

  function done() {
    const seconds = Math.round(sinceMs(from) / 100) / 10;
    tap({ kind: "correction", cup: null, data: { of: shot.id, data: { ...shot.data, push_s: seconds } } });
    clear();
  }

  function takeBack() {
    tap({ kind: "correction", cup: null, data: { of: shot.id, void: true } });
    clear();
  }

  return {
    after(event, speed = 1) {
      shot = event;
      from = wall();
      sinceMs = (start) => (wall() - start) * speed;
      push = key("Push done", { tone: "main", small: "0 s", onTap: done });
      undo = key("Undo shot", { small: "5", onTap: takeBack });
      // NOTE: a push_s of null asks for the time; a shot told when it is made has none to take.
      place.replaceChildren(...(event.data.push_s === null ? [push, undo] : [undo]));
      place.hidden = false;
      document.body.dataset.offer = "shot";
    },
    tick() {
      if (shot === null) return;
      const passed = wall() - from;
      if (passed >= UNDO_MS) undo.remove();
      if (passed >= PUSH_MS || place.childElementCount === 0) {
        clear();
        return;
      }
      undo.lastChild.textContent = String(Math.ceil((UNDO_MS - passed) / 1000));
      push.lastChild.textContent = `${Math.floor(sinceMs(from) / 1000)} s`;
    },
    // What the pedal does while a push is timed; null when none is.
    main: () => (shot !== null && push?.isConnected ? done : null),
  };
}
