import datetime

import pytest

from garments.workroom.due import suggest_due

MONDAY = datetime.date(2026, 2, 2)


@pytest.mark.parametrize(
    ("today", "promised", "due"),
    [
        (MONDAY, None, datetime.date(2026, 2, 5)),
        (datetime.date(2026, 2, 5), None, datetime.date(2026, 2, 10)),
        (datetime.date(2026, 2, 7), None, datetime.date(2026, 2, 11)),
        (MONDAY, datetime.date(2026, 2, 4), datetime.date(2026, 2, 4)),
        (MONDAY, MONDAY, MONDAY),
        (MONDAY, datetime.date(2026, 4, 5), datetime.date(2026, 2, 5)),
        (MONDAY, datetime.date(2026, 1, 30), datetime.date(2026, 2, 5)),
    ],
)
def test_suggest_due_gives_three_workdays_or_the_promise(today, promised, due):
    assert suggest_due(today, promised) == due
