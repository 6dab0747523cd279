"""Pieces that pages share: what they show for the variables their comments name."""

import re

import pytest
from django.contrib.messages.storage.base import Message
from django.core.paginator import Paginator
from django.template.loader import render_to_string

from customers.lengths import Length, parse


def render(component, request=None, **context):
    return render_to_string(f"components/{component}.html", context, request)


def values(html, name="value"):
    return re.findall(rf'\b{name}="([^"]*)"', html)


def words(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).strip()


def test_eighths_send_lengths_that_rise_by_an_eighth():
    sent = [parse(text) for text in values(render("eighths", unit="in"))]

    assert sent == [Length(3_175_000 * eighths) for eighths in range(1, 9)]


def test_centimetre_amounts_rise_by_three_millimetres():
    sent = [parse(text, "cm") for text in values(render("eighths", unit="cm"))]

    assert sent == [Length(3_000_000 * steps) for steps in range(1, 9)]


@pytest.mark.parametrize("unit", ["in", "cm"])
def test_amount_shown_is_the_amount_sent(unit):
    html = render("eighths", unit=unit)
    shown = re.findall(r">([^<\s]+)</button>", html)

    assert [parse(text, unit) for text in shown] == [parse(text, unit) for text in values(html)]


def test_eighths_show_what_is_chosen_and_what_is_given():
    html = render("eighths", chosen="b", name="gap", amounts=[("a", "A", "ay"), ("b", "B", "bee")])

    assert re.findall(r'chosen" name="gap" value="(\w)"', html) == ["b"]
    assert words(html) == "A B"


@pytest.mark.parametrize("value", ["L", "both", "R"])
def test_side_chosen_is_checked(value):
    html = render("sides", value=value, name="flank")

    assert re.findall(r'name="flank" value="(\w+)" checked', html) == [value]
    assert values(html) == ["L", "both", "R"]


@pytest.mark.parametrize(
    ("context", "shown"),
    [
        ({"value": "12 %", "low": "6 %", "high": "21 %"}, "Remade 12 % between 6 % and 21 %"),
        ({"value": "12 %", "count": "9 of 75"}, "Remade 12 % 9 of 75"),
        ({"value": "12 %", "low": "6 %", "high": "21 %", "few": True}, "Remade too few to tell"),
    ],
)
def test_figure_never_hides_how_sure_it_is(context, shown):
    assert words(render("stat", label="Remade", **context)) == shown


def test_table_names_its_rows_and_its_scrolling_box():
    rows = [["A. Bodkin", 9], ["<b>", 4]]
    html = render("table", id="remakes", caption="Remakes", columns=["Cutter", "Of"], rows=rows)

    assert re.findall(r'<th scope="row">(.*?)</th>', html) == ["A. Bodkin", "&lt;b&gt;"]
    assert values(html, "aria-labelledby") == re.findall(r'<caption id="([^"]+)"', html)


def test_table_without_rows_says_so():
    html = render("table", id="t", caption="Remakes", columns=["Cutter"], empty="None yet.")

    assert words(html) == "Remakes Cutter None yet."


@pytest.mark.parametrize(
    ("number", "links"),
    [(1, ["?q=th&amp;page=2"]), (2, ["?q=th&amp;page=1", "?q=th&amp;page=3"])],
)
def test_pager_keeps_the_rest_of_the_address(rf, number, links):
    page = Paginator(range(30), 10).page(number)

    assert values(render("pager", rf.get("/?q=th"), page_obj=page), "href") == links


def test_pager_is_absent_on_a_single_page(rf):
    page = Paginator(range(3), 10).page(1)

    assert render("pager", rf.get("/"), page_obj=page).strip() == ""


def test_finding_works_as_a_plain_form_too():
    html = render("find", action="/customers/", target="rows", label="Find", value='"x"')

    assert values(html, "hx-get") == values(html, "action") == ["/customers/"]
    assert values(html) == ["&quot;x&quot;"]
    assert values(html, "hx-trigger") == ["input changed delay:150ms, search"]


@pytest.mark.parametrize("name", ["messages", "status"])
def test_news_says_how_it_is_meant(name):
    news = [Message(25, "Kept."), Message(40, "<i>Not</i> kept.")]

    html = render(name, messages=news)

    assert re.findall(r'<li class="(\w+)">(.*?)</li>', html) == [
        ("success", "Kept."),
        ("error", "&lt;i&gt;Not&lt;/i&gt; kept."),
    ]
