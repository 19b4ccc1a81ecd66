// A form over a document: what is typed is drawn where there is a drawing, asked about when in
// doubt, kept when told to, and never lost to somebody else's edit.

import { draft } from "./drafts.js";
import { form } from "./form.js";
import { drawing, make } from "./page.js";
import { ask, clearQuestions } from "./questions.js";
import { latest, post, Refusal } from "./wire.js";

const all = (what, where = form) => [...where.querySelectorAll(what)];
const meanwhile = document.getElementById("meanwhile");
const said = document.getElementById("said");
const restored = document.getElementById("restored");
const kept = draft(`${form.dataset.draft}-${form.dataset.latest}`);

// --- what is typed -----------------------------------------------------------------------

const value = (input) => (input.type === "checkbox" ? (input.checked ? "yes" : "") : input.value);
const rowsOf = (list) => all("[data-row]", list);

function rowFields(row) {
  const cells = all("[data-key]", row).map((cell) => [cell.dataset.key, value(cell)]);
  return Object.fromEntries([["was", row.dataset.was ?? ""], ...cells]);
}

function fields() {
  const typed = Object.fromEntries(all("[data-field]").map((input) => [input.dataset.field, value(input)]));
  for (const list of all("[data-rows]")) typed[list.dataset.rows] = rowsOf(list).map(rowFields);
  typed.checked = all("[data-checked]:checked").map((input) => input.dataset.checked);
  return typed;
}

const loaded = fields();
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
const edits = () => Object.fromEntries(Object.entries(fields())
  .filter(([key, typed]) => !form.dataset.number || form.dataset.number === "0" || !same(typed, loaded[key])));

// --- rows --------------------------------------------------------------------------------

function renumber(list) {
  rowsOf(list).forEach((row, index) => {
    for (const input of all("[data-key]", row)) {
      const key = input.dataset.key;
      input.id = `${list.dataset.rows}-${index}-${key}`;
      input.dataset.path = `${list.dataset.rows}[${index}].${key}`;
      input.closest(".field").querySelector("label").htmlFor = input.id;
    }
    const name = row.querySelector('[data-key="name"]')?.value || `${index + 1}`;
    row.querySelector("[data-remove]").setAttribute("aria-label", `Take ${name} away`);
  });
}

function addRow(list, after = null) {
  const template = list.parentElement.querySelector("[data-template]");
  const row = template.content.firstElementChild.cloneNode(true);
  if (after) after.before(row);
  else list.append(row);
  renumber(list);
  return row;
}

function fill(typed) {
  const set = (input, text) => {
    if (input.type === "checkbox") input.checked = text === "yes";
    else input.value = text ?? input.value;
  };
  for (const input of all("[data-field]")) set(input, typed[input.dataset.field]);
  for (const list of all("[data-rows]")) {
    rowsOf(list).forEach((row) => row.remove());
    for (const each of typed[list.dataset.rows] ?? []) {
      const row = addRow(list);
      row.dataset.was = each.was;
      for (const cell of all("[data-key]", row)) set(cell, each[cell.dataset.key]);
    }
    renumber(list);
  }
}

// --- drawing -----------------------------------------------------------------------------

const REST = 450;
let resting = 0;
const stale = document.getElementById("stale");
const told = document.getElementById("told");

// The cut at each station, beside its sizes.
function showCuts(cuts) {
  const rows = rowsOf(form.querySelector('[data-rows="stations"]'));
  rows.forEach((row, index) => row.querySelector("[data-cut]").replaceChildren(...(cuts[index] ? [drawing(cuts[index])] : [])));
}

function showDrawing({ views, cuts, told: about }) {
  clearTimeout(resting);
  clearQuestions();
  stale.hidden = true;
  for (const [view, svg] of Object.entries(views)) {
    document.querySelector(`[data-body="${view}"]`).replaceChildren(drawing(svg));
  }
  showCuts(cuts);
  const millilitres = (amount) => `${amount.toFixed(1)} mL`;
  const weighed = about.volume_by_weighing_ml;
  told.replaceChildren(
    make("p", {}, make("strong", {}, millilitres(about.volume_by_shape_ml)), " a bait by its stations",
      weighed === null ? "." : `, ${millilitres(weighed)} by its weighing.`),
    ...about.notes.map((note) => make("p", { className: "small" }, note)));
}

