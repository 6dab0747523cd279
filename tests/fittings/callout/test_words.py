"""The plain words: every fault can be said, no two by the same words, every row has a source."""

from dataclasses import replace

import pytest

from fittings import catalogue
from fittings.callout.checking import check_words
from fittings.callout.stems import plural, stem
from fittings.catalogue import CatalogueError
from fittings.catalogue.words import Saying, load_words, read_words


def checked(**changed):
    return check_words(catalogue.load(), replace(load_words(), **changed))


def first_fault(**changed):
    words = load_words()
    return checked(faults=(replace(words.faults[0], **changed), *words.faults[1:]))


def test_shipped_words_have_nothing_wrong():
    assert checked() == []


def test_row_without_source_is_named():
    assert first_fault(source=" ") == ["words for collar-stands-off have no source"]


def test_row_that_says_nothing_is_named():
    assert first_fault(say=("",)) == ["words for collar-stands-off say nothing"]


def test_fault_without_words_is_named():
    assert checked(faults=load_words().faults[1:]) == ["no words for collar-stands-off"]


def test_unknown_fault_is_named():
    extra = Saying("collar-sings", ("sings",), "from memory")

    assert checked(faults=(*load_words().faults, extra)) == [
        "words for an unknown fault: collar-sings"
    ]


def test_words_of_two_faults_of_a_zone_are_named():
    said = (*load_words().faults[0].say, "ridge")

    assert first_fault(say=said) == [
        "“ridg” at the collar is said for collar-ridge-wide and collar-stands-off"
    ]


def test_row_without_words_cannot_be_read():
    with pytest.raises(CatalogueError, match="say"):
        read_words({"fault": [{"key": "collar-stands-off"}]})


@pytest.mark.parametrize(
    "words",
    [
        ("pull", "pulls", "pulling", "pulled"),
        ("gape", "gapes", "gaping", "gaped"),
        ("drop", "drops", "dropping", "dropped"),
        ("crease", "creases", "creased", "creasing"),
        ("cross", "crosses", "crossing", "crossed"),
        ("collar", "collar's", "collars"),
    ],
)
def test_forms_of_a_word_have_one_stem(words):
    assert len({stem(word) for word in words}) == 1


def test_plural_is_told_by_the_ending():
    said = ["sleeves", "sleeve", "cross", "collar's", "calves"]

    assert [plural(word) for word in said] == [True, False, False, False, True]
