import pytest

from customers.lengths import Length
from customers.templatetags.lengths import fractions, in_unit

HALF = '<span class="fraction">1/2</span>'


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("1/2 in", f"{HALF} in"),
        ("38 1/2 in", f'<span class="mixed">38 {HALF}</span> in'),
        ("+1 1/2", f'+<span class="mixed">1 {HALF}</span>'),
        ("1/2 before, 1 1/2 after", f'{HALF} before, <span class="mixed">1 {HALF}</span> after'),
        ("97.8 cm", "97.8 cm"),
        ("25/11/2026", "25/11/2026"),
        ("<b>1/2</b>", f"&lt;b&gt;{HALF}&lt;/b&gt;"),
    ],
)
def test_whole_number_keeps_with_its_fraction(text, drawn):
    assert fractions(text) == drawn


def test_no_length_is_drawn_as_nothing():
    assert (in_unit(None, "in"), in_unit(Length.inches(38), "in")) == ("", "38 in")
