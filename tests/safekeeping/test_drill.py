"""The drill: a house is copied while people work, lost, and brought back byte by byte."""

import datetime
import io
import os
import threading
from pathlib import Path

import pyrage
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection
from django.utils import timezone
from PIL import Image

from customers.models import Customer
from fittings.models import Photograph
from fittings.safekeeping import archive, databases, services
from tests.factories import CustomerFactory, FittingFactory, GarmentFactory, UserFactory

NOW = datetime.datetime(2026, 11, 25, 18, 0, tzinfo=datetime.UTC)


@pytest.fixture
def lasting(tmp_path, settings):
    """A data folder with its photographs, and a folder for copies."""
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = tmp_path / "data" / "photographs"
    (tmp_path / "copies").mkdir()
    settings.DATA_DIR.mkdir()
    return tmp_path


@pytest.fixture
def house(lasting, either_database):
    """Some customers and a photograph of one of them."""
    return furnish(lasting)


@pytest.fixture
def small(lasting, sqlite_database):
    """The same, where the kind of database makes no difference."""
    return furnish(lasting)


def noise():
    picture = io.BytesIO()
    Image.effect_noise((64, 48), 80).save(picture, "JPEG")
    return picture.getvalue()


def furnish(lasting):
    people = CustomerFactory.create_batch(3)
    fitting = FittingFactory(customer=people[0])
    picture = {"image": "ab/one.jpg", "thumbnail": "ab/two.jpg"}
    for name in picture.values():
        default_storage.save(name, ContentFile(noise()))
    of = {"customer": people[0], "fitting": fitting, "garment": GarmentFactory(customer=people[0])}
    Photograph.objects.bulk_create([Photograph(by=UserFactory(), **of, **picture)])
    return lasting


def rows():
    """Every row of every table, as the database gives them."""
    held = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            cursor.execute(f'SELECT * FROM "{table}"')
            held[table] = sorted(map(repr, cursor.fetchall()))
    return held


def pictures():
    return {path.name: path.read_bytes() for path in Path(default_storage.path("")).rglob("*.jpg")}


def back_up(lasting, **options):
    return services.back_up(lasting / "copies", work=lasting / "data", now=NOW, **options)


def restore(lasting, made, **options):
    return services.restore(made, work=lasting / "data", now=NOW, **options)


def test_house_is_brought_back_row_by_row(house):
    before, shown = rows(), pictures()
    made = back_up(house)
    Customer.objects.update(family_name="Overwritten")
    CustomerFactory.create_batch(2)
    default_storage.delete("ab/one.jpg")

    manifest = restore(house, made, replace=True)

    assert (rows(), pictures()) == (before, shown)
    assert (manifest.rows["customers_customer"], len(manifest.members)) == (3, 3)


def test_restored_house_can_be_worked_on(house):
    restore(house, back_up(house), replace=True)

    CustomerFactory()

    assert Customer.objects.count() == 4
    with pytest.raises(IntegrityError, match="only added to"):
        Photograph.objects.update(caption="Other")


def test_house_that_is_there_is_not_overwritten(house):
    made = back_up(house)
    CustomerFactory()
    before = rows()

    with pytest.raises(services.RefusedError, match="There is a house here already"):
        restore(house, made)

    assert rows() == before


def test_house_replaced_is_kept_beside(house):
    made = back_up(house)
    CustomerFactory(family_name="Latecomer")

    restore(house, made, replace=True)

    (beside,) = (house / "data").glob("before-*")
    assert {path.name for path in beside.iterdir()} > {"photographs"}
    assert not Customer.objects.filter(family_name="Latecomer").exists()


def test_damaged_copy_changes_nothing(house):
    made = back_up(house)
    data = bytearray(made.read_bytes())
    data[len(data) // 2] ^= 1
    made.write_bytes(bytes(data))
    before, shown = rows(), pictures()

    with pytest.raises(archive.DamagedError):
        restore(house, made, replace=True)

    assert (rows(), pictures()) == (before, shown)


def test_copy_of_a_newer_version_is_refused(small):
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('fittings', '9999_x', %s)",
            [timezone.now()],
        )

    with pytest.raises(archive.NewerError, match="fittings 9999_x"):
        restore(small, back_up(small), replace=True)


