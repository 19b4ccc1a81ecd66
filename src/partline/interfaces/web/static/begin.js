// The first questions: a picked colour counts as known, a reading is pressed into its field.

const form = document.getElementById("begin");
const said = document.getElementById("said");

form.addEventListener("input", ({ target }) => {
  if (target.type === "color") target.closest(".patch").querySelector('[type="checkbox"]').checked = true;
});

form.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-write]");
  if (!button) return;
  const field = document.getElementById(button.dataset.for);
  field.value = button.dataset.write;
  field.removeAttribute("aria-invalid");
  field.setAttribute("aria-describedby", `${field.id}-help`);
  document.getElementById(`${field.id}-question`).remove();
  field.focus();
});

form.addEventListener("submit", (event) => {
  if (said.textContent) event.preventDefault(); // once is enough: each press would keep another set
  said.textContent = "Working it out. On a new machine this takes a minute, once.";
});

// Back from the plan: the page may be pressed again.
window.addEventListener("pageshow", () => { said.textContent = ""; });

document.getElementById("problem")?.focus();
