"""The serving machine rings as well: a phone may be silent, asleep, or out of reach."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import datetime, timedelta
from threading import Event, Lock, Thread
from typing import Any

from partline.services.workshop import now

Json = dict[str, Any]

#: How often the clocks are looked at. [s]
EVERY = 0.5
#: An alarm older than this is not rung: nobody was there, and the page tells it in words.
FRESH = timedelta(seconds=20)
#: A forecast moves a little with every tap: a clock that rang rings again only after it has stood
#: this far in the future.
AGAIN = timedelta(seconds=3)
#: Runs whose clocks are kept in mind.
MOST = 50


def ring(text: str) -> None:
    """Sound the terminal's bell and say why."""
    sys.stderr.write(f"\a{text}\n")
    sys.stderr.flush()


class Bell:
    """Clocks of the runs that are told of, rung on this machine when they are due.

    Parameters
    ----------
    sound : callable
        What rings, with the words to say.
    """

    def __init__(self, sound: Callable[[str], None] = ring) -> None:
        self._sound = sound
        self._lock = Lock()
        self._timers: dict[str, list[tuple[str, str, datetime]]] = {}
        self._rung: set[tuple[str, str]] = set()
        self._over = Event()

    def heed(self, state: Json) -> None:
        """Keep the clocks of a run in mind, as its newest state tells them.

        A practice run's clock is another one: it rings on the device that practises.
        """
        code = str(state["code"])
        timers = [
            (str(each["key"]), str(each["label"]), datetime.fromisoformat(each["at"]))
            for each in state["timers"]
            if each["alarm"] and not state["is_practice"]
        ]
        with self._lock:
            self._timers.pop(code, None)
            self._timers[code] = timers
            while len(self._timers) > MOST:
                self._timers.pop(next(iter(self._timers)))

    def look(self, moment: datetime) -> None:
        """Ring whatever is due at this moment and has not rung."""
        for label, code in self._due(moment):
            self._sound(f"{label} now · run {code}")

    def _due(self, moment: datetime) -> list[tuple[str, str]]:
        due = []
        with self._lock:
            for code, timers in self._timers.items():
                for key, label, at in timers:
                    if at - moment > AGAIN:
                        self._rung.discard((code, key))
                    elif at <= moment < at + FRESH and (code, key) not in self._rung:
                        self._rung.add((code, key))
                        due.append((label, code))
        return due

    def begin(self) -> None:
        """Look at the clocks in the background until `end`."""
        Thread(target=self._watch, name="ring", daemon=True).start()

    def end(self) -> None:
        """Stop looking."""
        self._over.set()

    def _watch(self) -> None:
        while not self._over.wait(EVERY):
            self.look(now())