function cannotDraw(error) {
  clearTimeout(resting);
  stale.hidden = told.childElementCount === 0;
  // What is still blank is no mistake while somebody types.
  const problems = (error.details.problems ?? [error.details]).filter((each) => each.given || !each.field);
  resting = setTimeout(() => (problems.length ? ask({ problems }) : clearQuestions()), REST);
}

const sketch = form.dataset.sketch
  ? latest((question) => post(form.dataset.sketch, question), showDrawing, cannotDraw) : null;

function drawNow() {
  sketch?.({ id: form.dataset.id, based_on: Number(form.dataset.number), fields: fields() });
}

function changed() {
  if (same(fields(), loaded)) kept.drop();
  else kept.keep(fields());
  said.textContent = "";
  if (sketch) drawNow();
  else clearQuestions();
}

// --- keeping -----------------------------------------------------------------------------

// Somebody saved meanwhile: what was typed stays, and the maker decides what follows what.
function offerWays({ message, newest }) {
  const after = make("button", { type: "button" }, `Save mine as version ${newest + 1}`);
  after.addEventListener("click", () => {
    form.dataset.latest = newest;
    guarded(save);
  });
  const theirs = make("a", { className: "button quiet", target: "_blank", href: form.dataset.theirs },
    `Look at version ${newest}`);
  meanwhile.replaceChildren(make("p", {}, message), make("p", { className: "actions" }, theirs, after));
  meanwhile.hidden = false;
  return meanwhile;
}

async function guarded(action) {
  meanwhile.hidden = true;
  try {
    await action();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const { details } = error;
    clearTimeout(resting);
    const target = details.newest ? offerWays(details) : ask(details) ?? document.getElementById("problem");
    said.textContent = "Not saved: see the question.";
    target.focus();
    target.scrollIntoView({ block: "center" });
  }
}

const about = () => ({
  id: form.dataset.id, name: form.dataset.name, kind: form.dataset.kind, based_on: Number(form.dataset.latest) });

async function save() {
  const saved = await post(form.dataset.save, { ...about(), fields: edits() });
  kept.drop();
  location.assign(form.dataset.after.replace("{id}", saved.id).replace("{number}", saved.number));
}

async function takeOff() {
  const saved = await post(form.dataset.takeOff, about());
  kept.drop();
  location.assign(form.dataset.after.replace("{id}", saved.id).replace("{number}", saved.number));
}

async function weigh(button) {
  const asked = { how: button.dataset.how };
  for (const input of all("[data-weigh]")) asked[input.dataset.weigh] = input.value;
  asked.cavities = form.querySelector('[data-field="cavities"]').value;
  const { fields: found } = await post(form.dataset.weigh, asked);
  clearQuestions();
  for (const [key, text] of Object.entries(found)) form.querySelector(`[data-field="${key}"]`).value = text;
  changed();
  document.getElementById("weighed").textContent =
    `One bait: ${found.bait_mass || found.bait_volume}. It stands above; save to keep it.`;
}

// --- events ------------------------------------------------------------------------------

form.addEventListener("submit", (event) => {
  event.preventDefault();
  guarded(save);
});
form.addEventListener("input", (event) => {
  if (!event.target.matches("[data-weigh]")) changed();
});
form.addEventListener("click", ({ target }) => {
  const button = target.closest("button");
  if (!button) return;
  const list = button.closest("section")?.querySelector("[data-rows]");
  if (button.matches("[data-add]")) {
    addRow(list).querySelector("[data-key]").focus();
    changed();
  } else if (button.matches("[data-insert]")) {
    addRow(list, button.closest("[data-row]")).querySelector("[data-key]").focus();
    changed();
  } else if (button.matches("[data-remove]")) {
    button.closest("[data-row]").remove();
    renumber(list);
    list.parentElement.querySelector("[data-add]").focus();
    changed();
  } else if (button.matches("[data-how]")) guarded(() => weigh(button));
  else if (button.matches("[data-take-off]")) guarded(takeOff);
});
document.getElementById("discard").addEventListener("click", () => {
  kept.drop();
  location.reload();
});

// What was typed and never saved comes back after a reload or a sleeping phone.
all("[data-rows]").forEach(renumber);
const before = kept.recall();
if (before && !same(before, loaded)) {
  fill(before);
  restored.hidden = false;
}
if (form.dataset.id || !restored.hidden) drawNow();

// Pressed any sooner, the button would send the browser elsewhere and what was typed with it.
form.inert = false;
