"""What the house has learnt, for the fitting room and the owner: read, never worked out."""

from collections.abc import Iterable

from fittings import diagnosis
from fittings.catalogue import Catalogue, read_as
from fittings.learning import NOTHING, Learnt, Row
from fittings.lessons.kept import from_kept
from fittings.lessons.reading import Key, books_of, text_of
from fittings.models import Lessons, Omission


def newest() -> Lessons | None:
    """The lessons, when there are any; its proposals are read only where they are shown."""
    return Lessons.objects.defer("calibration").first()


def rows_left_out() -> dict[Row, Omission]:
    """The figures that are to learn nothing, each with who said so and when."""
    standing = Omission.objects.standing().filter(alteration=None).select_related("by")
    return {Row(row.cause, row.fault, row.operation, row.kind): row for row in standing}


def alterations_left_out() -> set[Key]:
    standing = Omission.objects.standing().exclude(alteration=None)
    return set(standing.values_list(text_of("alteration"), flat=True))


def learnt_of(lessons: Lessons | None, catalogue: Catalogue, left_out: Iterable[Row]) -> Learnt:
    """The kept figures beside the catalogue as it is now."""
    if lessons is None:
        return NOTHING
    return from_kept(lessons.figures, books_of(catalogue), left_out)


def learnt(catalogue: Catalogue) -> Learnt:
    """All that was learnt. Two queries; a few milliseconds for a house of any age."""
    return learnt_of(newest(), catalogue, rows_left_out())


def for_diagnosis(learnt: Learnt, kind: str) -> diagnosis.Learnt:
    """What ``network_for`` puts in the place of the catalogue's values for this kind."""
    return diagnosis.Learnt(priors=learnt.priors(read_as(kind)), links=learnt.links)
