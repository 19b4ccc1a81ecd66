"""The demo workshop, and where names and files are looked up."""

from __future__ import annotations

import pytest

from partline.errors import InputError, NotFound
from partline.services.check import check_file
from partline.services.documents import keep_upload
from partline.services.workshop import (
    SHELF,
    Sources,
    data_folder,
    demo_folder,
    demo_texts,
    examples,
    load_demo,
    looks_like_file,
    open_at,
    shelf_near,
    split_version,
)
from tests.process.shed import LESSONS, SHED, demo_path


def test_the_demo_is_loaded_whole_and_only_once(tmp_path):
    with open_at(tmp_path) as workshop:
        load_demo(workshop)
        load_demo(workshop)
        assert workshop.name == "Vessary Shed"
        assert [each.number for each in workshop.recipes.listed()] == [3]
        assert {each.name for each in workshop.moulds.listed()} == {"reed-130", "fry-75"}
        assert len(workshop.benches.listed()) == len(workshop.shelves.listed()) == 1


def test_a_makers_own_workshop_is_never_mixed_with_the_demo(tmp_path):
    with open_at(tmp_path) as workshop:
        keep_upload(workshop, (SHED / "moulds" / "fry-75.toml").read_bytes(), "fry-75.toml")
        load_demo(workshop)
        assert workshop.recipes.listed() == ()
        assert [each.name for each in workshop.moulds.listed()] == ["fry-75"]


def test_what_was_changed_in_the_demo_stays_changed(tmp_path):
    with open_at(tmp_path) as workshop:
        load_demo(workshop)
        text = demo_path(1).read_text("utf-8").replace("3 drops", "4 drops")
        keep_upload(workshop, text.encode(), "mine.toml")
    with open_at(tmp_path) as workshop:
        load_demo(workshop)
        assert workshop.recipes.named("peat-over-chalk").version.number == 4


def test_the_versions_of_the_demo_recipe_come_in_order():
    versions = [text for text in demo_texts() if "peat-over-chalk" in text]
    assert ["version = 1" in versions[0], "version = 3" in versions[-1]] == [True, True]


def test_the_demos_copy_does_not_lie_in_the_makers_own_data():
    assert demo_folder() != data_folder()
    assert demo_folder().parent == data_folder()


def test_the_examples_are_found_beside_the_sources():
    assert (examples() / "vessary-shed" / "bench.toml").is_file()


def test_a_shelf_is_found_beside_a_recipe_or_one_folder_above(tmp_path):
    assert shelf_near(demo_path(1)) is not None
    assert shelf_near(LESSONS / "one-colour.toml") is not None
    assert shelf_near(tmp_path / "a" / "recipe.toml") is None


def test_a_named_shelf_goes_before_the_one_nearby():
    sources = Sources(shelf=LESSONS / "shelf.toml")
    assert [each.name for each in sources.shelf_for(str(demo_path(1))).grades] == ["soft"]
    nearby = Sources().shelf_for(str(demo_path(1)))
    assert [each.name for each in nearby.grades] == ["soft", "medium"]


def test_without_a_shelf_nearby_the_workshops_own_is_used(tmp_path):
    lonely = tmp_path / "recipe.toml"
    lonely.write_bytes(demo_path(1).read_bytes())
    with open_at(tmp_path / "shed") as workshop:
        load_demo(workshop)
    found = Sources(folder=tmp_path / "shed").shelf_for(str(lonely))
    assert found.find("Peat").name == "Peat"
    with pytest.raises(NotFound):
        Sources(folder=tmp_path / "empty").shelf_for(str(lonely))


@pytest.mark.parametrize(
    ("name", "is_file"),
    [
        ("a.toml", True),
        ("./a", True),
        ("c:\\\\a", True),
        ("peat", False),
        ("peat@2", False),
        ("brown/cream", False),
    ],
)
def test_a_name_is_told_from_a_file(name, is_file):
    assert looks_like_file(name) is is_file


def test_a_name_may_say_its_version():
    assert split_version("peat-over-chalk@2") == ("peat-over-chalk", 2)
    assert split_version("peat-over-chalk") == ("peat-over-chalk", None)
    assert split_version("a@b@3") == ("a@b", 3)
    with pytest.raises(InputError, match="no version number"):
        split_version("peat@home")


def test_a_recipe_without_a_shelf_is_checked_as_far_as_it_goes(tmp_path):
    path = tmp_path / "deep" / "er" / "recipe.toml"
    path.parent.mkdir(parents=True)
    path.write_bytes(demo_path(1).read_bytes())
    checked = check_file(path)
    assert checked.kind == "recipe"
    assert any("No shelf was found" in each for each in checked.remarks)


def test_a_mould_without_a_mark_is_not_set_up_yet(tmp_path):
    text = (SHED / "moulds" / "fry-75.toml").read_text("utf-8")
    path = tmp_path / "mould.toml"
    path.write_text(text.replace('bottom_mark = "a red dot"\n', ""), "utf-8")
    assert any("BOTTOM mark" in each for each in check_file(path).remarks)


def test_an_upload_says_where_it_came_from(tmp_path):
    with open_at(tmp_path) as workshop:
        version = keep_upload(workshop, (SHED / "shelf.toml").read_bytes(), "x" * 500)
        assert version.note.startswith("from xxx")
        assert len(version.note) <= 200
        assert workshop.shelves.named(SHELF).version.id == version.id
