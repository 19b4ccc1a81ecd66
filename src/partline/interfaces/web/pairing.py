"""Letting a phone in: a one-time code from the screen, then a cookie that outlives a restart.

Without it the program answers this machine alone. With it, whoever is on the same network can
knock, and is let in only with a code that was shown on this machine a few minutes ago.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from ipaddress import ip_address
from pathlib import Path
from threading import Lock

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from partline.interfaces.web.guards import Refused

COOKIE = "partline-device"
#: A code is good for one device and for this long.
GOOD_FOR = timedelta(minutes=10)
#: Codes that may wait at once; more than that nobody is scanning.
MOST_CODES = 20
#: Of the secret that cookies are signed with. [bytes]
SECRET = 32
#: Reached without a cookie: the door itself, and what its page is drawn with.
OUTSIDE = ("/join", "/static/")
NOT_LET_IN = (
    "This device has not been let in. On the machine that runs Partline open Devices and scan "
    "the code there."
)


class Pairing:
    """Who is let in.

    Parameters
    ----------
    file : Path
        Keeps the secret that cookies are signed with, readable by its owner alone; made when it
        is not there. It never travels with an archive.
    names : sequence of str
        What this machine is called on the network, the first one shown to scan.
    """

    def __init__(self, file: Path, names: Sequence[str]) -> None:
        self.names = tuple(names)
        self._file = file
        self._lock = Lock()
        self._codes: dict[str, datetime] = {}
        self._secret = self._read()

    def _read(self) -> bytes:
        if self._file.is_file():
            kept = self._file.read_bytes()
            if len(kept) == SECRET:
                return kept
        return self._renew()

    def _renew(self) -> bytes:
        secret = secrets.token_bytes(SECRET)
        unfinished = self._file.with_name(self._file.name + ".part")
        unfinished.unlink(missing_ok=True)
        unfinished.touch(mode=0o600)
        unfinished.write_bytes(secret)
        unfinished.replace(self._file)
        return secret

    def offer(self, now: datetime) -> str:
        """Return a new one-time code."""
        code = secrets.token_urlsafe(16)
        with self._lock:
            good = {each: until for each, until in self._codes.items() if until > now}
            newest = sorted(good, key=good.__getitem__)[-(MOST_CODES - 1) :]
            self._codes = {each: good[each] for each in newest}
            self._codes[code] = now + GOOD_FOR
        return code

    def redeem(self, code: str, now: datetime) -> str | None:
        """Take a code and return the cookie's value; None where the code is not good any more."""
        with self._lock:
            until = self._codes.pop(code, None)
        if until is None or until <= now:
            return None
        device = secrets.token_urlsafe(12)
        return f"{device}.{self._sign(device)}"

    def knows(self, cookie: str) -> bool:
        """Whether a cookie was given out and not taken back."""
        device, _, signature = cookie.rpartition(".")
        return bool(device) and hmac.compare_digest(
            signature.encode(), self._sign(device).encode()
        )

    def turn_all_away(self) -> None:
        """Take back every cookie and every code."""
        with self._lock:
            self._codes = {}
            self._secret = self._renew()

    def _sign(self, device: str) -> str:
        return hmac.new(self._secret, device.encode(), hashlib.sha256).hexdigest()


def is_at_home(scope: Scope, home: Sequence[str]) -> bool:
    """Whether a request comes from this machine and calls it by one of its own names.

    Both are asked, since anyone on the network may write any name, and a page of another site
    may reach this machine by a name of its own.
    """
    client = scope.get("client")
    name = Headers(scope=scope).get("host", "").rpartition(":")[0] or Headers(scope=scope).get(
        "host", ""
    )
    try:
        from_here = client is not None and ip_address(client[0]).is_loopback
    except ValueError:
        from_here = client is not None and client[0] in ("testclient", "localhost")
    return from_here and name in home


class Door:
    """ASGI middleware that lets nobody from the network in without a cookie.

    Parameters
    ----------
    app : ASGIApp
        What lies behind it.
    pairing : Pairing
        Who is let in.
    home : sequence of str
        Names by which this machine calls itself.
    """

    def __init__(self, app: ASGIApp, *, pairing: Pairing, home: Sequence[str]) -> None:
        self.app = app
        self.pairing = pairing
        self.home = tuple(home)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let one request in, or turn it away."""
        if scope["type"] == "http" and not self._may_pass(scope):
            raise Refused(HTTPStatus.FORBIDDEN, NOT_LET_IN)
        await self.app(scope, receive, send)

    def _may_pass(self, scope: Scope) -> bool:
        path: str = scope["path"]
        if path == OUTSIDE[0] or path.startswith(OUTSIDE[1]):
            return True
        if is_at_home(scope, self.home):
            return True
        return not path.startswith("/devices") and self.pairing.knows(_cookie(scope))


def _cookie(scope: Scope) -> str:
    try:
        jar = SimpleCookie(Headers(scope=scope).get("cookie", ""))
    except CookieError:
        return ""
    return jar[COOKIE].value if COOKIE in jar else ""
