"""Three years of customers and orders, and the day it all stops at."""

import datetime
import heapq
from collections.abc import Iterator, Sequence
from types import MappingProxyType
from typing import Final

import numpy as np
from django.contrib.auth.models import User

from customers.models import Consent, Customer
from customers.models.customer import folded_name
from customers.searching import digits
from fittings.demo.bodies import aged, draw_bodies
from fittings.demo.house import STAFF, in_use
from fittings.demo.names import draw_names
from fittings.demo.orders import Client, Order, Piece, Setting
from garments.models import Cloth, Kind

Moment = datetime.datetime

YEARS: Final = 3
CUSTOMERS: Final = 140
# How good each cutter is at reading a cause from its faults: the third is the truth to be found.
SKILLS: Final = (0.84, 0.82, 0.5)
SUITS: Final[tuple[tuple[tuple[str, ...], float], ...]] = (
    ((Kind.COAT, Kind.TROUSERS), 0.36),
    ((Kind.COAT,), 0.27),
    ((Kind.COAT, Kind.WAISTCOAT, Kind.TROUSERS), 0.1),
    ((Kind.TROUSERS,), 0.15),
    ((Kind.OVERCOAT,), 0.12),
)
CLOTHS: Final = MappingProxyType(
    {
        Cloth.PLAIN: ("Grey flannel, 13 oz", "Navy worsted, 11 oz", "Brown serge, 12 oz"),
        Cloth.STRIPE: ("Charcoal chalk stripe, 12 oz", "Navy pin stripe, 11 oz"),
        Cloth.CHECK: ("Green gun check, 14 oz", "Grey windowpane check, 12 oz"),
    }
)
WORDING: Final = (
    "Photographs of my garments on me may be taken for the workroom, and for nobody else."
)
ASKED_NEVER, SAID_NO = 0.2, 0.12
GAP_AT_LEAST, GAP_BEYOND = 150, 420  # days from one order to the next
NOTES: Final = ("", "", "", "Carries a notebook on the left.", "Prefers a firm waist.")


def register_clients(setting: Setting, days: Sequence[datetime.date]) -> list[Client]:
    """One new customer for each day, with a body nobody has measured yet."""
    rng = setting.rng
    taken = [(hand.given, hand.family) for hand in STAFF]
    names = [name for name in draw_names(rng, len(days) + len(taken)) if name not in taken]
    bodies = draw_bodies(rng, len(days))
    return [
        Client(
            customer=register(setting, name, setting.hour(day)),
            body=body,
            unit="cm" if rng.random() < 0.2 else "in",  # noqa: PLR2004 - who came with metric
        )
        for name, body, day in zip(names, bodies, days, strict=False)
    ]


def register(setting: Setting, name: tuple[str, str], at: Moment) -> Customer:
    """The customer's row. Phones are of the range Ofcom keeps for drama: they ring nowhere."""
    given, family = name
    phone = f"01632 960 {int(setting.rng.integers(1000)):03}"
    return setting.record.numbered(
        Customer,
        "C",
        title="Mr",
        given_name=given,
        family_name=family,
        phone=phone,
        email=f"{given}.{family}@post.example".lower(),  # RFC 2606: nobody's address
        notes=str(setting.rng.choice(NOTES)),
        search_name=folded_name(given, family),
        search_phone=digits(phone),
        created_at=at,
    )


def ask_consent(setting: Setting, client: Client, at: Moment) -> None:
    """Most say yes to photographs, some no, some were never asked."""
    answer = setting.rng.random()
    if answer < ASKED_NEVER:
        return
    setting.record.entry(
        Consent,
        customer=client.customer,
        kind=Consent.Kind.FITTING_PHOTOGRAPHS,
        given=bool(answer < 1 - SAID_NO),
        given_on=at.date(),
        wording=WORDING,
        at=at,
        by=setting.staff.front,
    )


def tell(setting: Setting, today: datetime.date, now: Moment) -> list[Client]:
    """All that happened until ``now``, every event in its turn. The customers it happened to."""
    rng = setting.rng
    back = np.sort(rng.integers(35, YEARS * 365, size=CUSTOMERS))[::-1]
    days = [today - datetime.timedelta(days=int(number)) for number in back]
    clients = register_clients(setting, days)
    queue: list[tuple[Moment, int, Iterator[Moment]]] = []
    for client in clients:
        ask_consent(setting, client, client.customer.created_at)
        for at in _order_moments(setting, client.customer.created_at, now):
            queue.append((at, len(queue), order_at(setting, client, at)))
    heapq.heapify(queue)
    while queue:
        at, number, story = heapq.heappop(queue)
        if at <= now:
            coming = next(story, None)
            if coming is not None:
                heapq.heappush(queue, (max(coming, at), number, story))
    return clients


def _order_moments(setting: Setting, first: Moment, now: Moment) -> Iterator[Moment]:
    """When a customer orders: at once, then again after some months."""
    at = first + datetime.timedelta(minutes=10)
    while at < now:
        yield at
        gap = GAP_AT_LEAST + int(setting.rng.exponential(GAP_BEYOND))
        at = setting.hour(at.date() + datetime.timedelta(days=gap))


def order_at(setting: Setting, client: Client, at: Moment) -> Iterator[Moment]:
    """An order placed at ``at``: what is ordered is settled only then."""
    yield at
    years = (at - (client.seen_at or at)).days / 365
    client.body, client.seen_at = aged(setting.rng, client.body, years), at
    fitter = fitter_of(setting)
    pieces = choose_pieces(setting, at.date())
    yield from Order(setting, client, fitter, pieces, at).life()


def fitter_of(setting: Setting) -> User:
    return setting.staff.fitters[int(setting.rng.integers(len(setting.staff.fitters)))]


def choose_pieces(setting: Setting, day: datetime.date) -> list[Piece]:
    """A suit or a single garment, of one cloth, by cuts in use on ``day``."""
    rng = setting.rng
    kinds = SUITS[int(rng.choice(len(SUITS), p=[share for _, share in SUITS]))][0]
    pattern = Cloth(str(rng.choice(list(CLOTHS), p=[0.55, 0.25, 0.2])))
    cloth = str(rng.choice(CLOTHS[pattern]))
    pieces = []
    for kind in kinds:
        cuts = in_use(setting.versions[kind], day)
        cut = cuts[int(rng.integers(len(cuts)))]
        pieces.append(Piece(kind, cut, cloth, pattern))
    return pieces
