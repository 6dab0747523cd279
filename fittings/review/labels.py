"""What the groups of a table are called."""

import datetime
from collections.abc import Iterable, Mapping

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, QuerySet

from customers.people import name_of
from fittings.catalogue import Catalogue, Fault
from fittings.housebook.queries import house_catalogue
from fittings.review.asking import By, Group, months_on
from fittings.review.sql import Fetched, Piece, fetch
from garments.models import Cloth, CutVersion, Garment, Kind

Names = dict[Group, str]
NOBODY = "Nobody entered"
HEADINGS = {
    By.CUTTER: "Cutter",
    By.FITTER: "Fitter",
    By.MAKER: "Maker",
    By.CLOTH: "Cloth",
    By.CUT: "Cut and version",
    By.KIND: "Garment",
    By.FAULT: "Fault seen",
    By.MONTH: "Month",
    By.QUARTER: "Quarter",
}


def name_groups(by: By, groups: Iterable[Group]) -> Names:
    """The name of each group; of months and quarters also those between that have no rows."""
    match by:
        case By.CUTTER | By.FITTER | By.MAKER:
            return _tell_apart(groups)
        case By.CUT:
            cuts = CutVersion.objects.select_related("cut").in_bulk(list(groups))
            return {pk: cut_name(cut) for pk, cut in cuts.items()}
        case By.KIND:
            return {group: Kind(str(group)).label.capitalize() for group in groups}
        case By.CLOTH:
            return {group: Cloth(str(group)).label.capitalize() for group in groups}
        case By.FAULT:
            book = house_catalogue()
            return {group: fault_name(str(group), book) for group in groups}
        case _:
            return _periods(by, groups)


def who_has_cut() -> QuerySet[User]:
    """Everyone who ever cut a garment, here still or not."""
    return User.objects.filter(Exists(Garment.objects.filter(cutter=OuterRef("pk"))))


def cutters_now() -> Fetched:
    """The same people as plain rows, for whoever has to know only whether they are as before."""
    return fetch(
        Piece(
            "SELECT u.id, u.username, u.first_name, u.last_name FROM auth_user u WHERE EXISTS "
            "(SELECT 1 FROM garments_garment g WHERE g.cutter_id = u.id) ORDER BY u.id"
        )
    )


def cut_name(cut: CutVersion) -> str:
    """Name, version and kind: one name may stand for cuts of two kinds."""
    return f"{cut.cut.name} {cut.version} ({cut.cut.get_kind_display()})"


def fault_name(key: str, book: Catalogue | None = None) -> str:
    """Garment, zone and fault as on the fitting screen; the bare key of one no longer there."""
    book = book or house_catalogue()
    fault = book.row_by_key.get(("fault", key))
    if not isinstance(fault, Fault):
        return key
    zone = book.zone_name(fault.kind, fault.zone).lower()
    # A new fault may bear the label of a retired one: rows must never merge.
    retired = "" if key in book.fault_by_key else " (retired)"
    return f"{fault.kind.capitalize()}, {zone}: {fault.label}{retired}"


def _tell_apart(groups: Iterable[Group]) -> Names:
    """Names, with the sign-in name added where two people share one: rows must never merge."""
    known = list(groups)
    named = User.objects.only("first_name", "last_name", "username")
    people: Mapping[int, User] = named.in_bulk([pk for pk in known if pk is not None])
    names = {pk: name_of(user) for pk, user in people.items()}
    shared = [name for name in names.values() if list(names.values()).count(name) > 1]
    found: Names = {
        pk: f"{name} ({people[pk].get_username()})" if name in shared else name
        for pk, name in names.items()
    }
    return found | ({None: NOBODY} if None in known else {})


def _periods(by: By, groups: Iterable[Group]) -> Names:
    """Every month or quarter from the first to the last: one without a delivery is shown so."""
    starts = sorted(group for group in groups if isinstance(group, datetime.date))
    names: Names = {}
    start = starts[0] if starts else datetime.date.max
    while starts and start <= starts[-1]:
        names[start] = _period(by, start)
        start = months_on(start, 3 if by is By.QUARTER else 1)
    return names


def _period(by: By, start: datetime.date) -> str:
    """A name that sorts by time: 2026-03, or 2026 quarter 1."""
    quarter = (start.month + 2) // 3
    return f"{start.year} quarter {quarter}" if by is By.QUARTER else f"{start:%Y-%m}"
