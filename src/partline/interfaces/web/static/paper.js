// A card typed in: a reading is pressed into its field, a change takes the "carried over" away,
// and a second Enter while the first is under way sends nothing.

const form = document.getElementById("paper");
const said = document.getElementById("said");

form.addEventListener("input", ({ target }) => {
  document.getElementById(`${target.name}-carried`)?.remove();
});

form.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-write]");
  if (!button) return;
  const field = document.getElementById(button.dataset.for);
  field.value = button.dataset.write;
  field.removeAttribute("aria-invalid");
  document.getElementById(`${field.id}-question`).remove();
  field.focus();
});

form.addEventListener("submit", (event) => {
  if (said.textContent) event.preventDefault();
  said.textContent = "Keeping it.";
});

window.addEventListener("pageshow", () => { said.textContent = ""; });

// Nothing is typed before this script listens, and what stands in the first field is typed over,
// as in every field that Tab leads to.
const first = form.querySelector("[autofocus]");
form.inert = false;
first?.focus();
first?.select?.();
