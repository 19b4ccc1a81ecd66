// Spill, burn, fumes: over the controls, beside a timer that goes on. The words came with the page,
// so that they are there when nothing else answers.

import { make } from "./page.js";
import { backKey, openPanel, words } from "./run-panel.js";
import { key } from "./run-screen.js";

const topics = [...document.querySelectorAll("template[data-help]")];

export function helpKey(log) {
  return (area = "") => key("HELP", { tone: "stop", area, small: "burn, spill, fumes",
    onTap: () => openHelp(log) });
}

export function openHelp(log, topic = null) {
  const shown = topics.find((each) => each.dataset.help === topic);
  if (topic) log(topic);
  const text = shown ? shown.content.cloneNode(true) : make("p", {},
    "What happened? Hurt badly, or it burns: leave, and call your emergency number first.");
  openPanel("help", "Help", words(text), ...topics.map((each) =>
    key(each.dataset.label, { tone: each === shown ? "main" : "plain",
      onTap: () => openHelp(log, each.dataset.help) })), backKey());
}
