// Where the bait is looked at, and the fine picture that is made meanwhile.

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
