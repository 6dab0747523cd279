from garments.carrying.queries import carry_lines
from garments.models import Garment

LET_OUT = {"operation": "let-out", "seam": "side-seam", "side": "both"}


def told(garment):
    """Each line of the garment as the page tells it."""
    return [
        (line.words, line.amount_words, line.answered)
        for line in carry_lines(Garment.objects.for_lists().get(pk=garment.pk))
    ]
