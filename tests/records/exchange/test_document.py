"""What a document may be at all: its size, its characters, its TOML, its kind."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import Error, InputError, NotFound
from partline.records.exchange import (
    DocumentKind,
    decode,
    kind_of,
    kind_of_content,
    read_document,
    read_file,
    write_document,
)
from partline.records.exchange.document import LARGEST

EXAMPLES = Path(__file__).parents[3] / "examples"


#: What happened in the demo's runs is no document.
DOCUMENTS = sorted(each for each in EXAMPLES.rglob("*.toml") if each.parent.name != "runs")


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_every_example_is_read_and_comes_back_exactly(path):
    content = read_document(read_file(path))
    again = write_document(content)
    assert kind_of(again) is kind_of_content(content)
    assert read_document(again) == content


def test_the_four_kinds_are_told_apart():
    shed = EXAMPLES / "vessary-shed"
    kinds = {
        "bench.toml": DocumentKind.BENCH,
        "shelf.toml": DocumentKind.SHELF,
        "moulds/fry-75.toml": DocumentKind.MOULD,
        "recipes/peat-over-chalk-1.toml": DocumentKind.RECIPE,
    }
    assert {name: kind_of(read_file(shed / name)) for name in kinds} == kinds


@pytest.mark.parametrize("text", ["", "x = 1", 'name = "x"', "[back]\n[vessel]\n"])
def test_a_document_of_no_kind_is_asked_what_it_is(text):
    with pytest.raises(InputError, match="cannot be told") as refusal:
        read_document(text)
    assert "A mould has cavities" in refusal.value.remedy


def test_a_gigabyte_is_refused_without_being_read(tmp_path):
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        os.truncate(file.fileno(), 1_000_000_000)  # a hole: takes no room, and reads as zeros
    with pytest.raises(InputError, match="1,000,000 kB"):
        read_file(path)


def test_a_file_that_never_ends_is_refused():
    with pytest.raises(InputError, match="not a file"):
        read_file(Path("/dev/zero"))


def test_a_document_just_too_large_is_refused_as_text_too():
    with pytest.raises(InputError, match="at most 256 kB"):
        read_document("#" * (LARGEST + 1))


def test_a_missing_file_is_not_found(tmp_path):
    with pytest.raises(NotFound, match=r"no file .*gone\.toml"):
        read_file(tmp_path / "gone.toml")


def test_text_in_another_encoding_says_the_line():
    with pytest.raises(InputError, match="line 2") as refusal:
        decode('name = "x"\nroom = "22 °C"\n'.encode("latin-1"))
    assert "UTF-8" in refusal.value.remedy


def test_an_editors_mark_at_the_beginning_does_no_harm():
    assert decode(b"\xef\xbb\xbfname = 'x'") == "name = 'x'"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = 1\nwidth = 11 mm\n", "Line 2 (“width = 11 mm”)"),
        ('a = "open\n', "a quotation mark is not closed"),
        ("a = “open”\n", "straight quotes"),
        ("a = 0,35\n", "the decimal mark as a full stop"),
        ("a = [1, 2\n", "end of the document"),
        ("a = 1\na = 2\n", "Line 2 (“a = 2”) cannot be read as TOML: this key stands twice"),
        ("a = \x00\n", "Line 1"),
        ('a = "\x1b[31m"\n', "Line 1"),
        ("a = " + "[" * 5000, "nested too deeply"),
        ("a = " + "9" * 5000, "cannot be read"),
    ],
)
def test_broken_toml_is_a_sentence_with_its_line(text, says):
    with pytest.raises(InputError) as refusal:
        read_document(text, DocumentKind.RECIPE)
    assert says in str(refusal.value)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_on_purpose(text):
    for kind in DocumentKind:
        with contextlib.suppress(Error):
            read_document(text, kind)


WORDS = """name version back belly whole grade blend load supply per_100_g wanted hiding handling
start cavities bait_mass stations outline position width vessel capacity colourant drop value low
high origin absorption shape height place spread"""
keys = st.sampled_from(WORDS.split())
leaves = (
    st.none().map(lambda _: "") | st.text(max_size=8) | st.integers() | st.booleans()
    | st.floats() | st.sampled_from(["3 drops", "12 mm", "7 %", "163 °C", "round", "level"])
)  # fmt: skip
trees = st.dictionaries(
    keys,
    st.recursive(
        leaves,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=4),
    ),
    max_size=6,
)


@given(trees)
def test_any_tree_of_known_words_is_read_or_refused_on_purpose(tree):
    text = tomli_w.dumps(tree)
    for kind in DocumentKind:
        with contextlib.suppress(Error):
            read_document(text, kind)
