"""Who looked at whom: one row for each page that shows a customer, kept for the owner.

At most one row for a person, a page, a customer and an hour of the clock: a screen that asks again
every few seconds is one look. It is written after the page is made and never waits: while others
write for long, the look goes to the log in place of the table.
"""

import datetime
import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from customers.models import Customer
from fittings.models import Booking, Fitting, Message, Photograph, Seen, Waiting
from fittings.privacy.keeping import forget_seen
from garments.models import Garment, Ticket
from garments.requests import person_of

WAIT: Final = 200  # ms SQLite waits for others who write; usually 20 s
MOST: Final = 5000  # marks a process keeps in mind
NAMES: Final = {"number": "number", "pk": "pk"}

Way = tuple[Any, str]  # a model, and the way from its row to the customer's key
OF_CUSTOMER: Final[Way] = (Customer, "pk")
OF_GARMENT: Final[Way] = (Garment, "customer")
OF_TICKET: Final[Way] = (Ticket, "garment__customer")
OF_FITTING: Final[Way] = (Fitting, "customer")
OF_PHOTOGRAPH: Final[Way] = (Photograph, "customer")
OF_BOOKING: Final[Way] = (Booking, "customer")
# Whose things the `number` or `pk` in the address are: by page, else by room.
ROOMS: Final[Mapping[str, Way]] = {
    "customers": OF_CUSTOMER,
    "diary": OF_BOOKING,
    "garments": OF_GARMENT,
    "privacy": OF_CUSTOMER,
    "promising": OF_GARMENT,
    "session": OF_FITTING,
    "waiting": (Waiting, "customer"),
    "workroom": OF_TICKET,
}
PAGES: Final[Mapping[str, Way | None]] = {
    "customers:set_detail": OF_CUSTOMER,
    "folios:customer_folio": OF_CUSTOMER,
    "folios:garment_folio": OF_GARMENT,
    "garments:cut_retire": None,
    "garments:cut_version_create": None,
    "garments:garment_create": OF_CUSTOMER,
    "diary:room_retire": None,
    "post:booking_write": OF_BOOKING,
    "post:message_detail": (Message, "customer"),
    "post:message_mark": (Message, "customer"),
    "post:ready_write": OF_GARMENT,
    "promising:maker_update": None,
    "promising:overtime_strike": None,
    "travelling:packing_pdf": None,
    "travelling:trip_call_off": None,
    "travelling:trip_detail": None,
    "session:fitting_ahead": OF_BOOKING,
    "session:photograph": OF_PHOTOGRAPH,
    "session:photograph_strike": OF_PHOTOGRAPH,
    "session:photographs_delete": OF_CUSTOMER,
    "session:pin_page": OF_PHOTOGRAPH,
    "session:thumbnail": OF_PHOTOGRAPH,
    "workroom:ticket_create": OF_GARMENT,
}
# Pages with many customers on them: that they were looked at, and not at whom.
LISTS: Final = frozenset(
    {
        "bringing:import_detail",
        "bringing:upload_detail",
        "customers:customer_find",
        "diary:day",
        "diary:today",
        "diary:week",
        "post:post_list",
        "privacy:due_list",
        "privacy:looked_at",
        "promising:promise_list",
        "review:behind_page",
        "session:fitting_list",
        "travelling:packing_pdf",
        "travelling:trip_detail",
        "waiting:waiting_list",
        "workroom:ticket_list",
        "workroom:tickets_pdf",
        "workroom:wall",
    }
)

GetResponse = Callable[[HttpRequest], HttpResponse]
logger = logging.getLogger("ledger.seen")


class SeenMiddleware:
    """Keep who opened a page about a customer, and who was refused one.

    Stands outside ``RoleMiddleware``, so that its refusals come by here.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response
        # Only spares the database the same row again: what may stand twice the table says.
        self.kept: set[str] = set()
        self.hour = ""
        self.day: datetime.date | None = None

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        shown = request.method == "GET" and response.status_code == 200  # noqa: PLR2004
        refused = response.status_code == 403  # noqa: PLR2004
        if (shown or refused) and request.user.is_authenticated and request.resolver_match:
            self._note(request, refused=refused)
        return response

    def _note(self, request: HttpRequest, *, refused: bool) -> None:
        match = request.resolver_match
        assert match is not None  # noqa: S101 - asked for above
        way = way_to(match.view_name, match.kwargs)
        if way is None and match.view_name not in LISTS and not refused:
            return
        now = timezone.now()
        self._turn_the_hour(now)
        mark = f"{request.user.pk}:{match.view_name}:{refused:d}:{sorted(match.kwargs.items())}"
        if mark in self.kept:
            return
        try:
            with _hardly_waiting():
                self._turn_the_day(now)
                _keep(request, match.view_name, _whose(way, match.kwargs), now, refused=refused)
        except DatabaseError:
            logger.warning("not kept: page=%s user=%s", match.view_name, request.user.pk)
        else:
            self.kept.add(mark)

    def _turn_the_hour(self, now: datetime.datetime) -> None:
        hour = f"{now:%Y%m%d%H}"
        if hour != self.hour or len(self.kept) > MOST:
            self.kept, self.hour = set(), hour

    def _turn_the_day(self, now: datetime.datetime) -> None:
        """Let go of what is a year old, with the first look of a day."""
        if now.date() != self.day:
            forget_seen(now)
            self.day = now.date()


def way_to(page: str, where: Mapping[str, Any]) -> Way | None:
    """How to find the customer a page is about by what its address says; None for no one."""
    if not NAMES.keys() & where.keys():
        return None
    if page in PAGES:
        return PAGES[page]
    return ROOMS.get(page.partition(":")[0])


def _whose(way: Way | None, where: Mapping[str, Any]) -> int | None:
    if way is None:
        return None
    model, path = way
    # Of two names in an address (a fitting and a garment of it) the row's own key is its model's.
    by_number = "number" in where and (model is not Fitting or "pk" not in where)
    name = "number" if by_number else "pk"
    rows = model._default_manager.filter(**{name: where[name]})
    key: int | None = rows.values_list(path, flat=True).first()
    return key


def _keep(
    request: HttpRequest,
    page: str,
    customer: int | None,
    now: datetime.datetime,
    *,
    refused: bool,
) -> None:
    by = person_of(request)
    mark = f"{now:%Y%m%d%H}:{by.pk}:{page}:{customer or ''}:{refused:d}"
    row = Seen(at=now, by=by, customer=customer, page=page, refused=refused, mark=mark)
    # Another process may have kept the same look.
    Seen.objects.bulk_create([row], ignore_conflicts=True)


@contextmanager
def _hardly_waiting() -> Iterator[None]:
    """On SQLite, give up at once where others hold the database; PostgreSQL lets us write."""
    if connection.vendor != "sqlite":
        yield
        return
    usual = int(connection.settings_dict["OPTIONS"].get("timeout", 5) * 1000)
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout = {WAIT}")
        try:
            yield
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {usual}")
