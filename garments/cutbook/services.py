"""The house's cuts: the one way in for a new cut, a new version, or a cut laid aside."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from garments.models import Cut, CutVersion, Kind


@transaction.atomic
def make_cut(*, name: str, kind: str, note: str) -> CutVersion:
    """A new house cut and its first version. ValidationError for a name this kind already has."""
    name = " ".join(name.split())
    if kind not in Kind.values:
        raise ValidationError({"kind": "Choose what it is a cut for."})
    taken = ValidationError({"name": f"There is a cut called {name} for this garment already."})
    if Cut.objects.filter(kind=kind, name__iexact=name).exists():
        raise taken
    cut = Cut(name=name, kind=kind)
    cut.clean_fields()
    try:
        with transaction.atomic():
            cut.save()
    except IntegrityError as error:  # someone made it meanwhile
        raise taken from error
    return add_cut_version(cut=cut, version=1, note=note)


@transaction.atomic
def add_cut_version(*, cut: Cut, version: int, note: str) -> CutVersion:
    """The next version of a cut. What was cut before keeps the version it was cut by.

    ``version`` is the number the form showed: sent twice it is kept once, and ValidationError
    says so when someone else made that version meanwhile.
    """
    held = Cut.objects.select_for_update().get(pk=cut.pk)
    note = note.strip()
    newest = held.versions.order_by("-version").first()
    if newest and newest.version == version and newest.note == note:
        return newest
    if version != (newest.version if newest else 0) + 1:
        raise ValidationError(f"Version {version} is taken: someone else made it meanwhile.")
    added = CutVersion(cut=held, version=version, note=note)
    added.clean_fields(exclude={"cut"})
    added.save(force_insert=True)
    return added


@transaction.atomic
def set_cut_retired(*, cut: Cut, retired: bool) -> Cut:
    """Lay a cut aside: it is offered no more, its garments keep it. Or take it up again."""
    cut.retired = retired
    cut.save(update_fields=["retired"])
    return cut
