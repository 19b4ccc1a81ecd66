"""Files that a person can read, there and back: recipes, moulds, benches, shelves, archives."""

from partline.records.exchange.bench import read_bench, write_bench
from partline.records.exchange.document import decode, read_file
from partline.records.exchange.kinds import (
    Content,
    DocumentKind,
    kind_of,
    kind_of_content,
    read_document,
    write_document,
)
from partline.records.exchange.mould import read_mould, write_mould
from partline.records.exchange.recipe import (
    loading_text,
    read_loading,
    read_recipe,
    write_recipe,
)
from partline.records.exchange.shelf import read_shelf, write_shelf

__all__ = [
    "Content",
    "DocumentKind",
    "decode",
    "kind_of",
    "kind_of_content",
    "loading_text",
    "read_bench",
    "read_document",
    "read_file",
    "read_loading",
    "read_mould",
    "read_recipe",
    "read_shelf",
    "write_bench",
    "write_document",
    "write_mould",
    "write_recipe",
    "write_shelf",
]
