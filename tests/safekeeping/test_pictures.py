"""Photographs wherever Django's storage keeps them, and the files that belong to none."""

import datetime
import os
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.utils import timezone

from fittings.models import Photograph
from fittings.safekeeping import pictures, services
from tests.safekeeping.test_drill import furnish, rows

DAY = datetime.timedelta(days=1)
ELSEWHERE = {"BACKEND": "tests.safekeeping.elsewhere.Elsewhere"}


@pytest.fixture
def elsewhere(tmp_path, settings, sqlite_database):
    """A house whose photographs lie in no folder of this machine."""
    settings.DATA_DIR = tmp_path / "data"
    settings.STORAGES = settings.STORAGES | {"default": ELSEWHERE}
    for folder in ("data", "copies"):
        (tmp_path / folder).mkdir()
    return furnish(tmp_path)


def shown():
    held = {}
    for name in pictures.names():
        with default_storage.open(name) as picture:
            held[name] = picture.read()
    return held


def test_photographs_kept_elsewhere_are_brought_back(elsewhere):
    work, before = {"work": elsewhere / "data", "now": timezone.now()}, (rows(), shown())
    made = services.back_up(elsewhere / "copies", **work)
    default_storage.delete("ab/one.jpg")
    default_storage.save("cd/late.jpg", ContentFile(b"late"))

    services.restore(made, replace=True, **work)

    (beside,) = (elsewhere / "data").glob("before-*")
    assert (rows(), shown()) == before
    assert sorted(before[1]) == ["ab/one.jpg", "ab/two.jpg"]
    assert (beside / "photographs/cd/late.jpg").read_bytes() == b"late"


def test_name_that_is_taken_is_not_brought_back(elsewhere, tmp_path):
    (tmp_path / "in/ab").mkdir(parents=True)
    (tmp_path / "in/ab/one.jpg").write_bytes(b"other")

    with pytest.raises(pictures.TakenError, match=r"ab/one\.jpg was there already"):
        pictures.bring_back(tmp_path / "in")


@pytest.fixture
def house(tmp_path, settings, sqlite_database):
    settings.DATA_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "photographs"
    return furnish(tmp_path)


def keep(name, days):
    default_storage.save(name, ContentFile(b"x"))
    then = (timezone.now() - days * DAY).timestamp()
    os.utime(default_storage.path(name), (then, then))


def test_files_of_no_photograph_are_told_then_deleted(house, capsys):
    keep("ab/lost.jpg", days=2)
    keep("ab/lost.jpg.part", days=2)
    keep("ab/just-now.jpg", days=0)

    call_command("leftover_pictures")
    told = capsys.readouterr().out
    call_command("leftover_pictures", "--delete")

    assert told.splitlines() == [
        "ab/lost.jpg",
        "ab/lost.jpg.part",
        "2 picture files that no photograph names found; --delete takes them away.",
    ]
    assert sorted(pictures.names()) == ["ab/just-now.jpg", "ab/one.jpg", "ab/two.jpg"]


def test_old_photograph_is_no_leftover(house):
    for path in Path(default_storage.path("")).rglob("*.jpg"):
        os.utime(path, (0, 0))

    assert (pictures.leftovers(older_than=DAY), Photograph.objects.count()) == ([], 1)
