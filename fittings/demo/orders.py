"""One order of one customer, from the first call to the last look, told in the order of time."""

import datetime
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from django.contrib.auth.models import User

from customers.models import Measurement, MeasurementSet
from fittings.catalogue import cause
from fittings.demo.bodies import measure, read_again
from fittings.demo.carrying import CARRIES, answer_memory
from fittings.demo.eye import Eye, Look
from fittings.demo.garment import Wish, Work
from fittings.demo.house import in_use
from fittings.demo.setting import Client, Piece, Setting
from fittings.demo.timetable import working_day
from fittings.demo.truth import Hidden, draw_causes
from fittings.models import Booking, Decision, Fitting
from fittings.session.services.guards import derived
from fittings.session.services.starting import HELD
from garments.models import IN_WORK, Answer, CutVersion, Stage

Moment = datetime.datetime
Purpose = Booking.Purpose
Step = Decision.Step
Task = tuple[Moment, Callable[[Moment], None]]

MOST_ROUNDS: Final = 4  # of fittings, then it is finished as it is
RECUT_SEEN: Final = 0.85
PIECE_ENOUGH: Final = 0.6  # of what is past altering
COMES_BACK: Final = 0.24  # for each cause left in a delivered garment
COMES_BACK_ANYHOW: Final = 0.012
PIECE: Final = {
    "coat": "back",
    "overcoat": "back",
    "waistcoat": "back",
    "trousers": "left underside",
}
LATE, ASKED, SENT_BACK = 0.1, 0.05, 0.03  # of tickets
QUESTIONS: Final = ("Which side first?", "Is the stripe to match at the seam?")
REFUSALS: Final = ("The pocket is in the way.", "The cloth is too tender for a second row.")


