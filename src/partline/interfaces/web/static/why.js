// "Why" behind every number: the formula in words, what it rests on, what would narrow it.

import { make, number, span } from "./page.js";

const dialog = document.getElementById("why");

function rows(inputs, names) {
  const wanted = inputs.filter((each) => names === null || names.some((name) => each.name.includes(name)));
  return wanted.map((each) =>
    make("tr", {},
      make("th", { scope: "row" }, each.name),
      make("td", { className: "num" }, `${Number(each.value.toPrecision(4))} ${each.unit}`),
      make("td", {}, each.low === each.high ? "" : `${Number(each.low.toPrecision(4))}–${Number(each.high.toPrecision(4))}`),
      make("td", {}, each.count ? `${each.origin}, n = ${each.count}` : each.origin, each.source ? make("small", {}, ` ${each.source}`) : null)));
}

export function explain(asked, why, inputs) {
  const about = why[asked.key];
  document.getElementById("why-title").textContent = asked.title ? `${about.title}: ${asked.title}` : about.title;
  document.getElementById("why-value").textContent =
    `${number(asked.value, asked.digits)} (${span(asked.ends, asked.digits)}), the range that holds it 4 times in 5. Origin: computed.`;
  document.getElementById("why-formula").textContent = `How: ${about.formula} Source: ${about.source}.`;
  document.getElementById("why-narrows").textContent = asked.narrows
    ? `What would narrow it most: ${asked.narrows}.` : "";
  document.getElementById("why-inputs").replaceChildren(...rows(inputs, asked.names ?? null));
  dialog.showModal();
  dialog.scrollTop = 0;
  document.getElementById("why-title").focus();
}

document.getElementById("why-close").addEventListener("click", () => dialog.close());
