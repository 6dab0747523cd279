"""Where else a person is named: in texts about others, which only their writers can put right."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Self

from django.apps import apps
from django.db import models
from django.db.models import Q, Value

from customers.models import Customer
from customers.searching import digits, fold
from fittings.privacy.holdings import HOLDINGS

SHORTEST: Final = 3  # letters of a name alone: shorter ones stand in half of all words
SHORTEST_PHONE: Final = 6
APPS: Final = ("customers", "garments", "fittings")


@dataclass(frozen=True, slots=True)
class Identity:
    """What a person is known by: names as spoken, the e-mail address, the telephone number."""

    names: tuple[str, ...]
    email: str
    phone: str

    @classmethod
    def of(cls, customer: Customer) -> Self:
        whole = " ".join(filter(None, (customer.given_name, customer.family_name)))
        names = dict.fromkeys((whole, customer.family_name))
        long = tuple(name for name in names if len(name) >= SHORTEST)
        return cls(long, customer.email, customer.phone)

    @property
    def written(self) -> tuple[str, ...]:
        """Everything of it as it would stand in a text."""
        phone = self.phone if len(digits(self.phone)) >= SHORTEST_PHONE else ""
        return tuple(filter(None, (*self.names, self.email, phone)))

    def is_in(self, text: str) -> bool:
        """Whether the text names the person, in whole words whatever the capitals and accents."""
        folded = f" {fold(text)} "
        if any(f" {fold(name)} " in folded for name in self.names):
            return True
        known = digits(self.phone)
        spoken = re.sub(r"\D", "", text)
        return bool(
            (self.email and self.email.lower() in text.lower())
            or (len(known) >= SHORTEST_PHONE and known in spoken)
        )


@dataclass(frozen=True, slots=True)
class Mention:
    """How many rows of a kind, none of them the person's own, seem to name them."""

    what: str
    count: int


def mentions_of(customer: Customer) -> list[Mention]:
    """Texts about others in which the person's name, e-mail or telephone stands.

    One query over every table with free texts. A name that is a common word as well finds too
    much: the owner looks.
    """
    written = Identity.of(customer).written
    if not written:
        return []
    first, *others = (_naming(model, columns, written, customer) for model, columns in _texts())
    found = Counter(what for (what,) in first.union(*others, all=True))
    return [Mention(what, count) for what, count in sorted(found.items())]


def _naming(
    model: type[models.Model], columns: Iterable[str], written: Iterable[str], customer: Customer
) -> models.QuerySet[Any, Any]:
    """The name of the table once for each row, not the customer's own, in which they are named."""
    named = Q()
    for column in columns:
        for text in written:
            named |= Q(**{f"{column}__icontains": text})
    rows = model._default_manager.filter(named).exclude(**_own(model, customer)).order_by()
    told = Value(str(model._meta.verbose_name_plural), output_field=models.CharField())
    return rows.values_list(told)


def free_texts(model: type[models.Model]) -> list[str]:
    """The columns of a model that hold text nobody chose from a list."""
    return [
        field.name
        for field in model._meta.concrete_fields
        if isinstance(field, models.CharField | models.TextField)
        and not field.choices
        and not field.unique
        and not isinstance(field, models.FileField)
    ]


def _texts() -> Iterator[tuple[type[models.Model], Iterable[str]]]:
    for app in APPS:
        for model in apps.get_app_config(app).get_models():
            if columns := free_texts(model):
                yield model, columns


def _own(model: type[models.Model], customer: Customer) -> dict[str, object]:
    if model is Customer:
        return {"pk": customer.pk}
    own: dict[str, object] = {row.path: customer for row in HOLDINGS if row.model is model}
    return own or {"pk__in": ()}
