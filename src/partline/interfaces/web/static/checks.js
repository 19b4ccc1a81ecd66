// Checks of instruments and grades: worked out, told before, evidence and after, kept when told to.

import { make, number } from "./page.js";
import { post, Refusal } from "./wire.js";

const { post: address, here, name, number: based_on } = document.getElementById("checks").dataset;

const digits = ({ value }) => (Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : Math.abs(value) >= 0.5 ? 2 : 4);
const told = (known, unit) => `${number(known.value, digits(known))} ${unit} (${number(known.low, digits(known))}${known.low < 0 ? " to " : "–"}${number(known.high, digits(known))}), ${known.origin}: ${known.source}`;

function fields(form) {
  const kind = form.dataset.kind;
  return Object.fromEntries([...form.querySelectorAll("[data-field]")]
    .map((input) => [input.dataset.field.slice(kind.length + 1), input.value]));
}

const NAMES = {
  celsius: "temperature, °C", seconds: "time, s", viscosity_pa_s: "viscosity, Pa·s",
  fresh_b: "b* fresh", heated_b: "b* heated", minutes_at_177: "as long at 177 °C, minutes",
};

function words(evidence) {
  return Object.entries(evidence).map(([key, value]) => {
    const minus = (each) => (typeof each === "number" ? `${each}`.replace("-", "−") : `${each}`);
    const plain = (each) => (each !== null && typeof each === "object" ? `${minus(each.value)} (${minus(each.low)} to ${minus(each.high)})` : minus(each));
    const shown = Array.isArray(value) ? value.map(plain).join(", ") : plain(value);
    return `${NAMES[key] ?? key.replaceAll("_", " ").replace(" celsius", ", °C").replace(/ g$/, ", g").replace(/ k$/, ", K").replace(/ mm$/, ", mm")}: ${shown}`;
  }).join("; ");
}

function show(form, found) {
  const before = found.before ? told(found.before, found.unit) : found.before_words;
  form.querySelector("[data-told]").replaceChildren(
    make("p", {}, make("strong", {}, found.sentence)),
    make("dl", { className: "facts" },
      make("dt", {}, "Before"), make("dd", {}, before),
      make("dt", {}, "Evidence"), make("dd", {}, words(found.evidence)),
      make("dt", {}, "After"), make("dd", {}, told(found.after, found.unit))),
    found.after.narrows ? make("p", { className: "small" }, `Narrower with: ${found.after.narrows}.`) : "");
  form.querySelector("[data-keep]").hidden = false;
}

function clear(form) {
  form.querySelector("[data-problem]").hidden = true;
  for (const input of form.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
}

function labelled(form, { field, message }) {
  const input = form.querySelector(`[data-path="${CSS.escape(field ?? "")}"]`);
  const label = input && form.querySelector(`label[for="${input.id}"]`);
  if (!label) return message;
  // A fault names the field by its key; the page has a name of its own for it.
  const key = field.replaceAll("_", " ");
  const own = key[0].toUpperCase() + key.slice(1);
  if (message.startsWith(`${own}: `)) return `${label.textContent}: ${message.slice(own.length + 2)}`;
  if (message.startsWith(`${own} is `)) return `“${label.textContent}” ${message.slice(own.length + 1)}`;
  return `${label.textContent}: ${message}`;
}

function refuse(form, details) {
  const problems = details.problems ?? [details];
  const box = form.querySelector("[data-problem]");
  box.replaceChildren(make("p", { className: "prewrap" }, problems.map((each) => labelled(form, each)).join("\n")));
  box.hidden = false;
  for (const each of problems) {
    form.querySelector(`[data-path="${CSS.escape(each.field ?? "")}"]`)?.setAttribute("aria-invalid", "true");
  }
  (form.querySelector("[aria-invalid]") ?? box).focus();
}

async function attempt(form, doing) {
  if (form.getAttribute("aria-busy")) return; // pressed twice
  clear(form);
  form.setAttribute("aria-busy", "true");
  try {
    await doing();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    refuse(form, error.details);
  } finally {
    form.removeAttribute("aria-busy");
  }
}

for (const form of document.querySelectorAll(".check-form")) {
  const asked = () => ({ kind: form.dataset.kind, name, fields: fields(form) });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    attempt(form, async () => show(form, await post(`${address}/tried`, asked())));
  });
  form.addEventListener("input", () => {
    // What was worked out was of other readings.
    form.querySelector("[data-keep]").hidden = true;
    form.querySelector("[data-told]").replaceChildren();
  });
  form.querySelector("[data-keep]").addEventListener("click", () => attempt(form, async () => {
    const saved = await post(address, { ...asked(), based_on: Number(based_on) });
    const query = new URLSearchParams({ ...(name ? { name } : {}), saved: saved.number });
    location.assign(`${here}?${query}`);
  }));
  form.inert = false;
}
