"""Serve the web app on this machine and say when it is ready."""

from __future__ import annotations

import os
import socket
import webbrowser
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from partline.errors import InputError, OutOfRange
from partline.interfaces.cli.speak import say
from partline.services.workshop import data_folder, demo_folder

#: The web app is named, not imported: the two doors do not know each other. NOTE: its factory,
#: `partline.interfaces.web.app.from_environment`, reads the variables set here.
APPLICATION = "partline.interfaces.web.app:from_environment"
LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # only where the maker asked
LAST_PORT = 65_535
OTHER_PORT = "Name another one with --port, or 0 for any free one."
#: Never reached: asking which way leads there tells this machine's own address. RFC 5737.
ELSEWHERE = ("192.0.2.1", 9)


def _names_on_network(names: Sequence[str]) -> list[str]:
    """Return what this machine is called on the network: as told, else its address there."""
    if names:
        return list(names)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(ELSEWHERE)  # sends nothing
            return [str(asked.getsockname()[0])]
        except OSError:
            message = "This machine is on no network that a phone could reach it by."
            raise InputError(
                message,
                field="let-in",
                remedy="Join the network first, or name the machine with --called.",
            ) from None


class _Announced(uvicorn.Server):
    """A server that says where it is once it answers."""

    def __init__(self, config: uvicorn.Config, address: str, *, open_browser: bool) -> None:
        super().__init__(config)
        self._address = address
        self._open_browser = open_browser

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then announce."""
        await super().startup(sockets)
        if self.started:
            say(f"READY {self._address}")
            if self._open_browser:
                webbrowser.open(self._address)


def _listening(address: str, port: int) -> socket.socket:
    if not 0 <= port <= LAST_PORT:
        raise OutOfRange(
            f"Port {port} was given; ports are numbered 0 to {LAST_PORT}.",
            low=0, high=LAST_PORT, field="port", given=str(port), remedy=OTHER_PORT,
        )  # fmt: skip
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
    except OSError as error:
        listener.close()
        raise InputError(
            f"Port {port} on this machine cannot be used: {error.strerror}.",
            field="port",
            given=str(port),
            remedy=OTHER_PORT,
        ) from error
    return listener


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Who may come in.

    Parameters
    ----------
    port : int
        On this machine; 0 for a free one.
    lets_in : bool
        Whether devices on the network are let in, each with a one-time code.
    names : tuple of str
        What this machine is called there; its address when empty.
    opens_browser : bool
        Whether a browser is opened here.
    """

    port: int
    lets_in: bool = False
    names: tuple[str, ...] = ()
    opens_browser: bool = True


def _serve(folder: Path, *, is_demo: bool, door: Door) -> None:
    names = _names_on_network(door.names) if door.lets_in or door.names else []
    listener = _listening(EVERYWHERE if names else LOOPBACK, door.port)
    os.environ["PARTLINE_WORKSHOP"] = str(folder)
    os.environ["PARTLINE_DEMO"] = "1" if is_demo else ""
    os.environ["PARTLINE_LET_IN"] = ",".join(names)
    config = uvicorn.Config(APPLICATION, factory=True, log_level="warning", server_header=False)
    config.load()
    address = f"http://{LOOPBACK}:{listener.getsockname()[1]}/"
    _Announced(config, address, open_browser=door.opens_browser).run(sockets=[listener])


def serve_demo(folder: Path | None, door: Door) -> None:
    """Serve the demo workshop; it is made on the first call and kept."""
    _serve(folder or demo_folder(), is_demo=True, door=door)


def serve_workshop(folder: Path | None, door: Door) -> None:
    """Serve the maker's workshop."""
    _serve(folder or data_folder(), is_demo=False, door=door)
