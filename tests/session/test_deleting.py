"""Deleted for good: off the disk, never shown again, and still on record that it was taken."""

import io
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import IntegrityError

from fittings.models import Photograph, PhotographDeletion
from fittings.session.queries import photographs_on_disk
from fittings.session.services.photographs import (
    delete_photographs,
    record_photograph,
    strike_photograph,
)
from tests.factories import ConsentFactory, CustomerFactory, UserFactory
from tests.session.test_photographs import picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def disk(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def take(disk, fitting, coat, fitter):
    ConsentFactory(customer=fitting.customer, by=fitter)
    about = {"fitting": fitting, "garment": coat, "by": fitter}
    return lambda: record_photograph(entry_id=uuid.uuid4(), upload=picture(), **about)


def delete(*rows, by, entry_id=None):
    asked = {"reason": "Asked to", "by": by, "entry_id": entry_id or uuid.uuid4()}
    return delete_photographs(photographs=rows, **asked)


def files(folder):
    return sorted(path.name for path in folder.rglob("*.jpg"))


def test_photograph_and_thumbnail_leave_the_disk(take, fitter, tmp_path):
    gone, kept = take(), take()

    delete(gone, by=fitter)

    names = {kept.image.name, kept.thumbnail.name}
    assert set(files(tmp_path)) == {name.rpartition("/")[2] for name in names}


def test_entry_of_deleted_photograph_stays_struck(take, fitter):
    gone = take()

    (deletion,) = delete(gone, by=fitter)

    assert Photograph.objects.get(pk=gone.pk).struck_by.void
    assert (deletion.photograph, deletion.by, deletion.reason) == (gone, fitter, "Asked to")


def test_deletion_itself_cannot_be_taken_away(take, fitter):
    delete(take(), by=fitter)

    with pytest.raises(IntegrityError, match="only added to"):
        PhotographDeletion.objects.all().delete()


def test_struck_photograph_can_be_deleted_too(take, fitter, tmp_path):
    struck = take()
    strike_photograph(entry_id=uuid.uuid4(), photograph=struck, by=fitter)

    delete(struck, by=fitter)

    assert (files(tmp_path), Photograph.objects.count()) == ([], 2)


def test_deleted_twice_is_deleted_once(take, fitter):
    gone = take()
    first = delete(gone, by=fitter)

    assert delete(gone, by=UserFactory(role="owner")) == first


def test_tap_used_for_another_photograph_is_refused(take, fitter):
    tap = uuid.uuid4()
    delete(take(), by=fitter, entry_id=tap)
    kept = take()

    with pytest.raises(ValidationError, match="already used"):
        delete(kept, by=fitter, entry_id=tap)

    assert Photograph.objects.standing().get() == kept


def test_files_a_crash_left_go_at_the_next_asking(take, fitter, tmp_path):
    gone = take()
    delete(gone, by=fitter)
    default_storage.save(gone.image.name, io.BytesIO(b"left"))

    delete(gone, by=fitter)

    assert files(tmp_path) == []


def test_disk_that_keeps_its_files_is_said_and_nothing_marked(take, fitter, monkeypatch):
    kept = take()

    def refuse(*_):
        raise PermissionError("read-only")

    monkeypatch.setattr(FileSystemStorage, "delete", refuse)
    with pytest.raises(ValidationError, match="does not let a photograph go"):
        delete(kept, by=fitter)

    assert (PhotographDeletion.objects.count(), Photograph.objects.standing().get()) == (0, kept)


@pytest.fixture
def page(customer):
    return f"/fitting/photographs/of/{customer.number}/delete/"


def sent(*rows, **changed):
    chosen = [str(row.pk) for row in rows]
    return {"entry_id": uuid.uuid4(), "photographs": chosen, "reason": "Asked to"} | changed


def test_page_deletes_what_was_chosen(client, take, page, customer):
    gone, kept = take(), take()

    answer = client.post(page, sent(gone, sure="on"), follow=True)

    assert list(photographs_on_disk(customer)) == [kept]
    assert "Deleted for good: 1." in answer.content.decode()
    assert client.get(gone.get_absolute_url()).status_code == 404


@pytest.mark.parametrize(
    ("changed", "said"),
    [({}, "nothing brings them back"), ({"sure": "on", "photographs": []}, "Choose the")],
)
def test_page_unsure_deletes_nothing(client, take, page, changed, said):
    kept = take()

    answer = client.post(page, sent(kept, **changed))

    assert (answer.status_code, said in answer.content.decode()) == (422, True)
    assert list(photographs_on_disk(kept.customer)) == [kept]


def test_photograph_of_another_customer_is_no_choice(client, take, customer):
    theirs = take()
    other = CustomerFactory()

    answer = client.post(f"/fitting/photographs/of/{other.number}/delete/", sent(theirs, sure="on"))

    assert (answer.status_code, list(photographs_on_disk(customer))) == (422, [theirs])


@pytest.mark.parametrize("count", [1, 3])
def test_page_asks_the_same_whatever_is_kept(client, take, page, count, django_assert_num_queries):
    rows = [take() for _ in range(2 * count)]
    delete(*rows[count:], by=rows[0].by)

    with django_assert_num_queries(6):
        client.get(page)
