"""Which stage may follow which, and the main pieces a garment can have cut again.

The life of a garment: ordered, cut, basted, first fitting, altered, forward fittings, finished,
final look, delivered, and perhaps back again. A house forgets to enter a step now and then, and a
known figure is often fitted forward at once, so steps may be passed over; none is invented. What
is refused is what cannot be: nothing is basted that nobody cut, nothing is fitted once it is
remade, and a delivered garment must come back before anyone works on it. Common practice, no
source.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from garments.models import Stage

_WORK: Final = (Stage.ALTERING, Stage.FINISHING, Stage.FINISHED)
_END: Final = (Stage.DELIVERED, Stage.REMADE)
_LOOKS: Final = (Stage.FIRST_FITTING, Stage.FORWARD_FITTING)

# In the order they are offered: what usually follows comes first.
MAY_FOLLOW: Final[Mapping[str, tuple[Stage, ...]]] = MappingProxyType(
    {
        Stage.ORDERED: (Stage.CUT, *_LOOKS),
        Stage.CUT: (Stage.BASTED, *_LOOKS, *_WORK, Stage.FINAL_LOOK, Stage.REMADE),
        Stage.BASTED: (*_LOOKS, *_WORK, Stage.FINAL_LOOK, Stage.REMADE),
        Stage.FIRST_FITTING: (*_WORK, Stage.BASTED, *_LOOKS, Stage.FINAL_LOOK, *_END),
        Stage.ALTERING: (
            Stage.FORWARD_FITTING,
            Stage.FINISHING,
            Stage.FINISHED,
            Stage.BASTED,
            Stage.FIRST_FITTING,
            Stage.FINAL_LOOK,
            Stage.ALTERING,
            Stage.RETURNED,
            *_END,
        ),
        Stage.FORWARD_FITTING: (*_WORK, Stage.BASTED, *_LOOKS, Stage.FINAL_LOOK, *_END),
        Stage.FINISHING: (
            Stage.FINISHED,
            Stage.FINAL_LOOK,
            Stage.ALTERING,
            Stage.FORWARD_FITTING,
            Stage.RETURNED,
            *_END,
        ),
        Stage.FINISHED: (
            Stage.FINAL_LOOK,
            Stage.DELIVERED,
            Stage.ALTERING,
            Stage.FINISHING,
            Stage.FORWARD_FITTING,
            Stage.RETURNED,
            Stage.REMADE,
        ),
        Stage.FINAL_LOOK: (
            Stage.DELIVERED,
            *_WORK,
            Stage.FORWARD_FITTING,
            Stage.FINAL_LOOK,
            Stage.RETURNED,
            Stage.REMADE,
        ),
        Stage.DELIVERED: (Stage.RETURNED, Stage.REMADE),
        Stage.RETURNED: (
            *_WORK,
            Stage.DELIVERED,
            Stage.FINAL_LOOK,
            Stage.FORWARD_FITTING,
            Stage.RETURNED,
            Stage.REMADE,
        ),
        Stage.REMADE: (),
    }
)

# The rest have pages of their own: cutting names the measures, a look is a session, a remake
# asks for its reason.
BY_HAND: Final = (
    Stage.BASTED,
    Stage.ALTERING,
    Stage.FINISHING,
    Stage.FINISHED,
    Stage.DELIVERED,
    Stage.RETURNED,
)

_COAT: Final = (
    "left forepart",
    "right forepart",
    "back",
    "left side body",
    "right side body",
    "left sleeve",
    "right sleeve",
    "collar",
)
PIECES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "coat": _COAT,
        "overcoat": _COAT,
        "waistcoat": ("left forepart", "right forepart", "back"),
        "trousers": (
            "left topside",
            "right topside",
            "left underside",
            "right underside",
            "waistband",
        ),
    }
)


def next_by_hand(stage: str) -> list[Stage]:
    """The stages a person may enter next by a single tap on the garment's page."""
    return [after for after in MAY_FOLLOW[stage] if after in BY_HAND and after != stage]
