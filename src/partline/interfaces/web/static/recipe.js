// The recipe editor: what is typed is asked, what is answered is shown. The program computes.

import { drawing, make, number, ranged, span } from "./page.js";
import { explain } from "./why.js";
import { latest, post, Refusal } from "./wire.js";

const form = document.getElementById("editor");
const problem = document.getElementById("problem");
const said = document.getElementById("said");
const views = document.getElementById("views");
const draftKey = `partline-draft-${form.dataset.id || "new"}-${form.dataset.number}`;
const asLoaded = JSON.stringify(fields());
let shown = null;
let addresses = [];

// --- what is typed -----------------------------------------------------------------------

function sideFields(side) {
  const pick = (row, key) => row.querySelector(`[data-key="${key}"]`).value;
  return {
    half: side.dataset.side,
    blend: [...side.querySelectorAll("[data-grade]")].map((row) => ({
      grade: pick(row, "grade"), share: pick(row, "share") })),
    loadings: [...side.querySelectorAll("[data-row]")].map((row) => ({
      supply: pick(row, "supply"), per_100_g: pick(row, "per_100_g") })),
  };
}

function fields() {
  const answer = { sides: [...form.querySelectorAll("[data-side]")].map(sideFields) };
  for (const input of form.querySelectorAll("[data-field]")) answer[input.dataset.field] = input.value;
  return answer;
}

function question() {
  const asked = { fields: fields() };
  for (const input of form.querySelectorAll("[data-ask]")) asked[input.dataset.ask] = input.value;
  // A look needs a name only when it is kept.
  asked.fields.name ||= "unnamed";
  return asked;
}

// --- rows and sliders --------------------------------------------------------------------

const AMOUNT = /^\s*(\d+(?:\.\d+)?)\s*(drops?|g)\s*$/;

function fitSlider(row) {
  const slider = row.querySelector("[data-slide]");
  const amount = AMOUNT.exec(row.querySelector('[data-key="per_100_g"]').value);
  slider.disabled = amount === null;
  if (amount === null) return;
  const inDrops = amount[2] !== "g";
  slider.step = inDrops ? 1 : 0.05;
  slider.max = Math.max(inDrops ? 40 : 2, Math.ceil(Number(amount[1]) * 1.5));
  slider.value = amount[1];
  const supply = row.querySelector('[data-key="supply"]').value;
  slider.setAttribute("aria-label", `${supply}, ${inDrops ? "drops" : "g"} per 100 g`);
}

function slid(slider) {
  const input = slider.closest("[data-row]").querySelector('[data-key="per_100_g"]');
  const unit = (AMOUNT.exec(input.value) ?? [0, 0, "drops"])[2] === "g" ? "g" : "drops";
  const value = Number(slider.value);
  input.value = `${Number(value.toFixed(2))} ${unit === "g" ? "g" : value === 1 ? "drop" : "drops"}`;
}

function renumber(side) {
  [...side.querySelectorAll("[data-row]")].forEach((row, index) => {
    for (const input of row.querySelectorAll("[data-key]")) {
      const short = input.dataset.key === "supply" ? "s" : "a";
      input.id = `${side.dataset.side}-${short}${index}`;
      input.dataset.path = `${side.dataset.side}.load[${index}].${input.dataset.key}`;
      input.previousElementSibling.htmlFor = input.id;
    }
  });
}

function addRow(side) {
  const row = side.querySelector("[data-template]").content.firstElementChild.cloneNode(true);
  side.querySelector("[data-loadings]").append(row);
  renumber(side);
  fitSlider(row);
  row.querySelector("select").focus();
}

// --- what is answered --------------------------------------------------------------------

function clearProblems() {
  problem.hidden = true;
  for (const input of form.querySelectorAll("[aria-invalid]")) {
    input.removeAttribute("aria-invalid");
    if (input.title) input.removeAttribute("title");
  }
}

function showProblem(error) {
  clearProblems();
  const problems = error.details.problems ?? [error.details];
  const sentences = [];
  for (const each of problems) {
    sentences.push(each.message);
    const input = each.field && form.querySelector(`[data-path="${CSS.escape(each.field)}"]`);
    if (input) {
      input.setAttribute("aria-invalid", "true");
      input.title = each.message;
    }
  }
  problem.textContent = sentences.join("\n");
  problem.hidden = false;
  views.setAttribute("aria-busy", "true");
}

function showPictures(pictures) {
  const fresh = [];
  for (const image of views.querySelectorAll("img")) {
    const bytes = Uint8Array.from(atob(pictures[image.dataset.view]), (letter) => letter.charCodeAt(0));
    const address = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
    fresh.push(address);
    image.src = address;
  }
  addresses.forEach((address) => URL.revokeObjectURL(address));
  addresses = fresh;
  views.setAttribute("aria-busy", "false");
}

