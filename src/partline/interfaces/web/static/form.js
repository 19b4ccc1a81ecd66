// The editor's form: what is typed in it, its rows and its sliders.

import { make } from "./page.js";

export const form = document.getElementById("editor");

const cell = (row, key) => row.querySelector(`[data-key="${key}"]`);
const rows = (side, what = "[data-row]") => [...side.querySelectorAll(what)];

function sideFields(side) {
  return {
    half: side.dataset.side,
    blend: rows(side, "[data-grade]").map((row) => ({
      grade: cell(row, "grade").value, share: cell(row, "share").value })),
    loadings: rows(side).map((row) => ({
      supply: cell(row, "supply").value, per_100_g: cell(row, "per_100_g").value })),
  };
}

export function fields() {
  const answer = { sides: rows(form, "[data-side]").map(sideFields) };
  for (const input of rows(form, "[data-field]")) answer[input.dataset.field] = input.value;
  return answer;
}

export function settings() {
  return Object.fromEntries(rows(form, "[data-ask]").map((input) => [input.dataset.ask, input.value]));
}

// --- sliders -----------------------------------------------------------------------------

const AMOUNT = /^\s*(\d+(?:\.\d+)?)\s*(drops?|g)(?:\s+per\s+100\s*g)?\s*$/;
const LEAST_TOP = { drops: 40, g: 2 };

function measured(row) {
  const amount = AMOUNT.exec(cell(row, "per_100_g").value);
  return amount && { value: Number(amount[1]), unit: amount[2] === "g" ? "g" : "drops" };
}

// Follow what was typed. The top grows only here and when the hand has let go of the slider.
export function fitSlider(row) {
  const slider = row.querySelector("[data-slide]");
  const amount = measured(row);
  const supply = cell(row, "supply").value;
  row.querySelector("[data-remove]").setAttribute("aria-label", `Remove ${supply}`);
  slider.disabled = amount === null;
  if (amount === null) return;
  slider.step = amount.unit === "g" ? 0.05 : 1;
  slider.max = Math.max(LEAST_TOP[amount.unit], Math.ceil(amount.value * 1.25));
  slider.value = amount.value;
  slider.setAttribute("aria-label", `${supply}, ${amount.unit} per 100 g`);
  slider.setAttribute("aria-valuetext", `${slider.value} ${amount.unit} per 100 g`);
}

export function slid(slider) {
  const row = slider.closest("[data-row]");
  const unit = measured(row)?.unit ?? "drops";
  const value = Number(Number(slider.value).toFixed(2));
  cell(row, "per_100_g").value = `${value} ${unit === "drops" && value === 1 ? "drop" : unit}`;
  slider.setAttribute("aria-valuetext", `${value} ${unit} per 100 g`);
}

export function letGo(slider) {
  if (slider.value === slider.max) fitSlider(slider.closest("[data-row]"));
}

// --- rows --------------------------------------------------------------------------------

export function renumber(side) {
  rows(side).forEach((row, index) => {
    for (const input of row.querySelectorAll("[data-key]")) {
      const short = input.dataset.key === "supply" ? "s" : "a";
      input.id = `${side.dataset.side}-${short}${index}`;
      input.dataset.path = `${side.dataset.side}.load[${index}].${input.dataset.key}`;
      input.previousElementSibling.htmlFor = input.id;
    }
  });
}

export function addRow(side) {
  const row = side.querySelector("[data-template]").content.firstElementChild.cloneNode(true);
  side.querySelector("[data-loadings]").append(row);
  renumber(side);
  fitSlider(row);
  return row;
}

// A second grade beside the first, both with their shares; one of them alone again.
export function addGrade(side) {
  const template = side.querySelector("[data-grade-template]");
  if (!template || rows(side, "[data-grade]").length > 1) return;
  side.querySelector(".blend").append(template.content.firstElementChild.cloneNode(true));
  const [first, second] = rows(side, "[data-grade]");
  cell(first, "share").value = cell(second, "share").value;
  const free = [...cell(second, "grade").options].find((each) => each.value !== cell(first, "grade").value);
  if (free) cell(second, "grade").value = free.value;
  showBlend(side);
}

export function oneGrade(side) {
  rows(side, "[data-grade]").slice(1).forEach((row) => row.remove());
  cell(rows(side, "[data-grade]")[0], "share").value = "100 %";
  showBlend(side);
}

export function grades(side) {
  return rows(side, "[data-grade]").map((row) => ({ name: cell(row, "grade").value, share: cell(row, "share") }));
}

function showBlend(side) {
  const isBlend = rows(side, "[data-grade]").length > 1;
  for (const input of side.querySelectorAll('[data-key="share"], [data-resin], [data-resin-help]')) input.hidden = !isBlend;
  side.querySelector("[data-second]").hidden = isBlend;
}

export function removeRow(row) {
  const side = row.closest("[data-side]");
  row.remove();
  renumber(side);
}

function choose(select, name) {
  if (![...select.options].some((option) => option.value === name)) {
    select.append(make("option", { value: name }, `${name} (not on the shelf)`));
  }
  select.value = name;
}

// Put the leading change of an advice in; the maker pressed for it.
export function setAmount(half, supply, text) {
  const side = form.querySelector(`[data-side="${half}"]`);
  const row = rows(side).find((each) => cell(each, "supply").value === supply);
  if (!row) return null;
  cell(row, "per_100_g").value = text;
  fitSlider(row);
  return cell(row, "per_100_g");
}

export function fill(typed, asked) {
  for (const input of rows(form, "[data-field]")) input.value = typed[input.dataset.field] ?? input.value;
  for (const input of rows(form, "[data-ask]")) {
    // A mould or bench that is gone since leaves the one that is shown.
    const before = input.value;
    input.value = asked[input.dataset.ask] ?? before;
    if (input.value === "" && input.matches("select")) input.value = before;
  }
  for (const kept of typed.sides) {
    const side = form.querySelector(`[data-side="${kept.half}"]`);
    if (!side) continue;
    rows(side).forEach((row) => row.remove());
    for (const loading of kept.loadings) {
      const row = addRow(side);
      choose(cell(row, "supply"), loading.supply);
      cell(row, "per_100_g").value = loading.per_100_g;
    }
    if (kept.blend.length > 1) addGrade(side);
    rows(side, "[data-grade]").forEach((row, index) => {
      if (!kept.blend[index]) return;
      choose(cell(row, "grade"), kept.blend[index].grade);
      cell(row, "share").value = kept.blend[index].share;
    });
  }
}
