"""Pages made of the house's parts alone, answered to the browser without a server or a database."""

from http import HTTPStatus
from pathlib import Path

from django import forms
from django.contrib.auth.models import User
from django.contrib.staticfiles import finders
from django.template import engines
from django.test import RequestFactory
from playwright.sync_api import Page, Route

from customers.form_fields import LengthFormField
from fittings.config.access import Place
from tests.live_house import LiveHouse

HOUSE = LiveHouse(url="http://parts.invalid", data=Path("/nowhere"))
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'"
)
TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
PLACES = ("today", "customers", "diary", "fitting", "workroom", "review")

MEASURES = """{% extends "base.html" %}{% block title %}Measures{% endblock %}{% block content %}
<h1>Measures</h1><div class="with-pad"><form method="post" novalidate>{{ form }}
<div class="actions"><button class="button main">Save the set</button></div></form>
{% include "components/length_pad.html" with sixteenths=True %}</div>{% endblock %}"""

PARTS = """{% extends "base.html" %}{% block title %}Parts{% endblock %}{% block content %}
<h1>Parts</h1><div class="split"><form method="post" novalidate>{{ form }}
<div class="actions"><button class="button main">Keep</button><a class="button" href="/">Back</a>
<button class="button destroys" name="strike">Strike out</button></div></form>
<div class="stack">
{% include "components/find.html" with action="/found/" target="found" label="Find" hint="Name" %}
<div id="found"></div>
{% include "components/sides.html" with value="both" %}
<form method="post">{% include "components/eighths.html" with unit="in" chosen="3/8" %}</form>
<form method="post">{% include "components/eighths.html" with unit="cm" label="In cm" %}</form>
{% include "components/stat.html" with label="Remade" value="12 %" low="6 %" high="21 %" %}
{% include "components/table.html" with id="t" caption="Remakes" %}
{% for tone in tones %}{% include "components/badge.html" with text=tone %}{% endfor %}
<p class="caution">Pins are sharp.</p>
{% include "components/empty.html" with title="Nobody today" text="Book." url="/" action="Diary" %}
</div></div>{% endblock %}"""


class MeasuresForm(forms.Form):
    chest = LengthFormField(help_text="Round the fullest part, tape level.")
    waist = LengthFormField()
    seat = LengthFormField()
    sleeve_left = LengthFormField()
    sleeve_right = LengthFormField()
    change = LengthFormField(signed=True)


class CentimetreForm(forms.Form):
    chest = LengthFormField(unit="cm")
    waist = LengthFormField(unit="cm")


class CustomerForm(forms.Form):
    name = forms.CharField(help_text="As it is read on the ticket.")
    unit = forms.ChoiceField(
        choices=[("in", "inches"), ("cm", "centimetres")], widget=forms.RadioSelect
    )
    agrees = forms.BooleanField(label="Agrees to photographs", required=False)
    notes = forms.CharField(required=False, widget=forms.Textarea)


def render(text: str, **context) -> str:
    request = RequestFactory().get("/")
    request.user = User(username="fitter")
    request.user._ledger_roles = frozenset()
    context = {
        "places": tuple(Place(name, name, f"/{name}/", name == "fitting") for name in PLACES),
        "columns": ["Cutter", "Remade"],
        "rows": [["A", 4], ["B", 9]],
        "tones": ["good", "warn", "bad", "late", "chalk"],
    } | context
    return engines["django"].from_string(text).render(context, request)


def show(page: Page, text: str, *, answer=None, **context) -> Page:
    """Open ``text`` as a page under the strict policy; ``answer`` takes the other requests."""
    html = render(text, **context)

    def serve(route: Route) -> None:
        path = route.request.url.removeprefix(HOUSE.url)
        if path.startswith("/static/"):
            fulfil_static(route, path.removeprefix("/static/"))
        elif path == "/" and route.request.method == "GET":
            headers = {"content-security-policy": POLICY, "content-type": "text/html"}
            route.fulfill(body=html, headers=headers)
        else:
            answer(route) if answer else route.fulfill(status=HTTPStatus.NO_CONTENT)

    page.route("**/*", serve)
    page.goto("/")
    page.evaluate("document.fonts.ready")
    return page


def fulfil_static(route: Route, path: str) -> None:
    found = Path(finders.find(path))
    route.fulfill(body=found.read_bytes(), content_type=TYPES.get(found.suffix, "font/woff2"))
