// A colour may be picked instead of typed: the picker writes into the field beside it.

for (const typed of document.querySelectorAll("[data-colour]")) {
  const picker = document.createElement("input");
  picker.type = "color";
  picker.setAttribute("aria-label", `Pick the colour: ${typed.labels[0].textContent}`);
  const follow = () => {
    const written = /#[0-9a-f]{6}/i.exec(typed.value);
    picker.value = written ? written[0].toLowerCase() : "#808080";
  };
  follow();
  typed.addEventListener("input", follow);
  picker.addEventListener("input", () => { typed.value = picker.value; });
  const both = document.createElement("div");
  both.className = "picked";
  typed.before(both);
  both.append(typed, picker);
}
