"""The one field template: label, hint and errors tied to the control they speak of."""

import re

import pytest
from django import forms
from django.forms.renderers import get_default_renderer
from django.template.loader import render_to_string

from customers.form_fields import LengthFormField


class CustomerForm(forms.Form):
    name = forms.CharField(help_text="As it is read on the ticket.")
    phone = forms.CharField(required=False)
    unit = forms.ChoiceField(choices=[("in", "inches")], widget=forms.RadioSelect)
    agrees = forms.BooleanField(label="Agrees to photographs", required=False)
    chest = LengthFormField(required=False)
    token = forms.CharField(widget=forms.HiddenInput)


@pytest.fixture
def wrong():
    return CustomerForm({"name": "", "chest": "1/0", "phone": "<b>01</b>"})


def attributes(html, tag, **given):
    """The attributes of the one ``tag`` that has all of ``given``."""
    found = [
        dict(re.findall(r'([\w-]+)="([^"]*)"', t)) for t in re.findall(rf"<{tag}\b[^>]*>", html)
    ]
    (one,) = [each for each in found if given.items() <= each.items()]
    return one


def test_house_renderer_is_the_default():
    assert type(get_default_renderer()).__qualname__ == "LedgerRenderer"


def test_label_hint_and_control_are_tied():
    html = CustomerForm()["name"].as_field_group()

    assert attributes(html, "label")["for"] == attributes(html, "input")["id"]
    assert attributes(html, "input")["aria-describedby"] == attributes(html, "p")["id"]


def test_error_is_tied_to_its_control(wrong):
    html = wrong["name"].as_field_group()
    control = attributes(html, "input")

    assert control["aria-invalid"] == "true"
    assert control["aria-describedby"].split() == ["id_name_helptext", "id_name_error"]
    assert attributes(html, "p", **{"class": "error"})["id"] == "id_name_error"


def test_error_of_a_choice_is_tied_to_its_fieldset(wrong):
    html = wrong["unit"].as_field_group()

    assert attributes(html, "fieldset")["aria-describedby"] == "id_unit_error"
    assert attributes(html, "p")["id"] == "id_unit_error"


def test_length_says_what_is_wrong_and_keeps_the_text(wrong):
    html = wrong["chest"].as_field_group()

    assert attributes(html, "input")["value"] == "1/0"
    assert attributes(html, "output")["for"] == "id_chest"
    assert wrong.errors["chest"][0] in html


def test_what_was_typed_comes_back_escaped(wrong):
    assert attributes(wrong["phone"].as_field_group(), "input")["value"] == "&lt;b&gt;01&lt;/b&gt;"


def test_lone_check_box_is_inside_its_tile():
    html = CustomerForm()["agrees"].as_field_group()

    assert attributes(html, "label") == {"class": "tile", "for": "id_agrees"}
    assert re.search(r"<label[^>]*>\s*<input[^>]*>\s*Agrees to photographs", html) is not None


@pytest.mark.parametrize(("field", "marks"), [("name", 0), ("phone", 1), ("agrees", 0)])
def test_only_what_may_stay_empty_is_marked(field, marks):
    assert CustomerForm()[field].as_field_group().count("(if any)") == marks


def test_summary_links_each_error_to_an_id_in_the_form(wrong):
    html = str(wrong)
    summary = html[: html.index("</ul>")]
    linked = re.findall(r'<a href="#([^"]+)"', summary)

    assert linked == ["id_name", "id_unit", "id_chest"]
    assert [name for name in linked if f'id="{name}"' not in html] == []


def test_error_of_a_hidden_field_is_not_swallowed(wrong):
    summary = render_to_string("components/errors.html", {"form": wrong})

    assert summary.count("<li>") == 4


def test_summary_is_absent_when_nothing_is_wrong():
    assert render_to_string("components/errors.html", {"form": CustomerForm()}).strip() == ""
