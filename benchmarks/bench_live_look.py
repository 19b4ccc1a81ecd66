"""From a moved amount to new pictures: the whole round trip of the recipe page.

Claim: at most 100 ms at the 95th percentile, over HTTP on this machine, with a fresh amount each
time, whatever stands behind the pictures; the server makes no table meanwhile. In water each view
is drawn twice. The last row takes the same walk in a real browser, from the slider's event to the
last of the four pictures decoded.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import httpx

ROUNDS = 60
SCENES = {"air": {"turn": "60"}, "lake": {"around": "lake", "depth": "1 m"}}
LOOK = re.compile(r'name="partline-token" content="([^"]+)"')
CHROMIUM = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
WAIT_FOR_PICTURES = """
(amount) => new Promise((done) => {
  const input = document.querySelector('[data-path="back.load[0].per_100_g"]');
  const images = [...document.querySelectorAll('#views img')].filter((i) => i.offsetParent);
  const started = performance.now();
  let left = images.length;
  for (const image of images) {
    image.addEventListener('load', () => { if (--left === 0) done(performance.now() - started); },
      { once: true });
  }
  input.value = amount;
  input.dispatchEvent(new Event('input', { bubbles: true }));
})
"""


def percentile(times: list[float], share: float) -> float:
    """Return a percentile of times. [ms]"""
    return statistics.quantiles(times, n=100)[round(share) - 1]


def report(name: str, times: list[float]) -> None:
    """Print a line."""
    middle, high = percentile(times, 50), percentile(times, 95)
    print(f"{name:<34} median {middle:6.1f} ms   95th {high:6.1f} ms   of {len(times)}")


def over_http(address: str, scene: dict[str, str]) -> tuple[str, list[float]]:
    """Time POST /look with a new amount each round; quality, and times. [ms]"""
    views = 4 if scene.get("around", "air") == "air" else 8
    with httpx.Client(base_url=address, timeout=60) as client:
        page = client.get("/").text
        token = LOOK.search(page)
        recipe = re.search(r'href="/recipes/([0-9A-Z]+)"', page)
        mould = re.search(r'href="/moulds/([0-9A-Z]+)">reed', page)
        bench = re.search(r'href="/bench/([0-9A-Z]+)"', page)
        if not (token and recipe and mould and bench):
            raise SystemExit("The start page does not show the demo workshop.")
        headers = {"X-Partline-Token": token.group(1), "Accept": "application/json"}
        side = {"blend": [{"grade": "soft", "share": "100 %"}]}
        times, quality = [], ""
        for step in range(ROUNDS + 5):
            back = [
                {"supply": "Peat", "per_100_g": f"{3 + 0.1 * step:.1f} drops"},
                {"supply": "Penny", "per_100_g": "0.25 g"},
            ]
            belly = [
                {"supply": "Chalk", "per_100_g": "5 drops"},
                {"supply": "Rind", "per_100_g": "3 drops"},
            ]
            asked = {
                "fields": {
                    "name": "peat-over-chalk",
                    "hiding": "0.90",
                    "sides": [
                        {"half": "back", **side, "loadings": back},
                        {"half": "belly", **side, "loadings": belly},
                    ],
                },
                "mould": mould.group(1),
                "bench": bench.group(1),
                "count": "40",
                "scene": scene,
            }
            started = time.perf_counter()
            answer = client.post("/look", json=asked, headers=headers)
            answer.raise_for_status()
            told = json.loads(answer.content)
            quality = str(told["scene"]["quality"])
            if len(told["pictures"]) != views:
                raise SystemExit(f"{views} pictures were expected.")
            if step >= 5:  # the first rounds load kernels and the mould's lines of sight
                times.append(1e3 * (time.perf_counter() - started))
        return quality, times


def in_browser(address: str, chromium: str) -> list[float]:
    """Time from the input event to the last picture shown, in a real browser. [ms]"""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=CHROMIUM)
        page = browser.new_page(viewport={"width": 1366, "height": 820})
        page.goto(address)
        page.goto(address + (page.locator(".card-link").first.get_attribute("href") or "")[1:])
        page.locator("#station-rows tr").first.wait_for()
        times = []
        for step in range(ROUNDS + 3):
            took = page.evaluate(WAIT_FOR_PICTURES, f"{3 + 0.1 * step:.1f} drops")
            page.wait_for_timeout(30)
            if step >= 3:
                times.append(float(took))
        browser.close()
    return times


def main() -> None:
    """Serve the demo workshop from a fresh folder and time it."""
    with tempfile.TemporaryDirectory() as folder:
        program = Path(sys.executable).with_name("partline")
        command = [str(program), "demo", "--no-open", "--port", "0", "--workshop", folder]
        environment = os.environ | {"PARTLINE_MAKE_TABLES": "no"}
        with subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env=environment
        ) as server:
            try:
                line = server.stdout.readline() if server.stdout else ""
                address = line.split()[1]
                for name, scene in SCENES.items():
                    quality, times = over_http(address, scene)
                    report(f"POST /look, {name}, {quality}", times)
                if chromium := shutil.which("chromium"):
                    report("slider to pictures, in Chromium", in_browser(address, chromium))
            finally:
                server.terminate()


if __name__ == "__main__":
    main()
