"""A table of operations that cannot be worked by is refused when it is read."""

import pytest

from garments import seams

STEP = '[[step]]\nkey = "width"\nrank = 1\nname = "Width"\nreason = "First."\nsource = "here"\n'
ROW = """
[[operation]]
key = "{key}"
name = "{key}"
step = "width"
does = "It is done."
at = {{ coat = ["side-seam"] }}
inlay = "none"
sided = true
amount = true
minutes = [10, 1]
{more}
source = "here"
"""


def written(**more):
    return STEP + "".join(ROW.format(key=key, more=text) for key, text in more.items())


def test_operations_that_wait_for_nothing_are_read():
    table = seams.read_operations(written(one='after = ["other"]', other=""))

    assert table["one"].after == frozenset({"other"})


@pytest.mark.parametrize(
    ("more", "named"),
    [
        ({"one": 'after = ["one"]'}, "one, one"),
        ({"one": 'after = ["two"]', "two": 'after = ["one"]'}, "one, two"),
        (
            {"one": 'after = ["two"]', "two": 'after = ["three"]', "three": 'after = ["one"]'},
            "one, two, three",
        ),
        ({"one": 'after = ["width"]'}, "one"),
    ],
)
def test_cycle_is_refused_when_it_is_entered(more, named):
    with pytest.raises(seams.OperationsError, match="These operations wait for each other: ") as no:
        seams.read_operations(written(**more))

    told = str(no.value).removeprefix("These operations wait for each other: ").rstrip(".")
    assert set(told.split(", ")) == set(named.split(", "))


@pytest.mark.parametrize("field", ["after", "against", "instead"])
def test_operation_that_is_not_there_is_named(field):
    with pytest.raises(seams.OperationsError, match="“one” names what is not there: two"):
        seams.read_operations(written(one=f'{field} = ["two"]'))


def test_what_undoes_is_known_both_ways():
    table = seams.read_operations(written(one='against = ["two"]', two=""))

    assert table["two"].against == frozenset({"one"})
