"""What the workroom asks of the record."""

from django.db.models import Exists, OuterRef

from customers.ledger import LedgerQuerySet
from garments.models import Alteration, Garment, TicketRevision


def newest_revisions() -> LedgerQuerySet[TicketRevision]:
    """Of every ticket the revision that holds: a later one strikes the one it replaces."""
    return TicketRevision.objects.standing()


def open_alterations(garment: Garment) -> LedgerQuerySet[Alteration]:
    """Standing alterations of a garment that are on no ticket's newest revision."""
    ticketed = newest_revisions().filter(lines__alteration=OuterRef("pk"))
    return Alteration.objects.standing().filter(~Exists(ticketed), garment=garment)
