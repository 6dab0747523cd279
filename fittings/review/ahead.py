"""What was entered is counted while nobody waits for it, by a thread of the serving process.

Nothing hangs on it: whatever it has not come to, or could not, the page asked for counts itself.
"""

import logging
import time
from threading import Thread

from django.db import DatabaseError, connection

from fittings.review.counting import mark_of_counts

EVERY = 5  # seconds

logger = logging.getLogger("ledger.review")


def begin() -> None:
    """Look for entries from now on, until the process ends."""
    Thread(target=_look_on, name="counting ahead", daemon=True).start()


def _look_on() -> None:
    went = True
    while True:
        time.sleep(EVERY)
        went = count_now(tell=went)


def count_now(*, tell: bool = True) -> bool:
    """Count what was entered; False when the database refuses, which the log may ``tell``."""
    try:
        mark_of_counts()
    except DatabaseError as why:
        if tell:
            logger.warning("not counted ahead: %s", why)
        return False
    finally:
        connection.close()  # a database that begins anew must not find an old one waiting
    return True