def test_copy_of_the_other_database_is_refused(small, monkeypatch):
    made = back_up(small)
    monkeypatch.setattr(databases.SqliteKeeper, "engine", "postgresql")

    with pytest.raises(services.RefusedError, match="The file is of sqlite"):
        restore(small, made, replace=True)


def test_sealed_copy_opens_with_its_secret_alone(small):
    identity = pyrage.x25519.Identity.generate()
    made = back_up(small, seal_for=str(identity.to_public()))
    before = rows()

    other = str(pyrage.x25519.Identity.generate())

    with pytest.raises(archive.DamagedError, match="This key does not open it"):
        restore(small, made, secret_key=other, replace=True)
    restore(small, made, secret_key=f"# made today\n{identity}\n", replace=True)

    assert rows() == before
    assert made.read_bytes().startswith(b"age-encryption.org/v1\n")


@pytest.mark.parametrize(("key", "said"), [("", "it is sealed"), ("AGE-SECRET-KEY-1AAAA", "whole")])
def test_sealed_copy_without_its_key_says_so(small, key, said):
    made = back_up(small, seal_for=str(pyrage.x25519.Identity.generate().to_public()))

    with pytest.raises(services.RefusedError, match=f"(?i){said}|sealed"):
        restore(small, made, secret_key=key, replace=True)


def test_no_file_is_left_when_the_key_is_none(small):
    with pytest.raises(services.RefusedError, match="must be a public one"):
        back_up(small, seal_for="AGE-SECRET-KEY-1QQQ")

    assert list((small / "copies").iterdir()) == []
    assert [path.name for path in (small / "data").iterdir()] == ["photographs"]


def test_what_a_killed_copying_left_is_taken_away(small):
    left, going_on = small / "data" / "copy-killed", small / "data" / "copy-now"
    for folder, hours in ((left, 25), (going_on, 1)):
        (folder / "unpacked").mkdir(parents=True)
        (folder / "plain").write_bytes(b"Quillfeather")
        then = (NOW - datetime.timedelta(hours=hours)).timestamp()
        os.utime(folder, (then, then))

    back_up(small)

    assert (left.exists(), going_on.exists()) == (False, True)


def test_photograph_that_is_gone_is_told(small):
    default_storage.delete("ab/two.jpg")

    manifest = restore(small, back_up(small), replace=True)

    assert manifest.missing == ["ab/two.jpg"]


def test_copy_made_while_people_write_is_whole(small):
    stop = threading.Event()

    def write():
        while not stop.is_set():
            CustomerFactory()
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = back_up(small)
    finally:
        stop.set()
        writer.join()
    held = restore(small, made, replace=True).rows

    assert 3 <= held["customers_customer"] == Customer.objects.count()


def test_oldest_copies_go_and_other_files_stay(tmp_path):
    names = [f"ledger-2026-11-{day}T18-00-00Z.tar.gz" for day in (21, 22, 23)]
    for name in [*names, "ledger-notes.txt", "other.tar.gz"]:
        (tmp_path / name).touch()

    gone = services.drop_oldest(tmp_path, keep=2)

    assert [path.name for path in gone] == names[:1]
    assert len(list(tmp_path.iterdir())) == 4


def test_commands_copy_and_bring_back(small, capsys):
    call_command("back_up", str(small / "copies"), "--keep", "5")
    (made,) = (small / "copies").iterdir()
    call_command("restore", str(made), "--replace")

    told = capsys.readouterr().out
    assert "2 picture files" in told
    assert made.stat().st_mode & 0o777 == 0o600


def test_command_says_that_nothing_was_changed(small):
    (small / "copies" / "x.tar.gz").write_bytes(b"no such thing")

    with pytest.raises(CommandError, match=r"Nothing was changed. The file is cut short"):
        call_command("restore", str(small / "copies" / "x.tar.gz"), "--replace")
