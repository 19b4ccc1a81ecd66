// What is needed now and then: the log with its corrections, light, pedal, voice, whole screen.

import { make } from "./page.js";
import { backKey, closePanel, openKeypad, openPanel, words } from "./run-panel.js";
import { key } from "./run-screen.js";
import { canSpeak } from "./run-speech.js";
import { change, isNight, settings } from "./run-settings.js";

const WRONGS = [["short", "Short, not filled"], ["mixed", "Colours mixed"], ["swapped", "Cups swapped"],
  ["upside down", "Mould upside down"], ["too hot", "Too hot"],
  ["bent", "Bent or torn"], ["spill", "Spill"], ["other", "Something else"]];
const LINES = 3;

export function openWrong({ tap, help, spill }) {
  openPanel("wrong", "Something is wrong", ...WRONGS.map(([what, label]) => key(label, { onTap: () => {
    closePanel();
    tap({ kind: "wrong", cup: null, data: { what, text: "" } });
    if (what === "spill") spill();
  } })), backKey(), help());
}

export function openJudge({ tap, help, shots }) {
  const count = (label, take) => openKeypad({ label, unit: "baits", isWhole: true, help, take });
  count(`Moulded, ${shots.done} shots`, (moulded) => count(`Good of ${moulded}`, (good) =>
    tap({ kind: "judge", cup: null, data: { good: Number(good), moulded: Number(moulded), text: "" } })));
}

// What came with the control goes with the event: “left” says that it is what the shots have left.
export function openWeigh({ tap, help, cup, data = {} }) {
  const full = data.left ? `Left in ${cup}, without the cup` : `Cup ${cup}`;
  openKeypad({ label: cup ? full : "Weighed", unit: "g", help, take: (text) =>
    tap({ kind: "weigh", cup: cup ?? null, data: { ...data, entered: `${text} g`, grams: Number(text) } }) });
}

// A whole number of seconds of heat, other than the planned.
export function openBurst({ tap, help, cup }) {
  openKeypad({ label: cup ? `Cup ${cup}, oven on for` : "Oven on for", unit: "s", isWhole: true, help,
    take: (text) => tap({ kind: "burst", cup: cup ?? null, data: { seconds: Number(text) } }) });
}

export function openTicks({ state, tap, help }) {
  openPanel("ticks", "Set up", ...state.ticks.slice(0, 8).map((each) => key(each.text, {
    ariaPressed: String(each.done), small: each.done ? "✓ done" : "", tone: "plain tick",
    onTap: (button) => {
      if (button.ariaPressed === "true") return;
      button.ariaPressed = "true";
      button.append(make("small", {}, "✓ done"));
      tap({ kind: "tick", cup: null, data: { key: each.key } });
    } })), backKey(), help());
}

export function openMore(bench) {
  const again = () => openMore(bench);
  const light = isNight() ? "day" : "night";
  openPanel("more", "More", ...bench.notes().map((each) => words(each)),
    key("Log", { small: "and strike out", onTap: () => openLog(bench, 0) }),
    key(`Light: ${light}`, { small: light === "night" ? "white on black" : "black on white", onTap: () => {
      change("light", light);
      again();
    } }),
    key(settings.pedal ? "Pedal is on" : "Pedal is off", { small: "any key is the main control",
      ariaPressed: String(settings.pedal), onTap: () => {
        change("pedal", !settings.pedal);
        again();
      } }),
    key(settings.voice ? "Voice is on" : "Voice is off", {
      small: canSpeak() ? "says what was logged" : "this device has none of its own",
      ariaPressed: String(settings.voice), ariaDisabled: String(!canSpeak()), onTap: () => {
        if (canSpeak()) change("voice", !settings.voice);
        again();
      } }),
    key("Try the alarm", { onTap: bench.tryAlarm }),
    key("Whole screen", { small: "hides the browser’s bars", onTap: () => {
      document.documentElement.requestFullscreen?.().catch(() => {});
      closePanel();
    } }),
    bench.state().is_stopped
      ? key("Go on", { onTap: () => leave(bench, { kind: "resume", cup: null, data: { what: "" } }) })
      : key("Pause", { onTap: () => leave(bench, { kind: "pause", cup: null, data: { why: "" } }) }),
    key("Leave this screen", { small: "the run goes on", onTap: () => location.assign("/runs") }),
    backKey(), bench.help());
}

function leave(bench, event) {
  closePanel();
  bench.tap(event);
}

function openLog(bench, from) {
  const { log } = bench.state();
  const lines = log.slice(from, from + LINES).flatMap((each) => [
    make("p", { className: "log-line" }, `${new Date(each.at).toLocaleTimeString([], { hour12: false })} `,
      each.was ? make("s", {}, each.was) : "", each.was ? " corrected: " : "",
      each.is_void ? make("s", {}, each.text) : each.text, each.is_void ? " struck out" : ""),
    key(each.is_void ? "Struck out" : "Strike out", { ariaDisabled: String(each.is_void),
      small: "both stay on record", onTap: () => {
        if (each.is_void) return;
        bench.tap({ kind: "correction", cup: null, data: { of: each.id, void: true } });
        openLog(bench, from);
      } })]);
  const older = from + LINES < log.length;
  openPanel("log", "Log", ...(lines.length ? lines : [words("Nothing is logged yet.")]), backKey(),
    key(older ? "Older" : "Newest", { onTap: () => openLog(bench, older ? from + LINES : 0) }), bench.help());
}
