"""Keep a document that came as a file."""

from __future__ import annotations

from partline.records.documents import Version
from partline.records.exchange import decode
from partline.records.workshop import Workshop
from partline.services.workshop import keep_text


def keep_upload(workshop: Workshop, content: bytes, filename: str) -> Version:
    """Keep a file as a new document, or as the next version of the one of its name.

    Raises
    ------
    Invalid
        With every fault of the document.
    InputError
        If it is no document at all.
    """
    return keep_text(workshop, decode(content, filename), note=f"from {filename}"[:200])
