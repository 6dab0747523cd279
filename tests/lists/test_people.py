"""Who a row's customer is: sure only by what the house said itself, else proposed with reasons."""

import pytest

from fittings.lists import Index, Known, Person, Plan, place

ODILE = Known(name="odile wren", phone="32960555", email="o@example.org", shown="Odile Wren", pk=7)


def plan(row=2, *, number="", reference="", **person):
    return Plan(row=row, number=number, reference=reference, person=Person(**person))


def earlier(*plans):
    return Index(Known.of_plan(each) for each in plans)


@pytest.mark.parametrize(
    ("person", "reasons"),
    [
        ({"given_name": "ODILE", "family_name": "Wrèn"}, ("same name",)),
        ({"family_name": "Lark", "phone": "+44 1632 960 555"}, ("same telephone",)),
        ({"family_name": "Lark", "email": "O@example.org"}, ("same e-mail",)),
        (
            {"given_name": "Odile", "family_name": "Wren", "phone": "01632 960555"},
            ("same name", "same telephone"),
        ),
    ],
)
def test_who_is_alike_in_the_ledger_is_proposed_with_reasons(person, reasons):
    standing = place(plan(**person), Index([ODILE]), Index())

    assert (standing.same, [each.reasons for each in standing.perhaps]) == (None, [reasons])


@pytest.mark.parametrize("person", [{"family_name": "Wren"}, {"family_name": "X", "phone": "555"}])
def test_who_shares_a_part_only_is_another(person):
    assert place(plan(**person), Index([ODILE]), Index()).perhaps == ()


def test_one_reference_is_one_customer_whatever_else_differs():
    first = plan(2, reference="A 17", family_name="Wren")

    standing = place(
        plan(3, reference="a-17", family_name="Wren", phone="1"), Index(), earlier(first)
    )

    assert standing.same.row == 2


def test_two_references_are_two_customers_of_one_name():
    first = plan(2, reference="A", family_name="Wren", phone="01632 960555")

    standing = place(
        plan(3, reference="B", family_name="Wren", phone="01632 960555"), Index(), earlier(first)
    )

    assert (standing.same, standing.perhaps) == (None, ())


def test_name_and_telephone_again_in_one_list_is_the_same():
    first = plan(2, family_name="Wren", phone="01632 960555")

    standing = place(plan(3, family_name="wren", phone="+441632960555"), Index(), earlier(first))

    assert standing.same.row == 2


def test_name_alone_again_in_one_list_is_asked():
    standing = place(plan(3, family_name="Wren"), Index(), earlier(plan(2, family_name="Wren")))

    assert (standing.same, [each.known.row for each in standing.perhaps]) == (None, [2])


def test_likest_is_proposed_first():
    other = Known(name="tobiah lark", phone="32960555", email="", shown="Tobiah Lark", pk=8)
    person = {"given_name": "Odile", "family_name": "Wren", "phone": "01632 960555"}

    standing = place(plan(**person), Index([other, ODILE]), Index())

    assert [each.known.pk for each in standing.perhaps] == [7, 8]


def test_our_number_is_that_customer_or_nobody():
    known = Known(name="", phone="", email="", shown="", pk=9, number="C1042-P")

    standings = [place(plan(number=n), Index([known]), Index()) for n in ("C1042-P", "C1050-A")]

    assert [standing.same and standing.same.pk for standing in standings] == [9, None]