function headline(look) {
  const { back_belly: views_, side } = look.distinctness;
  const words = [];
  if (views_ && side) {
    words.push("Back against belly ", ranged(views_.value, [views_.low, views_.high], 0,
      { key: "back_belly", narrows: views_.narrows, title: views_.station }), ` ${views_.verdict}; halves from the side `,
      ranged(side.value, [side.low, side.high], 0, { key: "side", narrows: side.narrows, title: side.station }),
      ` ${side.verdict} (ΔE00 at the ${side.station} station).`);
  } else {
    const whole = look.halves.whole;
    words.push("Hides ", ranged(whole.hiding.value, [whole.hiding.low, whole.hiding.high], 2,
      { key: "hiding", narrows: whole.hiding.narrows }), ` at the ${whole.station} station: ${whole.verdict}.`);
  }
  document.getElementById("headline").replaceChildren(...words);
}

const COLUMNS = [
  ["back_hiding", "back hides", 2, "hiding", "back_verdict"],
  ["whole_hiding", "hides", 2, "hiding", "whole_verdict"],
  ["belly_hiding", "belly hides", 2, "hiding", "belly_verdict"],
  ["back_see_through", "see-through, back", 0, "see_through", null],
  ["belly_see_through", "see-through, belly", 0, "see_through", null],
  ["back_belly", "back against belly", 0, "back_belly", "back_belly_verdict"],
  ["side", "from the side", 0, "side", "side_verdict"],
];

function needed(look, station) {
  const lines = [];
  for (const need of look.needed) {
    const here = need.stations.find((each) => each.station === station);
    if (!need.supply || !here) continue;
    lines.push(make("span", { className: "word" }, here.per_100_g === null
      ? `${need.supply}: out of reach`
      : `${need.supply} ${number(here.per_100_g, need.unit === "drops" ? 1 : 2)} ${need.unit}` +
        (here.in_cup === null ? "" : ` (${number(here.in_cup, need.unit === "drops" ? 0 : 2)} in the cup)`)));
  }
  return lines;
}

function showStations(look, sections) {
  const columns = COLUMNS.filter(([key]) => `${key}_range` in look.stations[0]);
  const head = make("tr", {}, make("th", { scope: "col" }, "station"), make("th", { scope: "col" }, "cut"),
    make("th", { scope: "col", className: "num" }, "half, mm"),
    ...columns.map(([, words]) => make("th", { scope: "col" }, words)),
    make("th", { scope: "col" }, "would hide with, per 100 g"));
  document.getElementById("station-head").replaceChildren(head);
  const rows = look.stations.map((station, index) => {
    const belly = station.belly_half_thickness_mm;
    const halves = belly === undefined || belly === station.half_thickness_mm
      ? number(station.half_thickness_mm, 1)
      : `${number(station.half_thickness_mm, 1)} / ${number(belly, 1)}`;
    return make("tr", {}, make("th", { scope: "row" }, station.name),
      make("td", {}, drawing(sections[index].svg)), make("td", { className: "num" }, halves),
      ...columns.map(([key, words, digits, why, verdict]) => make("td", {}, ranged(station[key], station[`${key}_range`],
        digits, { key: why, title: `${words}, ${station.name}` }, verdict ? station[verdict] : null))),
      make("td", {}, ...needed(look, station.name)));
  });
  document.getElementById("station-rows").replaceChildren(...rows);
}

function cupCard(plan, cup) {
  const melt = plan.melt_plan[0];
  const grams = melt[`cup_${cup.toLowerCase()}_g`];
  if (grams === null) return null;
  const list = melt.ingredients.filter((each) => each.cup === cup).map((each) => {
    const drops = each.drops === null ? "" : `${each.drops} drops, `;
    return make("li", {}, `${each.supply}: ${drops}${each.grams.toFixed(each.kind === "grade" ? 1 : 2)} g`,
      each.caution ? make("strong", { className: "caution" }, ` ${each.caution}`) : null);
  });
  return make("div", { className: `cup-card cup-${cup.toLowerCase()}` },
    make("h3", {}, make("span", { className: "badge", ariaHidden: "true" }), `Cup ${cup}, melt 1`),
    make("p", { className: "big" }, `${number(grams, 1)} g `,
      make("small", {}, span(melt[`cup_${cup.toLowerCase()}_g_range`], 1))), make("ul", {}, ...list));
}

function showCups(plan, refusal) {
  const box = document.getElementById("cups");
  if (!plan) {
    box.replaceChildren(make("p", { className: "problem" }, refusal));
    return;
  }
  const sum = `${plan.to_mould} to mould, ${plan.shots} shots, ${plan.melts} ` +
    `${plan.melts === 1 ? "melt" : "melts"} (${plan.melt_plan.map((melt) => melt.shots).join(" and ")} shots).`;
  box.replaceChildren(...["A", "B"].map((cup) => cupCard(plan, cup)).filter(Boolean), make("p", {}, sum));
}

