// A plan's numbers open where they come from.

import { explain } from "./why.js";

const told = JSON.parse(document.getElementById("told").dataset.told);

document.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-why]");
  if (!button) return;
  const asked = JSON.parse(button.dataset.why);
  explain({ ...asked, of: "plan", narrows: told.narrows[asked.key] }, told.why, told.origins);
});
