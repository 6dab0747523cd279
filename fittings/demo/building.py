"""The demo house built whole, in one transaction: all of it or nothing."""

import datetime

import numpy as np
from django.db import transaction

from fittings import catalogue
from fittings.demo import afterwork, causes, opening, posting, promising, travelling
from fittings.demo.history import SKILLS, WANDERS, tell
from fittings.demo.house import lay_out_cuts, open_house
from fittings.demo.record import Record
from fittings.demo.scenes import Day
from fittings.demo.setting import Setting
from fittings.demo.timetable import Timetable
from fittings.demo.visits import Visits
from fittings.lessons.services import renew_lessons

SEED = 1903


@transaction.atomic
def build(*, seed: int, now: datetime.datetime) -> None:
    """Write the house as it stands at ``now``. The database must hold no house yet."""
    rng = np.random.default_rng(seed)
    today = now.date()
    staff, rooms = open_house()
    versions = lay_out_cuts(today)
    record = Record(rng)
    visits = Visits(record, rng, rooms, Timetable(len(rooms), today), staff.front)
    skills = {fitter.username: skill for fitter, skill in zip(staff.fitters, SKILLS, strict=True)}
    tapes = {fitter.username: off for fitter, off in zip(staff.fitters, WANDERS, strict=True)}
    setting = Setting(record, rng, staff, visits, skills, tapes, versions)
    tell(setting, Day(today, now))
    # Chance of its own: the rest of the history is the same whether anybody measures or not.
    afterwork.measure(record, np.random.default_rng([seed, afterwork.STREAM]), now)
    afterwork.open_bench(record, staff.owner, now)
    record.write()
    opening.open_doors(staff.owner, staff.fitters[-1], now)
    promising.seat_makers(staff)
    promising.bring_a_wedding_forward(today)
    travelling.travel(staff, now)
    posting.write_letters(staff, now)
    causes.propose(record, today)
    renew_lessons(catalogue=catalogue.load(), today=today)
