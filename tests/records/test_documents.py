"""Versions of recipes, moulds, benches and shelves: an edit adds one, nothing is ever changed."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from sqlalchemy import delete, update
from sqlalchemy.exc import StatementError
from sqlalchemy.orm.exc import StaleDataError

from partline.errors import EditedElsewhere, InputError, Invalid, NotFound
from partline.records.exchange import DocumentKind
from partline.records.models import DocumentRow, DocumentVersionRow


def more_peat(text: str) -> str:
    assert text.count("3 drops") == 2
    return text.replace("3 drops", "9 drops", 1)


def test_the_text_is_kept_word_for_word_with_its_comments(workshop, recipe_text, now):
    kept = workshop.recipes.add(recipe_text, now=now, note="first try")
    again = workshop.recipes.get(kept.version.document_id)
    assert again == kept
    assert again.version.text == recipe_text
    assert (again.version.number, again.version.note) == (1, "first try")
    assert again.version.created_at == now
    assert again.version.kind is DocumentKind.RECIPE


def test_an_edit_makes_a_new_version_and_leaves_the_old_one(workshop, recipe_text, now):
    first = workshop.recipes.add(recipe_text, now=now).version
    edited = more_peat(recipe_text)
    later = now + timedelta(hours=1)
    second = workshop.recipes.save(
        first.document_id, edited, based_on=1, now=later, note="three times the Peat"
    )
    assert second.version.number == 2
    assert second.content.version == 2  # whatever the text says
    assert workshop.recipes.get(first.document_id) == second
    assert workshop.recipes.get(first.document_id, 1).version.text == recipe_text
    assert [v.number for v in workshop.recipes.history(first.document_id)] == [2, 1]
    assert workshop.recipes.version(first.id).content.version == 1


def test_saving_on_top_of_an_older_version_says_what_is_newer(workshop, recipe_text, now):
    first = workshop.recipes.add(recipe_text, now=now).version
    workshop.recipes.save(
        first.document_id, more_peat(recipe_text), based_on=1, now=now, note="three times"
    )
    with pytest.raises(EditedElsewhere, match=r"version 2 \(“three times”\).*from version 1"):
        workshop.recipes.save(first.document_id, recipe_text + "# mine", based_on=1, now=now)
    assert len(workshop.recipes.history(first.document_id)) == 2


def test_a_file_taken_in_twice_makes_one_version(workshop, recipe_text, now):
    first = workshop.recipes.keep(recipe_text, now=now)
    assert workshop.recipes.keep(recipe_text, now=now + timedelta(days=1)) == first
    assert workshop.recipes.keep(more_peat(recipe_text), now=now).version.number == 2


def test_a_name_is_taken_whatever_its_capitals(workshop, recipe_text, now):
    workshop.recipes.add(recipe_text, now=now)
    shouted = recipe_text.replace('"peat-over-chalk"', '"Peat-Over-CHALK"')
    with pytest.raises(InputError, match="called “peat-over-chalk” already") as refusal:
        workshop.recipes.add(shouted, now=now)
    assert refusal.value.field == "name"
    assert workshop.recipes.named("PEAT-over-chalk").version.number == 1


def test_a_rename_keeps_the_history_and_cannot_take_anothers_name(workshop, recipe_text, now):
    first = workshop.recipes.add(recipe_text, now=now).version
    renamed = recipe_text.replace('"peat-over-chalk"', '"dark-over-chalk"')
    workshop.recipes.save(first.document_id, renamed, based_on=1, now=now)
    assert workshop.recipes.named("dark-over-chalk").version.number == 2
    assert [v.name for v in workshop.recipes.history(first.document_id)] == [
        "dark-over-chalk",
        "peat-over-chalk",
    ]
    other = workshop.recipes.add(recipe_text, now=now).version  # the old name is free again
    with pytest.raises(InputError, match="already"):
        workshop.recipes.save(other.document_id, renamed, based_on=1, now=now)


def test_a_name_with_markup_and_quotes_is_kept_as_it_is(workshop, recipe_text, now):
    name = """'; DROP TABLE plan; -- <img src=x> "#x" 100 % _"""
    text = recipe_text.replace('"peat-over-chalk"', f"'''{name}'''")
    workshop.recipes.add(text, now=now)
    assert workshop.recipes.named(name).content.name == name


