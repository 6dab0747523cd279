"""The contrast of a device: kept in a cookie, by anyone, and never a way out of the house."""

import pytest
from django.urls import reverse


@pytest.fixture
def choose(client):
    def sent(**data):
        return client.post(reverse("contrast"), data)

    return sent


def test_choice_is_kept_on_the_device(choose):
    response = choose(contrast="high", next="/people/sign-in/")

    assert (response.status_code, response["Location"]) == (302, "/people/sign-in/")
    cookie = response.cookies["contrast"]
    assert (cookie.value, cookie["max-age"], cookie["samesite"]) == ("high", 34560000, "Lax")


@pytest.mark.parametrize(
    ("chosen", "links"), [("high", [None]), ("usual", []), ("", ["more"]), ("purple", ["more"])]
)
def test_page_links_the_sheet_the_device_chose(client, chosen, links):
    client.cookies["contrast"] = chosen

    html = client.get(reverse("accounts:sign_in")).content.decode()

    sheets = [line for line in html.splitlines() if "contrast.css" in line]
    assert ["more" if "prefers-contrast: more" in line else None for line in sheets] == links


@pytest.mark.parametrize(
    "away", ["https://elsewhere.invalid/", "//elsewhere.invalid/", "javascript:x", "", "x" * 3000]
)
def test_choice_never_leads_out_of_the_house(choose, away):
    response = choose(contrast="high", next=away)

    assert response.get("Location", "/") == "/"


@pytest.mark.parametrize("value", ["", "purple", "<script>", "x" * 100_000])
def test_unknown_contrast_is_refused_with_a_word(choose, value):
    response = choose(contrast=value)

    assert (response.status_code, response.content) == (400, b"Contrast is either high or usual.")
    assert dict(response.cookies) == {}


def test_contrast_is_not_changed_by_a_link(client):
    assert client.get(reverse("contrast")).status_code == 405
