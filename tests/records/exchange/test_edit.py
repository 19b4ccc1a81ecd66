"""An edited document keeps what was not touched: words, order, comments, ranges."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError
from partline.records.exchange import read_bench, read_mould
from partline.records.exchange.edit import Entry, close_document, open_document, put, typed
from tests.process.shed import SHED

BENCH = (SHED / "bench.toml").read_text("utf-8")
MOULD = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
SHELF = (SHED / "shelf.toml").read_text("utf-8")


def edited(text: str, key: str, entry: Entry, words: str) -> str:
    document = open_document(text)
    put(document, key, entry, words)
    return close_document(document)


@pytest.mark.parametrize("text", [BENCH, MOULD, SHELF], ids=["bench", "mould", "shelf"])
def test_a_document_that_is_only_opened_and_closed_stays_word_for_word(text):
    assert close_document(open_document(text)) == text


def test_an_edit_changes_its_own_line_and_no_other():
    after = edited(BENCH, "block.loss", Entry.AMOUNT, "14 g")
    changed = [
        (old, new)
        for old, new in zip(BENCH.splitlines(), after.splitlines(), strict=True)
        if old != new
    ]
    assert len(changed) == 1
    assert changed[0][1].startswith('loss = "14 g"')
    assert changed[0][1].endswith("# a shot, both sides together")


def test_a_new_key_of_the_document_stands_above_its_tables():
    after = edited(MOULD, "note", Entry.WORDS, "two lines\nof it")
    assert tomllib.loads(after)["note"] == "two lines\nof it"
    assert len(read_mould(after).stations) == 3


def test_what_a_field_shows_written_back_changes_nothing():
    document = open_document(BENCH)
    for key in ("oven.share", "syringes.preheat", "name", "thermometer.emissivity"):
        assert not put(document, key, Entry.AMOUNT, typed(document, key))
    assert close_document(document) == BENCH


def test_a_blank_takes_the_key_away_and_its_table_with_the_last():
    document = open_document(BENCH)
    put(document, "oven.power", Entry.AMOUNT, "")
    assert "share" in close_document(document)
    put(document, "oven.share", Entry.AMOUNT, " ")
    assert "[oven]" not in close_document(document)
    assert read_bench(close_document(document)).oven is None


def test_a_value_with_its_doubt_becomes_a_range():
    loss = read_bench(edited(BENCH, "block.loss", Entry.AMOUNT, "14 g ± 1.5 g, n = 6")).block_loss
    assert (loss.low, loss.value, loss.high) == (0.0125, 0.014, 0.0155)
    assert (loss.origin.value, loss.count) == ("measured", 6)


def test_a_doubt_without_a_count_is_entered_not_measured():
    loss = read_bench(edited(BENCH, "block.loss", Entry.AMOUNT, "14 +/- 2 g")).block_loss
    assert (loss.low, loss.high, loss.origin.value) == (0.012, 0.016, "entered")


@pytest.mark.parametrize("words", ["14 mg ± 1 g", "14 ± g", "± 3 g", "14 g ± 1 g, n = x"])
def test_a_doubt_that_cannot_be_read_is_refused_not_guessed(words):
    with pytest.raises(InputError, match="Loss"):
        read_bench(edited(BENCH, "block.loss", Entry.AMOUNT, words))


@settings(deadline=None)  # no timed assertions
@given(
    value=st.decimals(0, 10_000, places=3, allow_nan=False),
    off=st.decimals("0.001", 10, places=3, allow_nan=False),
    count=st.integers(1, 500),
)
def test_a_range_is_shown_as_it_was_typed(value, off, count):
    document = open_document("")
    words = f"{value.normalize():f} ± {off.normalize():f} g, n = {count}"
    put(document, "x", Entry.AMOUNT, words)
    assert typed(document, "x") == words
    assert not put(document, "x", Entry.AMOUNT, words)


@pytest.mark.parametrize(
    ("words", "value"), [("4", 4), (".35", 0.35), ("1,5", "1,5"), ("nan", "nan"), ("four", "four")]
)
def test_a_number_is_written_as_one_only_where_it_is_one(words, value):
    after = tomllib.loads(edited("", "position", Entry.NUMBER, words))
    assert after["position"] == value
