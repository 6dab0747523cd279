"""What an erasure leaves on the disk: freed space of the database, lists read, sessions.

A deleted row's bytes stay in a database file until something is written over them. On SQLite the
file is written anew by VACUUM; on PostgreSQL every table an erasure empties is, by VACUUM FULL.
What the file system or the disk still holds of the old file is beyond a program's reach, and so
are copies: the page says so.
"""

import json
import logging
from pathlib import Path
from typing import Final

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import DatabaseError, connection

from customers.models import Customer
from fittings.models import Upload
from fittings.privacy.holdings import HOLDINGS
from fittings.privacy.mentions import Identity
from fittings.safekeeping.services import SET_ASIDE

ALSO: Final = ("customers_customer", "fittings_upload", "fittings_uploadrow", "django_session")
WANTED: Final = "sweep-wanted"  # a file, so that a crash or a busy database is made good later

logger = logging.getLogger("ledger.privacy")


def want_sweep() -> None:
    _wanted().touch()


def is_wanted() -> bool:
    """Whether freed space may still hold somebody erased."""
    return _wanted().exists()


def set_aside() -> list[str]:
    """Folders of houses that a restore replaced: each still holds whoever was in it."""
    return sorted(path.name for path in Path(settings.DATA_DIR).glob(f"{SET_ASIDE}*"))


def sweep() -> bool:
    """Write the database anew without what was erased; whether nothing is left to do.

    Inside a transaction, or while others hold the database too long, it is left for the next time.
    """
    if not is_wanted():
        return True
    if connection.in_atomic_block or not _clear_freed_space():
        return False
    _wanted().unlink(missing_ok=True)
    return True


def forget_lists(who: Identity, customer: Customer) -> int:
    """Throw away lists still to be brought in that hold the person; how many.

    A list is no part of the record yet: whoever brought it brings it again without them.
    """
    joined = Upload.objects.filter(rows_read__customer=customer.pk)
    keys = set(joined.values_list("pk", flat=True))
    for upload in Upload.objects.all():
        if who.is_in(bytes(upload.content).decode(upload.encoding, errors="replace")):
            keys.add(upload.pk)
    Upload.objects.filter(pk__in=keys).delete()
    return len(keys)


def forget_sessions(who: Identity) -> None:
    """End the sessions in which something names the person; that device signs in again.

    Those that cannot be read go too: a copy brought back under a new key has them, names and all.
    """
    for session in Session.objects.all():
        said = session.get_decoded()
        if not said or who.is_in(json.dumps(said, default=str, ensure_ascii=False)):
            session.delete()


def _wanted() -> Path:
    return Path(settings.DATA_DIR) / WANTED


def _clear_freed_space() -> bool:
    try:
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("VACUUM")
            else:
                for table in sorted({*ALSO, *(holding.table for holding in HOLDINGS)}):
                    cursor.execute(f'VACUUM (FULL) "{table}"')
    except DatabaseError:
        logger.exception("freed space could not be cleared: it is tried again")
        return False
    return True