def test_what_is_hidden_is_kept_and_comes_back(workshop, recipe_text, now):
    kept = workshop.recipes.add(recipe_text, now=now).version
    workshop.recipes.hide(kept.document_id, now=now)
    assert workshop.recipes.listed() == ()
    assert [v.id for v in workshop.recipes.listed(hidden=True)] == [kept.id]
    assert workshop.recipes.get(kept.document_id).version.is_hidden
    with pytest.raises(InputError, match="It is hidden"):
        workshop.recipes.add(recipe_text, now=now)
    workshop.recipes.unhide(kept.document_id)
    assert [v.id for v in workshop.recipes.listed()] == [kept.id]


def test_kinds_do_not_mix(workshop, recipe_text, now):
    kept = workshop.recipes.add(recipe_text, now=now).version
    with pytest.raises(NotFound, match="No mould has the code"):
        workshop.moulds.get(kept.document_id)
    with pytest.raises(NotFound, match="No version of a mould"):
        workshop.moulds.version(kept.id)
    with pytest.raises(Invalid, match="This mould has"):
        workshop.moulds.add(recipe_text, now=now)
    assert workshop.moulds.listed() == ()


def test_what_is_not_there_is_said(workshop, recipe_text, now):
    with pytest.raises(NotFound, match="No bench is kept under the name “garage”"):
        workshop.benches.named("garage")
    kept = workshop.recipes.add(recipe_text, now=now).version
    with pytest.raises(NotFound, match="has one version; there is no 7"):
        workshop.recipes.get(kept.document_id, 7)


def test_a_faulty_edit_is_refused_before_anything_is_kept(workshop, recipe_text, now):
    kept = workshop.recipes.add(recipe_text, now=now).version
    with pytest.raises(Invalid):
        workshop.recipes.save(
            kept.document_id, recipe_text.replace("3 drops", "-3 drops"), based_on=1, now=now
        )
    assert len(workshop.recipes.history(kept.document_id)) == 1


def test_the_list_shows_the_newest_version_of_each_by_name(workshop, plan):
    assert [(v.name, v.number) for v in workshop.recipes.listed()] == [("peat-over-chalk", 3)]
    assert [v.name for v in workshop.moulds.listed()] == ["fry-75", "reed-130"]


def test_no_version_can_be_changed_or_removed(workshop, recipe_text, now):
    workshop.recipes.add(recipe_text, now=now)
    with (
        pytest.raises(TypeError, match="never changed"),
        workshop.database.writing() as session,
    ):
        session.query(DocumentVersionRow).one().text = "other"
    with (
        pytest.raises(TypeError, match="never changed"),
        workshop.database.writing() as session,
    ):
        session.delete(session.query(DocumentVersionRow).one())
    for statement in (update(DocumentVersionRow).values(text="other"), delete(DocumentVersionRow)):
        with (
            pytest.raises(TypeError, match="never changed"),
            workshop.database.writing() as session,
        ):
            session.execute(statement)
    assert workshop.recipes.named("peat-over-chalk").version.text == recipe_text


def test_a_time_without_a_zone_is_refused(workshop, recipe_text):
    with pytest.raises(StatementError, match="no time zone"):
        workshop.recipes.add(recipe_text, now=datetime(2026, 3, 1))  # noqa: DTZ001  # the point
    assert workshop.recipes.listed() == ()


def test_times_come_back_in_utc_from_any_zone(workshop, recipe_text, now):
    there = now.astimezone(timezone(timedelta(hours=5, minutes=45)))
    kept = workshop.recipes.add(recipe_text, now=there).version
    read = workshop.recipes.get(kept.document_id).version.created_at
    assert (read, read.utcoffset()) == (now, timedelta(0))


def test_a_document_moved_on_meanwhile_is_found_out_on_any_database(workshop, recipe_text, now):
    """PostgreSQL lets two edits read the same version; the second update then finds no row."""
    kept = workshop.recipes.add(recipe_text, now=now).version
    moved_on = update(DocumentRow).values(latest=2)
    with workshop.database.writing() as session:
        document = session.get(DocumentRow, kept.document_id)
        session.execute(moved_on, execution_options={"synchronize_session": False})
        document.latest += 1
        with pytest.raises(StaleDataError):
            session.flush()
        session.rollback()


def test_several_are_added_together_or_not_at_all(workshop, recipe_text, now):
    texts = [recipe_text.replace('"peat-over-chalk"', f'"peat-{n}"') for n in (1, 2, 3)]
    kept = workshop.recipes.add_all(texts, now=now)
    assert [each.version.name for each in kept] == ["peat-1", "peat-2", "peat-3"]
    again = [recipe_text.replace('"peat-over-chalk"', '"peat-4"'), texts[0]]
    with pytest.raises(InputError, match="already"):
        workshop.recipes.add_all(again, now=now)
    assert [each.name for each in workshop.recipes.listed()] == ["peat-1", "peat-2", "peat-3"]
