"""The catalogue's rows and what can be asked of one row. Plain values, no look-ups."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from customers.lengths import Length
from garments.seams import EIGHTH, Operation, needs_side
from garments.seams import operation as operation_of

STAGES: Final = ("baste", "forward", "finished")
VIEWS: Final = ("front", "back", "side")
WHERE: Final = ("cut", "making", "figure", "posture")
# Whose a row is: the program's, added by the house, or the program's with the house's values.
SHIPPED, HOUSE, CHANGED = "shipped", "house", "changed by the house"
# The one place where words become numbers: how often a cause, when it is there, shows as the
# fault. The steps are the house's reading of its sources' words (common practice, no source).
STRENGTHS: Final = {
    "rare": 0.05,
    "sometimes": 0.15,
    "often": 0.4,
    "usually": 0.7,
    "almost-always": 0.9,
}
# The one place where these words become numbers: how often a garment at its first fitting has the
# cause, before anything is seen of it. Each step is twice the one before (common practice, no
# source): only their order is argued from sources, the house's own cases move them.
HOW_COMMON: Final = {
    "very-rare": 0.01,
    "rare": 0.02,
    "uncommon": 0.04,
    "common": 0.08,
    "very-common": 0.16,
}
# What a test on the spot may need besides eyes and words; each asks for a caution.
NEEDS: Final = ("touch", "pin", "rip")


@dataclass(frozen=True, slots=True)
class Zone:
    """Where one looks, and the house's standard there in one line."""

    key: str
    kind: str
    name: str
    view: str
    standard: str
    source: str
    caution: str = ""
    origin: str = SHIPPED


@dataclass(frozen=True, slots=True)
class Fault:
    """Something to be seen. `measure` says what its amount means, empty where none is taken."""

    key: str
    kind: str
    zone: str
    label: str
    sign: str
    look: str
    source: str
    sided: bool = False
    measure: str = ""
    stages: tuple[str, ...] = STAGES
    origin: str = SHIPPED

    @property
    def measured(self) -> bool:
        return bool(self.measure)


@dataclass(frozen=True, slots=True)
class Cause:
    """Why it looks so: in the cut, the making, the figure, or the posture on the day."""

    key: str
    name: str
    kinds: tuple[str, ...]
    where: str
    words: str
    source: str
    how_common: str = "uncommon"
    how_common_source: str = "common practice, no source"
    origin: str = SHIPPED

    @property
    def prior(self) -> float:
        """How likely it is before anything is seen of the garment."""
        return HOW_COMMON[self.how_common]


@dataclass(frozen=True, slots=True)
class Link:
    """A cause shows as a fault. `tells`: what tells it from the others. `side`: only seen there."""

    cause: str
    fault: str
    strength: str
    source: str
    tells: str = ""
    side: str = ""
    note: str = ""
    origin: str = SHIPPED

    @property
    def probability(self) -> float:
        return STRENGTHS[self.strength]


@dataclass(frozen=True, slots=True)
class Remedy:
    """What is done for a cause; the amount is the movement of the sewn line, as in `seams`."""

    cause: str
    kind: str
    operation: str
    seam: str
    source: str
    factor: Fraction | None = None
    least: Length = EIGHTH
    most: Length | None = None
    faults: tuple[str, ...] = ()
    stages: tuple[str, ...] = STAGES
    side: str = ""
    note: str = ""
    origin: str = SHIPPED

    def amount_for(self, measured: Length | None) -> Length | None:
        """The amount to mark for a measured sign, to the nearest 1/8 in, halves upwards.

        None where nothing was measured, nothing was found, or the operation takes no amount.
        """
        wanted = self._wanted(measured)
        if wanted is None:
            return None
        amount = max(wanted, self.least)
        return amount if self.most is None else min(amount, self.most)

    def left_over(self, measured: Length | None) -> Length:
        """How much more would be wanted than this alteration may give; zero when it is enough."""
        wanted, given = self._wanted(measured), self.amount_for(measured)
        return Length(0) if wanted is None or given is None else max(wanted - given, Length(0))

    def side_for(self, seen: str) -> str:
        """The side to do it on: its own, else as seen, else both; none where the seam has none."""
        if not needs_side(self.kind, self.operation, self.seam):
            return ""
        return self.side or seen or "both"

    def _wanted(self, measured: Length | None) -> Length | None:
        if self.factor is None or not measured:
            return None
        eighths = abs(measured.nm) * self.factor / EIGHTH.nm
        return EIGHTH * int(eighths + Fraction(1, 2))


Row = Fault | Cause | Link | Remedy


@dataclass(frozen=True, slots=True)
class SpotTest:
    """Something the fitter does on the spot to tell causes apart, answered yes or no.

    `how`: what is done; `asks`: the question. `yes`: by cause, how often the answer is yes when it
    is there, in the steps of a link's strength; a cause not named says nothing either way.
    """

    key: str
    kinds: tuple[str, ...]
    how: str
    asks: str
    yes: Mapping[str, str]
    source: str
    needs: tuple[str, ...] = ()
    caution: str = ""
    stages: tuple[str, ...] = STAGES
    note: str = ""

    def likelihood(self, cause: str) -> float:
        """How likely a yes is when this cause is there. KeyError for one it does not name."""
        return STRENGTHS[self.yes[cause]]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A remedy as offered for a fault, with the cause it answers and the link to it."""

    cause: Cause
    link: Link
    remedy: Remedy

    @property
    def operation(self) -> Operation:
        return operation_of(self.remedy.operation)

    @property
    def seam(self) -> str:
        return self.remedy.seam

    def amount_for(self, measured: Length | None) -> Length | None:
        return self.remedy.amount_for(measured)

    def side_for(self, seen: str) -> str:
        return self.remedy.side_for(seen)

    def amount_words(self, seen: str) -> str:
        """How the amount is meant, each side or in all, for the fault seen on side `seen`."""
        return self.operation.amount_words(self.side_for(seen), self.seam)
