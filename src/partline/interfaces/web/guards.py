"""What every request passes: size, origin and token on the way in, content policy on the way out.

Written as plain ASGI, so that a body is counted while it streams and never held whole.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable, MutableMapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from partline.records import photos

#: Largest body of any request: a document is at most 256 kB, an archive or a photo more. [bytes]
LARGEST_BODY = 300_000
LARGEST_ARCHIVE = 200_000_000
ARCHIVE_PATH = "/keeping/import"
PHOTO_PATH = re.compile(
    r"/moulds/[0-9A-Z]{12}/photos|/runs/[0-9A-Z]{1,20}/photos(?:/measured)?|/shelf/chip-photos"
)
#: What a phone kept while it could not send: 500 taps, the longest about 1.5 kB each. [bytes]
LARGEST_QUEUE = 1_000_000
QUEUE_PATH = re.compile(r"/runs/[0-9A-Z]{1,20}/events")

#: Everything comes from this machine; nothing inline, nothing framed.
POLICY = (
    "default-src 'none'; img-src 'self' blob:; style-src 'self'; script-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
NOT_OURS = (
    "This program does not answer to the address that was asked for. On its own machine open the "
    "address that it printed; a phone or tablet needs the one on the page “Devices”."
)
TOKEN_HEADER = "x-partline-token"


class Refused(HTTPException):
    """A request that is turned away, with its status and a sentence.

    NOTE: of this class because the framework lets no other pass while it reads a body.
    """

    def __init__(self, status: HTTPStatus, sentence: str) -> None:
        super().__init__(status_code=status, detail=sentence)


def new_token() -> str:
    """Return a fresh token for one run of the server."""
    return secrets.token_urlsafe(24)


class Guards:
    """ASGI middleware.

    Parameters
    ----------
    app : ASGIApp
        What is guarded.
    token : str
        That every request which changes something must carry, in a header or a form's field.
    hosts : sequence of str
        Names that this machine is called by; another site may point a name of its own here.
    """

    def __init__(self, app: ASGIApp, *, token: str, hosts: Sequence[str]) -> None:
        self.app = app
        self.token = token
        self.hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Guard one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        try:
            self._check_host(headers)
            self._check_origin(scope, headers)
            limit = _limit(scope)
            _check_length(headers, limit)
            await self.app(scope, _counted(receive, limit), _with_headers(send))
        except Refused as refusal:
            await _refuse(send, refusal)

    def _check_host(self, headers: Headers) -> None:
        if headers.get("host", "").partition(":")[0] not in self.hosts:
            raise Refused(HTTPStatus.BAD_REQUEST, NOT_OURS)

    def _check_origin(self, scope: Scope, headers: Headers) -> None:
        if scope["method"] in SAFE_METHODS:
            return
        site = headers.get("sec-fetch-site", "same-origin")
        if site not in {"same-origin", "none"}:
            raise Refused(HTTPStatus.FORBIDDEN, "This came from another site and was not done.")
        # Browsers of before say where a form comes from in this header alone.
        origin = headers.get("origin")
        if origin is not None and origin.partition("://")[2] != headers.get("host", ""):
            raise Refused(HTTPStatus.FORBIDDEN, "This came from another site and was not done.")
        given = headers.get(TOKEN_HEADER, "")
        form_token = scope.get("query_string", b"").decode("latin-1").partition("token=")[2]
        if not any(
            secrets.compare_digest(each.encode(), self.token.encode())
            for each in (given, form_token)
        ):
            raise Refused(
                HTTPStatus.FORBIDDEN,
                "This page is older than the running program. Reload it, then try again.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """How much a request may carry.

    Parameters
    ----------
    most : int
        [bytes]
    sentence : callable
        What to say of more: of so many bytes, or of None where nobody said how many.
    """

    most: int
    sentence: Callable[[int | None], str]

    def refusal(self, size: int | None = None) -> Refused:
        """Return the refusal of a body above the limit."""
        return Refused(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, self.sentence(size))


def _limit(scope: Scope) -> Limit:
    """Return the limit of one address: an archive and a photo are larger than a document."""
    path = scope["path"]
    if path == ARCHIVE_PATH:
        return Limit(most=LARGEST_ARCHIVE, sentence=_archive_too_large)
    if scope["method"] == "POST" and PHOTO_PATH.fullmatch(path):
        return Limit(most=photos.LARGEST_PHOTO, sentence=lambda size: str(photos.too_large(size)))
    if scope["method"] == "POST" and QUEUE_PATH.fullmatch(path):
        return Limit(most=LARGEST_QUEUE, sentence=_queue_too_large)
    return Limit(most=LARGEST_BODY, sentence=_too_large)


def _archive_too_large(_: int | None) -> str:
    return (
        f"That is larger than {LARGEST_ARCHIVE / 1e6:,.0f} MB, the most that a page takes. "
        "Nothing was changed. Take the archive in with “partline import” instead."
    )


def _queue_too_large(_: int | None) -> str:
    return (
        f"That is larger than {LARGEST_QUEUE / 1000:,.0f} kB, the most that one request of a run "
        "takes. Nothing of it was kept; send fewer events at a time."
    )


def _too_large(_: int | None) -> str:
    return (
        f"That is larger than {LARGEST_BODY / 1000:,.0f} kB, the most that is taken here. A "
        "recipe, mould, bench or shelf is a small text file. Nothing was changed."
    )


def _check_length(headers: Headers, limit: Limit) -> None:
    length = headers.get("content-length", "0")
    if not (length.isascii() and length.isdigit()):
        raise limit.refusal()
    if int(length[:20]) > limit.most:
        raise limit.refusal(int(length[:20]))


def _counted(receive: Receive, limit: Limit) -> Receive:
    taken = 0

    async def counting() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > limit.most:
            raise limit.refusal()
        return message

    return counting


def _with_headers(send: Send) -> Send:
    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return sending


async def _refuse(send: Send, refusal: Refused) -> None:
    body = refusal.detail.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        *((name.lower().encode(), value.encode()) for name, value in HEADERS.items()),
    ]
    await send({"type": "http.response.start", "status": refusal.status_code, "headers": headers})
    await send({"type": "http.response.body", "body": body})
