// Where the bait is looked at, and the fine picture that is made meanwhile.

import { fields, settings } from "./form.js";
import { make, number } from "./page.js";
import { post, Refusal } from "./wire.js";

const views = document.getElementById("views");
const inputs = [...document.querySelectorAll("[data-scene]")];
const line = document.getElementById("finer");
const words = document.getElementById("finer-words");
const bar = document.getElementById("finer-bar");
const button = document.getElementById("finer-button");
const POLL = 2000;

const valueOf = (input) => (input.type === "checkbox" ? input.checked : input.value);

export function scene() {
  const shown = inputs.filter((input) => input.type !== "radio" || input.checked);
  return Object.fromEntries(shown.map((input) => [input.dataset.scene, valueOf(input)]));
}

// Only what the chosen surroundings need is asked.
export function fitScene() {
  const { around, card } = scene();
  for (const box of document.querySelectorAll("[data-only]")) {
    box.hidden = !box.dataset.only.split(" ").includes(around);
  }
  views.dataset.card = around === "air" ? card : "water";
}

// --- the fine picture ------------------------------------------------------------------------

const SAID = {
  slab: "Rough picture, from slabs.",
  sections: "Picture from ready sections.",
  preview: "Picture traced through this bait’s shape, first pass.",
};
let following = 0;
let known = "";
let mouldNow = "";
let again = () => {};

function tell(table) {
  line.hidden = table.quality === "final";
  if (line.hidden) return;
  const doing = table.is_busy ? `A finer one is being made: ${table.percent} %.` : "A finer one can be made.";
  const lost = table.is_kept ? "" : " It cannot be kept: the cache folder cannot be written.";
  words.textContent = `${SAID[table.quality]} ${doing}${lost}`;
  bar.value = table.percent;
  bar.hidden = !table.is_busy;
  button.textContent = table.is_busy ? "Stop" : "Make it finer";
  button.stop = table.is_busy;
}

// Told with every look; asked for by itself while work goes on and nothing is typed.
export function followTable(table, mould, lookAgain) {
  again = lookAgain;
  mouldNow = mould;
  clearTimeout(following);
  tell(table);
  known = table.quality;
  if (table.is_busy) following = setTimeout(poll, POLL);
}

async function poll() {
  const { around } = scene();
  let table;
  try {
    const answer = await fetch(`/moulds/${mouldNow}/table?around=${around}`, { headers: { Accept: "application/json" } });
    if (!answer.ok) return;
    table = await answer.json();
  } catch {
    return;
  }
  tell(table);
  if (table.quality !== known) again();
  else if (table.is_busy) following = setTimeout(poll, POLL);
}

button.addEventListener("click", async () => {
  try {
    const table = await post(`/moulds/${mouldNow}/table`, { around: scene().around, stop: button.stop === true });
    followTable(table, mouldNow, again);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    words.textContent = error.message;
  }
});

// --- one more drop ---------------------------------------------------------------------------

const choice = document.getElementById("drop-of");
const strip = document.getElementById("drop-strip");

// The supplies that the recipe holds now, back first; the choice stays where it can.
export function fitDrops() {
  const held = fields().sides.flatMap((side) => side.loadings.filter((each) => each.supply)
    .map((each) => ({ half: side.half, supply: each.supply })));
  const before = choice.value;
  choice.replaceChildren(...held.map(({ half, supply }) => make("option", { value: `${half}|${supply}` },
    half === "whole" ? supply : `${supply}, in the ${half}`)));
  if ([...choice.options].some((each) => each.value === before)) choice.value = before;
  dropOldSteps();
}

let shownSteps = [];
let shownFor = "";

const questionOfDrops = () => ({ fields: { ...fields(), name: fields().name || "unnamed" }, ...settings(), scene: scene() });

function emptyStrip(...children) {
  shownSteps.forEach((address) => URL.revokeObjectURL(address));
  shownSteps = [];
  strip.replaceChildren(...children);
}

// What the strip calls “as it is now” is true of one recipe in one scene only.
function dropOldSteps() {
  if (!shownSteps.length || JSON.stringify(questionOfDrops()) === shownFor) return;
  emptyStrip(make("li", { className: "small" }, "The recipe or the scene has changed since: show it again."));
}

function addressOf(picture) {
  const bytes = Uint8Array.from(atob(picture), (letter) => letter.charCodeAt(0));
  const address = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
  shownSteps.push(address);
  return address;
}

function stepOf({ amount, is_now: isNow, difference, picture }) {
  const words = isNow ? `${amount}: as it is now` : `${amount}: ΔE00 ${number(difference, 1)} from now`;
  return make("li", isNow ? { className: "now" } : {},
    make("img", { src: addressOf(picture), alt: `From the side with ${amount}`, width: 650, height: 64 }),
    make("p", { className: "small" }, words));
}

document.getElementById("drop-show").addEventListener("click", async () => {
  const [half, supply] = choice.value.split("|");
  try {
    const question = questionOfDrops();
    const answer = await post("/look/drops", { ...question, half, supply });
    emptyStrip();
    shownFor = JSON.stringify(question);
    strip.replaceChildren(...answer.strip.map(stepOf));
    dropOldSteps();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    strip.replaceChildren(make("li", { className: "problem" }, error.message));
  }
});
