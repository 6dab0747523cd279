"""Many requests at one moment get no more tries, and no code twice: on SQLite and on PostgreSQL."""

import threading
from concurrent.futures import ThreadPoolExecutor

from django.core.exceptions import ValidationError
from django.db import connection

from fittings.accounts import hands, second
from fittings.models import SecondFactor
from tests.accounts.conftest import PIN, code_of
from tests.factories import UserFactory

HANDS = 8


def at_once(work):
    """What each of eight was told; None where it went through."""
    together = threading.Barrier(HANDS)

    def one(_):
        try:
            connection.ensure_connection()
            together.wait(timeout=30)
            work()
        except ValidationError as refused:
            return refused.messages[0]
        finally:
            connection.close()
        return None

    with ThreadPoolExecutor(HANDS) as pool:
        return list(pool.map(one, range(HANDS)))


def test_code_sent_by_many_at_once_opens_once(either_database):
    hester = UserFactory(role="owner")
    second.begin_factor(person=hester)
    second.confirm_factor(person=hester, code=code_of(hester))
    SecondFactor.objects.update(last_step=0)
    code = code_of(hester)

    told = at_once(lambda: second.check_code(person=hester, code=code))

    assert told.count(None) == 1


def test_wrong_pins_sent_at_once_get_five_tries(either_database):
    hester, otto = UserFactory(role="owner"), UserFactory(role="fitter")
    hands.set_pin(person=otto, pin=PIN)
    tablet, _ = hands.share_tablet(name="Fitting room", by=hester)

    told = at_once(lambda: hands.check_pin(person=otto, pin="906142", tablet=tablet))

    assert told.count("That is not the PIN of this name.") == 5
