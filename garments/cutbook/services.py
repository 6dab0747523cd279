"""The house's cuts: the one way in for a new cut, a new version, or a cut laid aside."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from garments.cutting import CutError, data_of, house_cuts, read_cut
from garments.models import Cut, CutVersion, Kind


@transaction.atomic
def make_cut(*, name: str, kind: str, note: str, start: str = "") -> CutVersion:
    """A new house cut and its first version, with the figures of a cut that comes with the program.

    ValidationError for a name this kind already has, or a ``start`` there is not for it.
    """
    name = " ".join(name.split())
    if kind not in Kind.values:
        raise ValidationError({"kind": "Choose what it is a cut for."})
    taken = ValidationError({"name": f"There is a cut called {name} for this garment already."})
    if Cut.objects.filter(kind=kind, name__iexact=name).exists():
        raise taken
    first = house_cuts().get(start, {}).get(kind)
    if start and first is None:
        raise ValidationError({"start": "It has no figures for this garment: choose another."})
    cut = Cut(name=name, kind=kind)
    cut.clean_fields()
    try:
        with transaction.atomic():
            cut.save()
    except IntegrityError as error:  # someone made it meanwhile
        raise taken from error
    return add_cut_version(cut=cut, version=1, note=note, data=data_of(first) if first else {})


@transaction.atomic
def add_cut_version(
    *, cut: Cut, version: int, note: str, data: Mapping[str, Any] | None = None
) -> CutVersion:
    """The next version of a cut. What was cut before keeps the version it was cut by.

    ``data`` is its ease, rules and tolerances; what contradicts itself in it is a ValidationError
    keyed by figure (``chest-least``), everything at once.

    ``version`` is the number the form showed: sent twice it is kept once, and ValidationError
    says so when someone else made that version meanwhile.
    """
    held = Cut.objects.select_for_update().get(pk=cut.pk)
    note, kept = note.strip(), _figures(cut.kind, data or {})
    newest = held.versions.order_by("-version").first()
    if newest and (newest.version, newest.note, newest.data) == (version, note, kept):
        return newest
    if version != (newest.version if newest else 0) + 1:
        raise ValidationError(f"Version {version} is taken: someone else made it meanwhile.")
    added = CutVersion(cut=held, version=version, note=note, data=kept)
    added.clean_fields(exclude={"cut"})
    added.save(force_insert=True)
    return added


def _figures(kind: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """The figures in their one written form; nothing where there are none."""
    try:
        cut = read_cut(kind, data)
    except CutError as error:
        raise ValidationError(dict(error.found)) from error
    return data_of(cut) if cut.points or cut.rules else {}


@transaction.atomic
def set_cut_retired(*, cut: Cut, retired: bool) -> Cut:
    """Lay a cut aside: it is offered no more, its garments keep it. Or take it up again."""
    cut.retired = retired
    cut.save(update_fields=["retired"])
    return cut
