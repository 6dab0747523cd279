"""A garment made ready for the shears as the house does it: what is open is taken on by name."""

import uuid

from customers.queries import unit_of
from garments.carrying.queries import carry_lines
from garments.carrying.services import answer_carry
from garments.models import Garment
from garments.shears.queries import before_cut
from garments.shears.services import pass_line


def take_on(garment, measures, by, reason="The cutter knows the customer"):
    """Every open line of a garment and a set, as far as it may be passed over."""
    whole = Garment.objects.select_related("customer", "cut_version__cut").get(pk=garment.pk)
    found = before_cut(whole, measures, unit_of(whole.customer)).open
    for line in (each for each in found if each.may_pass):
        pass_line(
            entry_id=uuid.uuid4(),
            garment=whole,
            measurement_set=measures,
            line=line.key,
            told=line.words,
            reason=reason,
            by=by,
        )


def carry_all(garment, by):
    """Every change that past garments needed carried as proposed."""
    whole = Garment.objects.select_related("customer", "cut_version__cut").get(pk=garment.pk)
    for line in carry_lines(whole):
        answer_carry(
            entry_id=uuid.uuid4(),
            garment=whole,
            operation=line.operation,
            seam=line.seam,
            side=line.side,
            accepted=True,
            by=by,
        )
