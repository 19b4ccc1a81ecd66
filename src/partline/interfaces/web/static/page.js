// Small pieces every page uses: making elements, writing numbers with their range.

export function make(name, properties = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (key in element) element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

export function number(value, digits) {
  return value.toFixed(digits).replace("-", "−");
}

export function span([low, high], digits) {
  return `${number(low, digits)}–${number(high, digits)}`;
}

// The same number, as a button that opens where it comes from.
export function ranged(value, ends, digits, why, word) {
  const button = make("button", { type: "button", className: "why" },
    number(value, digits), " ", make("small", {}, span(ends, digits)));
  button.dataset.why = why.key;
  button.why = { ...why, value, ends, digits };
  if (!word) return button;
  const weak = ["see-through", "same", "barely"].includes(word);
  return make("span", {}, button, make("span", { className: weak ? "word weak" : "word" }, word));
}

export function drawing(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  return document.importNode(parsed.documentElement, true);
}
