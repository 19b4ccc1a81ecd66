"""The web app on a fixed port, opened to the names that are given: FOLDER PORT [NAME …].

A name other than localhost is no secure context to a browser, as a phone on the workshop's own
network meets it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import uvicorn

from partline.interfaces.web.app import HOSTS, create_app
from partline.services.workshop import open_at


def main(folder: str, port: str, *names: str) -> None:
    """Serve until killed."""
    app = create_app(open_at(Path(folder)), is_demo=True, hosts=(*HOSTS, *names))
    uvicorn.run(app, host="127.0.0.1", port=int(port), log_level="warning", server_header=False)


if __name__ == "__main__":
    main(*sys.argv[1:])
