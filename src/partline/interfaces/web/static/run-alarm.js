// Sound, rim and vibration when a timer is due; the screen kept on where the browser allows it.

const RINGS_MS = 30_000;
const FRESH_MS = 60_000; // an alarm older than this is told in words, not rung
// A forecast moves a little with every answer: a timer that rang rings again only after it has
// stood at least so far in the future.
const AGAIN_MS = 3000;

export function alarm({ now, say }) {
  const rung = new Map();
  let sound = null;
  let until = 0;
  let beat = null;

  function beep() {
    if (sound?.state !== "running") return;
    const tone = sound.createOscillator();
    const loud = sound.createGain();
    tone.frequency.value = 880;
    loud.gain.setValueAtTime(0.0001, sound.currentTime);
    loud.gain.exponentialRampToValueAtTime(0.5, sound.currentTime + 0.02);
    loud.gain.exponentialRampToValueAtTime(0.0001, sound.currentTime + 0.35);
    tone.connect(loud).connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.4);
  }

  function ring(timer) {
    until = Date.now() + RINGS_MS;
    document.body.classList.add("ringing");
    say(`${timer.label} now`);
    clearInterval(beat);
    const strike = () => {
      if (Date.now() > until) {
        quiet();
        return;
      }
      beep();
      navigator.vibrate?.([300, 150, 300]);
    };
    strike();
    beat = setInterval(strike, 1000);
  }

  function quiet() {
    clearInterval(beat);
    document.body.classList.remove("ringing");
    navigator.vibrate?.(0);
  }

  return {
    // A browser lets a page sound only after a tap: the first one wakes it.
    wake() {
      const Sound = window.AudioContext ?? window.webkitAudioContext;
      sound ??= Sound ? new Sound() : null;
      sound?.resume?.().catch(() => {});
    },
    watch(timers) {
      for (const timer of timers.filter((each) => each.alarm)) {
        const late = now() - Date.parse(timer.at);
        if (late < -AGAIN_MS) rung.set(timer.key, false);
        if (late < 0 || rung.get(timer.key)) continue;
        rung.set(timer.key, true);
        if (late < FRESH_MS) ring(timer);
      }
    },
    test() {
      this.wake();
      ring({ label: "This is the alarm" });
    },
    quiet,
    canSound: () => Boolean(window.AudioContext ?? window.webkitAudioContext),
  };
}

// A sentence where the screen cannot be kept on; none where it is.
export async function keepScreenOn() {
  if (!("wakeLock" in navigator)) {
    return "This page cannot keep the screen on over plain http: set the phone not to sleep.";
  }
  try {
    await navigator.wakeLock.request("screen");
    return "";
  } catch {
    return "The browser did not let this page keep the screen on: set the phone not to sleep.";
  }
}
