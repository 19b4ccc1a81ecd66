"""Machine code is kept by the content of its source, where the user's things are kept."""

import os
import subprocess
import sys
from pathlib import Path

# What decides where the user's cache lies, on any system.
CACHE_HOMES = ("XDG_CACHE_HOME", "HOME", "LOCALAPPDATA")

KERNEL = """
from partline.numerics.compiled import compiled

kernel = compiled(__file__)


@kernel
def answer(x):
    return x * {factor}
"""


def _run(folder: Path, factor: int, cache: Path) -> str:
    file = folder / "some_kernel.py"
    file.write_text(KERNEL.format(factor=factor), encoding="utf-8")
    os.utime(file, (1e9, 1e9))  # same time and size: what numba alone takes for the same source
    environment = {
        **os.environ,
        **dict.fromkeys(CACHE_HOMES, str(cache)),
        "PYTHONPATH": str(folder),
    }
    environment.pop("NUMBA_CACHE_DIR", None)
    command = [sys.executable, "-B", "-c", "import some_kernel as k; print(k.answer(2))"]
    return subprocess.run(
        command, env=environment, capture_output=True, text=True, check=True
    ).stdout.strip()


def test_a_changed_kernel_is_never_taken_from_the_cache(tmp_path):
    cache = tmp_path / "cache"
    assert _run(tmp_path, 3, cache) == "6"
    assert _run(tmp_path, 5, cache) == "10"
    (kernels,) = cache.rglob("kernels")
    assert len(list(kernels.iterdir())) == 2  # a folder for each content
    assert not list(tmp_path.glob("__pycache__"))


def test_without_a_place_to_write_kernels_still_work(tmp_path):
    blocked = tmp_path / "a-file"
    blocked.write_text("not a folder", encoding="utf-8")
    assert _run(tmp_path, 7, blocked) == "14"
