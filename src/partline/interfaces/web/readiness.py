"""Kernels are made ready beside the server, so that pages answer while they compile."""

from __future__ import annotations

import subprocess
import sys
from threading import Event, Thread

from partline.services.warming import warm_up

#: Compiles into the user's cache; its own process, because compiling holds the interpreter.
_COMPILE = "from partline.services.warming import warm_up; warm_up()"
#: Longest that a request waits for a first compilation before it goes on by itself. [s]
PATIENCE = 120.0


class Readiness:
    """Whether the first picture can be drawn at once."""

    def __init__(self) -> None:
        self._is_ready = Event()
        self._has_begun = False

    def begin(self) -> None:
        """Start making ready, in the background."""
        self._has_begun = True
        Thread(target=self._make_ready, name="make-ready", daemon=True).start()

    def wait(self) -> None:
        """Return once the kernels are there; at once where nobody has begun."""
        if self._has_begun:
            self._is_ready.wait(PATIENCE)

    def _make_ready(self) -> None:
        try:
            subprocess.run([sys.executable, "-c", _COMPILE], check=False)
            warm_up()
        finally:
            self._is_ready.set()
