// The controls of the step and the bar. The bar's places never move: where a shot makes no sense
// its place stays empty, so that a hand that does not look still finds the others. A control that was tapped says so until the program has
// answered; a glove that bounces taps once.

import { make } from "./page.js";
import { fill, isNew, key, SIGNS } from "./run-screen.js";

const HOLD_OFF_MS = 700;
const AGAIN = new Set(["shot", "stir", "reading", "photo", "note", "wrong", "help"]);
const steps = document.getElementById("controls");
const bar = document.getElementById("bar");
addEventListener("resize", () => fill(bar));
const ORDER = ["Read A", "Read B", "Stirred", "Shot", "Photo", "Look", "Something is wrong"];

let last = -HOLD_OFF_MS;
let isLastInBar = null;

// One tap of a bouncing glove: in the step any control counts, for what is under it may change.
function held(place, act) {
  return (button) => {
    const now = performance.now();
    if (button.ariaDisabled === "true") return;
    if (isLastInBar === place && now - last < HOLD_OFF_MS) return;
    [last, isLastInBar] = [now, place];
    act(button);
  };
}

export function drawControls({ screen, stop, waiting, use, read }) {
  const sent = new Set(waiting.filter((each) => each.screen === screen.key).map((each) => each.label));
  if (!isNew("controls", [screen.key, screen.controls, stop, [...sent]])) return;
  const had = steps.contains(document.activeElement);
  if (stop) {
    steps.replaceChildren(make("p", { className: "alert", role: "alert" }, stop.text),
      key("I have done this", { tone: "main", onTap: () => read(stop) }));
  } else {
    steps.replaceChildren(...screen.controls.slice(0, 3).map((each) => control(each, sent, use, screen)));
  }
  if (had) steps.querySelector("button")?.focus({ preventScroll: true });
}

function control(given, sent, use, screen) {
  const isSent = sent.has(given.label) && !AGAIN.has(given.event?.kind);
  const sign = given.opens === "reading" ? SIGNS[given.cup] : "";
  return key(given.label, { tone: given.tone, sign, small: isSent ? "✓ kept, waiting to be sent" : "",
    ariaDisabled: String(isSent), onTap: held("step", () => use(given, screen.key)) });
}

export function drawBar({ quick, use, more, help, record }) {
  if (!isNew("bar", quick)) return;
  if (quick.length === 0) { // the run is over: what is left is to look at it
    bar.replaceChildren(key("The record", { onTap: record }), key("More", { onTap: more }), help());
    fill(bar);
    return;
  }
  const found = ORDER.map((label) => quick.find((each) => each.label === label)
    ?? (label === "Shot" ? null : undefined)).filter((each) => each !== undefined);
  const rest = quick.filter((each) => !ORDER.includes(each.label));
  const cells = [...found, ...rest].map((each) => (each === null ? make("span", { className: "gap" })
    : key(each.label, { tone: each.tone ?? "plain", sign: SIGNS[each.cup], onTap: held(each.label, () => use(each, "")) })));
  bar.replaceChildren(...cells, key("More", { onTap: more }), help());
  fill(bar);
}

export function stepButtons() {
  return [...steps.querySelectorAll("button")];
}

export function mainButton() {
  if (steps.querySelector(".alert")) return null; // an alarm is read, not stepped over by a foot
  return steps.querySelector("button.main:not([aria-disabled='true'])");
}
