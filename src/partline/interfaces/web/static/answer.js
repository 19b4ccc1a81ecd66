// What the program answered: pictures, verdicts, stations and cups. Nothing is computed here.

import { form } from "./form.js";
import { drawing, make, number, ranged, say, verdict } from "./page.js";

const views = document.getElementById("views");
const stale = document.getElementById("stale");
let addresses = [];

function showPictures(pictures) {
  const fresh = [];
  for (const image of views.querySelectorAll("img")) {
    const picture = pictures[image.dataset.view];
    image.hidden = !picture;
    if (!picture) continue;
    const bytes = Uint8Array.from(atob(picture), (letter) => letter.charCodeAt(0));
    const address = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
    fresh.push(address);
    image.src = address;
  }
  addresses.forEach((address) => URL.revokeObjectURL(address));
  addresses = fresh;
  views.setAttribute("aria-busy", "false");
}

const told = (figure, digits) =>
  `${number(figure.value, digits)} (${number(figure.low, digits)}–${number(figure.high, digits)})`;

function showScene(seen, look) {
  const words = [];
  if (seen.side !== null) {
    const where = seen.in === "air" ? `over the ${seen.card} card by ${seen.light}` : "in this water";
    words.push(`In these pictures, at the ${look.distinctness.side.station} station ${where}: back against belly`
      + ` ΔE00 ${told(seen.back_belly, 0)}, halves from the side ${told(seen.side, 0)}. The verdicts above are in air over grey by daylight.`);
    if (seen.line_mm !== null) words.push(`By light alone the line is ${told(seen.line_mm, 1)} mm wide there.`);
  }
  if (seen.stands_out) {
    const contrast = seen.stands_out;
    const percent = (share) => `${Math.round(share * 100)} %`;
    const way = contrast.value < 0 ? "darker" : "brighter";
    words.push(`From the side the bait is ${percent(Math.abs(contrast.value))} ${way} than the open water`
      + ` (${percent(contrast.low)} to ${percent(contrast.high)}).`);
  }
  for (const each of look.flakes) {
    words.push(`${each.supply}: about ${number(each.per_cm2.value, 0)} flakes on each cm² of the ${each.half === "whole" ? "bait" : each.half}`
      + ` (${number(each.per_cm2.low, 0)}–${number(each.per_cm2.high, 0)}). ${each.notes.join(" ")}`);
  }
  document.getElementById("scene-words").textContent = [...words, ...seen.notes].join(" ");
}

// Pictures and numbers stay as they were while something is in question, and say so.
export function setStale(is) {
  stale.hidden = !is;
  form.classList.toggle("is-stale", is);
}

// --- verdicts at the widest station --------------------------------------------------------

function verdicts(look) {
  const found = [];
  const { back_belly: views_, side } = look.distinctness;
  if (views_) found.push(["Back against belly", views_, 0, "back_belly", views_.station, views_.verdict]);
  if (side) found.push(["Halves from the side", side, 0, "side", side.station, side.verdict]);
  for (const [half, seen] of Object.entries(look.halves)) {
    const what = half === "whole" ? "The bait hides" : `The ${half} half hides`;
    found.push([what, seen.hiding, 2, "hiding", seen.station, seen.verdict]);
  }
  return found;
}

function showHeadline(look) {
  const all = verdicts(look);
  document.getElementById("headline").replaceChildren(...all.map(
    ([what, figure, digits, key, station, word]) => make("div", { className: "verdict" },
      make("p", { className: "what" }, what), verdict(word),
      ranged(figure.value, [figure.low, figure.high], digits,
        { key, station, narrows: figure.narrows, title: `${what}, ${station} station` }))));
  const unit = look.distinctness.side ? "; differences are colour differences ΔE00" : "";
  document.getElementById("headline-note").textContent =
    `At the ${all[0][4]} station, the widest. Hiding is 0 to 1${unit}. All computed: press a number to see from what.`;
  say(all.map(([what, figure, digits, , , word]) =>
    `${what} ${number(figure.value, digits)}, ${word}.`).join(" "));
}

function advice(each) {
  const item = make("li", {}, make("span", {}, each.text));
  if (each.action === "raise one colourant" && each.supply && each.to !== null) {
    const unit = each.unit.split(" ")[0];
    const amount = `${Number(each.to.toFixed(2))} ${unit}`;
    const button = make("button", { type: "button", className: "quiet small-button" }, `Try ${amount} of ${each.supply}`);
    button.change = { half: each.half, supply: each.supply, amount };
    item.append(button);
  }
  return item;
}

