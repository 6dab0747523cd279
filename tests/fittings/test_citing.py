"""A source is read out by its title; every key the seams cite has one."""

import re
import tomllib
from pathlib import Path

import pytest

from fittings import catalogue
from fittings.catalogue.citing import in_full

TITLES = {
    "VS": "Cutting, about 1903 (page image)",
    "H": "Garment Cutting, 1892 (page, or the chapter named)",
    "TH": "Alterations, 1949 (coat diagrams c, trouser diagrams t)",
    "MM": "Article on letting out (Somebody)",
}
GARMENTS = Path(__file__).parents[2] / "garments"
CITED = sorted(
    {
        row["source"]
        for file in (*GARMENTS.glob("seams/data/*.toml"), *GARMENTS.glob("conflicts/*.toml"))
        for rows in tomllib.loads(file.read_text(encoding="utf-8")).values()
        for row in rows
        if "source" in row
    }
)


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("VS 246", "Cutting, about 1903, page image 246"),
        ("VS 246 (side seam)", "Cutting, about 1903, page image 246 (side seam)"),
        ("H 17; TH c1", "Garment Cutting, 1892, page 17; Alterations, 1949, c1"),
        ("H:low", "Garment Cutting, 1892, low"),
        ("MM", "Article on letting out (Somebody)"),
        ("limit MM (2 in)", "limit from Article on letting out (Somebody) (2 in)"),
        (
            "VS 12; limit common practice",
            "Cutting, about 1903, page image 12; limit common practice",
        ),
        ("common practice, no source", "common practice, no source"),
        ("House, 3 May 2026: Ann said so", "House, 3 May 2026: Ann said so"),
    ],
)
def test_key_is_read_out_as_its_title(source, said):
    assert in_full(source, TITLES) == said


def test_every_key_the_seams_cite_has_a_title():
    keys = {key for source in CITED for key in re.findall(r"(?:^|; |limit )([A-Z]+\d?)\b", source)}

    assert keys - set(catalogue.load().sources) == set()
    assert {"VS", "MM", "PT3", "FR"} <= keys
