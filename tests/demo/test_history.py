"""Three years of the demo: a true record, in which nothing is at odds with anything else."""

from collections import defaultdict
from itertools import pairwise

import pytest
from django.db.models import Count, F, Min, Q, Sum
from django.utils import timezone

from customers import points
from customers.models import Consent, Customer, Measurement, MeasurementSet
from customers.numbers import tidy
from fittings.demo.names import is_invented
from fittings.models import (
    Booking,
    BookingChange,
    CauseTaken,
    Decision,
    Fitting,
    Judgement,
    Observation,
    Photograph,
)
from fittings.session import looking
from garments import seams
from garments.models import (
    Alteration,
    Answer,
    CarryAnswer,
    Garment,
    InlayMovement,
    Remake,
    Stage,
    StageEntry,
    Ticket,
    TicketLine,
    TicketRevision,
)
from garments.stages import MAY_FOLLOW, PIECES

LEDGER = (
    *(Consent, MeasurementSet, StageEntry, InlayMovement, Alteration, TicketRevision, Answer),
    *(CarryAnswer, Remake, BookingChange, Observation, CauseTaken, Judgement, Decision),
    Photograph,
)


def test_house_is_as_large_as_promised(demo):
    counts = [model.objects.count() for model in (Customer, Garment, Fitting)]

    assert counts == [
        141,
        pytest.approx(400, rel=0.1),
        pytest.approx(1100, rel=0.15),
    ]


def test_customers_have_invented_names_and_silent_numbers(demo):
    rows = Customer.objects.values_list("given_name", "family_name", "phone", "email")

    assert [row for row in rows if not is_invented(*row[:2])] == []
    # Ofcom keeps 01632 960000 to 960999 for drama; RFC 2606 keeps .example.
    assert {row[2][:10] for row in rows} == {"01632 960 "}
    assert {row[3].rsplit(".", 1)[1] for row in rows} == {"example"}


@pytest.mark.parametrize("model", [Customer, Garment, Ticket])
def test_numbers_carry_their_check_character(demo, model):
    numbers = list(model.objects.order_by("serial").values_list("number", flat=True))

    assert [tidy(number) for number in numbers] == numbers
    assert len(set(numbers)) == len(numbers)


def test_every_number_is_found_as_typed(demo):
    customer = Customer.objects.order_by("serial")[40]

    assert list(Customer.objects.matching(customer.number)) == [customer]
    assert customer in Customer.objects.matching(customer.family_name)


def test_stage_is_that_of_the_newest_entry(demo):
    newest = {
        entry.garment_id: (entry.stage, entry.at)
        for entry in StageEntry.objects.standing().order_by("at", "pk")
    }

    shown = Garment.objects.values_list("pk", "stage", "stage_since")
    assert {pk: (stage, at) for pk, stage, at in shown} == newest


def test_stages_follow_as_the_house_allows(demo):
    passed = defaultdict(list)
    for garment, stage in StageEntry.objects.order_by("at").values_list("garment", "stage"):
        passed[garment].append(stage)

    steps = {step for stages in passed.values() for step in pairwise(stages)}
    assert {step for step in steps if step[1] not in MAY_FOLLOW[step[0]]} == set()
    assert {stages[0] for stages in passed.values()} == {Stage.ORDERED}


def test_inlays_never_fall_below_what_must_stay(demo):
    sums = InlayMovement.objects.values_list("garment__kind", "garment", "seam", "side")
    sums = sums.annotate(now=Sum("amount")).order_by()

    short = [row for row in sums if row[4] < seams.seam(row[0], row[2]).keep]
    assert len(sums) > 5000
    assert short == []


def test_every_alteration_is_one_the_service_takes(demo):
    rows = Alteration.objects.values_list(
        "garment__kind", "operation", "seam", "side", "amount"
    ).distinct()

    assert len(rows) > 100
    assert [row for row in rows if seams.refusals(*row)] == []


def test_every_observation_is_one_the_service_takes(demo):
    rows = Observation.objects.values_list("garment__kind", "zone", "fault", "side").distinct()

    assert len(rows) > 100
    assert [row for row in rows if looking.refusals(*row)] == []


def test_every_ticket_line_is_of_the_same_garment(demo):
    astray = TicketLine.objects.exclude(alteration__garment=F("revision__ticket__garment"))

    assert TicketLine.objects.count() > 500
    assert astray.count() == 0


def test_every_alteration_is_on_a_ticket_that_stands(demo):
    newest = TicketRevision.objects.standing()
    lost = Alteration.objects.standing().exclude(ticket_lines__revision__in=newest)

    assert lost.count() == 0


