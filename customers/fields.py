"""Lengths in the database: whole nanometres in a BIGINT, so that sums in SQL are exact."""

from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models.expressions import Combinable

from customers.lengths import Length

if TYPE_CHECKING:
    BigInteger = models.BigIntegerField[Any, Any]
else:  # Django's fields cannot be subscripted when they run
    BigInteger = models.BigIntegerField


class LengthField(BigInteger):
    """Stores a ``Length``; what comes out of a query is a ``Length`` again (or None)."""

    description = "An exact length in whole nanometres"
    if TYPE_CHECKING:  # what mypy lets a model's attribute be set to, and what it reads
        _pyi_private_set_type: Length | Combinable  # type: ignore[assignment]
        _pyi_private_get_type: Length  # type: ignore[assignment]

    def from_db_value(self, value: int | None, *_: object) -> Length | None:
        return None if value is None else Length(int(value))

    def to_python(self, value: Any) -> Length | None:
        if value is None or isinstance(value, Length):
            return value
        return Length(int(value))

    def run_validators(self, value: Any) -> None:
        # The column's own limits are whole numbers.
        super().run_validators(value.nm if isinstance(value, Length) else value)

    def get_prep_value(self, value: Any) -> int | None:
        if value is None:
            return None
        return value.nm if isinstance(value, Length) else int(value)

    def value_to_string(self, obj: models.Model) -> str:
        value = self.value_from_object(obj)
        return "" if value is None else str(self.get_prep_value(value))
