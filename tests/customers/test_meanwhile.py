"""Two people at one form, on every page that changes what is there: nobody's typing vanishes."""

from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import reverse

from customers.models import House
from fittings.models import PostRules
from tests.factories import CustomerFactory, GarmentFactory, MakerFactory, UserFactory

pytestmark = pytest.mark.django_db


class Sheet(HTMLParser):
    """What a browser would send of the form that changes the row: the one with the most fields."""

    def __init__(self, page):
        super().__init__()
        self.forms, self.choice, self.area = [{}], None, None
        self.feed(page)

    @property
    def values(self):
        return max(self.forms, key=len)

    def put(self, name, value):
        self.forms[-1].setdefault(name, []).append(value)

    def handle_starttag(self, tag, attributes):
        said = dict(attributes)
        name, kind = said.get("name"), said.get("type", "text")
        if tag == "form":
            self.forms.append({})
        elif tag == "select":
            self.choice = name
        elif tag == "textarea":
            self.area = name
            self.put(name, "")
        elif tag == "option" and "selected" in said and self.choice:
            self.put(self.choice, said["value"])
        elif tag == "input" and name and (kind not in {"radio", "checkbox"} or "checked" in said):
            self.put(name, said.get("value") or "")

    def handle_data(self, data):
        if self.area:
            self.forms[-1][self.area][-1] += data

    def handle_endtag(self, tag):
        if tag == "textarea":
            text = self.forms[-1][self.area]
            text[-1] = text[-1].strip()
            self.area = None


def of_customer():
    where = reverse("customers:customer_update", args=[CustomerFactory().number])
    return where, ("family_name", "Rook", "Lark"), ("notes", "Left shoulder low")


def of_house():
    House.get()
    return (
        reverse("customers:house_update"),
        ("closes", "17:00", "19:00"),
        ("address", "1 Mill Lane"),
    )


def of_garment():
    where = reverse("garments:garment_update", args=[GarmentFactory(promised_on=None).number])
    return where, ("cloth", "Navy serge", "Brown tweed"), ("cloth_width", "58 in")


def of_rules():
    PostRules.get()
    return reverse("post:rules_update"), ("reminder_days", "3", "5"), ("feed_shows", "name")


def of_sign_in():
    where = reverse("accounts:rules_update")
    return where, ("idle_minutes", "60", "90"), ("longest_hours", "9")


def of_maker():
    where = reverse("promising:maker_update", args=[MakerFactory().pk])
    return where, ("minutes", "300", "360"), ("name", "Another Hand")


def of_stage():
    where = reverse("promising:stage_update", args=["coat", "baste"])
    return where, ("minutes", "500", "520"), ("wait_days", "3")


def of_week():
    return reverse("opendays:week_update"), ("closes_0", "17:00", "19:00"), ("opens_4", "11:00")


def of_bench():
    return reverse("workroom:bench_update"), ("monday", "22.5", "30"), ("friday", "8")


def of_inlays():
    where = reverse("garments:inlay_update", args=[GarmentFactory().number])
    return where, ("side-seam-L", "7/8 in", "1/2 in"), ("centre-back", "3/4 in")


def of_holidays():
    # The part is asked of a country once that is kept.
    return reverse("opendays:holidays_update"), ("country", "GB", "FR"), ("country", "GB")


def of_person():
    person = UserFactory(role="fitter")
    where = reverse("accounts:person_update", args=[person.pk])
    return where, ("first_name", "Ottilie", "Odile"), ("email", "o@example.org")


def of_rule():
    return reverse("privacy:rule_update"), ("years", "7", "9"), ("photograph_months", "12")


PAGES = [
    of_customer,
    of_house,
    of_garment,
    of_rules,
    of_sign_in,
    of_maker,
    of_stage,
    of_week,
    of_bench,
    of_inlays,
    of_holidays,
    of_person,
    of_rule,
]


def as_owner(**names):
    hand = Client()
    hand.force_login(UserFactory(role="owner", **names))
    return hand


@pytest.fixture
def first():
    return as_owner(first_name="Nell", last_name="Ash")


@pytest.fixture
def second():
    return as_owner()


def shown(hand, where):
    return Sheet(hand.get(where).content.decode()).values


def send(hand, where, sheet, name, value):
    """The sheet with one field typed over; what must be said anew each time is said."""
    reason = {"reason": ["Counted"]} if "reason" in sheet else {}
    return hand.post(where, sheet | reason | {name: [value]})


@pytest.mark.parametrize("page", PAGES)
def test_two_fields_changed_at_once_are_both_kept(first, second, page):
    where, (name, value, _), (other, theirs) = page()
    sheets = shown(first, where), shown(second, where)

    answers = (
        send(first, where, sheets[0], name, value),
        send(second, where, sheets[1], other, theirs),
    )

    assert [answer.status_code for answer in answers] == [302, 302]
    now = shown(first, where)
    assert (now[name], now[other]) == ([value], [theirs])


@pytest.mark.parametrize("page", PAGES)
def test_one_field_changed_by_both_is_shown_and_asked(first, second, page):
    where, (name, value, mine), _ = page()
    sheets = shown(first, where), shown(second, where)
    send(first, where, sheets[0], name, value)

    answer = send(second, where, sheets[1], name, mine)

    form = answer.context["form"]
    theirs = dict(getattr(form.fields[name], "choices", ())).get(value, value)
    said = form.errors[name][0]
    assert (answer.status_code, f"“{theirs}” was kept meanwhile" in said) == (409, True)
    assert (shown(first, where)[name], len(form.errors)) == ([value], 2)
    again = Sheet(answer.content.decode()).values
    assert again[name] == [mine]
    assert send(second, where, again, name, mine).status_code == 302
    assert shown(first, where)[name] == [mine]


@pytest.mark.parametrize(
    "page", [of_customer, of_house, of_garment, of_stage, of_week, of_bench, of_inlays, of_rule]
)
def test_who_was_first_is_named(first, second, page):
    where, (name, value, mine), _ = page()
    sheets = shown(first, where), shown(second, where)
    send(first, where, sheets[0], name, value)

    errors = send(second, where, sheets[1], name, mine).context["form"].errors

    assert errors["__all__"][0].startswith("Nell Ash changed this while you had it open.")
    assert "by Nell Ash" in errors[name][0]
