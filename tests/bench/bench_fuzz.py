"""Ten thousand requests drawn by seeds, over all addresses: no failure inside.

LEDGER_FUZZ=<seed>[:<count>] draws others, or fewer; each failure is told with the request it was.
"""

import os
import sys
from collections import Counter

import pytest

from tests.hostile.fuzzing import Fuzz
from tests.hostile.working_house import House

pytestmark = pytest.mark.django_db

SEED, _, COUNT = os.environ.get("LEDGER_FUZZ", "8").partition(":")


def test_ten_thousand_drawn_requests_never_fail_inside():
    fuzz, answers, found = Fuzz(House()), Counter(), {}
    for asked in fuzz.draw(int(SEED), int(COUNT or 10_000)):
        said = fuzz.send(asked)
        answers[fuzz.last] += 1
        if said and said not in found:
            found[said] = str(asked)
            sys.stdout.write(f"\n{said}\n    {asked}\n")

    sys.stdout.write(f"\n{sum(answers.values())} requests: {dict(sorted(answers.items()))}\n")
    assert found == {}