// --- stations ------------------------------------------------------------------------------

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
    if (here.per_100_g === null) {
      lines.push(make("span", { className: "need" }, `${need.supply}: out of reach`));
      continue;
    }
    const why = { key: "needed", station, title: `${need.supply} needed at the ${station} station` };
    const inCup = here.in_cup === null ? ""
      : `, ${number(here.in_cup, here.in_cup_decimals)} in the cup`;
    lines.push(make("span", { className: "need" }, `${need.supply} `,
      ranged(here.per_100_g, here.per_100_g_range, here.per_100_g_decimals, why, ` ${need.unit}`), inCup));
  }
  return lines;
}

// On a phone each row is a card: the roles keep it a table for those who listen to it.
function cellOf(label, className, ...content) {
  return make("td", { role: "cell", className, "data-label": label }, ...content);
}

function showStations(look, sections) {
  const columns = COLUMNS.filter(([key]) => `${key}_range` in look.stations[0]);
  const heads = ["station", "cut", "half, mm", ...columns.map(([, words]) => words), "would hide with, per 100 g"];
  document.getElementById("station-head").replaceChildren(make("tr", { role: "row" },
    ...heads.map((words) => make("th", { scope: "col", role: "columnheader" }, words))));
  document.getElementById("station-rows").replaceChildren(...look.stations.map((station, index) => {
    const belly = station.belly_half_thickness_mm;
    const halves = belly === undefined || belly === station.half_thickness_mm
      ? number(station.half_thickness_mm, 1)
      : `${number(station.half_thickness_mm, 1)} / ${number(belly, 1)}`;
    return make("tr", { role: "row" }, make("th", { scope: "row", role: "rowheader" }, station.name),
      cellOf("cut", "cut", drawing(sections[index].svg)), cellOf("half, mm", "", halves),
      ...columns.map(([key, words, digits, why, word]) => cellOf(words, "",
        ranged(station[key], station[`${key}_range`], digits, { key: why, station: station.name,
          narrows: station[`${key}_narrows`], title: `${words}, ${station.name} station` }),
        word ? verdict(station[word]) : null)),
      cellOf("would hide with, per 100 g", "needs", ...needed(look, station.name)));
  }));
}

// --- cups ----------------------------------------------------------------------------------

function cupCard(plan, cup) {
  const melt = plan.melt_plan[0];
  const key = `cup_${cup.toLowerCase()}_g`;
  if (melt[key] === null) return null;
  const list = melt.ingredients.filter((each) => each.cup === cup).map((each) => {
    const drops = each.drops === null ? "" : `${each.drops} ${each.drops === 1 ? "drop" : "drops"}, `;
    return make("li", {}, `${each.supply}: ${drops}${each.grams.toFixed(each.kind === "grade" ? 1 : 2)} g`,
      each.caution ? make("strong", { className: "caution" }, ` ${each.caution}`) : null);
  });
  return make("div", { className: `cup-card cup-${cup.toLowerCase()}` },
    make("h3", {}, make("span", { className: "badge", ariaHidden: "true" }), `Cup ${cup}, melt ${melt.melt} of ${plan.melts}`),
    make("p", { className: "big" }, ranged(melt[key], melt[`${key}_range`], 1,
      { key: "cup", of: "plan", narrows: plan.cup_narrows, title: `Grams in cup ${cup}, melt ${melt.melt}` }, " g")), make("ul", {}, ...list));
}

function showCups({ plan, plan_refusal: refusal, plan_problem: problem }) {
  const box = document.getElementById("cups");
  if (!plan) {
    // A count that cannot be read is asked about beside its own field.
    box.replaceChildren(...(problem?.field === "count" ? [] : [make("p", { className: "problem" }, refusal)]));
    return;
  }
  const shots = plan.melts === 1 ? "" : ` (${plan.melt_plan.map((melt) => melt.shots).join(" and ")} shots)`;
  box.replaceChildren(...["A", "B"].map((cup) => cupCard(plan, cup)).filter(Boolean),
    make("p", {}, `${plan.to_mould} to mould, ${plan.shots} shots, ${plan.melts} ${plan.melts === 1 ? "melt" : "melts"}${shots}.`));
}

export function show(answer) {
  const { look } = answer;
  showScene(answer.scene, look);
  showPictures(answer.pictures);
  showScene(answer.scene, look);
  setStale(false);
  showHeadline(look);
  const [first, ...others] = look.advice.map(advice);
  document.getElementById("advice-first").replaceChildren(...(first ? [first] : []));
  document.getElementById("advice").replaceChildren(...others);
  document.getElementById("provisional").hidden = !look.picture.provisional;
  showStations(look, answer.sections);
  showCups(answer);
  const notes = [...look.notes];
  if (look.picture.provisional) {
    notes.push(`The picture is provisional: its colours are ΔE00 ${number(look.picture.error_median, 1)} off in ` +
      `the middle case and ${number(look.picture.error_95, 0)} or more in 1 of 20. The ranges of colour differences hold that.`);
  }
  document.getElementById("notes").replaceChildren(...notes.map((note) => make("li", {}, note)));
}
