"""Two people on one row: the second is told, and loses no typing."""

from typing import Any

from django.db import models


class ChangedMeanwhileError(Exception):
    """Someone saved the row after this person opened it; ``row`` is what it says now."""

    def __init__(self, row: models.Model) -> None:
        super().__init__("Someone else changed this while you had it open.")
        self.row = row


def save_unless_changed(row: models.Model, *, version: int, values: dict[str, Any]) -> None:
    """Write ``values`` to ``row`` if it still has ``version``; else ``ChangedMeanwhileError``.

    The same ``values`` sent a second time are there already: nothing is changed. The test and the
    write are one UPDATE, so two at once cannot both win, on any database. Columns the model derives
    in ``save`` are kept true.
    """
    manager = type(row)._default_manager
    won = manager.filter(pk=row.pk, version=version).update(version=version + 1)
    if not won:
        now = manager.get(pk=row.pk)
        if any(getattr(now, name) != value for name, value in values.items()):
            raise ChangedMeanwhileError(now)
        return
    for name, value in values.items():
        setattr(row, name, value)
    row.version = version + 1  # type: ignore[attr-defined]
    row.save()
