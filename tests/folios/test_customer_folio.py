import datetime

import pytest

from fittings.models import Photograph
from tests.factories import (
    BookingFactory,
    ConsentFactory,
    CustomerFactory,
    FittingFactory,
    GarmentFactory,
    MeasurementSetFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

NEXT_CENTURY = datetime.datetime(2100, 1, 4, 10, tzinfo=datetime.UTC)


def page_of(client, customer):
    return client.get(f"/folio/customers/{customer.number}/")


def rows_of(client, customer):
    """Every row of the measures, as it is told."""
    figure = page_of(client, customer).context["figure"]
    return {
        f"{row.name} {row.side}".strip(): (row.newest, row.newest_other, row.change, row.earlier)
        for _, rows in figure.groups
        for row in rows
    }


def measured(customer, year, **inches):
    return MeasurementSetFactory(
        customer=customer,
        taken_on=datetime.date(year, 1, 5),
        measures={(point.replace("_", "-"), ""): value for point, value in inches.items()},
    )


def test_customer_page_shows_measures_over_time(client, sign_in):
    sign_in("fitter")
    customer = CustomerFactory()
    measured(customer, 2024, chest=37.5, waist=32, seat=39)
    measured(customer, 2025, chest=38, waist=33)
    measured(customer, 2026, chest=38, waist=32.625, neck=15.375)

    # 15 3/8 in is 39.0525 cm, 38 in 96.52 cm, 32 5/8 in 82.8675 cm: 1 in is 2.54 cm (1959)
    assert rows_of(client, customer) == {
        "Neck": ("15 3/8 in", "39.1 cm", "", ["", ""]),
        "Chest": ("38 in", "96.5 cm", "same", ["38 in", "37 1/2 in"]),
        "Waist": ("32 5/8 in", "82.9 cm", "-3/8 in, no change (± 3/8 in)", ["33 in", "32 in"]),
        "Seat": ("", "", "", ["", "39 in"]),
    }


def test_customer_page_reads_in_the_customers_unit(client, sign_in):
    sign_in("fitter")
    customer = CustomerFactory(unit="cm")
    measured(customer, 2026, chest=38)

    assert rows_of(client, customer) == {"Chest": ("96.5 cm", "38 in", "", [])}


@pytest.mark.parametrize(
    ("measures", "drop"),
    [
        ({"chest": 38, "waist": 32}, "6 in (15.2 cm)"),
        ({"chest": 40, "waist": 41.5}, "-1 1/2 in (-3.8 cm)"),
        ({"chest": 38}, ""),
        ({"waist": 32}, ""),
    ],
)
def test_customer_page_tells_the_drop_or_nothing(client, sign_in, measures, drop):
    sign_in("fitter")
    customer = CustomerFactory()
    measured(customer, 2025, chest=39, waist=39)
    measured(customer, 2026, **measures)

    assert page_of(client, customer).context["figure"].drop == drop


def test_customer_page_tells_the_figure_in_words(client, sign_in):
    sign_in("fitter")
    customer = CustomerFactory()
    measured(customer, 2026, chest=36, waist=31, depth_of_scye=8.5, front_shoulder=13)

    page = page_of(client, customer)

    assert page.context["figure"].says.keys == ("drop", "jis-class", "gb-class", "erect")
    # Once in the list and once beside its source.
    assert page.content.decode().count("Erect: the back is short by") == 2


def test_customer_page_leaves_out_a_corrected_set(client, sign_in):
    sign_in("fitter")
    customer = CustomerFactory()
    wrong = measured(customer, 2026, chest=14)
    MeasurementSetFactory(customer=customer, strikes=wrong, measures={("chest", ""): 41})

    assert rows_of(client, customer) == {"Chest": ("41 in", "104.1 cm", "", [])}


def test_customer_page_never_measured_says_so(client, sign_in):
    sign_in("fitter")

    response = page_of(client, CustomerFactory())

    assert (response.context["figure"], response.content.decode().count("Not measured yet")) == (
        None,
        1,
    )


def test_customer_page_shows_the_newest_answer_of_each_consent(client, sign_in):
    sign_in("front of house")
    customer = CustomerFactory()
    ConsentFactory(customer=customer)
    refused = ConsentFactory(customer=customer, given=False)

    assert page_of(client, customer).context["consents"] == [
        ("photographs for the workroom", refused),
        ("photographs shown to others", None),
        ("messages about fittings", None),
    ]


def test_customer_page_lists_garments_newest_first(client, sign_in):
    sign_in("front of house")
    customer = CustomerFactory()
    old, new = (GarmentFactory(customer=customer) for _ in range(2))
    GarmentFactory()

    lines = page_of(client, customer).context["garments"]

    assert [line.garment for line in lines] == [new, old]


def test_customer_page_sorts_fittings_by_what_became_of_them(client, sign_in):
    sign_in("front of house")
    customer = CustomerFactory()
    coming = BookingFactory(customer=customer, starts_at=NEXT_CENTURY)
    missed = BookingFactory(customer=customer, state="missed")
    BookingFactory(customer=customer, state="kept")
    held = FittingFactory(customer=customer)

    visits = page_of(client, customer).context["visits"]

    assert [visit.row for visit in visits.to_come] == [coming]
    assert [visit.row for visit in visits.held] == [held]
    assert [visit.row for visit in visits.not_kept] == [missed]


@pytest.mark.parametrize(("role", "seen"), [("fitter", 1), ("owner", 1), ("front of house", 0)])
def test_customer_page_shows_photographs_to_some(client, sign_in, role, seen):
    sign_in(role)
    coat = GarmentFactory()
    fitting = FittingFactory(customer=coat.customer)
    Photograph.objects.create(
        customer=coat.customer, fitting=fitting, garment=coat, by=UserFactory()
    )

    response = page_of(client, coat.customer)

    assert len(response.context["photographs"]) == seen
    assert response.content.decode().count("Photographs</h2>") == seen


def test_customer_page_leaves_out_a_struck_photograph(client, sign_in):
    by, coat = sign_in("fitter"), GarmentFactory()
    values = {
        "customer": coat.customer,
        "fitting": FittingFactory(customer=coat.customer),
        "garment": coat,
        "by": by,
    }
    wrong = Photograph.objects.create(**values)
    Photograph.objects.create(**values, strikes=wrong, void=True)

    assert list(page_of(client, coat.customer).context["photographs"]) == []


def test_customer_page_shows_how_to_reach_them(client, sign_in):
    sign_in("front of house")
    customer = CustomerFactory(phone="01632 960 777", email="tobiah@example.test")

    page = page_of(client, customer).content.decode()

    assert page.count('href="tel:01632960777"') == 1
    assert page.count('href="mailto:tobiah@example.test"') == 1


def test_customer_page_is_closed_to_the_workroom(client, sign_in):
    sign_in("workroom")

    assert page_of(client, CustomerFactory()).status_code == 403


@pytest.mark.parametrize("seasons", [1, 10])
def test_customer_page_asks_the_same_queries(
    client, sign_in, live_a_season, django_assert_num_queries, seasons
):
    sign_in("owner")
    customer = CustomerFactory()
    for _ in range(seasons):
        live_a_season(customer)

    # session, user, roles, customer, house, consents, sets, measures, garments, people's names,
    # bookings, fittings, photographs
    with django_assert_num_queries(13):
        page_of(client, customer)


def test_customer_page_of_an_unknown_number_is_not_found(client, sign_in):
    sign_in("owner")

    assert client.get("/folio/customers/C9999-X/").status_code == 404


def test_customer_page_escapes_what_was_typed(client, sign_in):
    sign_in("owner")
    customer = CustomerFactory(family_name="<script>", notes="<script>alert(1)</script>")

    page = page_of(client, customer).content.decode()

    assert page.count("<script>") == 0


def test_customer_page_names_the_garments_of_a_visit(client, sign_in):
    sign_in("owner")
    customer = CustomerFactory()
    coat, trousers = (GarmentFactory(customer=customer, kind=kind) for kind in ("coat", "trousers"))
    BookingFactory(customer=customer, garments=[coat, trousers], starts_at=NEXT_CENTURY)
    FittingFactory(customer=customer, garments=[trousers])

    visits = page_of(client, customer).context["visits"]

    assert [visit.garments for visit in visits.to_come] == [[coat, trousers]]
    assert [visit.garments for visit in visits.held] == [[trousers]]
