// What one device is set to: light, pedal, voice. Kept by the browser where it keeps anything.

const NAME = "partline-bench-settings";
const USUAL = { light: "auto", pedal: true, voice: false };
const dark = matchMedia("(prefers-color-scheme: dark)");

export const settings = { ...USUAL, ...recall() };

function recall() {
  try {
    return JSON.parse(localStorage.getItem(NAME)) ?? {};
  } catch {
    return {};
  }
}

export function change(name, value) {
  settings[name] = value;
  try {
    localStorage.setItem(NAME, JSON.stringify(settings));
  } catch {
    // Kept until this page is closed.
  }
  shine();
}

export function isNight() {
  return settings.light === "night" || (settings.light === "auto" && dark.matches);
}

function shine() {
  document.documentElement.dataset.light = isNight() ? "night" : "day";
}

dark.addEventListener("change", shine);
shine();

// This device's own name in the record: a word for people and a number to tell two apart.
export function deviceName() {
  const kind = matchMedia("(pointer: coarse)").matches ? (Math.min(screen.width, screen.height) < 600 ? "phone" : "tablet") : "computer";
  try {
    let number = localStorage.getItem("partline-device");
    if (!number) {
      number = String(crypto.getRandomValues(new Uint16Array(1))[0] % 900 + 100);
      localStorage.setItem("partline-device", number);
    }
    return `${kind} ${number}`;
  } catch {
    return kind;
  }
}
