"""The files of the photographs, wherever Django's storage keeps them.

Only the storage's own methods are used, so that several servers may share one on a network. Where
it is a folder of this machine, all of it is moved at once.
"""

import datetime
import shutil
from collections.abc import Iterator
from pathlib import Path

from django.core.files import File
from django.core.files.storage import default_storage
from django.utils import timezone

from fittings.models import Photograph


class TakenError(Exception):
    """A name that is to come back is in use."""


def names(folder: str = "") -> Iterator[str]:
    """Every file below ``folder``."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        yield f"{folder}{name}"
    for inner in sorted(folders):
        yield from names(f"{folder}{inner}/")


def set_aside(folder: Path) -> None:
    """Move all of them into ``folder``, which is not there yet."""
    try:
        here = Path(default_storage.path(""))
    except NotImplementedError:
        _carry_away(folder)
    else:
        if here.exists():
            shutil.move(here, folder)


def _carry_away(folder: Path) -> None:
    gone = list(names())
    for name in gone:
        to = folder / name
        to.parent.mkdir(parents=True, exist_ok=True)
        with default_storage.open(name) as picture, to.open("xb") as kept:
            shutil.copyfileobj(picture, kept)
    # Only when every one of them is safe.
    for name in gone:
        default_storage.delete(name)


def bring_back(folder: Path) -> None:
    """Keep every file of ``folder`` under its name. TakenError: one is there already."""
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        name = path.relative_to(folder).as_posix()
        with path.open("rb") as picture:
            kept = default_storage.save(name, File(picture))
        if kept != name:
            raise TakenError(f"A photograph {name} was there already.")


def leftovers(*, older_than: datetime.timedelta) -> list[str]:
    """Files that no photograph names: their entry was never made, since the server died.

    Those younger than ``older_than`` may belong to an entry that is being made just now.
    """
    found = [name for name in names() if _age(name) > older_than]
    pairs = Photograph.objects.values_list("image", "thumbnail")
    named = {name for pair in pairs for name in pair}
    return [name for name in found if name not in named]


def _age(name: str) -> datetime.timedelta:
    return timezone.now() - default_storage.get_modified_time(name)
