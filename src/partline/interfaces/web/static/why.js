// "Why" behind every number: the formula in words, what it rests on, what would narrow it.

import { make, number, span } from "./page.js";

const dialog = document.getElementById("why");
const GUESSES = ["default", "practice"];
const isGuess = (each) => GUESSES.includes(each.origin);
const short = (value) => String(Number(value.toPrecision(4))).replace("-", "−");

const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

// Another station's thickness has no part in this one's number, a colour's strength none in grams.
function concerns(each, { of, station }, about) {
  if (of === "plan") return about.inputs.includes(each.name.split(": ").at(-1));
  const half = /: (.+), (?:back|belly) half$/.exec(each.name);
  return !half || !station || half[1] === station;
}

function origin(each) {
  const words = each.count ? `${each.origin}, n = ${each.count}` : each.origin;
  return make("td", { "data-label": "Origin" }, make("span", {},
    isGuess(each) ? make("strong", { className: "guess" }, make("span", { ariaHidden: "true" }, "? "), `guess (${words})`) : words,
    each.source ? make("small", {}, ` ${each.source}`) : null,
    isGuess(each) && each.narrows ? make("small", {}, ` Replace it by ${each.narrows}.`) : null));
}

function row(each) {
  return make("tr", {},
    make("th", { scope: "row" }, each.name),
    make("td", { className: "num", "data-label": "Value" }, `${short(each.value)} ${each.unit}`),
    make("td", { "data-label": "Range" }, each.low === each.high ? "" : `${short(each.low)}–${short(each.high)}`),
    origin(each));
}

export function explain(asked, why, inputs) {
  const about = why[asked.key];
  const text = (id, words) => { document.getElementById(id).textContent = words; };
  const range = asked.ends
    ? ` (${span(asked.ends, asked.digits)}, the range that holds it 4 times in 5)` : "";
  text("why-title", capital(asked.title));
  text("why-value", `${number(asked.value, asked.digits)}${asked.unit}${range}. Origin: computed.`);
  text("why-narrows", asked.narrows ?? "");
  document.getElementById("why-narrows-box").hidden = !asked.narrows;
  text("why-formula", capital(`${about.formula}.`.replace("..", ".")));
  text("why-source", `Source: ${about.source}.`);
  const shown = inputs.filter((each) => concerns(each, asked, about));
  const guesses = shown.filter(isGuess);
  text("why-guesses", guesses.length
    ? `${guesses.length} of these ${shown.length} inputs ${guesses.length === 1 ? "is a guess" : "are guesses"} until you measure; they stand first.`
    : "None of these inputs is a guess.");
  document.getElementById("why-inputs").replaceChildren(
    ...[...guesses, ...shown.filter((each) => !isGuess(each))].map(row));
  dialog.showModal();
  dialog.scrollTop = 0;
  document.getElementById("why-title").focus();
}

document.getElementById("why-close").addEventListener("click", () => dialog.close());
