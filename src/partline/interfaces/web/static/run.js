// The bench screen: holds the last state, sends what is tapped, draws ten times a second from the
// server's clock. Every part has a module of its own.

import { ahead, words as wordsOf } from "./run-ahead.js";
import { alarm, keepScreenOn } from "./run-alarm.js";
import { presence } from "./run-away.js";
import { gone, serverClock } from "./run-clock.js";
import { drawBar, drawControls, mainButton, stepButtons } from "./run-controls.js";
import { cupAt, shown } from "./run-cups.js";
import { helpKey, openHelp } from "./run-help.js";
import { listenToKeys } from "./run-keys.js";
import { openBurst, openJudge, openMore, openTicks, openWeigh, openWrong } from "./run-more.js";
import { offers } from "./run-offer.js";
import { closePanel, isOpen, openKind, openPanel, words } from "./run-panel.js";
import { photos } from "./run-photo.js";
import { openLook, watchDoor } from "./run-practice.js";
import { newId, sender, shelf } from "./run-queue.js";
import { doubtOf, openDoubt, openReading } from "./run-reading.js";
import { announce, drawStage, key } from "./run-screen.js";
import { deviceName, settings } from "./run-settings.js";
import { speaker } from "./run-speech.js";
import { ask } from "./run-wire.js";

const SYNC_MS = 15_000;
const DOWN_SYNC_MS = 3000;
const LATER_MS = 60_000; // a question that was put off comes back
const ANSWERED_MS = 5000; // until the answer's own state is here
const { code } = document.body.dataset;
const address = `/runs/${code}`;
const clock = serverClock();
const kept = shelf(code);
const speak = speaker(() => settings.voice);
const done = new Set(); // stop alerts that were read here
const asked = new Map(); // until when questions are put off here

let base = JSON.parse(document.getElementById("first").content.textContent);
let taken = 0; // when the state that stands had arrived
let lastSync = 0;
let view = base;
let link = { waiting: 0, isDown: false, sentence: "", refused: [] };
let aside = ""; // a sentence about photos
let notes = [];
let shownStep = ""; // whose keys were opened

const stamp = () => new Date(clock.now()).toISOString();
const help = helpKey((topic) => tap({ kind: "help", cup: null, data: { topic } }));
const bells = alarm({ now: () => clock.now(), say: (text) => {
  announce(text);
  speak(text);
} });
const outbox = sender({
  kept,
  post: async (events) => learn(await ask(`${address}/events`, {
    body: { device: deviceName(), events: events.map(({ screen, label, ...event }) => event) },
  })),
  onState: () => {},
  tell: (news) => {
    link = news;
    recast();
  },
});
const pictures = photos({ code, newId, stamp, taken: (event) => put(event), tell: (sentence) => {
  aside = sentence;
} });
const offer = offers({ tap });

const pace = (state) => ({ practiceSpeed: state.practice_speed || 1, took: (state.took_s || 0) * 1000 });

// A state counts unless a newer one has come meanwhile.
function learn(answer) {
  const { content, sent, received } = answer;
  const state = content?.screen ? content : content?.state; // a state alone, or beside what was kept
  if (!state?.screen) return answer;
  clock.learn(state.now, sent, received, pace(state));
  if (sent >= taken || state.number >= base.number) {
    base = state;
    taken = received;
  }
  recast();
  return answer;
}

async function sync() {
  lastSync = Date.now();
  const answer = learn(await ask(`${address}/state`));
  if (answer.status === 200) {
    outbox.reached();
    pictures.send();
  } else outbox.lost();
}

function put(event) {
  const full = { id: newId(), at: stamp(), cup: null, data: {}, ...event };
  outbox.add(full);
  recast();
  return full;
}

function tap(event, from = {}) {
  const full = put({ ...event, ...from });
  bells.quiet();
  aside = "";
  speak(wordsOf(full));
  if (full.kind === "shot") offer.after(full, clock.speed);
  return full;
}

function recast() {
  view = ahead(base, kept.waiting());
}

function use(control, screenKey) {
  const { cup, data } = control;
  const more = { state: view, cup, data, now: clock.now(), help, tap };
  switch (control.opens) {
    case "reading": openReading({ ...more, take: (data) => takeReading(cup, data) }); break;
    case "weigh": openWeigh(more); break;
    case "photo": pictures.open(); break;
    case "practice": openLook({ address, help, read: (name) => use({ opens: "reading", cup: name }, ""),
      weigh: (name) => use({ opens: "weigh", cup: name }, "") }); break;
    case "wrong": openWrong({ ...more, spill: () => openHelp(logHelp, "spill") }); break;
    case "burst": openBurst(more); break;
    case "judge": openJudge({ ...more, shots: view.shots }); break;
    case "ticks": openTicks(more); break;
    case "help": openHelp(logHelp); break;
    default: tap(control.event, { screen: screenKey, label: control.label });
  }
}

const logHelp = (topic) => tap({ kind: "help", cup: null, data: { topic } });

function takeReading(cup, data) {
  const keep = (chosen) => tap({ kind: "reading", cup, data: chosen });
  const doubt = link.isDown ? doubtOf(data, view.cups?.[cup]) : null;
  if (doubt === null) keep(data);
  else {
    openDoubt({ doubt, given: data, take: keep, help,
      again: () => use({ opens: "reading", cup }, "") });
  }
}

