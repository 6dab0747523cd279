"""What the owner says of the catalogue: kept by version, checked whole, seen by every process."""

import uuid
from dataclasses import replace

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from customers.versions import ChangedMeanwhileError
from fittings import catalogue
from fittings.catalogue import Cause, Remedy
from fittings.housebook.queries import house_book, house_catalogue, one_book
from fittings.housebook.services import put_back_as_shipped
from fittings.models import CatalogueEntry
from tests.factories import UserFactory
from tests.housebook.conftest import ANN, ROPE, ROPE_LINK

pytestmark = pytest.mark.django_db
SHIPPED = catalogue.load()
STANDS_OFF = SHIPPED.fault("collar-stands-off")
TWIST = Cause(
    key="house-lining-twisted",
    name="Lining twisted",
    kinds=("coat",),
    where="making",
    words="The lining turns the sleeve.",
    source=ANN,
)
TWIST_REMEDY = Remedy(
    cause=TWIST.key, kind="coat", operation="release-lining", seam="lining", source=ANN
)


@pytest.fixture
def put_back(owner):
    def kept(row, seen, **values):
        said = {"entry_id": uuid.uuid4(), "why": "It was right", "by": owner} | values
        name = ("fault", row.key)
        return put_back_as_shipped(name=name, seen=seen and seen.pk, **said)

    return kept


def sentences(refused):
    return refused.value.messages


def test_house_without_changes_goes_by_the_shipped_catalogue():
    assert house_catalogue() is SHIPPED
    assert house_book().version == "shipped"


def test_added_fault_is_in_the_house_catalogue(add):
    rows = add()

    assert house_catalogue() == SHIPPED.with_changes(
        [catalogue.Change(ROPE), catalogue.Change(ROPE_LINK)]
    )
    assert [(row.table, row.number, row.by.first_name) for row in rows] == [
        ("fault", 1, "Ann"),
        ("link", 2, "Ann"),
    ]


def test_cause_comes_with_its_link_and_remedy(add):
    add(TWIST, replace(ROPE_LINK, cause=TWIST.key, fault="sleeve-drags-in-front"), TWIST_REMEDY)

    offers = house_catalogue().remedies_of(TWIST.key, "coat")
    assert [row.operation for row in offers] == ["release-lining"]


def test_versions_of_a_row_follow_each_other(change):
    one = change(STANDS_OFF, label="Gapes", source=ANN)
    two = change(STANDS_OFF, label="Gapes behind", source=ANN, seen=one)

    assert (two.strikes, two.number) == (one, 2)
    assert house_catalogue().fault_label(STANDS_OFF.key) == "Gapes behind"
    assert house_book().version == "house 2"


def test_second_person_is_told_of_the_first(change):
    first = change(STANDS_OFF, label="Gapes", source=ANN)

    with pytest.raises(ChangedMeanwhileError) as clash:
        change(STANDS_OFF, label="Stands away", source=ANN)

    assert clash.value.row == first
    assert CatalogueEntry.objects.count() == 1


def test_retired_fault_is_not_offered_but_named(change):
    change(STANDS_OFF, retired=True)

    book = house_catalogue()
    assert STANDS_OFF.key not in book.fault_by_key
    assert book.fault_label(STANDS_OFF.key) == STANDS_OFF.label


def test_retired_row_is_taken_up_again(change):
    out = change(STANDS_OFF, retired=True)
    change(STANDS_OFF, seen=out)

    assert house_catalogue() == SHIPPED


def test_row_put_back_is_as_shipped_and_keeps_its_history(change, put_back):
    first = change(STANDS_OFF, label="Gapes", source=ANN)
    back = put_back(STANDS_OFF, first)

    assert house_catalogue() == SHIPPED
    assert [row.void for row in CatalogueEntry.objects.all()] == [False, True]
    assert back.strikes == first


def test_row_is_changed_anew_after_it_was_put_back(change, put_back):
    back = put_back(STANDS_OFF, change(STANDS_OFF, label="Gapes", source=ANN))
    change(STANDS_OFF, label="Gapes once more", source=ANN, seen=back)

    assert house_catalogue().fault_label(STANDS_OFF.key) == "Gapes once more"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (STANDS_OFF, "That row is as shipped."),
        (ROPE, "The house added that row itself: retire it instead."),
    ],
)
def test_row_without_shipped_values_is_not_put_back(add, put_back, row, said):
    added = add()[0]

    with pytest.raises(ValidationError) as refused:
        put_back(row, added)

    assert sentences(refused) == [said]


def test_tap_sent_twice_is_kept_once(add, change):
    tap, other = uuid.uuid4(), uuid.uuid4()

    assert add(entry_id=tap) == add(entry_id=tap)
    assert change(STANDS_OFF, label="Gapes", source=ANN, entry_id=other) == change(
        STANDS_OFF, label="Gapes", source=ANN, entry_id=other
    )
    assert CatalogueEntry.objects.count() == 3


