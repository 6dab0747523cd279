"""What the workroom asks of the record."""

from django.db.models import Exists, OuterRef

from customers.ledger import LedgerQuerySet
from garments.models import Alteration, Garment, TicketRevision


def newest_revisions() -> LedgerQuerySet[TicketRevision]:
    """Of every ticket the revision that holds: the one no later revision replaces."""
    later = TicketRevision.objects.filter(
        ticket=OuterRef("ticket"), revision__gt=OuterRef("revision")
    )
    return TicketRevision.objects.filter(~Exists(later))


def open_alterations(garment: Garment) -> LedgerQuerySet[Alteration]:
    """Standing alterations of a garment that are on no ticket's newest revision."""
    ticketed = newest_revisions().filter(lines__alteration=OuterRef("pk"))
    return Alteration.objects.standing().filter(~Exists(ticketed), garment=garment)