function show(answer) {
  shown = answer;
  clearProblems();
  showPictures(answer.pictures);
  headline(answer.look);
  document.getElementById("advice").replaceChildren(
    ...answer.look.advice.map((each) => make("li", {}, each.text)));
  document.getElementById("provisional").hidden = !answer.look.picture.provisional;
  showStations(answer.look, answer.sections);
  showCups(answer.plan, answer.plan_refusal);
  const error = answer.look.picture;
  document.getElementById("notes").replaceChildren(
    ...answer.look.notes.concat(
      error.provisional
        ? [`The picture is provisional: its colours are ΔE00 ${number(error.error_median, 1)} off in the middle case and ${number(error.error_95, 0)} at worst places. The ranges hold that.`]
        : []).map((note) => make("li", {}, note)));
}

const ask = latest((asked) => post("/look", asked), show, showProblem);

function changed() {
  if (isEdited()) localStorage.setItem(draftKey, JSON.stringify(fields()));
  else localStorage.removeItem(draftKey);
  said.textContent = "";
  ask(question());
}

// --- keeping -----------------------------------------------------------------------------

async function save() {
  // An edit of an older version becomes the newest one; what must not have changed meanwhile is
  // the newest version that this page knew of.
  const { id, number: from, latest: newest } = form.dataset;
  const kept = await post("/recipes", {
    id, based_on: Number(newest), fields: fields(), version_note: from === newest ? "" : `from version ${from}` });
  localStorage.removeItem(draftKey);
  return kept;
}

async function guarded(action) {
  try {
    await action();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    showProblem(error);
    problem.scrollIntoView({ block: "center" });
  }
}

function settings() {
  return Object.fromEntries([...form.querySelectorAll("[data-ask]")].map((input) => [input.dataset.ask, input.value]));
}

function address(kept) {
  return `/recipes/${kept.id}?${new URLSearchParams(settings())}`;
}

function isEdited() {
  return !form.dataset.id || JSON.stringify(fields()) !== asLoaded;
}

document.getElementById("save").addEventListener("click", () => guarded(async () => {
  location.assign(address(await save()));
}));

document.getElementById("plan").addEventListener("click", () => guarded(async () => {
  const kept = isEdited() ? await save() : { id: form.dataset.id, number: Number(form.dataset.number) };
  const plan = await post("/plans", { recipe: kept.id, version: kept.number, ...settings() });
  location.assign(`/plans/${plan.code}`);
}));

// --- events ------------------------------------------------------------------------------

form.addEventListener("input", (event) => {
  if (event.target.name === "backdrop") {
    views.dataset.backdrop = event.target.value;
    return;
  }
  if (event.target.matches("[data-slide]")) slid(event.target);
  const row = event.target.closest("[data-row]");
  if (row && !event.target.matches("[data-slide]")) fitSlider(row);
  changed();
});
form.addEventListener("submit", (event) => event.preventDefault());
form.addEventListener("click", (event) => {
  const side = event.target.closest("[data-side]");
  if (event.target.matches("[data-add]")) {
    addRow(side);
    changed();
  } else if (event.target.matches("[data-remove]")) {
    event.target.closest("[data-row]").remove();
    renumber(side);
    side.querySelector("[data-add]").focus();
    changed();
  } else if (event.target.closest(".why")) {
    explain(event.target.closest(".why").why, shown.look.why, shown.look.origins);
  }
});

// What was typed and never saved comes back after a reload or a sleeping phone.
function restore() {
  const draft = JSON.parse(localStorage.getItem(draftKey) ?? "null");
  if (draft === null) return;
  for (const input of form.querySelectorAll("[data-field]")) input.value = draft[input.dataset.field] ?? input.value;
  for (const kept of draft.sides) {
    const side = form.querySelector(`[data-side="${kept.half}"]`);
    if (!side) continue;
    side.querySelectorAll("[data-row]").forEach((row) => row.remove());
    for (const loading of kept.loadings) {
      addRow(side);
      const row = side.querySelector("[data-row]:last-child");
      const select = row.querySelector("select");
      if (![...select.options].some((option) => option.value === loading.supply)) {
        select.append(make("option", { value: loading.supply }, loading.supply));
      }
      select.value = loading.supply;
      row.querySelector('[data-key="per_100_g"]').value = loading.per_100_g;
    }
    kept.blend.forEach((each, index) => {
      const row = side.querySelectorAll("[data-grade]")[index];
      if (row) row.querySelector("select").value = each.grade;
    });
  }
  document.activeElement?.blur();
  said.textContent = "Your unsaved changes are back.";
}

restore();
form.querySelectorAll("[data-row]").forEach(fitSlider);
ask(question());
