"""Which operations change the pattern and cancel each other, and which change none. Pure data.

Each pair moves one line of the pattern, there and back: what `more` adds, `less` takes away. The
pairing follows from what each operation does (`operations.toml`); what is made and not cut was
sorted by us, common practice without a source.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from garments import seams


@dataclass(frozen=True, slots=True)
class Family:
    """One line of the pattern and its two directions. `less` is empty where there is no way back.

    The family is named by `more`.
    """

    more: str
    less: str = ""

    def operation(self, *, more: bool) -> str:
        """The operation that goes this way; none of that name where there is no way back."""
        return self.more if more else self.less


FAMILIES: Final = tuple(
    Family(*pair)
    for pair in (
        ("let-out", "take-in"),
        ("let-out-waist", "take-in-waist"),
        ("let-out-seat", "take-in-seat"),
        ("let-out-below", "take-in-below"),
        ("widen-bottom", "narrow-bottom"),
        ("pass-up", "pass-down"),
        ("let-down-shoulder", "pick-up-shoulder"),
        ("lengthen-back-rise", "shorten-back-rise"),
        ("lengthen-rise", "shorten-rise"),
        ("lengthen-front-rise", "shorten-front-rise"),
        ("pass-underside-up", "pass-underside-down"),
        ("increase-seat-angle", "reduce-seat-angle"),
        ("let-out-fork", "take-in-fork"),
        ("advance-fly",),
        ("crooken", "straighten"),
        ("let-out-shoulder-end", "take-in-shoulder-end"),
        ("open-leg", "close-leg"),
        ("put-in-gore",),
        ("raise-neck", "sink-neck"),
        ("widen-neck", "narrow-neck"),
        ("widen-shoulder", "narrow-shoulder"),
        ("deepen-scye", "raise-scye"),
        ("advance-scye", "set-scye-back"),
        ("lengthen-head", "shorten-head"),
        ("rotate-sleeve-forward", "rotate-sleeve-back"),
        ("lengthen-collar", "shorten-collar"),
        ("raise-opening", "lower-opening"),
        ("move-buttons-out", "move-buttons-in"),
        ("raise-button-point", "lower-button-point"),
        ("let-down-hem", "raise-hem"),
        ("lengthen-cuff", "shorten-cuff"),
    )
)
# A waistcoat's back neck is sunk by an operation of its own; it undoes the same raising.
_ALSO_LESS: Final = MappingProxyType({"sink-back-neck": "raise-neck"})
NO_CHANGE: Final = MappingProxyType(
    {
        "recut": "the piece was cut again, by how much is not known",
        "release-lining": "the lining is made so, the pattern of the cloth stays",
        "remake-canvas": "the canvas is made so, the pattern of the cloth stays",
        "press-shape": "it is pressed so, not cut",
        "pad-shoulder": "wadding is put in, not cut",
        "stretch-seam": "it is worked with the iron, not cut",
        "ease-sleeve-head": "the fulness is laid again, not cut",
        "redress-collar": "the collar is made so, not cut",
        "draw-in-edge": "a tape holds it in, it is not cut",
        "reshape-edge": "which way the edge went is not said",
        "reset-strap": "the strap is set so, not cut",
        "leave": "nothing was altered",
    }
)
UNKNOWN: Final = "the tables of the house no longer hold this operation"

_WAYS: Final = MappingProxyType(
    {f.more: (f, 1) for f in FAMILIES}
    | {f.less: (f, -1) for f in FAMILIES if f.less}
    | {less: (f, -1) for less, more in _ALSO_LESS.items() for f in FAMILIES if f.more == more}
)


def way_of(operation: str) -> tuple[Family, int] | None:
    """The family of an operation and its sign, 1 or -1; None where the pattern stays."""
    return _WAYS.get(operation)


def why_not(operation: str) -> str:
    """Why an operation changes no pattern."""
    return NO_CHANGE.get(operation, UNKNOWN)


def operation_at(family: Family, kind: str, seam: str, *, more: bool) -> str:
    """The operation of that way that is done at this seam; empty when there is none."""
    named = [family.operation(more=more)]
    if not more:
        named += [less for less, of in _ALSO_LESS.items() if of == family.more]
    return next((key for key in named if key and seam in seams.operation(key).seams(kind)), "")
