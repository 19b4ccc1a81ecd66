// A temperature in gloves. Every key that shows a value keeps it; two keys move all of them by 5 °C
// or by 9 °F, which is as much. So anything within 4 degrees of the forecast is one tap away, within
// 9 °C (13 °F) two, within 14 °C (22 °F) three.

import { closePanel, openKeypad, openPanel, backKey, words } from "./run-panel.js";
import { celsiusOf, cupAt, fahrenheit, shown } from "./run-cups.js";
import { key, SIGNS } from "./run-screen.js";

const STEPS = { m4: -4, m3: -3, m2: -2, m1: -1, p1: 1, p2: 2, p3: 3, p4: 4 };
const MOVES = { C: { less: -5, more: 5 }, F: { less: -9, more: 9 } };
// Hotter above its ceiling than this [°C] no cup becomes, colder than this none is read.
const FAR = 60;
const COLDEST = -20;

// A pad that opened by itself takes no tap so soon: the finger was on its way to something else.
const UNASKED_MS = 700;

export function openReading({ state, cup: name, now, help, take, isUnasked = false }) {
  const opened = performance.now();
  const isEarly = () => isUnasked && performance.now() - opened < UNASKED_MS;
  const { unit } = state;
  const cup = state.cups?.[name] ?? {};
  const about = cupAt(cup, now);
  const start = about?.[0] ?? cup.forecast_c ?? cup.target_c;
  const origin = about !== null || cup.forecast_c ? "as forecast" : "no forecast, from the target";
  if (start === undefined || start === null) {
    typed();
    return;
  }
  let middle = shown(start, unit);
  const first = middle;
  const values = Object.entries(STEPS).map(([area, step]) => [step,
    key("", { area, tone: "plain value", small: signed(step), onTap: () => keep(middle + step) })]);
  const accept = key("", { area: "keep", tone: "main", small: " ", onTap: () => keep(middle) });

  function keep(value) {
    if (isEarly()) return;
    closePanel();
    take(reading(String(value), unit));
  }
  function typed() {
    openKeypad({ label: `Cup ${name}`, unit: `°${unit}`, help,
      take: (text) => take(reading(text, unit)) });
  }
  function draw() {
    accept.firstElementChild.textContent = `${middle} °${unit}`;
    accept.lastChild.textContent = `${SIGNS[name]} Cup ${name}: tap to keep${middle === first ? `, ${origin}` : ""}`;
    for (const [step, button] of values) button.firstChild.textContent = String(middle + step);
  }
  const moves = Object.entries(MOVES[unit]).map(([area, move]) => key(signed(move), { area, onTap: () => {
    if (isEarly()) return;
    middle += move;
    draw();
  } }));
  draw();
  openPanel("reading", `Temperature of cup ${name}`, accept, ...values.map(([, button]) => button),
    ...moves, key("Type it", { area: "type", onTap: typed }), backKey("back"), help("help"));
}

function signed(step) {
  return step < 0 ? `−${-step}` : `+${step}`;
}

export function reading(entered, unit) {
  const celsius = celsiusOf(Number(entered), unit);
  return { entered, unit, celsius: Math.round(celsius * 100) / 100 };
}

// While the program cannot ask, this page asks what no cup can be: never changed, only asked.
export function doubtOf(data, cup) {
  const { celsius, entered, unit } = data;
  const ceiling = cup?.ceiling_c ?? null;
  const isFar = ceiling !== null && celsius > ceiling + FAR;
  const isCold = celsius < COLDEST || (unit === "F" && celsius < 100 && fits(Number(entered), cup));
  if (!isFar && !isCold) return null;
  const other = unit === "F" ? "C" : "F";
  const asOther = reading(entered, other);
  const said = `${entered} °${unit} is ${isFar ? "hotter" : "colder"} than this cup can be by now.`;
  const inBench = unit === "F" ? `${Math.round(fahrenheit(asOther.celsius))} °F`
    : `${Math.round(asOther.celsius)} °C`;
  return { said, other: asOther, label: `${entered} °${other}`, means: inBench };
}

function fits(celsius, cup) {
  return celsius > 100 && celsius < (cup?.ceiling_c ?? 200) + FAR;
}

export function openDoubt({ doubt, given, again, take, help }) {
  const { said, label, means, other } = doubt;
  const choose = (data) => () => {
    closePanel();
    take(data);
  };
  openPanel("question", "A question about this reading",
    words(`${said} What did the thermometer show?`),
    key(label, { tone: "main", small: `that is ${means}`, onTap: choose(other) }),
    key(`${given.entered} °${given.unit}, as entered`, { onTap: choose(given) }),
    key("Read it again", { onTap: () => {
      closePanel();
      again();
    } }), help());
}
