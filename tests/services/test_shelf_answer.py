"""The shelf's list says which of a supply's figures nobody has read from its label."""

from dataclasses import replace

from partline.records.exchange import read_file, read_shelf
from partline.services.shelf import shelf_as_json
from partline.services.workshop import examples


def demo_shelf():
    return read_shelf(read_file(examples() / "vessary-shed" / "shelf.toml"))


def test_a_guessed_band_is_told_as_a_guess():
    shelf = demo_shelf()
    guessed = replace(shelf.grades[0], guesses=("band", "ceiling"))
    (soft, *_) = shelf_as_json(replace(shelf, grades=(guessed,)))
    assert soft["guesses"] == ["band", "ceiling"]
    assert "Guessed, read the label: band, ceiling" in str(soft["summary"])


def test_a_read_label_is_told_without_a_word_of_guessing():
    for supply in shelf_as_json(demo_shelf()):
        assert supply["guesses"] == []
        assert "uessed" not in str(supply["summary"])
