// A bottle's chip: a photo fills the form, what it changes is shown, and it is kept when told to.

import { draft } from "./drafts.js";
import { form } from "./form.js";
import { make, number } from "./page.js";
import { ask, clearQuestions } from "./questions.js";
import { post, Refusal, upload } from "./wire.js";

const MOST = 20e6;
const at = (id) => document.getElementById(id);
const all = (what, where = form) => [...where.querySelectorAll(what)];
const name = form.dataset.name;
const based_on = Number(form.dataset.number);
const here = (saved) => `/shelf/chip?name=${encodeURIComponent(name)}&saved=${saved}`;

function fields() {
  const typed = Object.fromEntries(all("[data-field]").map((input) => [input.dataset.field, input.value]));
  typed.steps = all("[data-step]").map((row) => Object.fromEntries(all("[data-key]", row)
    .map((cell) => [cell.dataset.key, cell.type === "checkbox" ? cell.checked : cell.value])));
  return typed;
}

// What was typed outlives a reload; it is forgotten once it is kept with the shelf.
const typed = draft(`chip-${name}`);

function recall() {
  const before = typed.recall();
  if (!before) return;
  for (const input of all("[data-field]:not(#date)")) input.value = before[input.dataset.field] ?? input.value;
  all("[data-step]").forEach((row, index) => {
    for (const cell of all("[data-key]", row)) {
      const value = before.steps?.[index]?.[cell.dataset.key];
      if (cell.type === "checkbox") cell.checked = value === true;
      else cell.value = value ?? cell.value;
    }
  });
  at("said").textContent = "What you typed before and did not keep stands here again.";
}

// --- a photo -------------------------------------------------------------------------------

function fill(read) {
  for (const key of ["photo", "doubt", "shared_doubt", "shared_black"]) {
    form.querySelector(`[data-field="${key}"]`).value = read[key];
  }
  all("[data-step]").forEach((row, index) => {
    const step = read.steps[index] ?? { thickness: "", over_white: "", over_black: "" };
    for (const cell of all("[data-key]", row)) {
      if (cell.type === "checkbox") cell.checked = false;
      else cell.value = step[cell.dataset.key];
    }
  });
}

async function take() {
  const [file] = at("chip-photo").files;
  if (!file) return;
  at("photo-said").textContent = "Reading the photo…";
  try {
    if (file.size > MOST) throw new Refusal({ message: "This photo is larger than 20 MB. Take it again at a lower resolution, or crop it to the card." });
    const asked = new URLSearchParams({ name, file: file.name });
    fill(await upload(`/shelf/chip-photos?${asked}`, file));
    typed.keep(fields());
    at("photo-said").textContent = "Read, and the photo is kept. Say what the chip holds, put a calliper to its steps if you can, and see what it changes.";
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    at("photo-said").textContent = error.details.message;
  } finally {
    at("chip-photo").value = "";
  }
}

// --- before, evidence, after -----------------------------------------------------------------

const patch = (colour) => {
  const mark = make("span", { className: "swatch", ariaHidden: "true" });
  mark.style.backgroundColor = `rgb(${colour.map((part) => Math.round(part * 255)).join(" ")})`;
  return mark;
};
const range = ({ value, low, high }, digits) => `${number(value, digits)} (${number(low, digits)}–${number(high, digits)})`;

function cell(label, ...children) {
  return make("td", { "data-label": label }, make("span", {}, ...children));
}

function show(effect) {
  const { before, after, evidence } = effect;
  const rows = after.chips.map((chip, place) => make("tr", {},
    make("th", { scope: "row" }, `${chip.thickness_mm} mm`),
    cell("Before", patch(before.chips[place].colour_over_white), " ", range(before.chips[place].hiding, 2)),
    cell("After", patch(chip.colour_over_white), " ", range(chip.hiding, 2))));
  at("effect-table").replaceChildren(make("table", { className: "plain stack" },
    make("caption", { className: "hidden" }, `What a chip with ${after.drops_per_100_g} drops in 100 g looks like over white, and hides of the card`),
    make("thead", {}, make("tr", {}, ...["Thick", "Before", "After"].map((word) => make("th", { scope: "col" }, word)))),
    make("tbody", {}, ...rows)));
  at("effect-why").textContent = `${effect.why} A chip with ${after.drops_per_100_g} drops in 100 g, its colour over white and the share of the card that it hides:`;
  const read = evidence.steps.reduce((sum, step) => sum + (step.over_white ? 1 : 0) + (step.over_black ? 1 : 0), 0);
  at("effect-rests").textContent = `Evidence: ${read} ${read === 1 ? "colour" : "colours"} at ${evidence.steps.map((step) => `${step.thickness_mm} mm`).join(", ")}`
    + `${evidence.loading ? `, ${evidence.loading} in 100 g` : ", how much colour it holds is not known"}. `
    + `Before it rested on ${before.rests_on || "its file"}; after it rests on ${after.rests_on || "its file"}.`;
  at("effect-notes").replaceChildren(...after.notes.map((note) => make("li", {}, note)));
  at("effect").hidden = false;
  at("effect").focus();
}

