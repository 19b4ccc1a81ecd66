"""What an archive says about itself, so that a damaged or newer one is known at once."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from zipfile import ZipFile, ZipInfo

from partline.errors import NewerDatabase, RecordError

FORMAT = "partline workshop"
MANIFEST = "manifest.json"
#: Counts up when the archive itself, not the tables in it, is laid out anew.
LAYOUT = 1
#: Largest manifest and largest whole of rows without photos. [bytes]
LARGEST_MANIFEST, LARGEST = 1_000_000, 1_000_000_000
#: Photos hardly pack: in base 64 they unpack to 1.4 times their size, a trap to a thousand times.
MOST_UNPACKED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class TableEntry:
    """One table of an archive.

    Parameters
    ----------
    rows : int
        How many.
    sha256 : str
        Of the table's file.
    """

    rows: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What an archive holds.

    Parameters
    ----------
    schema : str
        Last migration step of the workshop it was made from.
    program : str
        Version of Partline that made it.
    created_at : str
        When, in UTC, ISO 8601.
    tables : dict of str to TableEntry
        By name.
    """

    schema: str
    program: str
    created_at: str
    tables: dict[str, TableEntry]

    def to_json(self) -> str:
        """Return the manifest's text."""
        return json.dumps({"format": FORMAT, "layout": LAYOUT, **asdict(self)}, indent=2)


def file_of(table: str) -> str:
    """Return the name of a table's file in an archive."""
    return f"tables/{table}.jsonl"


def damaged(what: str) -> RecordError:
    """Return the refusal of an archive that is not as it was written."""
    return RecordError(
        f"This archive is damaged: {what}. Nothing was taken in. Copy it again from where it "
        "was made, or choose an older one."
    )


def read_manifest(archive: ZipFile) -> Manifest:
    """Return what an archive says about itself; refuse one that cannot be taken in.

    Raises
    ------
    RecordError
        If it is none, too large, or holds other files than it says.
    NewerDatabase
        If a later Partline laid it out.
    """
    entries = archive.infolist()
    names = [entry.filename for entry in entries]
    if MANIFEST not in names:
        raise RecordError("This file is not a Partline archive: it has no manifest.")
    _check_sizes(entries)
    try:
        raw = json.loads(archive.read(MANIFEST))
        if raw["format"] != FORMAT:
            raise RecordError("This file is not a Partline archive.")
        if raw["layout"] > LAYOUT:
            message = "This archive was made by a later Partline. Install that one to take it in."
            raise NewerDatabase(message)
        manifest = Manifest(
            schema=str(raw["schema"]),
            program=str(raw["program"]),
            created_at=str(raw["created_at"]),
            tables={
                str(name): TableEntry(rows=int(entry["rows"]), sha256=str(entry["sha256"]))
                for name, entry in raw["tables"].items()
            },
        )
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
        raise damaged("its manifest cannot be read") from None
    if sorted(names) != sorted([MANIFEST, *map(file_of, manifest.tables)]):
        raise damaged("it does not hold the files that its manifest lists")
    return manifest


def _check_sizes(entries: list[ZipInfo]) -> None:
    """Refuse what would grow beyond all measure when it is unpacked."""
    total = sum(entry.file_size for entry in entries)
    manifest = max(entry.file_size for entry in entries if entry.filename == MANIFEST)
    packed = sum(entry.compress_size for entry in entries)
    most = max(LARGEST, MOST_UNPACKED * packed)
    if total > most or manifest > LARGEST_MANIFEST:
        raise RecordError(
            f"This archive would unpack to {total / 1e6:,.0f} MB; a workshop of its size is at "
            f"most {most / 1e6:,.0f} MB. Nothing was taken in."
        )
    if any(entry.flag_bits & 0x1 for entry in entries):
        raise RecordError("This archive is locked with a password. Unlock it first.")
