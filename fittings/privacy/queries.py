"""What the pages of privacy ask of the record."""

from dataclasses import dataclass

from django.db.models import Count, QuerySet

from customers.models import Customer
from fittings.models import Erasure, Seen
from fittings.privacy.holdings import HOLDINGS


@dataclass(frozen=True, slots=True)
class Held:
    """How many rows of a kind are held of a customer, and how many hold free words."""

    label: str
    count: int
    words: int


def held_of(customer: Customer) -> list[Held]:
    """What is held, kind by kind, without the kinds of which there is nothing.

    One query for each kind, whatever is in it.
    """
    rows = []
    for holding in HOLDINGS:
        counted = holding.of(customer).aggregate(
            count=Count("pk"), words=Count("pk", filter=holding.some_words)
        )
        rows.append(Held(holding.label, **counted))
    return [row for row in rows if row.count]


def looks_at(customer: Customer) -> int:
    """How often pages about the customer were opened, in the year that is kept."""
    return Seen.objects.filter(customer=customer.pk, refused=False).count()


def emptied_by(erasure: Erasure) -> int:
    """How many entries of the ledger lost their words."""
    return erasure.redacted.count()


def erasures() -> QuerySet[Erasure]:
    """Who was erased, newest first, with how many entries lost their words."""
    rows = Erasure.objects.select_related("customer", "by")
    return rows.annotate(emptied=Count("redacted")).order_by("-at", "-pk")
