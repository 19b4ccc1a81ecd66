// Small pieces every page uses: making elements, writing numbers with their range, saying things.

export function make(name, properties = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (key in element) element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

// Fewer decimals than none round to tens, hundreds, …
export function number(value, digits) {
  const step = 10 ** -digits;
  return (digits < 0 ? Math.round(value / step) * step : value).toFixed(Math.max(digits, 0)).replace("-", "−");
}

export function span([low, high], digits) {
  return `${number(low, digits)}–${number(high, digits)}`;
}

// A number as a button that opens where it comes from; its range, if it has one, beside it.
export function ranged(value, ends, digits, why, unit = "") {
  const button = make("button", { type: "button", className: "why", ariaHasPopup: "dialog" },
    number(value, digits), unit, " ", ends ? make("small", {}, span(ends, digits)) : null);
  button.why = { ...why, value, ends, digits, unit };
  return button;
}

const WEAK = ["see-through", "same", "barely"];

// A verdict; a weak one is marked by its sign and weight, never by colour alone.
export function verdict(word) {
  return WEAK.includes(word)
    ? make("span", { className: "word weak" }, make("span", { ariaHidden: "true" }, "▽ "), word)
    : make("span", { className: "word" }, word);
}

export function drawing(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  return document.importNode(parsed.documentElement, true);
}

// Say something to a screen reader once things have come to rest: never while an amount moves.
const REST = 900;
let pending = 0;

export function say(sentence) {
  clearTimeout(pending);
  pending = setTimeout(() => {
    document.getElementById("spoken").textContent = sentence;
  }, REST);
}
