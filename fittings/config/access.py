"""Who may open which page: one table, enforced by one middleware, walked by one test.

A page that is not in ``PAGES`` opens for nobody: a forgotten line fails closed.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

logger = logging.getLogger("ledger.access")

FRONT = "front of house"
FITTER = "fitter"
WORKROOM = "workroom"
OWNER = "owner"
ROLES = (FRONT, FITTER, WORKROOM, OWNER)

PUBLIC = frozenset({"anyone"})  # signed in or not
EVERYONE = frozenset(ROLES)  # everyone who is signed in and has a role
DESK = frozenset({FRONT, FITTER, OWNER})
FITTING_ROOM = frozenset({FITTER, OWNER})
BENCH = frozenset({FITTER, WORKROOM, OWNER})
OWNERS = frozenset({OWNER})

PAGES: dict[str, frozenset[str]] = {
    "health": PUBLIC,
    "contrast": PUBLIC,
    # A calendar program cannot sign in: the secret in the address is the key.
    "feeds:feed": PUBLIC,
    "manifest": PUBLIC,
    "worker": PUBLIC,
    "accounts:sign_in": PUBLIC,
    "accounts:sign_out": PUBLIC,
    "accounts:second_step": PUBLIC,
    "accounts:hand_change": PUBLIC,
    "accounts:here": PUBLIC,
    "accounts:prove": EVERYONE,
    "accounts:own_keys": EVERYONE,
    "accounts:pin_update": EVERYONE,
    "accounts:tablet_create": EVERYONE,
    "accounts:tablet_end": OWNERS,
    "accounts:rules_update": OWNERS,
    "accounts:factor_page": OWNERS,
    "accounts:factor_remove": OWNERS,
    "accounts:password_change": EVERYONE,
    "accounts:password_changed": EVERYONE,
    "accounts:person_list": OWNERS,
    "accounts:person_create": OWNERS,
    "accounts:person_update": OWNERS,
    # customers and their measures
    "customers:house_update": OWNERS,
    "customers:customer_find": DESK,
    "customers:customer_create": DESK,
    "customers:customer_update": DESK,
    "customers:consent_create": DESK,
    "customers:set_create": FITTING_ROOM,
    "customers:set_detail": BENCH,
    "customers:set_correct": FITTING_ROOM,
    "customers:reading_confirm": FITTING_ROOM,
    "customers:set_compare": BENCH,
    "customers:measure_history": BENCH,
    "customers:measure_history_pdf": BENCH,
    "folios:customer_folio": DESK,
    # what is held of a customer, and who looked at it: photographs and bodies are in the file too
    "privacy:keeping_page": OWNERS,
    "privacy:rule_update": OWNERS,
    "privacy:due_list": OWNERS,
    "privacy:photographs_drop": OWNERS,
    "privacy:looked_at": OWNERS,
    "privacy:customer_held": OWNERS,
    "privacy:customer_export": OWNERS,
    "privacy:customer_erase": OWNERS,
    # lists brought in
    "bringing:import_list": OWNERS,
    "bringing:template_csv": OWNERS,
    "bringing:upload_columns": OWNERS,
    "bringing:upload_detail": OWNERS,
    "bringing:upload_check": OWNERS,
    "bringing:upload_choose": OWNERS,
    "bringing:upload_write": OWNERS,
    "bringing:upload_progress": OWNERS,
    "bringing:upload_discard": OWNERS,
    "bringing:import_detail": OWNERS,
    "bringing:import_take_back": OWNERS,
    # garments in work
    "garments:garment_create": DESK,
    "garments:garment_update": DESK,
    "garments:garment_cut": FITTING_ROOM,
    "garments:carry_page": FITTING_ROOM,
    "garments:line_pass": FITTING_ROOM,
    "garments:line_strike": FITTING_ROOM,
    "garments:cutter_sheet": BENCH,
    "garments:stage_create": BENCH,
    "garments:stage_strike": BENCH,
    "garments:inlay_update": BENCH,
    "garments:inlay_spoil": BENCH,
    "garments:wish_create": DESK,
    "garments:wish_strike": DESK,
    "garments:finished_create": BENCH,
    "garments:plan_page": FITTING_ROOM,
    "garments:remake_create": FITTING_ROOM,
    "garments:cut_list": FITTING_ROOM,
    "garments:cut_create": OWNERS,
    "garments:cut_version_create": OWNERS,
    "garments:cut_retire": OWNERS,
    "folios:garment_folio": EVERYONE,
    # the diary
    "diary:today": EVERYONE,
    "diary:day": DESK,
    "diary:week": DESK,
    "diary:booking_create": DESK,
    "diary:booking_detail": DESK,
    "diary:booking_move": DESK,
    "diary:booking_cancel": DESK,
    "diary:booking_mark": DESK,
    "diary:call_again": DESK,
    "diary:called": DESK,
    "waiting:waiting_list": DESK,
    "waiting:waiting_create": DESK,
    "waiting:waiting_withdraw": DESK,
    "waiting:waiting_give": DESK,
    # fittings in another town; the workroom packs for them
    "travelling:trip_list": DESK,
    "travelling:trip_create": DESK,
    "travelling:trip_call_off": DESK,
    "travelling:trip_detail": EVERYONE,
    "travelling:packing_pdf": EVERYONE,
    "diary:room_create": OWNERS,
    "diary:room_retire": OWNERS,
    # the house's calendar: who is away is heard first by whoever answers the telephone
    "opendays:calendar_page": DESK,
    "opendays:absence_create": DESK,
    "opendays:absence_end": DESK,
    "opendays:week_update": OWNERS,
    "opendays:closure_create": OWNERS,
    "opendays:closure_end": OWNERS,
    "opendays:holidays_update": OWNERS,
    "opendays:holiday_work": OWNERS,
    # what is promised
    "promising:promise_list": DESK,
    "promising:promise_detail": DESK,
    "promising:what_if": DESK,
    "promising:promise_ask": DESK,
    "promising:earliest": DESK,
    "promising:maker_list": OWNERS,
    "promising:maker_update": OWNERS,
    "promising:stage_list": OWNERS,
    "promising:stage_update": OWNERS,
    "promising:stage_strike": OWNERS,
    "promising:overtime_list": OWNERS,
    "promising:overtime_strike": OWNERS,
    # calendars for the house's own people: the owner gives out all, a fitter their own
    "feeds:feed_list": FITTING_ROOM,
    "feeds:feed_renew": FITTING_ROOM,
    "feeds:feed_revoke": FITTING_ROOM,
    # what is written to customers
    "post:post_list": DESK,
    "post:booking_write": DESK,
    "post:ready_write": DESK,
    "post:message_detail": DESK,
    "post:message_mark": DESK,
    "post:wording_list": OWNERS,
    "post:wording_update": OWNERS,
    "post:rules_update": OWNERS,
    # the fitting session
    "session:fitting_list": FITTING_ROOM,
    "session:fitting_start": FITTING_ROOM,
    "session:fitting_ahead": FITTING_ROOM,
    "session:day_pages": FITTING_ROOM,
    "session:fitting_news": FITTING_ROOM,
    "session:fitting_detail": FITTING_ROOM,
    "session:observation_create": FITTING_ROOM,
    "session:observation_strike": FITTING_ROOM,
    "session:callout_create": FITTING_ROOM,
    "session:remark_strike": FITTING_ROOM,
    "session:alteration_create": FITTING_ROOM,
    "session:alteration_strike": FITTING_ROOM,
    "session:cause_create": FITTING_ROOM,
    "session:cause_strike": FITTING_ROOM,
    "session:spot_answer_create": FITTING_ROOM,
    "session:spot_answer_strike": FITTING_ROOM,
    "session:judgement_create": FITTING_ROOM,
    "session:decision_create": FITTING_ROOM,
    "session:decision_strike": FITTING_ROOM,
    "session:photograph_create": FITTING_ROOM,
    "session:photograph_strike": FITTING_ROOM,
    "session:beside": FITTING_ROOM,
    "session:photographs_delete": FITTING_ROOM,
    "session:pin_page": FITTING_ROOM,
    "session:pin_strike": FITTING_ROOM,
    "session:photograph": BENCH,
    "session:thumbnail": BENCH,
    # the house's catalogue
    "housebook:book_page": FITTING_ROOM,
    "housebook:row_detail": FITTING_ROOM,
    "housebook:row_create": OWNERS,
    "housebook:row_update": OWNERS,
    "housebook:row_retire": OWNERS,
    "housebook:row_restore": OWNERS,
    # the workroom
    "workroom:ticket_list": BENCH,
    "workroom:wall": BENCH,
    "workroom:bench_update": OWNERS,
    "workroom:afterwork": BENCH,
    "workroom:ticket_create": FITTING_ROOM,
    "workroom:ticket_detail": BENCH,
    "workroom:ticket_revise": FITTING_ROOM,
    "workroom:ticket_pdf": BENCH,
    "workroom:label_pdf": BENCH,
    "workroom:tickets_pdf": BENCH,
    "workroom:ticket_scan": BENCH,
    "workroom:ticket_find": BENCH,
    "workroom:answer_create": BENCH,
    "workroom:ticket_reply": FITTING_ROOM,
    # the owner's review
    "review:review_page": OWNERS,
    "review:review_csv": OWNERS,
    "review:repeat_page": OWNERS,
    "review:definitions_page": OWNERS,
    "review:closer_page": OWNERS,
    "review:behind_page": OWNERS,
    "review:row_page": OWNERS,
    "review:sheet_csv": OWNERS,
    "review:why_page": OWNERS,
    "review:why_csv": OWNERS,
    "review:letter_page": OWNERS,
    "review:letter_pdf": OWNERS,
    "review:letter_send": OWNERS,
    "review:letter_csv": OWNERS,
    # what the house has learnt
    "lessons:lesson_list": OWNERS,
    "lessons:lessons_renew": OWNERS,
    "lessons:figure_detail": OWNERS,
    "lessons:figure_omit": OWNERS,
    "lessons:case_omit": OWNERS,
    "lessons:omission_strike": OWNERS,
}

# What changes how somebody gets in opens after a password given just now, however they came in.
# Pages of the owner alone never open to a PIN: ``fittings.accounts.gates`` asks for the password.
JUST_PROVEN = frozenset(
    {
        "accounts:factor_page",
        "accounts:factor_remove",
        "accounts:person_create",
        "accounts:person_update",
        "accounts:tablet_create",
    }
)


@dataclass(frozen=True)
class Place:
    """One of the six places of the house, as the navigation shows it."""

    name: str
    label: str
    url: str
    current: bool


PLACES = (
    ("today", "Today", "diary:today"),
    ("customers", "Customers", "customers:customer_find"),
    ("diary", "Diary", "diary:week"),
    ("fitting", "Fitting", "session:fitting_list"),
    ("workroom", "Workroom", "workroom:ticket_list"),
    ("review", "Review", "review:review_page"),
)
# Which place a page belongs to, by the namespace of its address.
PLACE_OF = {
    "bringing": "customers",
    "privacy": "customers",
    "customers": "customers",
    "folios": "customers",
    "garments": "customers",
    "diary": "diary",
    "promising": "diary",
    "feeds": "diary",
    "opendays": "diary",
    "travelling": "diary",
    "waiting": "diary",
    "post": "diary",
    "session": "fitting",
    "housebook": "fitting",
    "workroom": "workroom",
    "lessons": "review",
    "review": "review",
}


def roles_of(user: AbstractBaseUser | AnonymousUser) -> frozenset[str]:
    """The roles a user has; one query, kept on the user for the rest of the request."""
    if not user.is_authenticated:
        return frozenset()
    kept: frozenset[str] | None = getattr(user, "_ledger_roles", None)
    if kept is None:
        names = user.groups.values_list("name", flat=True)  # type: ignore[attr-defined]
        kept = frozenset(names) & EVERYONE
        user._ledger_roles = kept  # type: ignore[attr-defined]  # noqa: SLF001
    return kept


def may_open(user: AbstractBaseUser | AnonymousUser, page: str) -> bool:
    """Whether ``user`` may open the page named ``page``."""
    allowed = PAGES.get(page, frozenset())
    return allowed == PUBLIC or bool(allowed & roles_of(user))


class RoleMiddleware:
    """Refuse, with 403 and a line in the log, every page the user's roles do not open.

    Who is not signed in is sent to sign in by ``LoginRequiredMiddleware``, which stands before.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, _view: Any, _args: Any, _kwargs: Any
    ) -> HttpResponse | None:
        match = request.resolver_match
        page = match.view_name if match else ""
        if may_open(request.user, page):
            return None
        logger.warning("refused page=%s user=%s", page, request.user.pk)
        raise PermissionDenied("Your work does not open this page.")


def places(request: HttpRequest) -> dict[str, Any]:
    """Template context: the places this user may open, and a test for single pages."""
    user = getattr(request, "user", AnonymousUser())
    match = request.resolver_match
    here = "today" if match and match.view_name == "diary:today" else None
    if here is None and match:
        here = PLACE_OF.get(match.namespace, "")
    roles = roles_of(user)
    return {"places": _places(roles, here), "roles": roles}


@lru_cache(maxsize=100)
def _places(roles: frozenset[str], here: str | None) -> tuple[Place, ...]:
    return tuple(
        Place(name, label, reverse(page), name == here)
        for name, label, page in PLACES
        if PAGES[page] & roles
    )
