// The server's clock, as this device can know it: every answer carries `now`; half the round trip
// is added, less what the program needed to make the answer. A short way tells more than a long
// one, so the best of the last minutes rules.

const KEEP_MS = 120_000;

export function serverClock(wall = () => Date.now()) {
  let samples = [];
  let speed = 1;

  const best = () => samples.reduce((one, other) => (other.trip < one.trip ? other : one));

  return {
    // sent and received are readings of this device's clock around the request.
    // took is how long the program was at it; `now` is its time at the end of that. [ms]
    learn(now, sent, received, { practiceSpeed = 1, took = 0 } = {}) {
      const trip = Math.max(0, received - sent - took);
      const sample = { server: Date.parse(now) + (trip / 2) * practiceSpeed, local: received, trip };
      if (!Number.isFinite(sample.server) || received < sent) return;
      // This device's clock was set, the server's was, or practice runs at another speed: what was
      // learned before is worth nothing.
      const isOff = () => Math.abs(this.at(received) - sample.server)
        > (best().trip + sample.trip) * speed + 250;
      if (practiceSpeed !== speed || (samples.length > 0 && isOff())) samples = [];
      speed = practiceSpeed;
      samples = [...samples.filter((each) => received - each.local < KEEP_MS), sample];
    },
    at(local) {
      if (samples.length === 0) return local;
      const { server, local: then } = best();
      return server + (local - then) * speed;
    },
    now() {
      return this.at(wall());
    },
    get speed() {
      return speed;
    },
  };
}

// Minutes and seconds of a time to come, rounded up: 0:00 is shown when it is over, not before.
export function left(milliseconds) {
  return clockFace(Math.max(0, Math.ceil(milliseconds / 1000)));
}

export function gone(milliseconds) {
  return clockFace(Math.max(0, Math.floor(milliseconds / 1000)));
}

function clockFace(seconds) {
  const [hours, minutes, rest] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  const two = (value) => String(value).padStart(2, "0");
  return hours > 0 ? `${hours}:${two(minutes)}:${two(rest)}` : `${minutes}:${two(rest)}`;
}
