"""What a database complains of, as a sentence for the maker."""

from __future__ import annotations

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from partline.errors import RecordError, StorageFull

_KEPT = "Nothing was lost: everything saved before is intact, and this change was not kept."
_FULL = f"The disk is full. {_KEPT} Free some space, then save again."
_READ_ONLY = f"The workshop cannot be written to. {_KEPT} Check who may write to its folder."
_FAILING = (
    f"The disk failed while saving. {_KEPT} Check the disk, and copy the workshop elsewhere."
)
_SENTENCES: dict[int, tuple[type[RecordError], str]] = {
    sqlite3.SQLITE_FULL: (StorageFull, _FULL),
    sqlite3.SQLITE_READONLY: (StorageFull, _READ_ONLY),
    sqlite3.SQLITE_IOERR: (StorageFull, _FAILING),
    sqlite3.SQLITE_CANTOPEN: (
        StorageFull,
        "The workshop's file cannot be opened. Check that its folder may be written to.",
    ),
    sqlite3.SQLITE_BUSY: (
        RecordError,
        f"Another program holds the workshop. {_KEPT} Close it there, or try again.",
    ),
    sqlite3.SQLITE_NOTADB: (
        RecordError,
        "This file is not a Partline workshop. Choose another file; this one was left alone.",
    ),
    sqlite3.SQLITE_CORRUPT: (
        RecordError,
        "The workshop's file is damaged. Open the newest backup beside it, or import an archive.",
    ),
}
_OF_FILES = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _READ_ONLY,
    errno.EPERM: _READ_ONLY,
}


#: With less than this free, a failing disk is a full one: the index of a log takes 32 kB. [bytes]
_LITTLE = 100_000


def _is_full(path: Path) -> bool:
    """Whether the disk that holds `path` has no room left."""
    try:
        return shutil.disk_usage(path.parent).free < _LITTLE
    except OSError:  # it may be the disk itself that is gone
        return False


def sentence_for(
    error: sqlite3.Error, path: Path | None = None, *, disk: Path | None = None
) -> RecordError | None:
    """Return what to say about SQLite's own errors; None for a fault of ours."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return None
    found = _SENTENCES.get(code & 0xFF)  # the low byte is the primary code
    if found is None:
        return None
    kind, text = found
    place = disk or path
    if place is not None and text == _FAILING and _is_full(place):
        text = _FULL  # SQLite calls a full disk a failing one where it maps the log's index
    return kind(f"{text} ({path})" if path else text)


@contextmanager
def spoken(path: Path | None = None, *, disk: Path | None = None) -> Iterator[None]:
    """Turn what the disk or the database complains of into a `RecordError`.

    `path` is named in it and answers for every fault of a file; on `disk` only the room left
    is looked for.

    Anything else is a fault of ours and passes unchanged.
    """
    try:
        yield
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error) and (
            said := sentence_for(error.orig, path, disk=disk)
        ):
            raise said from error
        raise
    except sqlite3.Error as error:
        if said := sentence_for(error, path, disk=disk):
            raise said from error
        raise
    except OSError as error:
        if text := _OF_FILES.get(error.errno or 0):
            raise StorageFull(f"{text} ({path})" if path else text) from error
        if path is None:
            raise
        message = f"{path} cannot be used: {error.strerror}. Choose another folder."
        raise RecordError(message) from error
