"""Colours against WCAG 2.2: 1.4.3 text 4.5:1, 1.4.6 text 7:1 at high contrast, 1.4.11 edges 3:1.

The ratio is computed by the definition in WCAG 2.2 ("contrast ratio", "relative luminance").
"""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[2] / "static" / "css"

GROUNDS = ("paper", "paper-raised", "paper-sunk")
TEXTS = ("ink", "ink-soft", "chalk", "brick")
WORDS_ON_WASH = [
    ("ink", "chalk-wash"),
    ("ink", "moss-wash"),
    ("ink", "ochre-wash"),
    ("ink", "brick-wash"),
    ("chalk", "chalk-wash"),
    ("moss", "moss-wash"),
    ("ochre", "ochre-wash"),
    ("brick", "brick-wash"),
    ("on-chalk", "chalk"),
    ("on-chalk", "chalk-pressed"),
]
TEXT_PAIRS = [(text, ground) for text in TEXTS for ground in GROUNDS] + WORDS_ON_WASH
EDGE_PAIRS = [(edge, ground) for edge in ("line", "chalk", "brick", "focus") for ground in GROUNDS]


def tokens(*files):
    text = "".join((CSS / name).read_text() for name in files)
    return dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6});", text))


def luminance(colour):
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one, other):
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


USUAL = tokens("house.css")
HIGH = tokens("house.css", "contrast.css")


def test_ratio_agrees_with_known_values():
    # 21:1 is the end of the scale in WCAG 2.2; #767676 on white is the darkest-grey example that
    # just passes AA (4.54, from memory).
    assert ratio("#000000", "#ffffff") == pytest.approx(21)
    assert ratio("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_meets_aa_in_usual_light(text, ground):
    assert ratio(USUAL[text], USUAL[ground]) >= 4.5


@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_meets_aaa_at_high_contrast(text, ground):
    assert ratio(HIGH[text], HIGH[ground]) >= 7


@pytest.mark.parametrize(("edge", "ground"), EDGE_PAIRS)
def test_edges_of_controls_reach_three(edge, ground):
    assert min(ratio(USUAL[edge], USUAL[ground]), ratio(HIGH[edge], HIGH[ground])) >= 3


def test_high_contrast_never_lowers_text_contrast():
    rises = [ratio(HIGH[a], HIGH[b]) / ratio(USUAL[a], USUAL[b]) for a, b in TEXT_PAIRS]

    assert min(rises) >= 1


def test_colours_stand_only_among_the_names():
    # A colour outside :root would escape both the test above and high contrast.
    stray = {
        path.name: [line.strip() for line in path.read_text().splitlines() if is_stray(line)]
        for path in CSS.glob("*.css")
    }

    assert {name: lines for name, lines in stray.items() if lines} == {}


def is_stray(line):
    return re.search(r"#[0-9a-fA-F]{3,8}\b", line) and not re.match(r"\s*--[a-z-]+:", line)
