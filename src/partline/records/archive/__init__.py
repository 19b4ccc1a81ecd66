"""A whole workshop as one file, there and back.

An archive is a zip of `manifest.json` and one `tables/NAME.jsonl` a table, a row a line, so that
it can be read without Partline in fifty years. A photo's bytes stand in its row, in base 64.
"""

from partline.records.archive.exporting import export_archive
from partline.records.archive.importing import import_archive

__all__ = ["export_archive", "import_archive"]
