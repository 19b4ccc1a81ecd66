// Two plastisols in one side: their shares by mass, or worked out from the resin wanted.

import { addGrade, grades, oneGrade } from "./form.js";
import { post } from "./wire.js";

// Returns whether anything about the recipe changed.
export async function blended(button, side) {
  if (button.matches("[data-second]")) {
    addGrade(side);
    side.querySelector("[data-resin] input").focus();
    return true;
  }
  if (button.matches("[data-alone]")) {
    oneGrade(side);
    side.querySelector("[data-second]").focus();
    return true;
  }
  const [first, second] = grades(side);
  const resin = side.querySelector("[data-resin] input").value;
  const { shares } = await post("/blend", { first: first.name, second: second.name, resin });
  first.share.value = shares[0];
  second.share.value = shares[1];
  return true;
}
