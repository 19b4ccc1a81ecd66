// A question or refusal beside the field it is about, its readings as buttons to choose from.
// What belongs to no field stands above the form.

import { form } from "./form.js";
import { make, say } from "./page.js";

const above = document.getElementById("problem");
let asked = "";

// "back.blend.soft" finds "back.blend" when there is no field of its own, and
// "stations[1].points[3].up" finds "stations[1].points".
function fieldOf(path) {
  for (let part = path; part; part = part.slice(0, Math.max(part.lastIndexOf("."), part.lastIndexOf("["), 0))) {
    const input = form.querySelector(`[data-path="${CSS.escape(part)}"]`);
    if (input && !input.hidden) return input;
  }
  return null;
}

function withoutRemedy({ message, remedy }) {
  return remedy && message.endsWith(remedy) ? message.slice(0, -remedy.length).trim() : message;
}

// A reading may be one of another field: a round body's width, or its shape.
function reading(asked, { write, means, field }) {
  const input = (field && fieldOf(field)) || asked;
  const button = make("button", { type: "button", className: "quiet reading" },
    make("strong", {}, write), " ", means);
  button.addEventListener("click", () => {
    input.value = write;
    input.focus();
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });
  return button;
}

function place(input, details) {
  const readings = details.readings ?? [];
  const id = `${input.id}-question`;
  input.setAttribute("aria-invalid", "true");
  input.dataset.describedBefore = input.getAttribute("aria-describedby") ?? "";
  input.setAttribute("aria-describedby", `${id} ${input.dataset.describedBefore}`.trim());
  const box = make("div", { className: "question", "data-question": "" },
    make("p", { id }, readings.length ? withoutRemedy(details) : details.message),
    readings.length
      ? make("div", { className: "readings", role: "group", ariaLabel: "What was meant?" },
        ...readings.map((each) => reading(input, each)))
      : null);
  (input.closest("[data-row]") ?? input.closest("[data-grade], .field")).append(box);
}

export function clearQuestions() {
  if (!asked) return;
  asked = "";
  above.hidden = true;
  form.querySelectorAll("[data-question]").forEach((box) => box.remove());
  for (const input of form.querySelectorAll("[aria-invalid]")) {
    input.removeAttribute("aria-invalid");
    const before = input.dataset.describedBefore;
    if (before) input.setAttribute("aria-describedby", before);
    else input.removeAttribute("aria-describedby");
  }
}

// Returns the first field in question, if any.
export function ask(details) {
  const problems = details.problems ?? [details];
  const now = JSON.stringify(problems);
  if (now === asked) return form.querySelector("[aria-invalid]");
  clearQuestions();
  asked = now;
  const homeless = [];
  for (const each of problems) {
    const input = each.field ? fieldOf(each.field) : null;
    if (input && !input.hasAttribute("aria-invalid")) place(input, each);
    else homeless.push(each.message);
  }
  if (homeless.length) {
    above.replaceChildren(make("p", { className: "prewrap" }, homeless.join("\n")));
    above.hidden = false;
  } else {
    say(problems.map((each) => each.message).join(" "));
  }
  return form.querySelector("[aria-invalid]");
}
