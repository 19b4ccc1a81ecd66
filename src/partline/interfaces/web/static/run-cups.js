// What a cup is about now, from the curve that the program sent with its last state: so the page
// can say it while nobody answers.

export function fahrenheit(celsius) {
  return (celsius * 9) / 5 + 32;
}

export function celsiusOf(value, unit) {
  return unit === "F" ? ((value - 32) * 5) / 9 : value;
}

export function shown(celsius, unit) {
  return Math.round(unit === "F" ? fahrenheit(celsius) : celsius);
}

// [mid, low, high] in °C, or null where nothing is known of the cup.
export function cupAt(cup, now) {
  const curve = cup?.curve ?? [];
  if (curve.length === 0 || !cup.curve_from) {
    const known = cup?.now_c ?? null;
    return known === null ? null : [known, cup.low_c ?? known, cup.high_c ?? known];
  }
  const seconds = (now - Date.parse(cup.curve_from)) / 1000;
  const next = curve.findIndex(([at]) => at >= seconds);
  if (next === 0) return curve[0].slice(1);
  if (next < 0) return curve.at(-1).slice(1); // beyond its end: the last that is known
  const [before, after] = [curve[next - 1], curve[next]];
  const share = (seconds - before[0]) / (after[0] - before[0]);
  return [1, 2, 3].map((column) => before[column] + share * (after[column] - before[column]));
}

export function isBeyondCurve(cup, now) {
  const end = cup?.curve?.at(-1)?.[0];
  return end !== undefined && (now - Date.parse(cup.curve_from)) / 1000 > end;
}
