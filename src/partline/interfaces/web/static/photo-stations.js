// What a station's row says of its sizes: where they come from and how far they may be off.
// Typing a size makes it entered; a slice traced in a photo makes it measured.

import { form } from "./form.js";
import { make } from "./page.js";

const SIZES = ["shape", "points", "width", "back_half", "belly_half"];
const GUESSES = ["default", "practice"];
const list = form.querySelector('[data-rows="stations"]');
const cell = (row, key) => row.querySelector(`[data-key="${key}"]`);
const initial = (input) => (input.matches("select")
  ? ([...input.options].find((each) => each.defaultSelected) ?? input.options[0]).value
  : input.dataset.before ?? input.defaultValue); // a hidden one forgets what it was
const isAsLoaded = (row) => SIZES.every((key) => cell(row, key).value === initial(cell(row, key)));
let isFilling = false;

function told(row) {
  const origin = cell(row, "origin").value;
  const before = initial(cell(row, "origin"));
  if (cell(row, "traced").value) return ["measured in a photo"];
  if (GUESSES.includes(origin)) {
    const guess = make("strong", { className: "guess" },
      make("span", { ariaHidden: "true" }, "? "), `a guess (${origin})`);
    return [guess, " until a size is typed: then it is entered"];
  }
  if (origin) return [`${origin}; typing a size makes it entered`];
  return GUESSES.includes(before) ? ["was a guess; entered now"] : before ? ["entered now"] : [];
}

function tell(row) {
  row.querySelector("[data-origin]").replaceChildren(...told(row));
}

function typedSize(row) {
  const [origin, doubt, traced] = ["origin", "doubt", "traced"].map((key) => cell(row, key));
  const isOwnDoubt = row.dataset.ownDoubt === "yes";
  traced.value = "";
  origin.value = isAsLoaded(row) ? initial(origin) : "";
  if (!isOwnDoubt) doubt.value = isAsLoaded(row) ? initial(doubt) : "";
  tell(row);
}

// Before the form itself hears of it, so that what it keeps and draws is whole.
form.addEventListener("input", ({ target }) => {
  const row = target.closest('[data-rows="stations"] [data-row]');
  if (!row || isFilling) return;
  if (SIZES.includes(target.dataset.key)) typedSize(row);
  if (target.dataset.key === "doubt") row.dataset.ownDoubt = "yes";
}, true);

export const names = () => [...list.querySelectorAll('[data-key="name"]')].map((each) => each.value).filter(Boolean);

const key = (name) => name.trim().toLowerCase();
const rows = () => [...list.querySelectorAll("[data-row]")];
const isBlank = (row) => ["name", "position", "width", "points"].every((each) => !cell(row, each).value.trim());

export function rowNamed(name) {
  return rows().find((row) => key(cell(row, "name").value) === key(name)) ?? null;
}

// A new row where it belongs between nose and tail.
function newRow(position) {
  const blank = rows().find(isBlank);
  if (blank) return blank;
  const behind = rows().find((row) => Number(cell(row, "position").value) > Number(position));
  const before = new Set(rows());
  const button = behind ? behind.querySelector("[data-insert]") : list.parentElement.querySelector("[data-add]");
  button.click();
  return rows().find((row) => !before.has(row));
}

// Put sizes into the station of this name, or into a new one. Returns its row.
export function putStation(name, position, fields, photo) {
  const row = rowNamed(name) ?? newRow(position);
  isFilling = true;
  cell(row, "name").value ||= name.trim();
  if (position.trim()) cell(row, "position").value = position.trim();
  for (const [each, text] of Object.entries(fields)) cell(row, each).value = text;
  cell(row, "traced").value = photo;
  row.dataset.ownDoubt = "";
  tell(row);
  cell(row, "width").dispatchEvent(new Event("input", { bubbles: true }));
  isFilling = false;
  return row;
}

rows().forEach(tell); // what came back after a reload may differ from what was loaded
