"""The web app in this process, over a workshop of its own."""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass
from typing import Any

import httpx
from fastapi import FastAPI

from partline.interfaces.web import create_app
from partline.records.workshop import Workshop

Json = dict[str, Any]
HERE = "http://127.0.0.1:8437"
AS_JSON = {"Accept": "application/json"}


@dataclass(frozen=True)
class Client:
    """Requests to an application in this process, one after the other.

    Its own faults come back as pages, as they would in a browser.
    """

    app: FastAPI

    def ask(self, method: str, address: str, **more: Any) -> httpx.Response:
        async def asking() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url=HERE) as client:
                return await client.request(method, address, **more)

        return asyncio.run(asking())

    def get(self, address: str, **more: Any) -> httpx.Response:
        return self.ask("GET", address, **more)

    def post(self, address: str, **more: Any) -> httpx.Response:
        return self.ask("POST", address, **more)


@dataclass(frozen=True)
class Site:
    """A browser's view of a workshop."""

    client: Client
    workshop: Workshop

    @classmethod
    def over(cls, workshop: Workshop) -> Site:
        return cls(client=Client(create_app(workshop, is_demo=True)), workshop=workshop)

    def token(self) -> str:
        """What a page carries, as a script reads it from there."""
        found = re.search(r'name="partline-token" content="([^"]+)"', self.get("/").text)
        assert found is not None
        return found[1]

    def get(self, address: str, **more: Any) -> httpx.Response:
        return self.client.get(address, **more)

    def post(self, address: str, body: Any, **headers: str) -> httpx.Response:
        """As the page's script does it."""
        sent = {"X-Partline-Token": self.token(), **AS_JSON, **headers}
        return self.client.post(address, json=body, headers=sent)

    def upload(self, address: str, name: str, content: bytes) -> httpx.Response:
        """As a form does it."""
        return self.client.post(
            f"{address}?token={self.token()}",
            files={"file": (name, content)},
        )

    def id_of(self, kind: str, name: str) -> str:
        """Code of a kept document."""
        store = getattr(self.workshop, kind)
        return str(store.named(name).version.document_id)

    def question(self, shown: Any, **more: Any) -> Json:
        """What the editor asks for a recipe as it stands."""
        from partline.services.recipes import fields_of

        return {
            "fields": fields_of(shown),
            "mould": self.id_of("moulds", "reed-130"),
            "bench": self.id_of("benches", "Vessary Shed"),
            "count": "40",
            **more,
        }

    def planned(self, version: int = 3, count: str = "40") -> str:
        """Make a plan of a kept version and return its code."""
        asked = {
            "recipe": self.id_of("recipes", "peat-over-chalk"),
            "version": version,
            "mould": self.id_of("moulds", "reed-130"),
            "bench": self.id_of("benches", "Vessary Shed"),
            "count": count,
        }
        answer = self.post("/plans", asked)
        assert answer.status_code == 200, answer.text
        return str(answer.json()["code"])
