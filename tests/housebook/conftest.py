"""An owner with the catalogue before her, and what she may say of it."""

import uuid
from dataclasses import replace

import pytest

from fittings import catalogue
from fittings.catalogue import Change
from fittings.housebook.services import add_to_catalogue, change_catalogue
from tests.factories import UserFactory

ANN = "house: Ann Weir"
ROPE = catalogue.Fault(
    key="house-rope-down-the-sleeve",
    kind="coat",
    zone="sleeve",
    label="Rope down the sleeve",
    sign="A twisted rope of cloth runs down the sleeve.",
    look="From the side, the arm hanging.",
    source=ANN,
    sided=True,
    measure="how far it turns",
)
ROPE_LINK = catalogue.Link(
    cause="sleeve-pitch-back", fault=ROPE.key, strength="usually", source=ANN
)


@pytest.fixture
def owner(client):
    person = UserFactory(role="owner", first_name="Ann", last_name="Weir")
    client.force_login(person)
    return person


@pytest.fixture
def add(owner):
    """Add rows of the house's own: the rope and its link where none are named."""

    def kept(*rows, **values):
        values = {"entry_id": uuid.uuid4(), "why": "Seen often here", "by": owner} | values
        return add_to_catalogue(rows=list(rows or (ROPE, ROPE_LINK)), **values)

    return kept


@pytest.fixture
def change(owner):
    """Change a row by its values, or retire it."""

    def kept(row, *, seen=None, retired=False, first=False, entry_id=None, by=None, **values):
        return change_catalogue(
            entry_id=entry_id or uuid.uuid4(),
            change=Change(replace(row, **values), retired=retired, first=first),
            seen=seen and seen.pk,
            why="The house sees it so",
            by=by or owner,
        )

    return kept
