"""Serve the web app on this machine and say when it is ready."""

from __future__ import annotations

import os
import socket
import webbrowser
from pathlib import Path

import uvicorn

from partline.errors import InputError
from partline.interfaces.cli.speak import say
from partline.services.workshop import data_folder, demo_folder

#: The web app is named, not imported: the two doors do not know each other. NOTE: its factory,
#: `partline.interfaces.web.app.from_environment`, reads the two variables set here.
APPLICATION = "partline.interfaces.web.app:from_environment"
LOOPBACK = "127.0.0.1"


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


def _listening(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except (OSError, OverflowError) as error:
        listener.close()
        raise InputError(
            f"Port {port} on this machine cannot be used: {error}.",
            field="port",
            given=str(port),
            remedy="Name another one with --port, or 0 for any free one.",
        ) from error
    return listener


def _serve(folder: Path, *, is_demo: bool, port: int, open_browser: bool) -> None:
    listener = _listening(port)
    os.environ["PARTLINE_WORKSHOP"] = str(folder)
    os.environ["PARTLINE_DEMO"] = "1" if is_demo else ""
    config = uvicorn.Config(APPLICATION, factory=True, log_level="warning", server_header=False)
    config.load()
    address = f"http://{LOOPBACK}:{listener.getsockname()[1]}/"
    _Announced(config, address, open_browser=open_browser).run(sockets=[listener])


def serve_demo(*, folder: Path | None, port: int, open_browser: bool) -> None:
    """Serve the demo workshop; it is made on the first call and kept."""
    _serve(folder or demo_folder(), is_demo=True, port=port, open_browser=open_browser)


def serve_workshop(*, folder: Path | None, port: int, open_browser: bool) -> None:
    """Serve the maker's workshop."""
    _serve(folder or data_folder(), is_demo=False, port=port, open_browser=open_browser)
