"""Questions whose SQL is written once, for pages that ask a dozen of them at every opening.

Writing a query costs Django several times what the database takes to answer it by a key.
"""

from collections.abc import Callable
from typing import Any, Final

from django.db import connection
from django.db.models import Model, QuerySet
from django.db.models.query import RawQuerySet

KEY: Final = -1  # stands for the key while the SQL is written: no row has it


class Prepared:
    """A queryset with a primary key left open: ``Prepared(lambda pk: Row.objects.filter(of=pk))``.

    Called with a key it gives the model's rows and their annotations (plain texts and numbers: a
    date would come as the database keeps it). The SQL is kept for each kind of database.
    """

    def __init__(self, build: Callable[[int], QuerySet[Any]]) -> None:
        self.build = build
        self.written: dict[str, tuple[type[Model], str, tuple[Any, ...]]] = {}

    def __call__(self, key: int) -> "RawQuerySet[Any]":
        if connection.vendor not in self.written:
            rows = self.build(KEY)
            self.written[connection.vendor] = (rows.model, *rows.query.sql_with_params())
        model, sql, parameters = self.written[connection.vendor]
        filled = [key if parameter == KEY else parameter for parameter in parameters]
        return model._default_manager.raw(sql, filled)
