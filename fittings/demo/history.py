"""Three years of customers and orders, and the day it all stops at."""

import datetime
import heapq
from collections.abc import Iterator, Sequence
from types import MappingProxyType
from typing import Final

from django.contrib.auth.models import User

from customers.models import Consent, Customer, Unit
from customers.models.customer import folded_name
from customers.searching import digits
from fittings.demo.bodies import aged, draw_bodies
from fittings.demo.house import STAFF, in_use
from fittings.demo.names import draw_names
from fittings.demo.orders import Order
from fittings.demo.scenes import STORIES, Day, Scene, Story
from fittings.demo.setting import Client, Piece, Setting
from garments.models import Cloth, Kind

Moment = datetime.datetime

YEARS: Final = 3
CUSTOMERS: Final = 125  # and those of today's scenes
# How good each cutter is at reading a cause from its faults: the third is the truth to be found.
SKILLS: Final = (0.84, 0.82, 0.5)
WANDERS: Final = (1.0, 3.0, 1.0)
SUITS: Final[tuple[tuple[tuple[str, ...], float], ...]] = (
    ((Kind.COAT, Kind.TROUSERS), 0.22),
    ((Kind.COAT,), 0.4),
    ((Kind.COAT, Kind.WAISTCOAT, Kind.TROUSERS), 0.08),
    ((Kind.TROUSERS,), 0.18),
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
METRIC: Final = 0.2  # of customers are measured in centimetres
GAP_AT_LEAST, GAP_BEYOND = 150, 240  # days from one order to the next
NOTES: Final = ("", "", "", "Carries a notebook on the left.", "Prefers a firm waist.")


def register_clients(setting: Setting, moments: Sequence[Moment]) -> list[Client]:
    """One new customer at each moment, with a body nobody has measured yet."""
    rng = setting.rng
    taken = [(hand.given, hand.family) for hand in STAFF]
    names = [name for name in draw_names(rng, len(moments) + len(taken)) if name not in taken]
    bodies = draw_bodies(rng, len(moments))
    return [
        Client(register(setting, name, at), body)
        for name, body, at in zip(names, bodies, moments, strict=False)
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
        unit=Unit.CENTIMETRES if setting.rng.random() < METRIC else "",  # else as the house
        notes=str(setting.rng.choice(NOTES)),
        search_name=folded_name(given, family),
        search_phone=digits(phone),
        created_at=at,
    )


def ask_consent(setting: Setting, client: Client, *, agrees: bool = False) -> None:
    """Most say yes to photographs, some no, some were never asked."""
    answer = setting.rng.random()
    if answer < ASKED_NEVER and not agrees:
        return
    at = client.customer.created_at
    setting.record.entry(
        Consent,
        customer=client.customer,
        kind=Consent.Kind.FITTING_PHOTOGRAPHS,
        given=agrees or bool(answer < 1 - SAID_NO),
        given_on=at.date(),
        wording=WORDING,
        at=at,
        by=setting.staff.front,
    )


def tell(setting: Setting, day: Day) -> None:
    """All that happened until now, every event in its turn."""
    back = map(int, setting.rng.integers(120, YEARS * 365, size=CUSTOMERS))
    came: list[tuple[Moment, Story | None]] = [
        (setting.hour(day.today - datetime.timedelta(days=days)), None) for days in back
    ]
    came += [(first_day(day, story), story) for story in STORIES]
    came.sort(key=lambda row: row[0])
    clients = register_clients(setting, [at for at, _ in came])
    queue: list[tuple[Moment, int, Iterator[Moment]]] = []
    for client, (at, story) in zip(clients, came, strict=True):
        for begins, told in _stories(setting, client, at, story, day):
            queue.append((begins, len(queue), told))
    heapq.heapify(queue)
    while queue:
        at, number, told = heapq.heappop(queue)
        coming = next(told, None) if at <= day.now else None
        if coming is not None:
            heapq.heappush(queue, (max(coming, at), number, told))


def first_day(day: Day, story: Story) -> Moment:
    """When the customer of a story was registered."""
    return day.ago(story.days, 10 * 60) if story.days else day.by_now(-150, 45)


def _stories(
    setting: Setting, client: Client, at: Moment, story: Story | None, day: Day
) -> Iterator[tuple[Moment, Iterator[Moment]]]:
    """What there is to tell of a customer: one scene, or order after order."""
    ask_consent(setting, client, agrees=story is not None and story.photographed)
    if story is None:
        for begins in _order_moments(setting, at, day.now):
            yield begins, order_at(setting, client, begins)
        return
    fitter = setting.staff.fitters[story.fitter]
    (piece,) = choose_pieces(setting, day.today, (story.kind,))
    yield at, story.tell(Scene(setting, client, fitter, piece, day=day))


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


def choose_pieces(setting: Setting, day: datetime.date, kinds: Sequence[str] = ()) -> list[Piece]:
    """These kinds, or a suit or a single garment, of one cloth, by cuts in use on ``day``."""
    rng = setting.rng
    kinds = kinds or SUITS[int(rng.choice(len(SUITS), p=[share for _, share in SUITS]))][0]
    pattern = Cloth(str(rng.choice(list(CLOTHS), p=[0.55, 0.25, 0.2])))
    cloth = str(rng.choice(CLOTHS[pattern]))
    pieces = []
    for kind in kinds:
        cuts = in_use(setting.versions[kind], day)
        cut = cuts[int(rng.integers(len(cuts)))]
        pieces.append(Piece(kind, cut, cloth, pattern))
    return pieces
