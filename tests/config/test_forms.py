"""A list to choose from is the one Django itself draws, told by Django's own comparison of HTML."""

from django import forms
from django.forms.renderers import TemplatesSetting
from django.test import SimpleTestCase

from fittings.config.forms import LedgerRenderer

GROUPED = [
    ("", "Anybody"),
    ("Here", [("1", "Ada <b>& Co</b>"), (2, "Ben")]),
    ("No more", [("3", 'Cay "the Elder"')]),
    ("4", "Nobody"),
]


class Form(forms.Form):
    plain = forms.ChoiceField(choices=[("", "–"), ("a", "A & B"), ("b", "<B>")], required=False)
    grouped = forms.ChoiceField(choices=GROUPED, disabled=True)
    several = forms.MultipleChoiceField(choices=GROUPED, widget=forms.SelectMultiple({"size": 4}))


def drawn(renderer, name, **given):
    widget = Form(given, renderer=renderer)[name]
    return widget.as_widget(attrs={"data-of": "1\" '2'", "hidden": True, "multiple": False})


def test_lists_are_drawn_as_django_draws_them():
    same = SimpleTestCase().assertHTMLEqual
    answers = [{}, {"plain": "b", "grouped": "2", "several": ["1", "3"]}, {"plain": "nonsense"}]

    for name in Form.base_fields:
        for given in answers:
            same(drawn(LedgerRenderer(), name, **given), drawn(TemplatesSetting(), name, **given))


def test_words_of_a_list_are_never_markup():
    text = drawn(LedgerRenderer(), "grouped", grouped="1")

    assert "<b>" not in text
    assert "Ada &lt;b&gt;&amp; Co&lt;/b&gt;" in text