class Order:
    """The garments ordered together and fitted together."""

    def __init__(
        self, setting: Setting, client: Client, fitter: User, pieces: Sequence[Piece], at: Moment
    ) -> None:
        self.setting = setting
        self.rng = setting.rng
        self.record = setting.record
        self.client = client
        self.fitter = fitter
        self.pieces = pieces
        self.at = at
        self.eye = Eye(setting.rng, setting.skills[fitter.username])
        self.works: list[Work] = []
        self.rounds = 0
        self.due: datetime.date | None = None  # of the next tickets, when it is settled

    def life(self) -> Iterator[Moment]:
        """Tell it: every value is the moment of what comes next, told only when asked again."""
        yield from self._take_order()
        booking = self._book(Purpose.FIRST, 22, 30)
        yield from self._told(self._make_up(work) for work in self.works)
        while True:
            yield from self._fit(booking)
            if booking.purpose == Purpose.FINAL:
                break
            purpose, low, high = self._next_look()
            booking = self._book(purpose, low, high)
            yield from self._told(self._bench(work) for work in self._in_work())
        yield from self._told(self._hand_over(work) for work in self._in_work())
        yield from self._returns()

    def _take_order(self) -> Iterator[Moment]:
        """Measured when the last set is old, then ordered."""
        setting, client = self.setting, self.client
        if client.measures is None or self._is_old(client.measures):
            booking = setting.visits.book(
                client.customer,
                (),
                self.fitter,
                Purpose.MEASURE,
                wanted=(self.at + setting.days(3, 9)).date(),
                at=self.at,
            )
            kept = yield from setting.visits.attend(booking, self.at)
            began = setting.visits.receive(kept).started_at
            self.at = began + datetime.timedelta(minutes=25)
            client.measures = self.take_measures(self.at)
        else:
            yield self.at
        self.at += datetime.timedelta(minutes=12)
        self.works = [self._ordered(piece) for piece in self.pieces]

    def _is_old(self, measures: MeasurementSet) -> bool:
        return self.at.date() - measures.taken_on > datetime.timedelta(days=240)

    def take_measures(self, at: Moment) -> MeasurementSet:
        client = self.client
        row = self.record.entry(
            MeasurementSet,
            customer=client.customer,
            taken_on=at.date(),
            taken_by=self.fitter,
            unit=client.unit,
            at=at,
            by=self.fitter,
        )
        first = measure(self.rng, client.body, client.unit)
        # Chance of its own: the rest of the history is the same with and without second readings.
        chance, wander = self.rng.spawn(1)[0], self.setting.tapes[self.fitter.username]
        second = read_again(chance, first, client.unit, wander)
        for reading, values in enumerate((first, second), start=1):
            for (point, side), value in values.items():
                self.record.add(
                    Measurement(in_set=row, point=point, side=side, reading=reading, value=value)
                )
        return row

    def _ordered(self, piece: Piece, notes: str = "") -> Work:
        wish = Wish(
            customer=self.client.customer,
            kind=piece.kind,
            cut_version=piece.cut_version,
            cloth=piece.cloth,
            pattern=piece.pattern,
            cutter=self.fitter,
            promised_on=working_day((self.at + self.setting.days(84, 112)).date()),
            notes=notes or piece.notes,
        )
        work = Work(self.record, wish, self.at, self.setting.staff.front)
        # Chance of its own: who carries nothing tells no other story of all that came before.
        work.carries = bool(self.rng.spawn(1)[0].random() < CARRIES)
        self.client.works.append(work)
        work.hidden = draw_causes(
            self.rng,
            piece.kind,
            self.client.body,
            (piece.cut_version.cut.name, piece.cut_version.version),
            frozenset(self.client.learnt if work.carries else ()),
        )
        return work

    def _book(self, purpose: Purpose, low: int, high: int) -> Booking:
        garments = [work.garment for work in self._to_fit(purpose)]
        wanted = (self.at + self.setting.days(low, high)).date()
        return self.setting.visits.book(
            self.client.customer, garments, self.fitter, purpose, wanted=wanted, at=self.at
        )

    def _in_work(self) -> list[Work]:
        return [work for work in self.works if work.stage in IN_WORK]

    def _to_fit(self, purpose: Purpose) -> list[Work]:
        """Those still being tried on, or all of them for the last look."""
        ready = Stage.FINISHING
        return [work for work in self._in_work() if purpose == Purpose.FINAL or work.stage != ready]

    def _told(self, several: Iterator[list[Task]]) -> Iterator[Moment]:
        """What happens to several garments at once, in the order of time."""
        tasks = [task for tasks in several for task in tasks]
        for at, do in sorted(tasks, key=lambda task: task[0]):
            yield at
            do(at)
            self.at = max(self.at, at)

    def _make_up(self, work: Work) -> list[Task]:
        """Cut, then basted for the first fitting."""
        setting, measures = self.setting, self.client.measures
        if measures is None:
            raise ValueError("Nothing is cut without measures.")
        day = self.at.date()
        hand = setting.hand()
        return [
            (
                setting.hour(day + setting.days(2, 6)),
                lambda at: self._cut(work, measures, at),
            ),
            (
                setting.hour(day + setting.days(10, 17)),
                lambda at: work.enter(Stage.BASTED, at, hand),
            ),
        ]

    def _cut(self, work: Work, measures: MeasurementSet, at: Moment) -> None:
        before = at - datetime.timedelta(minutes=20)
        answer_memory(self.rng.spawn(1)[0], self.client, work, before)
        work.cut(measures, at, self.fitter)

    def _fit(self, booking: Booking) -> Iterator[Moment]:
        kept = yield from self.setting.visits.attend(booking, self.at)
        self.hold(self.setting.visits.receive(kept))

    def hold(self, fitting: Fitting) -> None:
        """A fitting: judge, look, alter, decide, one garment after the other; then the tickets."""
        purpose = Purpose(fitting.purpose)
        self.at = fitting.started_at
        self.rounds += 1
        works = self._to_fit(purpose)
        for work in works:
            self.begin(work, fitting)
        for work in works:
            self._try_on(work, fitting)
        self.at += datetime.timedelta(minutes=15)
        for work in works:
            if any(not taken.done for taken in work.waiting):
                due = self.due or working_day((self.at + self.setting.days(7, 10)).date())
                work.issue(due, self.at, self.fitter)

    def begin(self, work: Work, fitting: Fitting) -> None:
        """The garment is on: the stage a fitting of this kind means."""
        held = derived(fitting.pk, work.garment.number)
        stage = HELD[Purpose(fitting.purpose)]
        work.enter(stage, fitting.started_at, self.fitter, entry_id=held)

    def _try_on(self, work: Work, fitting: Fitting) -> None:
        minute = datetime.timedelta(minutes=1)
        knew = {hidden.cause for hidden in work.hidden}
        self.eye.judge(work, fitting, self.at + minute, self.fitter)
        self.client.learnt |= knew - {hidden.cause for hidden in work.hidden}
        look = self.eye.look(work, fitting, at=self.at + 2 * minute, by=self.fitter)
        again = self._cut_again(fitting, look)
        if not again:
            self.eye.answer(work, look, self.fitter)
        self.at += 14 * minute
        self._decide(work, fitting, Step.REMAKE if again else self._step(work, fitting))
        if again:
            self._recut(work, again)

    def _cut_again(self, fitting: Fitting, look: Look) -> list[Hidden]:
        trying = fitting.purpose in (Purpose.FIRST, Purpose.FORWARD)
        past = look.past_altering
        return past if trying and past and self.rng.random() < RECUT_SEEN else []

    def _step(self, work: Work, fitting: Fitting) -> Step:
        if fitting.purpose in (Purpose.FINAL, Purpose.RETURN):
            return Step.ALTER if work.waiting else Step.DELIVER
        return Step.ALTER if work.waiting and self.rounds < MOST_ROUNDS else Step.FINISH

    def _decide(self, work: Work, fitting: Fitting, step: Step) -> None:
        decision = self.record.entry(
            Decision,
            fitting=fitting,
            garment=work.garment,
            step=step,
            at=self.at,
            by=self.fitter,
        )
        after = {
            Step.ALTER: Stage.ALTERING,
            Step.FINISH: Stage.FINISHING,
            Step.DELIVER: Stage.DELIVERED,
        }
        if step in after:
            work.enter(after[step], self.at, self.fitter, entry_id=derived(decision.pk, "stage"))

    def _recut(self, work: Work, causes: Sequence[Hidden]) -> None:
        """A piece again, or the whole garment: by the newest version of its cut."""
        at = self.at + datetime.timedelta(minutes=4)
        reason = f"Past altering: {cause(causes[0].cause).name.lower()}"
        if self.rng.random() < PIECE_ENOUGH:
            work.hidden = [hidden for hidden in work.hidden if hidden not in causes]
            work.cut_piece_again(PIECE[work.garment.kind], reason, at, self.fitter)
            return
        row = work.garment
        piece = Piece(row.kind, self._newest(row.cut_version), row.cloth, row.cloth_pattern)
        new = self._ordered(piece, f"In place of {row.number}.")
        work.replace_by(new, reason, at, self.fitter)
        self.works.append(new)

    def _newest(self, version: CutVersion) -> CutVersion:
        """The version of the same cut in use by now."""
        return in_use(self.setting.versions[version.cut.kind], self.at.date(), version.cut)[0]

    def _next_look(self) -> tuple[Purpose, int, int]:
        """What the next booking is for, and in how many days."""
        stages = {work.stage for work in self._in_work()}
        if Stage.ORDERED in stages:
            return Purpose.FIRST, 22, 30
        if stages <= {Stage.FINISHING}:
            return Purpose.FINAL, 20, 27
        return Purpose.FORWARD, 15, 20

    def _bench(self, work: Work) -> list[Task]:
        """What the workroom does until the next look."""
        if work.stage == Stage.ORDERED:
            return self._make_up(work)
        tasks = self._ticket(work)
        day = self.at.date()
        hand = self.setting.hand()
        if work.stage == Stage.ALTERING and not tasks:  # a piece cut again
            at = self.setting.hour(day + self.setting.days(6, 9))
            return [(at, lambda at: work.enter(Stage.BASTED, at, hand))]
        if {row.stage for row in self._in_work()} == {Stage.FINISHING}:
            at = self.setting.hour(day + self.setting.days(14, 17))
            tasks.append((at, lambda at: work.enter(Stage.FINISHED, at, hand)))
        return tasks

    def _ticket(self, work: Work) -> list[Task]:
        """A ticket taken in hand and done; a few ask first or are sent back, a few are late."""
        revision = work.newest
        if revision is None or all(taken.done for taken in work.waiting):
            return []
        setting, hand = self.setting, self.setting.hand()
        day = self.at.date()
        late = setting.days(1, 2) if self.rng.random() < LATE else datetime.timedelta()
        taken_at = setting.hour(day + setting.days(1, 4))
        done_at = setting.hour(revision.due_on - setting.days(0, 1) + late)
        tasks = self._question(work, hand, taken_at)
        tasks.append((taken_at, lambda at: work.answer(Answer.Kind.TAKEN, at, hand)))
        tasks.append((done_at, lambda at: work.answer(Answer.Kind.DONE, at, hand)))
        return tasks

    def _question(self, work: Work, hand: User, taken_at: Moment) -> list[Task]:
        """Before it is taken in hand: asked or sent back, and the ticket changed."""
        fate = self.rng.random()
        if fate > ASKED + SENT_BACK:
            return []
        kind = Answer.Kind.ASKS if fate < ASKED else Answer.Kind.CANNOT
        words = str(self.rng.choice(QUESTIONS if fate < ASKED else REFUSALS))
        reply = "The left side first." if fate < ASKED else "Talked over at the bench: do it so."
        hour = datetime.timedelta(hours=1)
        return [
            (taken_at - 3 * hour / 2, lambda at: work.answer(kind, at, hand, words)),
            (taken_at - hour / 2, lambda at: self._reply(work, at, reply)),
        ]

    def _reply(self, work: Work, at: Moment, words: str) -> None:
        if work.newest is not None:
            work.revise(work.newest.due_on, at, self.fitter, words)

    def _hand_over(self, work: Work) -> list[Task]:
        """Altered once more after the last look, then fetched."""
        tasks = self._ticket(work)
        fetched = self.setting.hour((self.at + self.setting.days(15, 19)).date())
        front = self.setting.staff.front
        return [*tasks, (fetched, lambda at: work.enter(Stage.DELIVERED, at, front))]

    def _returns(self) -> Iterator[Moment]:
        """What comes back: the likelier, the more is still wrong."""
        for work in [work for work in self.works if work.stage == Stage.DELIVERED]:
            stays = (1 - COMES_BACK_ANYHOW) * (1 - COMES_BACK) ** len(work.hidden)
            if self.rng.random() < stays:
                continue
            self.at = max(self.at, self.setting.hour((self.at + self.setting.days(5, 60)).date()))
            yield self.at
            yield from self._look_again(work)

    def _look_again(self, work: Work) -> Iterator[Moment]:
        wanted = (self.at + self.setting.days(2, 6)).date()
        booking = self.setting.visits.book(
            self.client.customer,
            [work.garment],
            self.fitter,
            Purpose.RETURN,
            wanted=wanted,
            at=self.at,
        )
        kept = yield from self.setting.visits.attend(booking, self.at)
        fitting = self.setting.visits.receive(kept)
        self.at = fitting.started_at
        held = derived(fitting.pk, work.garment.number)
        work.enter(Stage.RETURNED, self.at, self.fitter, entry_id=held)
        self._try_on(work, fitting)
        if work.stage == Stage.ALTERING:
            due = working_day((self.at + self.setting.days(6, 9)).date())
            work.issue(due, self.at + datetime.timedelta(minutes=10), self.fitter)
            yield from self._told(iter([self._hand_over(work)]))
