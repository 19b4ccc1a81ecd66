// A photo of a run's bait: sent as it is, measured by the program; a refused one is kept on demand.

import { Refusal, upload } from "./wire.js";

const MOST = 20e6;
const form = document.getElementById("bait-photo");
const status = document.getElementById("bait-status");
const problem = document.getElementById("bait-problem");
const keep = document.getElementById("bait-keep");
let refused = null;

function say(text, canKeep = false) {
  problem.querySelector("p").textContent = text;
  problem.hidden = !text;
  keep.hidden = !canKeep;
}

const value = (name) => form.elements[name].value.trim();

async function send(file, keeps) {
  const asked = new URLSearchParams({
    subject: value("subject"), day: value("day"), shot: value("shot"), baits: value("baits"), name: file.name,
  });
  if (keeps) asked.set("keep", "yes");
  status.textContent = keeps ? "Keeping it …" : "Measuring it …";
  form.setAttribute("aria-busy", "true");
  try {
    if (file.size > MOST) {
      throw new Refusal({ message: `This photo is ${(file.size / 1e6).toFixed(0)} MB; at most 20 MB is taken. Nothing was kept of it. `
        + "Take it again at a lower resolution, or crop it to the card." });
    }
    const kept = await upload(`${form.dataset.send}?${asked}`, file);
    window.location.assign(`${form.dataset.page}#photo-${kept.photo}`);
    window.location.reload();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    refused = file;
    const { message, reason } = error.details;
    const canKeep = Boolean(reason) && reason !== "no photo";
    say(canKeep ? `${message} Nothing was kept of it yet.` : message, canKeep);
  } finally {
    status.textContent = "";
    form.removeAttribute("aria-busy");
  }
}

function take(input) {
  const [file] = input.files;
  if (!file) return;
  say("");
  if (!value("subject")) say("Say first what is measured in it, then choose the photo.");
  else send(file, form.dataset.measures === "no");
  input.value = ""; // the same photo may be chosen again
}

for (const input of form.querySelectorAll("[data-photo]")) input.addEventListener("change", () => take(input));
keep.addEventListener("click", () => refused && send(refused, true));
form.addEventListener("submit", (event) => event.preventDefault());
form.inert = false;