async function attempt(doing) {
  if (form.getAttribute("aria-busy")) return; // pressed twice
  clearQuestions();
  at("said").textContent = "";
  form.setAttribute("aria-busy", "true");
  try {
    await doing();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    ask(error.details);
    const first = form.querySelector("[aria-invalid]") ?? at("problem");
    first.closest("details")?.setAttribute("open", "");
    first.focus();
  } finally {
    form.removeAttribute("aria-busy");
  }
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  attempt(async () => show(await post("/shelf/chips/tried", { name, fields: fields() })));
});
at("keep").addEventListener("click", () => attempt(async () => {
  const saved = await post("/shelf/chips", { name, fields: fields(), based_on });
  typed.drop();
  location.assign(here(saved.number));
}));
at("chip-photo").addEventListener("change", take);
form.addEventListener("input", () => {
  typed.keep(fields());
  at("effect").hidden = true; // it was of other colours
});

// --- lots and drops --------------------------------------------------------------------------

async function told(box, doing) {
  at(box).textContent = "";
  try {
    await doing();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    at(box).textContent = (error.details.problems ?? [error.details]).map(said).join(" ");
  }
}

const lots = () => ({ name, old_lot: at("old-lot").value, new_lot: at("new-lot").value });
at("compare")?.addEventListener("click", () => told("lots-told", async () => {
  const found = await post("/shelf/lots", lots());
  at("lots-told").textContent = `Strength of lot ${found.new_lot} against ${found.old_lot}: ${range(found.strength, 2)}. ${found.advice}`;
  at("take").hidden = false;
}));
at("take")?.addEventListener("click", () => told("lots-told", async () => {
  const saved = await post("/shelf/lots/taken", { ...lots(), based_on });
  location.assign(here(saved.number));
}));

const BLANK = { count: "Say how many drops were counted.", gross: "Say what they weigh.", tare: "" };
const said = ({ field, message }) => (message.includes(" is missing.") ? BLANK[field] ?? message : message);

const drops = () => Object.fromEntries(all("[data-drop]", at("drops")).map((input) => [input.dataset.drop, input.value]));
at("weigh").addEventListener("click", () => told("drops-told", async () => {
  const { before, after } = await post("/shelf/drops/tried", { name, fields: drops() });
  at("drops-told").textContent = `Before ${range(before, 1)} mg, ${before.origin}; after ${range(after, 1)} mg: ${after.source}.`;
  at("keep-drop").hidden = false;
}));
at("keep-drop").addEventListener("click", () => told("drops-told", async () => {
  const saved = await post("/shelf/drops", { name, fields: drops(), based_on });
  location.assign(here(saved.number));
}));

const eye = () => ({
  name, lot: at("e-lot").value,
  fields: Object.fromEntries(all("[data-eye]", at("new-lot-by-eye")).map((input) => [input.dataset.eye, input.value])),
});
at("by-eye").addEventListener("click", () => told("eye-told", async () => {
  const { before, ratio, after } = await post("/shelf/strength/tried", eye());
  at("eye-told").textContent = `The new lot against the old: ${range(ratio, 2)}; ${ratio.source}. `
    + `Strength before ${range(before, 2)}, ${before.origin}; after ${range(after, 2)}.`;
  at("keep-eye").hidden = false;
}));
at("keep-eye").addEventListener("click", () => told("eye-told", async () => {
  const saved = await post("/shelf/strength", { ...eye(), based_on });
  location.assign(here(saved.number));
}));

recall();
form.inert = false;
