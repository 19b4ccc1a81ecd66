// The recipe editor: what is typed is asked, what is answered is shown. The program computes.

import { setStale, show } from "./answer.js";
import { blended } from "./blend.js";
import { draft } from "./drafts.js";
import { addRow, fields, fill, fitSlider, form, letGo, removeRow, setAmount, settings, slid } from "./form.js";
import { make } from "./page.js";
import { ask, clearQuestions } from "./questions.js";
import { explain } from "./why.js";
import { fitDrops, fitScene, followTable, scene } from "./scene.js";
import { latest, post, Refusal } from "./wire.js";

const views = document.getElementById("views");
const meanwhile = document.getElementById("meanwhile");
const said = document.getElementById("said");
const restored = document.getElementById("restored");
const sides = [...form.querySelectorAll("[data-side]")].map((side) => side.dataset.side).join("-");
const kept = draft(`${form.dataset.id || `new-${sides}`}-${form.dataset.number}`);
const loaded = { fields: JSON.stringify(fields()), settings: JSON.stringify(settings()) };
let shown = null;

const isEdited = () => !form.dataset.id || JSON.stringify(fields()) !== loaded.fields;

// --- asking ------------------------------------------------------------------------------

// A question appears once the typing rests: “9 dr” on the way to “9 drops” is no mistake.
const REST = 450;
let resting = 0;

// On a new machine the light solver is made ready once; say so rather than stand empty.
const PATIENCE = 2000;
const waiting = document.getElementById("waiting");
const patience = setTimeout(() => {
  if (settings().mould) waiting.textContent = "Getting ready to draw. On a new machine this takes a minute or two, once.";
}, PATIENCE);

function arrived() {
  clearTimeout(patience);
  clearTimeout(resting);
  waiting.textContent = "";
}

// What a press of a button asked stays until something is typed: the look of an earlier
// keystroke may answer later, and must not wipe the question away.
let pressed = false;

function askOfPress(details) {
  pressed = true;
  return ask(details);
}

function refuse(error) {
  arrived();
  setStale(shown !== null);
  views.setAttribute("aria-busy", "false");
  resting = setTimeout(() => ask(error.details), REST);
}

function answered(answer) {
  arrived();
  if (!pressed) clearQuestions();
  shown = answer;
  show(answer);
  fitDrops();
  followTable(answer.table, settings().mould, lookNow);
  if (answer.plan_problem?.field === "count") resting = setTimeout(() => ask(answer.plan_problem), REST);
}

const look = latest((question) => post("/look", question), answered, refuse);

function lookNow() {
  const asked = { fields: fields(), ...settings(), scene: scene() };
  // A look needs a name only when it is kept; and there is none without a mould.
  asked.fields.name ||= "unnamed";
  if (asked.mould) look(asked);
}

function changed() {
  pressed = false;
  const isAsLoaded = JSON.stringify(fields()) === loaded.fields && JSON.stringify(settings()) === loaded.settings;
  if (isAsLoaded) kept.drop();
  else kept.keep({ fields: fields(), settings: settings() });
  said.textContent = "";
  lookNow();
}

// --- keeping -----------------------------------------------------------------------------

async function save() {
  meanwhile.hidden = true;
  // An edit of an older version becomes the newest one; what must not have changed meanwhile is
  // the newest version that this page knew of.
  const { id, number: from, latest: newest } = form.dataset;
  const why = document.getElementById("version-note").value.trim();
  const origin = from === newest ? "" : `from version ${from}`;
  const saved = await post("/recipes", {
    id, based_on: Number(newest), fields: fields(), version_note: [why, origin].filter(Boolean).join(", ") });
  kept.drop();
  return saved;
}

// Somebody saved meanwhile: what was typed stays, and the maker decides what follows what.
function offerWays({ message, newest }) {
  const after = make("button", { type: "button" }, `Save mine as version ${newest + 1}`);
  after.addEventListener("click", () => {
    form.dataset.latest = newest;
    guarded(saveAndShow);
  });
  const theirs = make("a", { className: "button quiet", target: "_blank",
    href: `/recipes/${form.dataset.id}?version=${newest}` }, `Look at version ${newest}`);
  meanwhile.replaceChildren(make("p", {}, message), make("p", { className: "actions" }, theirs, after));
  meanwhile.hidden = false;
  return meanwhile;
}

async function guarded(action) {
  try {
    await action();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const { details } = error;
    const target = details.newest ? offerWays(details) : askOfPress(details) ?? document.getElementById("problem");
    said.textContent = "Not saved: see the question.";
    target.focus();
    target.scrollIntoView({ block: "center" });
  }
}

async function saveAndShow() {
  const saved = await save();
  location.assign(`/recipes/${saved.id}?${new URLSearchParams(settings())}`);
}

document.getElementById("save").addEventListener("click", () => guarded(saveAndShow));

document.getElementById("plan")?.addEventListener("click", () => guarded(async () => {
  const saved = isEdited() ? await save() : { id: form.dataset.id, number: Number(form.dataset.number) };
  const plan = await post("/plans", { recipe: saved.id, version: saved.number, ...settings() });
  kept.drop();
  location.assign(`/plans/${plan.code}`);
}));

document.getElementById("discard").addEventListener("click", () => {
  kept.drop();
  location.reload();
});

// --- events ------------------------------------------------------------------------------

form.addEventListener("input", (event) => {
  if (event.target.matches("[data-scene]")) {
    fitScene();
    lookNow();
    return;
  }
  const row = event.target.closest("[data-row]");
  if (event.target.matches("[data-slide]")) slid(event.target);
  else if (row) fitSlider(row);
  changed();
});
form.addEventListener("change", (event) => {
  if (event.target.matches("[data-slide]")) letGo(event.target);
});
form.addEventListener("submit", (event) => event.preventDefault());
form.addEventListener("click", ({ target }) => {
  const button = target.closest("button");
  if (!button) return;
  const side = button.closest("[data-side]");
  if (button.closest("[data-blending]")) {
    blended(button, side).then((isChanged) => { if (isChanged) changed(); }, (error) => {
      if (!(error instanceof Refusal)) throw error;
      askOfPress({ ...error.details, problems: undefined, field: `${side.dataset.side}.resin` });
    });
  } else if (button.matches("[data-add]")) {
    addRow(side).querySelector("select").focus();
    changed();
  } else if (button.matches("[data-remove]")) {
    removeRow(button.closest("[data-row]"));
    side.querySelector("[data-add]").focus();
    changed();
  } else if (button.why) {
    const from = button.why.of === "plan" ? shown.plan : shown.look;
    explain(button.why, from.why, from.origins);
  } else if (button.change) {
    setAmount(button.change.half, button.change.supply, button.change.amount)?.focus();
    changed();
  }
});

// What was typed and never saved comes back after a reload or a sleeping phone.
const before = kept.recall();
if (Array.isArray(before?.fields?.sides)) {
  fill(before.fields, before.settings ?? {});
  restored.hidden = false;
}
form.querySelectorAll("[data-row]").forEach(fitSlider);
fitScene();
lookNow();

// Pressed any sooner, the button would send the browser elsewhere and what was typed with it.
form.inert = false;
