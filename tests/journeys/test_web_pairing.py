"""Devices on the network: let in by a one-time code, over a restart, turned away at will."""

from __future__ import annotations

import asyncio
import re
import stat
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from partline.interfaces.web import create_app
from partline.interfaces.web.pairing import COOKIE, GOOD_FOR, MOST_CODES, Pairing
from partline.services.workshop import open_at

NOW = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
PHONE = "192.168.1.20"
CALLED = "http://bench.test:8437"


@dataclass
class Device:
    """A browser somewhere, with the cookies it was given."""

    app: Any
    client: str
    host: str
    cookies: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, address: str, **more: Any) -> httpx.Response:
        async def asking() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, client=(self.client, 50_000))
            async with httpx.AsyncClient(
                transport=transport, base_url=self.host, cookies=self.cookies
            ) as client:
                return await client.request(method, address, **more)

        answer = asyncio.run(asking())
        self.cookies.update(answer.cookies)
        return answer


@pytest.fixture
def pairing(tmp_path: Path) -> Pairing:
    return Pairing(tmp_path / "devices.key", ["bench.test"])


@pytest.fixture
def app(tmp_path: Path, pairing: Pairing):
    with open_at(tmp_path / "shed") as workshop:
        yield create_app(workshop, pairing=pairing)


@pytest.fixture
def home(app) -> Device:
    return Device(app, "127.0.0.1", "http://127.0.0.1:8437")


@pytest.fixture
def phone(app) -> Device:
    return Device(app, PHONE, CALLED)


def scanned(home: Device) -> str:
    """The address that the code on the screen says."""
    page = home.ask("GET", "/devices").text
    found = re.search(r"<code>http://bench\.test:8437(/join\?code=[^<]+)</code>", page)
    assert found is not None
    return found[1]


def let_in(phone: Device, address: str) -> httpx.Response:
    page = phone.ask("GET", address)
    assert page.status_code == 200
    action = re.search(r'action="(/join\?token=[^"]+)"', page.text)
    assert action is not None
    code = address.partition("code=")[2]
    return phone.ask("POST", action[1], data={"code": code})


def test_a_phone_is_turned_away_until_it_brings_a_code(home, phone):
    refused = phone.ask("GET", "/")
    assert refused.status_code == 403
    assert "has not been let in" in refused.text
    assert phone.ask("GET", "/static/style.css").status_code == 200
    address = scanned(home)
    assert let_in(phone, address).status_code == 303
    assert phone.ask("GET", "/").status_code == 200


def test_a_code_lets_one_device_in_and_a_preview_of_its_link_does_not_use_it_up(app, home, phone):
    address = scanned(home)
    assert phone.ask("GET", address).status_code == 200  # a messenger's preview
    assert let_in(phone, address).status_code == 303
    other = Device(app, "192.168.1.21", CALLED)
    again = let_in(other, address)
    assert again.status_code == 422
    assert "used already" in again.text
    assert other.ask("GET", "/").status_code == 403


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(home, phone):
    header = let_in(phone, scanned(home)).headers["set-cookie"].lower()
    assert "httponly" in header
    assert "samesite=strict" in header


def test_a_device_that_was_let_in_cannot_let_others_in(home, phone):
    let_in(phone, scanned(home))
    assert phone.ask("GET", "/devices").status_code == 403


def test_calling_itself_by_this_machines_name_opens_no_door(app):
    """Anyone may write any Host; and another site may point a name of its own at this machine."""
    liar = Device(app, PHONE, "http://127.0.0.1:8437")
    assert liar.ask("GET", "/").status_code == 403
    rebound = Device(app, "127.0.0.1", "http://elsewhere.test:8437")
    assert rebound.ask("GET", "/").status_code == 400
    known_name = Device(app, "127.0.0.1", CALLED)
    assert known_name.ask("GET", "/").status_code == 403


def test_a_made_up_cookie_opens_no_door(phone, pairing):
    for value in ("", ".", "device.", "device.0000", f"device.{'0' * 64}", "dé.vice"):
        assert not pairing.knows(value)
    phone.cookies = {COOKIE: f"device.{'0' * 64}"}
    assert phone.ask("GET", "/").status_code == 403


def test_a_device_stays_in_over_a_restart_and_is_gone_when_all_are_turned_away(tmp_path, pairing):
    cookie = pairing.redeem(pairing.offer(NOW), NOW)
    assert cookie is not None
    restarted = Pairing(tmp_path / "devices.key", ["bench.test"])
    assert restarted.knows(cookie)
    waiting = restarted.offer(NOW)
    restarted.turn_all_away()
    assert not restarted.knows(cookie)
    assert restarted.redeem(waiting, NOW) is None
    assert not Pairing(tmp_path / "devices.key", []).knows(cookie)


def test_turning_all_away_is_one_press_on_this_machine(home, phone):
    let_in(phone, scanned(home))
    page = home.ask("GET", "/devices").text
    action = re.search(r'action="(/devices/away\?token=[^"]+)"', page)
    assert action is not None
    assert home.ask("POST", action[1]).status_code == 303
    assert phone.ask("GET", "/").status_code == 403


def test_a_code_grows_old_and_only_the_newest_wait(pairing):
    old = pairing.offer(NOW)
    assert pairing.redeem(old, NOW + GOOD_FOR) is None
    first, *others = [pairing.offer(NOW + timedelta(seconds=n)) for n in range(MOST_CODES + 1)]
    assert pairing.redeem(first, NOW) is None
    assert all(pairing.redeem(code, NOW) is not None for code in others)


def test_the_secret_is_readable_by_its_owner_alone(tmp_path, pairing):
    assert stat.S_IMODE((tmp_path / "devices.key").stat().st_mode) == 0o600


def test_without_being_asked_the_program_answers_this_machine_alone(tmp_path):
    with open_at(tmp_path / "shed") as workshop:
        app = create_app(workshop)
        home = Device(app, "127.0.0.1", "http://127.0.0.1:8437")
        assert "--let-in" in home.ask("GET", "/devices").text
        assert home.ask("GET", "/join").status_code == 404
        assert Device(app, PHONE, CALLED).ask("GET", "/").status_code == 400
