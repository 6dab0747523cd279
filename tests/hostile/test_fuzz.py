"""Three hundred requests drawn by a seed; `make bench` sends ten thousand (`bench_fuzz.py`)."""

import pytest

from tests.hostile.fuzzing import Fuzz

pytestmark = pytest.mark.django_db

SEED, COUNT = 8, 300


@pytest.fixture
def fuzz(house):
    return Fuzz(house)


def test_no_drawn_request_fails_inside_or_keeps_what_it_refuses(fuzz):
    wrong = [(str(asked), said) for asked in fuzz.draw(SEED, COUNT) if (said := fuzz.send(asked))]

    assert wrong == []


def test_drawn_requests_reach_every_hand_method_and_answer(fuzz):
    asked = list(fuzz.draw(SEED, COUNT))

    assert len({each.who for each in asked}) == 5
    assert len({each.method for each in asked}) > 7
    assert len({each.page for each in asked}) > 100
    assert len({each.kind for each in asked}) > 5
