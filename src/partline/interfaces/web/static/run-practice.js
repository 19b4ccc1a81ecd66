// The pretended bench of a practice run: what is looked at there, over the controls and never over
// the timer. A display is looked at first, then entered through the same keys as any other.

import { make } from "./page.js";
import { gone } from "./run-clock.js";
import { backKey, closePanel, openKind, openPanel, words } from "./run-panel.js";
import { key, SIGNS } from "./run-screen.js";
import { ask } from "./run-wire.js";

const banner = document.getElementById("shown");

// What was seen last stays in the banner, since the keys to enter it cover the panel.
function keepInSight(text) {
  if (banner) banner.textContent = text;
}

export async function openLook({ address, help, read, weigh }) {
  openPanel("practice", "The pretended bench", words("You look at the bench."), backKey(), help());
  const { status, content } = await ask(`${address}/practice/sees`);
  if (openKind() !== "practice") return;
  const said = status === 200 ? sentences(content) : ["No answer from the program. Look again."];
  const cups = status === 200 ? Object.keys(content.displays) : [];
  openPanel("practice", "The pretended bench", words(...said.map((each) => make("p", {}, each))),
    ...cups.map((cup) => displayKey(address, cup, read)), ...scaleKey(content?.scale, weigh),
    backKey(), help());
}

function sentences({ cups, mould, syringes, bait, opened }) {
  const cupLines = Object.entries(cups).filter(([, look]) => look)
    .map(([cup, look]) => `${SIGNS[cup]} ${cup}: ${look}.`);
  return [cupLines.join("  "), bait, opened, syringes || mould].filter(Boolean);
}

// The first tap looks, the second enters what was seen.
function displayKey(address, cup, read) {
  let isSeen = false;
  return key(`Display ${cup}`, { sign: SIGNS[cup], small: "look at it", onTap: async (button) => {
    if (isSeen) {
      closePanel();
      read(cup);
      return;
    }
    const { status, content } = await ask(`${address}/practice/display/${cup}`);
    const [name, small] = [button.querySelector("span"), button.querySelector("small")];
    if (status !== 200 || !content.shows) {
      small.textContent = content?.why || "no answer, look again";
      return;
    }
    isSeen = true;
    name.textContent = `${content.shows} °${content.unit}`;
    small.textContent = "tap to enter it";
    keepInSight(`${SIGNS[cup]} ${cup} shows ${content.shows} °${content.unit}, set to ${content.setting.toFixed(2)}`);
  } });
}

function scaleKey(scale, weigh) {
  if (!scale) return [];
  return [key(`${scale.shows} ${scale.unit}`, { sign: SIGNS[scale.cup],
    small: `scale, cup ${scale.cup}: enter it`, onTap: () => {
      keepInSight(`${SIGNS[scale.cup]} ${scale.cup}: the scale shows ${scale.shows} ${scale.unit}`);
      closePanel();
      weigh(scale.cup);
    } })];
}

// Somebody is at the door: nothing can be pressed meanwhile but HELP, and the timers go on.
export function watchDoor({ state, now, help }) {
  const back = Date.parse(state.practice?.away_until ?? "");
  const isAway = Number.isFinite(back) && now < back;
  if (!isAway) {
    if (openKind() === "door") closePanel();
    return;
  }
  if (openKind() === "help") return;
  if (openKind() !== "door") {
    openPanel("door", "The doorbell", words(make("p", { id: "door" })), help());
  }
  const text = `The doorbell. You are at the door for another ${gone(back - now + 999)}.`;
  const place = document.getElementById("door");
  if (place.textContent !== text) place.textContent = text;
}
