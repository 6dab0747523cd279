"""Every template against the strict content policy and the rules of the house."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(p for p in (ROOT / "templates").rglob("*") if p.suffix in {".html", ".svg"})
COMPONENTS = sorted((ROOT / "templates" / "components").glob("*.html"))

FORBIDDEN = {
    "style attribute": r"<[^>]*\sstyle\s*=",
    "style element": r"<style\b",
    "inline script": r"<script\b(?![^>]*\ssrc=)",
    "handler attribute": r"<[^>]*\son[a-z]+\s*=",
    "htmx handler": r"\shx-on[:\-=]",
    "evaluated values": r"""["']\s*(?:js|javascript):""",
    "evaluated trigger filter": r"hx-trigger=\"[^\"]*\[",
    "script from elsewhere": r"(?:src|href)=[\"'](?:https?:)?//",
    "number field": r"type=[\"']number[\"']",
    "zoom forbidden": r"user-scalable|maximum-scale",
}


def named(path):
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("rule", FORBIDDEN)
def test_no_template_breaks_the_rule(rule):
    broken = [
        named(p) for p in TEMPLATES if re.search(FORBIDDEN[rule], p.read_text(), re.IGNORECASE)
    ]

    assert broken == []


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("style attribute", '<p class="a" style="x">'),
        ("inline script", "<script>1</script>"),
        ("inline script", '<script type="module">1</script>'),
        ("handler attribute", '<a onclick="x">'),
        ("htmx handler", '<a hx-on:click="x">'),
        ("evaluated values", "<a hx-vals='js:{a:1}'>"),
        ("evaluated trigger filter", '<a hx-trigger="keyup[x]">'),
        ("script from elsewhere", '<img src="//a/b">'),
    ],
)
def test_rules_catch_what_they_forbid(rule, text):
    assert re.search(FORBIDDEN[rule], text, re.IGNORECASE) is not None


@pytest.mark.parametrize("path", COMPONENTS, ids=named)
def test_component_begins_with_its_variables(path):
    first = path.read_text().lstrip()
    comment = re.match(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}", first, re.DOTALL)

    assert comment is not None
    assert "ariable" in comment[0]


def test_no_template_is_longer_than_allowed():
    long = {named(p): n for p in TEMPLATES if (n := len(p.read_text().splitlines())) > 200}

    assert long == {}


def test_style_sheets_fetch_nothing_from_elsewhere():
    calls = [url for p in (ROOT / "static/css").glob("*.css") for url in urls_of(p.read_text())]

    assert sorted(set(calls)) == ["../fonts/literata-400.woff2", "../fonts/literata-600.woff2"]


def urls_of(css):
    return re.findall(r"url\(\"?([^\")]+)", css)
