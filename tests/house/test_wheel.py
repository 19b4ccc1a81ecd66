"""A wheel in an empty environment is a whole Partline."""

import os
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
UV = Path(sys.executable).with_name("uv")
#: A cold environment is unpacked and its modules are compiled on the first start. [s]
PATIENCE = 90


def run(*command: str | Path) -> None:
    done = subprocess.run([*map(str, command)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the `partline` of an environment that holds the wheel and what it needs."""
    folder = tmp_path_factory.mktemp("wheel")
    run(UV, "build", "--wheel", "--python", sys.executable, "--out-dir", folder, ROOT)
    (wheel,) = folder.glob("*.whl")
    run(UV, "venv", "--python", sys.executable, folder / "env")
    python = folder / "env" / "bin" / "python"
    run(UV, "pip", "install", "--python", python, "-r", ROOT / "requirements.lock")
    run(UV, "pip", "install", "--python", python, "--no-deps", wheel)
    return python.with_name("partline")


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_an_installed_wheel_runs_the_demo_with_nothing_else(
    installed: Path, tmp_path: Path
) -> None:
    # From a folder of its own and without this checkout on the path.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    command = [str(installed), "demo", "--no-open", "--port", "0", "--workshop", "here"]
    with subprocess.Popen(
        command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            assert server.stdout is not None
            started = time.monotonic()
            line = server.stdout.readline()
            assert time.monotonic() - started < PATIENCE
            assert line.startswith("READY http://127.0.0.1:")
            with urllib.request.urlopen(line.split()[1], timeout=30) as page:
                assert "peat-over-chalk" in page.read().decode()
        finally:
            server.terminate()
