// What the screen says while taps wait to be sent: the last state, moved on by what this device
// was told since. Only what follows without any law of heat; the rest waits for the program.

import { cupAt } from "./run-cups.js";

export function ahead(state, waiting) {
  const known = new Set(state.log.map((entry) => entry.id));
  const struck = new Set(waiting.filter((each) => each.kind === "correction" && each.data.void)
    .map((each) => each.data.of));
  const unsent = waiting.filter((each) => !known.has(each.id));
  return unsent.filter((each) => !struck.has(each.id)).reduce(moved, {
    ...state,
    log: [...unsent.map((each) => line(each, struck)).reverse(), ...state.log],
  });
}

function moved(state, event) {
  const move = MOVES[event.kind];
  return move ? move(state, event) : state;
}

const MOVES = {
  shot(state) {
    const { counts, melt, shots } = state;
    const less = (value) => (typeof value === "number" ? Math.max(0, value - 1) : value);
    return {
      ...state,
      counts: counts && { shots_left: less(counts.shots_left),
        shots_left_low: less(counts.shots_left_low), shots_left_high: less(counts.shots_left_high) },
      melt: melt && { ...melt, shots_done: melt.shots_done + 1 },
      shots: shots && { ...shots, done: shots.done + 1 },
    };
  },
  stir(state, event) {
    const cups = { ...state.cups };
    for (const name of Object.keys(cups)) {
      if (event.cup === null || event.cup === name) cups[name] = { ...cups[name], stirred_at: event.at };
    }
    return { ...state, cups };
  },
  reading(state, event) {
    const cup = state.cups?.[event.cup];
    if (!cup) return state;
    const { celsius } = event.data;
    const expected = cupAt(cup, Date.parse(event.at));
    const off = expected === null ? 0 : celsius - expected[0];
    const curve = (cup.curve ?? []).map(([at, ...values]) => [at, ...values.map((each) => each + off)]);
    const alone = curve.length === 0 ? { now_c: celsius, low_c: null, high_c: null } : {};
    return { ...state, cups: { ...state.cups, [event.cup]: { ...cup, ...alone, curve, read_at: event.at } } };
  },
  burst(state, event) {
    const at = new Date(Date.parse(event.at) + event.data.seconds * 1000).toISOString();
    const which = event.cup ? `cup ${event.cup}` : "both cups";
    return {
      ...state,
      timers: [{ key: `burst-${event.id}`, label: "Oven ends", at, low: null, high: null, alarm: true },
        ...state.timers],
      screen: { key: `ahead-${event.id}`, title: `In the oven: ${which}`, cup: event.cup,
        big: { kind: "until", at, low: null, high: null, then: "STIR" },
        says: ["Stir, then read straight down."], picture: null,
        controls: state.quick.filter((each) => each.opens === "reading") },
    };
  },
};

function line(event, struck) {
  return { id: event.id, at: event.at, text: `${words(event)}, waiting to be sent`,
    can_undo_until: null, is_void: struck.has(event.id) };
}

const NAMES = { stir: "Stirred", shot: "Shot", reading: "Read", burst: "Oven started", draw: "Draw",
  weigh: "Weighed", stop: "Stop", finish: "Last shot", open: "Opened", wrong: "Something is wrong",
  help: "Help", photo: "Photo", pause: "Pause", resume: "Resumed", correction: "Correction",
  set_up: "Set up", first_shot: "First shot looked at", confirm: "It stands", heat: "New heat",
  tick: "Ticked", add: "Added", judge: "Counted", close: "Closed", note: "Note" };

export function words(event) {
  const { kind, cup, data } = event;
  const unit = data?.unit ? ` °${data.unit}` : "";
  const more = data?.entered ? ` ${data.entered}${unit}` : data?.what ? `: ${data.what}` : "";
  return `${NAMES[kind] ?? kind}${cup ? ` ${cup}` : ""}${more}`;
}
