"""The one way in for each write about a list that is not brought in yet."""

import datetime
import hashlib
import logging
import re
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from customers.ledger import already_kept
from fittings.bringing.checking import check_of, check_rows
from fittings.lists import Column, FileError, Table, best_columns, read_table
from fittings.lists.columns import known_headings
from fittings.models import Import, Upload, UploadRow

KEPT_FOR: Final = datetime.timedelta(days=7)  # names and bodies do not lie about; house rule
AT_ONCE: Final = 500  # rows checked in one request: about half a second
OUT, NEW = "out", "new"
USED: Final = "This page was already used for another list: open it again."
SAME: Final = re.compile(r"same:([0-9])")
Outcome = UploadRow.Outcome

logger = logging.getLogger("ledger.bringing")


@transaction.atomic
def keep_upload(*, entry_id: uuid.UUID, name: str, content: bytes, by: User) -> Upload:
    """Keep a list to look at; nothing of it is in the ledger yet. Old ones left lying go.

    The same form sent twice keeps it once. ValidationError keyed by field: a file that is no list
    (``fittings.lists.files``), or one that was brought in already and stands.
    """
    digest = hashlib.sha256(content).hexdigest()
    if kept := already_kept(Upload, entry_id, by):
        if kept.digest != digest:
            raise ValidationError({"entry_id": USED})
        return kept
    drop_expired()
    if before := Import.objects.standing().filter(digest=digest).first():
        day = timezone.localtime(before.at)
        said = f"This very file was brought in on {day:%d %B %Y}. Take that back first."
        raise ValidationError({"file": said})
    if Import.objects.filter(pk=entry_id).exists():
        raise ValidationError({"entry_id": USED})
    try:
        table = read_table(content, known_headings)
    except FileError as error:
        raise ValidationError({"file": str(error)}) from error
    if not table.rows:
        raise ValidationError({"file": "There is no row below the headings."})
    columns = best_columns(table.heading)
    return Upload.objects.create(
        id=entry_id,
        by=by,
        name=_plain_name(name),
        digest=digest,
        content=content,
        encoding=table.encoding,
        delimiter=table.delimiter,
        rows=len(table.rows),
        columns=[asdict(column) for column in columns],
    )


@transaction.atomic
def map_columns(*, upload: Upload, columns: Sequence[Column], answers: Mapping[str, Any]) -> Upload:
    """Say what each column means and what the file leaves open; it is checked anew from the top."""
    row = Upload.objects.select_for_update().get(pk=upload.pk)
    said = ([asdict(column) for column in columns], dict(answers))
    if row.mapped and not row.checked and (row.columns, row.answers) == said:
        return row
    row.rows_read.all().delete()
    row.columns, row.answers = said
    row.mapped, row.checked = True, 0
    row.version += 1
    row.save()
    return row


@transaction.atomic
def check_next_rows(*, upload: Upload, most: int = AT_ONCE) -> Upload:
    """Look at the next rows; ``checked`` tells how many are done. Writes nothing but these."""
    row = Upload.objects.select_for_update().get(pk=upload.pk)
    if not row.mapped or row.checked >= row.rows:
        return row
    todo = table_of(row).rows[row.checked : row.checked + most]
    UploadRow.objects.bulk_create(check_rows(row, todo, check_of(row)), batch_size=200)
    row.checked += len(todo)
    row.version += 1
    row.save(update_fields=["checked", "version"])
    return row


@transaction.atomic
def choose_rows(*, upload: Upload, choices: Mapping[int, str]) -> int:
    """Say what is to become of rows; how many were changed.

    By row of the file: ``same:0`` (the first proposed), ``new``, ``out``, or nothing (as it is).
    ValidationError for a choice a row does not have.
    """
    Upload.objects.select_for_update().get(pk=upload.pk)
    changed = []
    for row in upload.rows_read.filter(row__in=choices).defer("plan", "findings", "known"):
        choice = choices[row.row]
        if choice not in choices_of(row):
            raise ValidationError({f"row-{row.row}": "That is not to be chosen for this row."})
        if choice != row.choice:
            row.choice = choice
            changed.append(row)
    UploadRow.objects.bulk_update(changed, ["choice"], batch_size=100)
    if changed:
        _touched(upload)
    return len(changed)


@transaction.atomic
def choose_all(*, upload: Upload, what: str) -> int:
    """One choice for every row that waits for one; how many there were.

    ``wrong-out`` leaves out what has findings; ``same``, ``new`` and ``out`` decide about those
    perhaps known. ValidationError for anything else.
    """
    waiting = upload.rows_read.filter(choice="")
    choices = {"same": "same:0", "new": NEW, "out": OUT}
    if what == "wrong-out":
        changed = waiting.filter(outcome=Outcome.WRONG).update(choice=OUT)
    elif what in choices:
        changed = waiting.filter(outcome=Outcome.ASKS).update(choice=choices[what])
    else:
        raise ValidationError("There is no such choice.")
    if changed:
        _touched(upload)
    return changed


@transaction.atomic
def throw_away(*, upload: Upload) -> None:
    """Forget a list that is not brought in; nothing of it is left."""
    Upload.objects.filter(pk=upload.pk).delete()
    logger.info("list %s thrown away", upload.pk)


def drop_expired() -> int:
    """Forget the lists nobody brought in for a week; how many."""
    gone, _ = Upload.objects.filter(at__lt=timezone.now() - KEPT_FOR).delete()
    return gone


def choices_of(row: UploadRow) -> list[str]:
    """What may be chosen for a row; the first is what stands when nobody chooses."""
    if row.outcome == Outcome.ASKS:
        return ["", *(f"same:{at}" for at in range(len(row.proposals))), NEW, OUT]
    return ["", OUT]


def table_of(upload: Upload) -> Table:
    """The list's rows, read again from its bytes."""
    return read_table(bytes(upload.content), known_headings)


def _touched(upload: Upload) -> None:
    row = Upload.objects.get(pk=upload.pk)
    row.version += 1
    row.save(update_fields=["version"])


def _plain_name(name: str) -> str:
    """The file's own name, without a path or what no name should hold."""
    last = re.split(r"[\\/]", name)[-1]
    return re.sub(r"[<>\x00-\x1f\x7f]", "", last).strip()[:120] or "list.csv"
