"""What is asked about garments."""

from django.db.models import Sum

from customers.lengths import Length
from garments.models import Garment, InlayMovement


def inlays_of(garment: Garment) -> dict[tuple[str, str], Length]:
    """The inlay now in each seam, by (seam key, side): the sum of its movements. One query."""
    movements = InlayMovement.objects.standing().filter(garment=garment)
    rows = movements.order_by().values_list("seam", "side").annotate(now=Sum("amount"))
    return {(seam, side): now for seam, side, now in rows}
