"""Workers who send at the same moment, on both databases: each message goes out once."""

import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.db import connection

from fittings.models import Message, PostRules
from fittings.post import sending
from tests.post.conftest import a_booking, in_days, noon, write

WORKERS, LETTERS = 4, 8
LOCK = threading.Lock()


class OneByOne(EmailBackend):
    """Keeps letters in one list, whichever thread hands them over."""

    def send_messages(self, messages):
        with LOCK:
            return super().send_messages(messages)


def all_at_once(work):
    together = threading.Barrier(WORKERS)

    def worker(_):
        try:
            connection.ensure_connection()
            together.wait(timeout=30)
            return work()
        finally:
            connection.close()

    with ThreadPoolExecutor(WORKERS) as pool:
        return list(pool.map(worker, range(WORKERS)))


def test_each_message_goes_out_once_from_four_workers(either_database, settings):
    settings.EMAIL_BACKEND = f"{__name__}.OneByOne"
    mail.outbox = []
    written = [write(a_booking()) for _ in range(LETTERS)]

    done = sum(all_at_once(lambda: sending.send_waiting(noon)), Counter())

    ids = Counter(letter.message()["Message-ID"] for letter in mail.outbox)
    assert ids == {f"<{row.pk}@house.example>": 1 for row in written}
    assert dict(done) == {"sent": LETTERS}


def test_reminder_is_written_once_by_four_workers(either_database):
    PostRules.get()
    PostRules.objects.update(reminders="alone", reminder_days=5)
    bookings = [a_booking() for _ in range(3)]

    all_at_once(lambda: sending.write_reminders(in_days(0, "12:00")))

    kept = Message.objects.values_list("booking", "kind")
    assert sorted(kept) == sorted((row.pk, "reminder") for row in bookings)
