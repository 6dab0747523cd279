"""An owner with a house to bring lists into: cuts of each kind, and people who cut."""

import uuid

import pytest

from fittings.bringing import services
from fittings.bringing.writing import write_list
from fittings.lists import Column
from fittings.models import Upload
from tests.bringing.lists import text_of
from tests.factories import CutVersionFactory, UserFactory

ANSWERS = {"unit": "in", "day_order": "", "taken_on": None, "cutter": None}


@pytest.fixture
def owner(client):
    person = UserFactory(role="owner", first_name="Ann", last_name="Weir")
    client.force_login(person)
    for kind in ("coat", "trousers"):
        CutVersionFactory(cut__kind=kind, cut__name="Soft")
    return person


@pytest.fixture
def read(owner):
    """Keep a list, given as rows of cells or as bytes, and check it whole."""

    def checked(rows, *, means=None, **answers):
        content = rows if isinstance(rows, bytes) else text_of(rows).encode()
        upload = services.keep_upload(
            entry_id=uuid.uuid4(), name="old book.csv", content=content, by=owner
        )
        columns = [
            Column(column["heading"], (means or {}).get(at, column["means"]), column["unit"])
            for at, column in enumerate(upload.columns)
        ]
        services.map_columns(upload=upload, columns=columns, answers=ANSWERS | answers)
        while upload.checked < upload.rows:
            upload = services.check_next_rows(upload=upload)
        return upload

    return checked


@pytest.fixture
def bring(read, owner):
    """Bring a list in, whole."""

    def brought(rows, **answers):
        upload = read(rows, **answers)
        return write_list(upload=upload, seen=upload.version, by=owner)

    return brought


@pytest.fixture
def findings():
    """What was found in a list, as (row, column, kind)."""

    def found(upload):
        return [
            (finding["row"], finding["column"], finding["kind"])
            for row in Upload.objects.get(pk=upload.pk).rows_read.all()
            for finding in row.findings
        ]

    return found
