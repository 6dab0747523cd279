"""The part of the fitting screen that says what may be behind it, and what was taken to be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from customers.queries import last_measures
from fittings import catalogue
from fittings.catalogue import Catalogue
from fittings.folios.wording import spot_answer_text
from fittings.housebook.queries import house_book
from fittings.learning import Learnt
from fittings.lessons import queries as lessons
from fittings.models import CauseTaken, Fitting, Observation, SpotAnswer
from fittings.session import behind, looking, queries, screen
from garments.aiming.queries import Aims, aims_of
from garments.models import Garment


@dataclass(frozen=True)
class CauseOffer:
    """A usual alteration for a cause taken, and the observation it is to answer.

    ``cured`` of ``judged``: how it fared in this house for this cause and this fault.
    """

    seen: Observation
    offer: screen.Offer
    sign: str
    cured: int
    judged: int


@dataclass(frozen=True)
class TakenCause:
    """A cause that stands, by its name or in the fitter's words, with what is done for it."""

    row: CauseTaken
    name: str
    offers: Sequence[CauseOffer]


def book_of_the_house() -> tuple[Catalogue, str]:
    """The catalogue the house goes by, and its version as the record names it."""
    book = house_book()
    return book.catalogue, book.version


def proposal_for(
    fitting: Fitting,
    garment: Garment,
    seen: Sequence[Observation],
    *,
    answers: Sequence[SpotAnswer] | None = None,
    aims: Aims | None = None,
    learnt: Learnt | None = None,
) -> behind.Proposal:
    """What is proposed of a garment as seen so far, by the catalogue and what the house has learnt.

    Up to seven queries, whatever the data.
    """
    book, _ = book_of_the_house()
    aims = aims or aims_of(garment, "in")
    if answers is None:
        answers = list(queries.spot_answers(fitting, garment))
    learnt = learnt or lessons.learnt(book)
    return behind.propose(
        book,
        garment.kind,
        looking.stage_of(fitting.purpose),
        seen,
        answers=answers,
        body=last_measures(fitting.customer),
        measures_out={(line.point.key, line.side): line.out for line in aims.lines if line.out},
        learnt=lessons.for_diagnosis(learnt, garment.kind),
    )


def behind_it(
    fitting: Fitting,
    garment: Garment,
    seen: Sequence[Observation],
    *,
    unit: str,
    inlays: screen.Inlays,
    aims: Aims | None = None,
) -> dict[str, Any]:
    """What the part of the screen shows, in a fixed number of queries."""
    book, _ = book_of_the_house()
    kind = catalogue.read_as(garment.kind)
    rows = list(queries.causes_taken(fitting, garment))
    answers = list(queries.spot_answers(fitting, garment))
    learnt = lessons.learnt(book)
    return {
        "proposal": proposal_for(fitting, garment, seen, answers=answers, aims=aims, learnt=learnt),
        "causes_taken": [
            _taken(fitting, garment, row, seen, unit=unit, inlays=inlays, learnt=learnt)
            for row in rows
        ],
        "spot_answers": [(row, answer_words(row)) for row in answers],
        "cause_keys": {row.cause for row in rows},
        "causes": [row for row in book.causes if kind in row.kinds],
    }


def answer_words(answer: SpotAnswer) -> str:
    return f"{spot_answer_text(answer)}."


def cause_name(key: str) -> str:
    """The cause as it is called, or was; its key for one the catalogue has dropped since."""
    return book_of_the_house()[0].cause_name(key)


def _taken(
    fitting: Fitting,
    garment: Garment,
    row: CauseTaken,
    seen: Iterable[Observation],
    *,
    unit: str,
    inlays: screen.Inlays,
    learnt: Learnt,
) -> TakenCause:
    """A cause that stands; of signs that ask for the same work the one that asks most is shown."""
    offers: dict[screen.Work, CauseOffer] = {}
    book, _ = book_of_the_house()
    for sign in (each for each in seen if each.fault and row.cause):
        for usual in looking.usual_for_cause(book, garment.kind, fitting.purpose, row.cause, sign):
            work = screen.Work(usual.operation, usual.seam, usual.side)
            offer = screen.offer_of(garment.kind, usual, screen.answers_of(sign), unit, inlays)
            words = screen.fault_words(garment.kind, [sign])[0]
            record = learnt.remedy_record(sign.fault, row.cause, usual.operation)
            found = CauseOffer(sign, offer, words, *record)
            held = offers.setdefault(work, found)
            if _asks_more(found, held):
                offers[work] = found
    return TakenCause(row, cause_name(row.cause) if row.cause else row.words, [*offers.values()])


def _asks_more(one: CauseOffer, other: CauseOffer) -> bool:
    # What is taken stays in sight, so that its key says so.
    if one.offer.taken != other.offer.taken:
        return one.offer.taken
    amounts = [each.offer.usual.amount for each in (one, other)]
    return amounts[0] is not None and (amounts[1] is None or amounts[0] > amounts[1])
