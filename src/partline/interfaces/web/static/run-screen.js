// Drawing the one large thing, the cups, the controls of the step and the bar. Nothing is made
// anew that has not changed: a glove on its way must find what it saw.

import { make } from "./page.js";
import { gone, left } from "./run-clock.js";
import { cupAt, isBeyondCurve, shown } from "./run-cups.js";

const SIDES = { A: "back", B: "belly" };
export const SIGNS = { A: "●", B: "▲" };
const part = (id) => document.getElementById(id);
const before = new Map();

// Whether what is to be drawn in a place differs from what stands there.
export function isNew(place, content) {
  const text = JSON.stringify(content);
  if (before.get(place) === text) return false;
  before.set(place, text);
  return true;
}

function put(id, text) {
  if (isNew(id, text)) part(id).textContent = text;
}

// A number stays on one line with its unit.
const together = (label) => label.replaceAll(/(\d) (?=(g|s|°[CF]|drops)\b|°)/g, "$1\u00a0");

export function key(label, { tone = "plain", small = "", sign = "", area = "", onTap, ...more }) {
  const button = make("button", { type: "button", className: `${tone} ${area}`.trim(), ...more },
    sign ? make("i", { ariaHidden: "true" }, sign) : null,
    make("span", {}, tone === "stop" ? `■ ${label}` : together(label)), small ? make("small", {}, small) : null);
  if (area) button.style.gridArea = area;
  button.addEventListener("click", () => onTap(button));
  return button;
}

// The last cell takes the room that its row leaves, so that nothing looks like a missing key.
export function fill(place) {
  const last = place.lastElementChild;
  if (last === null || last.style.gridArea) return;
  last.style.gridColumn = "";
  const columns = getComputedStyle(place).gridTemplateColumns.split(" ").length;
  const cells = [...place.children].filter((each) => !each.matches(".text")).length;
  const over = cells % columns;
  if (over > 0) last.style.gridColumn = `span ${columns - over + 1}`;
}

export function drawStage(state, now, speak) {
  const { screen } = state;
  drawBand(screen.cup);
  put("title", screen.title);
  drawDigits(state, now);
  if (isNew("says", screen.says)) {
    part("says").replaceChildren(...screen.says.slice(0, 3).map((each) => make("li", {}, each)));
  }
  put("where", where(state));
  drawCups(state, now);
  put("also", also(state, now));
  const warnings = state.alerts.filter((each) => each.tone !== "stop" || each.isRead);
  put("warnings", warnings.map((each) => `◆ ${each.text}`).join("  "));
  if (isNew("spoken", screen.key)) speak(sentenceOf(screen));
}

function drawBand(cup) {
  if (!isNew("band", cup)) return;
  const band = part("band");
  band.dataset.cup = cup ?? "";
  band.querySelector("b").textContent = cup ?? "";
  band.querySelector("span").textContent = cup === null ? "" : SIDES[cup];
}

function where({ melt, shots, state, is_stopped: isStopped }) {
  const parts = [
    isStopped ? "Paused" : state.charAt(0).toUpperCase() + state.slice(1),
    melt ? `melt ${melt.number} of ${melt.of}${melt.heat > 1 ? `, heat ${melt.heat}` : ""}` : "",
    shots ? `shots ${shots.done} of ${shots.of}` : "",
  ];
  return parts.filter(Boolean).join(" · ");
}

function drawDigits(state, now) {
  const { big, picture } = state.screen;
  const photo = (picture === "mark" && document.body.dataset.mark) || null;
  if (isNew("mark", photo)) {
    part("digits").querySelector("img")?.remove();
    if (photo) part("digits").append(make("img", { src: photo, alt: `BOTTOM mark: ${state.mark}` }));
  }
  part("number").hidden = photo !== null;
  const text = numberText(big, now);
  if (isNew("number", text)) {
    part("number").textContent = text;
    fit(text);
  }
  put("range", rangeText(big, now));
}

function numberText(big, now) {
  if (big.kind === "text") return big.text;
  if (big.kind === "since") return gone(now - Date.parse(big.at));
  const still = Date.parse(big.at) - now;
  return still > 0 ? left(still) : big.then || "NOW";
}

// A posterior's range, said as times from now.
function rangeText(big, now) {
  if (big.kind !== "until") return "";
  const past = now - Date.parse(big.at);
  if (past > 0) return past < 1000 ? "" : `${gone(past)} ago`;
  if (!big.low || !big.high || big.low === big.high) return "";
  const low = Date.parse(big.low) - now;
  const then = big.then ? `${big.then} ` : "";
  return low > 0 ? `${then}in ${left(low)} to ${left(Date.parse(big.high) - now)}`
    : `${then}from now to ${left(Date.parse(big.high) - now)}`;
}

// As large as the width allows: measured once for every shape of text, never while digits run.
function fit(text) {
  const shape = text.replaceAll(/\d/g, "0");
  if (!isNew("shape", shape)) return;
  const probe = make("span", { className: "unseen" }, shape);
  probe.style.fontSize = "100px";
  probe.style.width = "auto";
  probe.style.fontWeight = "700";
  document.body.append(probe);
  part("number").style.setProperty("--ems", Math.max(1.9, probe.getBoundingClientRect().width / 100 + 0.08));
  probe.remove();
}

function drawCups(state, now) {
  const lines = Object.entries(state.cups ?? {}).map(([name, cup]) => cupLine(name, cup, state.unit, now));
  if (!isNew("cups", lines)) return;
  part("cups").replaceChildren(...lines.filter(Boolean).map((each) => make("span", {}, each)));
}

function cupLine(name, cup, unit, now) {
  const about = cupAt(cup, now);
  if (about === null) return null;
  const [mid, low, high] = about.map((each) => shown(each, unit));
  const range = low === high ? "" : ` (${low}–${high})`;
  const old = isBeyondCurve(cup, now) ? ", read it" : "";
  return `${SIGNS[name]} ${name} ${range ? "" : "about "}${mid}${range} °${unit}${old} `;
}

function also(state, now) {
  const main = state.screen.big.at;
  const others = state.timers.filter((each) => each.at !== main && Date.parse(each.at) > now)
    .sort((one, other) => Date.parse(one.at) - Date.parse(other.at)).slice(0, 2);
  return others.map((each) => `${each.label} ${left(Date.parse(each.at) - now)}`).join(" · ");
}

function sentenceOf(screen) {
  const cup = screen.cup ? `Cup ${screen.cup}, ${screen.cup === "A" ? "round" : "triangle"}. ` : "";
  const text = screen.big.kind === "text" ? `${screen.big.text}. ` : "";
  return `${cup}${screen.title}. ${text}${screen.says.join(" ")}`;
}

export function announce(sentence) {
  part("spoken").textContent = sentence;
}