def test_tap_of_another_person_is_refused(add):
    tap = uuid.uuid4()
    add(entry_id=tap)

    with pytest.raises(ValidationError):
        add(entry_id=tap, by=UserFactory(role="owner"))


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            (replace(ROPE, key="rope"), ROPE_LINK),
            "“rope” is no key of the house: house-, then letters and figures.",
        ),
        (
            (replace(ROPE, key="house-Ro pe"), ROPE_LINK),
            "“house-Ro pe” is no key of the house: house-, then letters and figures.",
        ),
        (
            (replace(ROPE, key=f"house-{'o' * 60}"), replace(ROPE_LINK, fault=f"house-{'o' * 60}")),
            "That name makes too long a key: shorten it.",
        ),
        (
            (SHIPPED.links[0],),
            "The catalogue has that row already: change it instead.",
        ),
        ((ROPE,), "Nothing explains fault “Rope down the sleeve”."),
        (
            (TWIST, TWIST_REMEDY),
            "Nothing points at cause “Lining twisted” in coat.",
        ),
        (
            (ROPE, replace(ROPE_LINK, strength="mostly")),
            (
                "Link “Sleeve pitched too far back” to “Rope down the sleeve” "
                "has an unknown strength: mostly."
            ),
        ),
        ((replace(ROPE, source=""), ROPE_LINK), "Fault “Rope down the sleeve” has no source."),
    ],
)
def test_rows_that_do_not_fit_are_refused_in_words(add, rows, said):
    with pytest.raises(ValidationError) as refused:
        add(*rows)

    assert sentences(refused)[0].replace("link ", "Link ") == said.replace(
        "Sleeve pitched too far back", SHIPPED.cause_name("sleeve-pitch-back")
    )
    assert CatalogueEntry.objects.count() == 0


@pytest.mark.parametrize(("why", "said"), [(" ", "Say why."), ("x" * 301, "At most 300 letters.")])
def test_change_without_a_fit_reason_is_refused(add, why, said):
    with pytest.raises(ValidationError) as refused:
        add(why=why)

    assert refused.value.message_dict == {"why": [said]}


def test_unknown_row_is_not_changed(change):
    with pytest.raises(ValidationError) as refused:
        change(ROPE, label="Rope")

    assert refused.value.message_dict == {"key": ["The catalogue has no such row."]}


@pytest.mark.parametrize("verb", ["UPDATE {} SET why = 'x'", "DELETE FROM {}"])
def test_entries_are_only_added_to(add, verb):
    add()

    with (
        pytest.raises(IntegrityError, match="only added to"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(verb.format(CatalogueEntry._meta.db_table))


def test_catalogue_costs_one_query_once_read(add, django_assert_num_queries):
    add()
    house_catalogue()

    with django_assert_num_queries(1):
        house_catalogue()


def test_one_request_asks_for_the_catalogue_once(add, django_assert_num_queries):
    add()
    house_catalogue()

    with django_assert_num_queries(1), one_book():
        assert house_catalogue() is house_catalogue()


def test_change_is_seen_within_its_own_request(change):
    with one_book():
        before = house_catalogue()
        change(STANDS_OFF, label="Gapes", source=ANN)

        assert (
            before.fault_label(STANDS_OFF.key),
            house_catalogue().fault_label(STANDS_OFF.key),
        ) == (
            STANDS_OFF.label,
            "Gapes",
        )


def test_entry_of_another_process_is_seen_at_once(owner):
    house_catalogue()
    columns = catalogue.changes.columns(replace(STANDS_OFF, label="Gapes", source=ANN))
    # As another process leaves it: a row in the table, and no word of it to this one.
    CatalogueEntry.objects.create(
        number=1, edit=uuid.uuid4(), table="fault", key=STANDS_OFF.key, data=columns, by=owner
    )

    assert house_catalogue().fault_label(STANDS_OFF.key) == "Gapes"


@pytest.mark.parametrize(
    ("key", "data", "said"),
    [
        (
            "x",
            {"key": "x", "label": "X", "nonsense": 1},
            "Fault “x”: Fault.__init__() got an unexpected keyword argument 'nonsense'",
        ),
        (
            ROPE.key,
            catalogue.changes.columns(replace(ROPE, zone="cape")),
            (
                f"fault {ROPE.key} is in an unknown zone: cape of coat. "
                f"nothing explains fault {ROPE.key}."
            ),
        ),
    ],
)
def test_entry_that_fits_no_more_is_left_out(owner, change, key, data, said):
    CatalogueEntry.objects.create(
        number=1, edit=uuid.uuid4(), table="fault", key=key, data=data, by=owner
    )

    change(STANDS_OFF, label="Gapes", source=ANN)

    book = house_book()
    assert book.catalogue.fault_label(STANDS_OFF.key) == "Gapes"
    assert [(entry.key, why) for entry, why in book.left_out] == [(key, said)]
