// What lies over the controls for a moment: never over the timer, never without HELP and a way back.

import { make } from "./page.js";
import { fill, key } from "./run-screen.js";

const panel = document.getElementById("panel");
const UNEVEN = new Set(["log", "reading", "keypad"]); // these say themselves what lies where
let waysBack = null;

addEventListener("resize", () => {
  if (isOpen() && !UNEVEN.has(document.body.dataset.panel)) fill(panel);
});

export function openKind() {
  return document.body.dataset.panel ?? "";
}

export function isOpen() {
  return !panel.hidden;
}

export function openPanel(kind, label, ...content) {
  waysBack ??= document.activeElement;
  document.body.dataset.panel = kind;
  panel.setAttribute("aria-label", label);
  panel.replaceChildren(...content);
  panel.hidden = false;
  if (!UNEVEN.has(kind)) fill(panel);
  panel.querySelector("button, input")?.focus({ preventScroll: true });
}

export function closePanel() {
  document.body.dataset.panel = "";
  panel.hidden = true;
  panel.replaceChildren();
  waysBack?.focus?.({ preventScroll: true });
  waysBack = null;
}

export function backKey(area = "", label = "Back") {
  return key(label, { area, onTap: closePanel });
}

export function words(...content) {
  return make("div", { className: "text" }, ...content);
}

// Digits for gloves, and a plain field for whoever has a keyboard. take(text) is given what stands.
export function openKeypad({ label, unit, isWhole = false, help, take }) {
  const field = make("input", { inputMode: "none", autocomplete: "off", placeholder: unit,
    ariaLabel: `${label}, ${unit}` });
  const type = (sign) => {
    if (sign === "." && (field.value.includes(".") || isWhole)) return;
    if (field.value.length < 7) field.value += sign;
    retell();
  };
  const done = () => {
    const text = field.value.trim().replace(",", ".");
    if (!/^\d+(\.\d+)?$/.test(text)) return;
    closePanel();
    take(text);
  };
  const keep = key("Keep", { tone: "main", area: "ok", small: `${label}, ${unit}`, onTap: done });
  const back = key("Back", { area: "back", onTap: () => {
    if (field.value === "") closePanel();
    else field.value = field.value.slice(0, -1);
    retell();
  } });
  const retell = () => {
    back.firstChild.textContent = field.value === "" ? "Back" : "Delete";
  };
  field.addEventListener("input", retell);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault(); // or the same press would answer what opens next
    done();
  });
  const digits = [..."1234567890"].map((sign) =>
    key(sign, { area: `d${sign}`, tone: "plain value", onTap: () => type(sign) }));
  const dot = key(isWhole ? "" : ".", { area: "dot", tone: "plain value", ariaLabel: "point",
    disabled: isWhole, onTap: () => type(".") });
  openPanel("keypad", label, field, keep, help("help"), ...digits, back, dot);
  field.focus({ preventScroll: true });
}
