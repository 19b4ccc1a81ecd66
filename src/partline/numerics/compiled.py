"""Compiled kernels and where their machine code is kept.

An installed package may lie in a folder nobody can write to, and numba recognises a stale entry
only by the time and size of its source, which two releases can share. So the machine code goes
to the user's cache, into a folder named after the content of the kernel file: a changed kernel
is a new folder. Kernels that call each other must therefore stand in one file.

``NUMBA_CACHE_DIR`` set by the user wins. Where nothing can be written, kernels are compiled
anew in each process; nothing else changes.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, cast

import numba
from platformdirs import user_cache_path

Function = TypeVar("Function", bound=Callable[..., object])

# Sums keep their order (no "reassoc"), so that a result does not depend on the processor's width.
_FAST = {"contract", "nsz", "arcp"}


def compiled(file: str, *, inlined: bool = False) -> Callable[[Function], Function]:
    """Return a decorator that compiles the kernels of one file and keeps their machine code.

    Parameters
    ----------
    file : str
        The kernel file's own ``__file__``.
    inlined : bool
        True for the smallest parts, which cost less than a call.

    Returns
    -------
    decorate : callable
        Turns a function into a kernel that runs without the interpreter's lock.
    """
    folder = _folder(file)
    settings = vars(numba.config)

    def decorate(function: Function) -> Function:
        chosen_by_user = settings["CACHE_DIR"]
        settings["CACHE_DIR"] = chosen_by_user or str(folder)
        try:
            jit = numba.njit(
                nogil=True,
                cache=bool(chosen_by_user) or _is_writable(folder),
                error_model="numpy",
                fastmath=_FAST,
                forceinline=inlined,
            )
            return cast("Function", jit(function))
        finally:
            settings["CACHE_DIR"] = chosen_by_user

    return decorate


def has_machine_code(file: str) -> bool:
    """Return whether the kernels of a file were compiled on this machine before.

    Parameters
    ----------
    file : str
        The kernel file's own ``__file__``.
    """
    folder = Path(vars(numba.config)["CACHE_DIR"] or _folder(file))
    return any(folder.rglob(f"{Path(file).stem}.*.nbi"))


def _folder(file: str) -> Path:
    content = hashlib.blake2b(Path(file).read_bytes(), digest_size=8).hexdigest()
    return user_cache_path("partline", appauthor=False) / "kernels" / content


def _is_writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK)