def test_lines_stand_in_working_order(demo):
    for ticket in TicketRevision.objects.prefetch_related("lines__alteration"):
        lines = [line.alteration for line in ticket.lines.all()]
        assert seams.working_order(lines) == lines


def test_judged_alterations_were_done_before(demo):
    done = dict(
        Answer.objects.filter(kind=Answer.Kind.DONE)
        .values("revision__lines__alteration")
        .annotate(at=Min("at"))
        .values_list("revision__lines__alteration", "at")
    )

    rows = list(Judgement.objects.select_related("fitting"))
    assert [row for row in rows if done[row.alteration_id] >= row.fitting.started_at] == []


def test_every_look_but_the_open_one_is_decided(demo):
    tried = Fitting.objects.annotate(
        tried=Count("garments", distinct=True), decided=Count("decisions", distinct=True)
    )

    assert tried.filter(~Q(tried=F("decided"))).count() == 1


def test_nobody_is_booked_twice(demo):
    held = Booking.objects.filter(state__in=Booking.HOLDING).order_by("starts_at")
    for what in ("fitter", "room"):
        last = {}
        for booking in held:
            key = getattr(booking, f"{what}_id")
            assert booking.starts_at >= last.get(key, booking.starts_at)
            last[key] = booking.ends_at


def test_booking_is_as_its_last_change_says(demo):
    said = {
        row.booking_id: (row.starts_at, row.ends_at, row.fitter_id, row.room_id)
        for row in BookingChange.objects.order_by("at")
    }

    rows = Booking.objects.values_list("pk", "starts_at", "ends_at", "fitter", "room")
    assert {row[0]: row[1:] for row in rows} == said


def test_booking_version_counts_its_changes(demo):
    rows = Booking.objects.annotate(told=Count("changes")).values_list("version", "told")

    assert {version - told for version, told in rows} == {0}


def test_every_fitting_was_booked_and_kept(demo):
    states = Fitting.objects.values_list("booking__state", flat=True)

    assert set(states) == {Booking.State.KEPT}


def test_consent_comes_before_every_photograph(demo):
    photographs = list(Photograph.objects.all())
    for photograph in photographs:
        newest = Consent.objects.filter(customer=photograph.customer, at__lt=photograph.at).last()
        assert newest.given

    assert len({photograph.customer_id for photograph in photographs}) == 2


def test_nothing_is_later_than_now(demo):
    now = timezone.make_aware(timezone.datetime(2026, 3, 12, 13, 30))

    late = {model.__name__: model.objects.filter(at__gt=now).count() for model in LEDGER}
    assert late == dict.fromkeys(late, 0)


def test_garments_are_cut_from_the_customers_own_set(demo):
    cut = Garment.objects.exclude(measurement_set=None)

    assert cut.exclude(measurement_set__customer=F("customer")).count() == 0
    assert cut.exclude(measurement_set__taken_on__lte=F("ordered_on")).count() == 0


def test_sets_hold_every_point_once(demo):
    first = Count("measurements", filter=Q(measurements__reading=1))
    sizes = MeasurementSet.objects.annotate(points=first).values_list("points", flat=True)

    places = sum(len(point.sides) for point in points.POINTS if point.key != "forearm")
    assert set(sizes) == {places}
    assert Measurement.objects.filter(value__lte=0).count() == 0


def test_remakes_name_a_piece_or_the_new_garment(demo):
    remakes = list(Remake.objects.select_related("replaces", "garment"))

    whole = [remake for remake in remakes if remake.garment]
    pieces = [remake for remake in remakes if remake.piece]
    assert {remake.replaces.stage for remake in whole} == {Stage.REMADE}
    assert [r for r in whole if r.garment.customer_id != r.replaces.customer_id] == []
    assert [r for r in pieces if r.piece not in PIECES[r.replaces.kind]] == []


def test_measures_are_in_the_customers_own_unit(demo):
    units = MeasurementSet.objects.values_list("customer__unit", "unit").distinct()

    assert sorted(set(units)) == [("", "in"), ("cm", "cm")]


def test_causes_taken_are_what_was_altered_for(demo):
    lines = Alteration.objects.exclude(cause="")
    altered = set(lines.values_list("garment", "observations__fitting", "cause"))
    taken = set(CauseTaken.objects.values_list("garment", "fitting", "cause"))

    # Where there was no cloth for it, a cause is taken and nothing is altered.
    assert len(taken & altered) > 0.85 * len(taken)
    assert 0.6 < len(taken & altered) / len(altered) < 0.9


def test_causes_taken_keep_what_was_proposed(demo):
    rows = list(CauseTaken.objects.all())
    first = [row for row in rows if row.rank == 1]

    assert len(first) > len(rows) / 3
    assert all(row.proposed["present"] for row in rows)
