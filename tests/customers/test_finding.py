"""Finding a customer: by name in any order, number and phone, from the second letter."""

import pytest

from customers.models import Customer
from customers.numbers import beginnings
from customers.searching import fold, phone_part
from tests.factories import CustomerFactory

# 01632 960... is a range kept free for invented numbers by Ofcom (from memory).
PHONE = "01632 960 101"


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Özge", "ozge"),
        ("IŞIK \N{LATIN SMALL LETTER DOTLESS I}ş\N{LATIN SMALL LETTER DOTLESS I}k", "isik isik"),
        ("Åse O'Byrne-Straße", "ase obyrne strasse"),
        ("D\N{RIGHT SINGLE QUOTATION MARK}Arcy", "darcy"),
        ("Łukasz Đorđević", "lukasz dordevic"),
        ("  Mary   Ann ", "mary ann"),
        ("<b>%_", "b"),
        ("\x00\x07", ""),
    ],
)
def test_fold_leaves_plain_lower_words(text, folded):
    assert fold(text) == folded


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("01632 960 101", "1632960101"),
        ("(01632) 960-101", "1632960101"),
        ("+44 1632 960101", "32960101"),
        ("0044 1632 960101", "32960101"),
        ("+44 (0)1632 960101", "32960101"),
        ("+44 16", "4416"),
        ("960", "960"),
        ("00", ""),
        ("call 960", ""),
        ("", ""),
    ],
)
def test_phone_part_is_what_all_spellings_share(typed, part):
    assert phone_part(typed) == part


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("C1042-X", ("C1042-X",)),
        ("c1042x", ("C1042-X",)),
        ("c 1042 - x", ("C1042-X",)),
        ("1042x", ("C1042-X",)),
        ("1042", ("C1042", "C104-2")),
        ("C10427", ("C10427", "C1042-7")),
        ("Cox", ()),
        ("C", ()),
        ("4th", ()),
        ("9" * 1000, ("C" + "9" * 40, "C" + "9" * 39 + "-9")),
    ],
)
def test_beginnings_of_a_number_as_typed(typed, found):
    assert beginnings("C", typed) == found


@pytest.fixture
def ozge(db):
    CustomerFactory(given_name="Hazel", family_name="Quillby", phone="01632 960 555")
    return CustomerFactory(
        given_name="Özge", family_name="Winter-Marsh", phone="+44 1632 960101",
        serial=1042, number="C1042-X",
    )  # fmt: skip


@pytest.mark.parametrize(
    "typed",
    [
        "oz",
        "ozge",
        "ÖZGE",
        "winter özge",
        "marsh",
        "winter-m",
        "oz ma wi",
        "c1042x",
        "C1042-X",
        "C1042 x",
        "1042",
        "ozge 1042",
        "01632 960 101",
        "01632960101",
        "0163 2960 101",
        "+44 1632 960101",
        "ozge 960101",
        "0101",
    ],
)
def test_matching_finds_the_one_meant(ozge, typed):
    assert list(Customer.objects.matching(typed)) == [ozge]


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "o",
        " o ",
        "ö!",
        "zge",
        "C1042-Y",
        "%%",
        "__",
        "--",
        "ozge quillby",
        "ozge 555",
        "\x00\x00",
        "00",
        "'; drop table customers_customer; --",
    ],
)
def test_matching_finds_nobody_for(ozge, typed):
    assert list(Customer.objects.matching(typed)) == []


@pytest.mark.parametrize("kept", ["+44 1632 960101", "01632 960101", "0044 (0)1632 960101"])
@pytest.mark.parametrize("typed", ["+44 1632 960101", "01632 960 101", "0044 1632-960-101"])
def test_matching_takes_phone_however_written(db, kept, typed):
    customer = CustomerFactory(phone=kept)

    assert list(Customer.objects.matching(typed)) == [customer]


def test_matching_orders_by_family_name(db):
    second = CustomerFactory(given_name="Ada", family_name="Marrow")
    first = CustomerFactory(given_name="Zeno", family_name="Marlow")

    assert list(Customer.objects.matching("mar")) == [first, second]


@pytest.mark.parametrize(
    ("given", "family", "phone", "alike"),
    [
        ("ozge", "winter marsh", "", True),
        ("Someone", "Else", "01632 960 101", True),
        ("Someone", "Else", "", False),
        ("Someone", "Else", "101", False),
        ("Özge", "Winter", "", False),
    ],
)
def test_alike_is_same_name_or_phone(ozge, given, family, phone, alike):
    assert list(Customer.objects.alike(given, family, phone)) == ([ozge] if alike else [])
