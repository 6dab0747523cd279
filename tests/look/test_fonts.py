"""The type carried with the project: it covers what the house writes, is small and licensed."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

FONTS = Path(__file__).parents[2] / "static" / "fonts"
WEIGHTS = ("literata-400.woff2", "literata-600.woff2")

# The list given to pyftsubset's --unicodes (see the top of static/css/house.css).
RANGES = (
    "20-7E A0-17E 218-21B 1E9E 2010 2012-2015 2018-201A 201C-201E 2020 2022 2026 2030 "
    "2032-2033 2039-203A 2044 20AC 2190-2193 2212 215B-215E 2260 2264-2265"
)
LATIN_PAGE_BYTES = 50 * 1024


def listed():
    for part in RANGES.split():
        first, _, last = part.partition("-")
        yield from range(int(first, 16), int(last or first, 16) + 1)


@pytest.fixture(params=WEIGHTS)
def font(request):
    return TTFont(FONTS / request.param)


def test_font_has_every_listed_sign(font):
    missing = [hex(sign) for sign in listed() if sign not in font.getBestCmap()]

    assert missing == []


@pytest.mark.parametrize("sign", "⅛¼⅜½⅝¾⅞±−·×′″")  # noqa: RUF001
def test_font_has_signs_of_the_trade(font, sign):
    assert ord(sign) in font.getBestCmap()


def test_font_keeps_fraction_and_tabular_features(font):
    features = {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}

    assert {"frac", "numr", "dnom", "tnum"} - features == set()


def test_tabular_figures_share_one_width(font):
    table = font["GSUB"].table
    wanted = {
        at
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == "tnum"
        for at in record.Feature.LookupListIndex
    }
    tabular = {}
    for at in wanted:
        for subtable in table.LookupList.Lookup[at].SubTable:
            tabular |= getattr(subtable, "ExtSubTable", subtable).mapping

    widths = {font["hmtx"][tabular[font.getBestCmap()[ord(digit)]]][0] for digit in "0123456789"}

    assert len(widths) == 1


def test_both_weights_fit_the_budget():
    assert sum((FONTS / name).stat().st_size for name in WEIGHTS) <= LATIN_PAGE_BYTES


def test_licence_stands_beside_the_fonts():
    lines = (FONTS / "LICENSE-literata.txt").read_text().splitlines()

    assert lines[0].startswith("Copyright 2017 The Literata Project Authors")
    assert (
        lines[2] == "This Font Software is licensed under the SIL Open Font License, Version 1.1."
    )


def test_licence_reserves_no_font_name():
    # OFL 1.1, clause 3: a changed font may keep its name only if the holder reserved none.
    first = (FONTS / "LICENSE-literata.txt").read_text().splitlines()[0]

    assert "reserved font name" not in first.lower()
