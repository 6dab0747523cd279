"""A paper may load the house's own static files, and nothing else."""

import io
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from pypdf import PdfReader
from weasyprint import HTML
from weasyprint.urls import FatalURLFetchingError

from customers.closed_fetcher import ClosedFetcher

PIXEL = "data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA="


@pytest.mark.parametrize(
    ("name", "kind", "begins"),
    [
        ("static:print/ticket.css", "text/css", b"/* A workroom ticket"),
        ("static:fonts/literata-400.woff2", "font/ttf", b"\0\1\0\0"),
    ],
)
def test_fetcher_opens_our_static_files(name, kind, begins):
    answer = ClosedFetcher().fetch(name)

    assert answer.read().startswith(begins)
    assert answer.content_type == kind


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://127.0.0.1:9/a.png",
        "https://example.org/a.png",
        "ftp://example.org/a.png",
        PIXEL,
        "static:../manage.py",
        "static:..%2fmanage.py",
        "static:css/../../manage.py",
        "static:/etc/passwd",
        "static:%2fetc%2fpasswd",
        "static:css",
        "static:none.css",
        "static:",
        "static:a\0b",
        "STATIC:print/ticket.css",
        "photo:0d6d8ffb-94c5-4d5f-b2a1-0f3a4f5c3e11",
    ],
)
def test_fetcher_refuses_every_other_address(address):
    with pytest.raises(FatalURLFetchingError, match="may not load"):
        ClosedFetcher().fetch(address)


@pytest.mark.parametrize(
    "markup",
    [
        "<img src=file:///etc/passwd>",
        f"<img src={PIXEL}>",
        "<img src=http://127.0.0.1:9/a.png>",
        "<link rel=stylesheet href=https://example.org/a.css>",
        "<link rel=attachment href=file:///etc/passwd>",
        "<style>@import 'file:///etc/passwd';</style>",
        "<p style='background:url(file:///etc/passwd)'>x</p>",
        "<object data=file:///etc/passwd></object>",
    ],
)
def test_rendering_stops_at_what_it_may_not_load(markup):
    with pytest.raises(FatalURLFetchingError):
        HTML(string=markup, url_fetcher=ClosedFetcher()).write_pdf()


def test_picture_inside_a_drawing_is_left_out():
    markup = "<p>Hem</p><svg><image href='file:///etc/passwd' width='9' height='9'/></svg>"

    pdf = HTML(string=markup, url_fetcher=ClosedFetcher()).write_pdf()

    page = PdfReader(io.BytesIO(pdf)).pages[0]
    assert (page.extract_text(), list(page.images)) == ("Hem", [])


def test_print_style_asks_only_for_our_own_files():
    styles = Path(finders.find("print/ticket.css")).parent.glob("*.css")
    said = "".join(each.read_text() for each in styles)

    asked = sorted(set(re.findall(r"url\(\"([^\"]+)", said)))
    fonts = ["static:fonts/literata-400.woff2", "static:fonts/literata-600.woff2"]
    assert asked == [*fonts, "static:print/paper.css"]
    assert [address for address in asked if not ClosedFetcher().fetch(address).read()] == []


def test_fetcher_gives_only_the_pictures_handed_over():
    fetcher = ClosedFetcher({"photo:one": b"\xff\xd8its jpeg", "drawing:back": b"<svg/>"})

    assert fetcher.fetch("photo:one").read() == b"\xff\xd8its jpeg"
    assert fetcher.fetch("drawing:back").headers["Content-Type"] == "image/svg+xml"
    for other in ("photo:two", "photo:back", "drawing:", "one", "photo:///etc/passwd"):
        with pytest.raises(FatalURLFetchingError, match="may not load"):
            fetcher.fetch(other)