// A question of the program stands until it is answered or put off; the timer goes on beside it.
function askNext(stop) {
  if (stop !== null && !["", "help"].includes(openKind())) closePanel(); // that comes first
  if (isOpen() || stop !== null) return;
  const answered = new Set(kept.waiting().map((each) => each.label));
  const isOff = (each) => Date.now() < (asked.get(each.key) ?? 0) || answered.has(each.key);
  const question = view.questions.find((each) => !isOff(each));
  if (!question) return;
  openPanel("question", "A question", words(question.text),
    ...question.choices.slice(0, 4).map((each) => key(each.label, { onTap: () => {
      closePanel();
      asked.set(question.key, Date.now() + ANSWERED_MS);
      tap(each.event, { label: question.key });
    } })),
    key("Later", { onTap: () => {
      asked.set(question.key, Date.now() + LATER_MS);
      closePanel();
    } }), help());
}

// A step that asks for a reading shows its keys at once, a tap less for each; Back leaves it the
// step's controls. In practice the thermometer is behind the bar, which the keys would hide.
function openAsked(stop) {
  const { key: step, controls: [main] } = view.screen;
  if (main?.opens !== "reading" || !step.startsWith("read-") || step === shownStep) return;
  if (isOpen() || stop !== null || view.practice || kept.waiting().some((each) => each.screen === step)) return;
  shownStep = step;
  openReading({ state: view, cup: main.cup, now: clock.now(), help, isUnasked: true,
    take: (data) => takeReading(main.cup, data) });
}

function cameBack(gap) {
  sync();
  if (!["set up", "melting", "shooting", "cooling"].includes(view.state)) return;
  const now = clock.now();
  const temperatures = Object.entries(base.cups ?? {})
    .map(([name, cup]) => [name, cupAt(cup, now)]).filter(([, about]) => about !== null)
    .map(([name, [mid]], place) => `${name} is ${place === 0 ? "now " : ""}about ${shown(mid, base.unit)} °${base.unit}`);
  const said = [`You were away ${gone(gap * clock.speed)}`, temperatures.join(", ")].filter(Boolean).join("; ");
  const answer = (label, small, what) => key(label, { small, onTap: () => {
    closePanel();
    if (what !== null) tap({ kind: "resume", cup: null, data: { what } });
  } });
  const answers = view.state === "shooting"
    ? [answer("Finished", "shots were made, this heat is done", "finished"),
      answer("Stopped", "nothing was shot meanwhile", "stopped"),
      answer("Reheat", "too cold to go on", "reheat")]
    : [answer("Go on", "", null)];
  announce(said);
  openPanel("away", "You were away", words(`${said}. What happened meanwhile?`), ...answers, help());
}

function linkText() {
  const { waiting, isDown, sentence, refused } = link;
  if (kept.isOnlyHere()) return "This browser keeps nothing (its storage is full or shut): leave this page open until all is sent.";
  if (refused.length > 0) return `${refused.length} could not be read by the program: ${wordsOf(refused.at(-1).event)}. Note it by hand.`;
  if (isDown && waiting > 0) return `${waiting} waiting to be sent. ${sentence}`.trim();
  if (isDown) return "No answer from the program. Taps are kept here.";
  return aside;
}

function draw() {
  const now = clock.now();
  here.look();
  const alerts = view.alerts.map((each) => ({ ...each, isRead: done.has(each.key) }));
  for (const read of done) if (!alerts.some((each) => each.key === read)) done.delete(read);
  const stop = alerts.find((each) => each.tone === "stop" && !each.isRead) ?? null;
  drawStage({ ...view, alerts }, now, (sentence) => announce(sentence));
  drawControls({ screen: view.screen, stop, waiting: link.waiting > 0 ? kept.waiting() : [], use, read: (alert) => {
    done.add(alert.key);
    draw();
  } });
  drawBar({ quick: view.quick, use, help, record: () => location.assign(address), more: () => openMore({ state: () => view, tap, help,
    notes: () => notes, tryAlarm: () => bells.test() }) });
  offer.tick();
  bells.watch(view.timers);
  if (view.practice) watchDoor({ state: view, now, help });
  askNext(stop);
  openAsked(stop);
  const text = linkText();
  const place = document.getElementById("link");
  if (place.textContent !== text) place.textContent = text;
  if (Date.now() - lastSync > (link.isDown ? DOWN_SYNC_MS : SYNC_MS)) sync();
}

async function wakeScreen() {
  const note = await keepScreenOn();
  notes = note ? [note] : [];
}

function begin() {
  const [visit] = performance.getEntriesByType("navigation");
  if (visit) {
    const at = (time) => performance.timeOrigin + time;
    clock.learn(base.now, at(visit.requestStart), at(visit.responseEnd), pace(base));
  }
  recast();
  outbox.now();
  sync();
  wakeScreen();
  setInterval(draw, 100);
}

const here = presence(code, { back: cameBack });
document.addEventListener("pointerdown", () => {
  bells.wake();
  bells.quiet();
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible") return;
  sync();
  wakeScreen();
});
for (const moment of ["online", "pageshow"]) {
  window.addEventListener(moment, () => {
    outbox.now();
    sync();
  });
}
listenToKeys({
  isOn: () => settings.pedal, isOpen, leave: closePanel, controls: stepButtons,
  main: () => {
    bells.quiet();
    (offer.main() ?? (() => mainButton()?.click()))();
  },
});
begin();
