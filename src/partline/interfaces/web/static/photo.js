// Photos of a mould: its BOTTOM mark beside the outline, and slices to be traced.

import { form } from "./form.js";
import { make } from "./page.js";
import { openPhoto } from "./photo-trace.js";
import { Refusal, upload } from "./wire.js";

const MOST = 20e6;
const mark = document.querySelector("[data-mark]");
const slices = document.querySelector("[data-slices]");

function problem(kind, text) {
  const box = document.getElementById(`${kind}-problem`);
  box.textContent = text;
  box.hidden = !text;
}

function tooLarge(size) {
  return `This photo is ${(size / 1e6).toPrecision(3).replace(/\.0+$/, "")} MB; at most 20 MB is taken: photos are kept in `
    + "the workshop's one file, which must stay small enough to copy. Nothing was kept of it, and nothing else on the page "
    + "was lost. Take it again at a lower resolution, or crop it to the slice or the mark.";
}

function showMark({ code }) {
  const alt = "The BOTTOM mark as just taken";
  const image = make("img", { src: `/photos/${code}`, alt });
  mark.querySelector("[data-mark-photo]").replaceChildren(make("a", { href: `/photos/${code}` }, image));
  mark.hidden = false;
}

function showSlice({ code, name }) {
  let button = slices.querySelector(`[data-slice="${code}"]`);
  if (!button) {
    button = make("button", { type: "button", className: "quiet small-button", "data-slice": code },
      `Trace ${name || code}, just taken`);
    slices.prepend(make("li", {}, button));
  }
  openPhoto(code);
}

async function take(input) {
  const [file] = input.files;
  if (!file) return;
  const kind = input.dataset.photo;
  problem(kind, "");
  input.setAttribute("aria-busy", "true");
  try {
    // Known before a byte of it travels; the program counts again.
    if (file.size > MOST) throw new Refusal({ message: tooLarge(file.size) });
    const asked = new URLSearchParams({ kind, name: file.name });
    const kept = await upload(`${form.dataset.photos}?${asked}`, file);
    if (kind === "slice") showSlice(kept);
    else showMark(kept);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    problem(kind, error.details.message);
  } finally {
    input.removeAttribute("aria-busy");
    input.value = ""; // the same photo may be chosen again
  }
}

for (const input of document.querySelectorAll("[data-photo]")) {
  input.addEventListener("change", () => take(input));
  input.addEventListener("input", (event) => event.stopPropagation()); // no field of the form
}
slices.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-slice]");
  if (button) openPhoto(button.dataset.slice);
});
