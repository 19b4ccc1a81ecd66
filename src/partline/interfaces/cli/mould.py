"""`partline mould`: one mould shown, its photos listed, a photo of it added."""

from __future__ import annotations

from pathlib import Path

from partline.interfaces.cli.speak import say, say_json
from partline.interfaces.cli.workshop import show_mould
from partline.services.photos import add_photo_file, photo_as_json, photo_kind
from partline.services.workshop import looks_like_file, open_at, split_version


def tell_mould(
    name: str, folder: Path | None, photo: Path | None, shows: str, *, as_json: bool
) -> None:
    """Show a mould, or keep a photo of one that is kept in the workshop."""
    if photo is not None:
        _keep_photo(name, folder, photo, shows, as_json=as_json)
        return
    show_mould(name, folder, as_json=as_json)
    if not as_json and not looks_like_file(name):
        _list_photos(name, folder)


def _keep_photo(name: str, folder: Path | None, photo: Path, shows: str, *, as_json: bool) -> None:
    kind = photo_kind(shows)
    title, _ = split_version(name)
    with open_at(folder) as workshop:
        document_id = workshop.moulds.named(title).version.document_id
        kept = add_photo_file(workshop, document_id, kind, photo)
    if as_json:
        say_json(photo_as_json(kept))
    else:
        say(f"Kept as photo {kept.id} of “{title}”: {kept.kind.words}, {kept.size / 1e6:.1f} MB.")


def _list_photos(name: str, folder: Path | None) -> None:
    title, _ = split_version(name)
    with open_at(folder) as workshop:
        document_id = workshop.moulds.named(title).version.document_id
        photos = workshop.photos.listed(document_id)
    for each in photos:
        say(
            f"Photo {each.id}: {each.kind.words}, {each.name or 'without a name'}, "
            f"{each.size / 1e6:.1f} MB, {each.created_at:%Y-%m-%d %H:%M} UTC"
        )
