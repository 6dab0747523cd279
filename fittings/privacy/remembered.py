"""The erased, remembered outside the database, so that an older copy brought back is erased again.

A copy made before an erasure holds the person, and knows nothing of it. So the house keeps a list
in its data folder, and each copy lays it beside itself: a line for each person erased, with the
number and the id the ledger gave them, when, why and by whom (a key). No name stands in it. Number
and id together: the numbers of a house brought back are given again, to others.
"""

import contextlib
import datetime
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.conf import settings
from django.contrib.auth.models import User
from django.db import DatabaseError, transaction

from customers.models import Customer
from fittings.models import Erasure

NAME: Final = "erased-people.txt"
HEAD: Final = (
    "# Erased from this ledger: number, id, when, why, by whom. Keep it beside the copies.\n"
)


@dataclass(frozen=True, slots=True)
class Remembered:
    """One person erased; ``by`` is the key of who did it."""

    number: str
    form_id: uuid.UUID
    at: datetime.datetime
    reason: str
    by: int

    def __str__(self) -> str:
        return f"{self.number} {self.form_id} {self.at.isoformat()} {self.reason} {self.by}"

    @classmethod
    def read(cls, line: str) -> "Remembered":
        """ValueError when the line is none."""
        number, form_id, at, reason, by = line.split()
        return cls(number, uuid.UUID(form_id), datetime.datetime.fromisoformat(at), reason, int(by))


def remember(*folders: Path, read_in: Path | None = None) -> list[Remembered]:
    """Bring the list in the data folder, and in ``folders``, up to date; all that is on it.

    What stands in any of them stays: the database may be older than the list. ``read_in`` is a
    folder whose list, if it has one, is read and not written.
    """
    places = [folder / NAME for folder in (Path(settings.DATA_DIR), *folders)]
    read = [*places, read_in / NAME] if read_in else places
    known = {row.form_id: row for row in (*_read_all(read), *_in_database())}
    rows = sorted(known.values(), key=lambda row: (row.at, row.number))
    if rows:
        for place in places:
            _write(place, rows)
    return rows


def erase_again(known: Iterable[Remembered]) -> list[str]:
    """Erase whoever the list names and the database still holds; their numbers.

    Whatever is open with them: it was open in the old copy alone.
    """
    from fittings.privacy.erasing import take_out  # noqa: PLC0415 - it remembers in its turn

    done: list[str] = []
    for row in known:
        with transaction.atomic():
            held = Customer.objects.select_for_update().filter(
                number=row.number, form_id=row.form_id, erased_at=None
            )
            if customer := held.first():
                reason = row.reason if row.reason in Erasure.Reason.values else "asked"
                by = _author(row.by)
                take_out(Erasure(customer=customer, reason=reason, by=by, at=row.at))
                done.append(row.number)
    return done


def _author(key: int) -> User:
    """Who erased, or the first owner where the older copy does not know them."""
    owners = User.objects.filter(groups__name="owner").order_by("pk")
    author = User.objects.filter(pk=key).first() or owners.first()
    return author or User.objects.earliest("pk")


def _in_database() -> list[Remembered]:
    rows = Erasure.objects.select_related("customer")
    # A database not brought up to date yet has no such table: the file alone speaks.
    with contextlib.suppress(DatabaseError):
        return [
            Remembered(row.customer.number, row.customer.form_id, row.at, row.reason, row.by_id)
            for row in rows
        ]
    return []


def _read_all(places: Iterable[Path]) -> list[Remembered]:
    return [
        Remembered.read(line)
        for place in places
        if place.exists()
        for line in place.read_text().splitlines()
        if line and not line.startswith("#")
    ]


def _write(place: Path, rows: Iterable[Remembered]) -> None:
    """Whole or not at all: a list cut short would bring somebody back."""
    part = place.with_name(f".{place.name}.part")
    part.write_text(HEAD + "".join(f"{row}\n" for row in rows))
    part.chmod(0o600)
    part.replace(place)
