"""Pins on photographs: set by a finger, and printed with the line that answers what shows there."""

import io
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from fittings.models import PhotographPin
from fittings.session.pinned import pictures_pinned_for, pins_of, set_pin, strike_pin
from fittings.session.services import decide_next_step
from fittings.session.services.photographs import record_photograph, strike_photograph
from garments.models import TicketRevision
from garments.tickets import render_tickets
from garments.workroom.queries import for_paper
from garments.workroom.services import issue_ticket
from tests.factories import AlterationFactory, ConsentFactory, ObservationFactory
from tests.session.test_photographs import picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def photograph(fitting, coat, customer, fitter):
    ConsentFactory(customer=customer, by=fitter)
    about = {"fitting": fitting, "garment": coat, "caption": "Back, arms down", "by": fitter}
    return record_photograph(entry_id=uuid.uuid4(), upload=picture(), **about)


@pytest.fixture
def seen(fitting, coat, fitter):
    return ObservationFactory(
        fitting=fitting, garment=coat, zone="collar", fault="collar-stands-off", by=fitter
    )


@pytest.fixture
def answered(seen, coat, fitter):
    line = AlterationFactory(garment=coat, by=fitter)
    seen.alterations.add(line)
    return line


def pin(photograph, seen, fitter, **changed):
    values = {"entry_id": uuid.uuid4(), "x": 250, "y": 500, "by": fitter}
    return set_pin(photograph=photograph, observation=seen, **values | changed)


def test_pin_set_again_moves(photograph, seen, fitter):
    pin(photograph, seen, fitter)
    later = pin(photograph, seen, fitter, x=300)

    assert [(row.pk, row.x, row.y) for row in pins_of(photograph)] == [(later.pk, 300, 500)]
    assert PhotographPin.objects.count() == 2


def test_same_touch_twice_is_one_pin(photograph, seen, fitter):
    once = {"entry_id": uuid.uuid4()}

    assert pin(photograph, seen, fitter, **once) == pin(photograph, seen, fitter, **once)
    assert PhotographPin.objects.count() == 1


@pytest.mark.parametrize(("x", "y"), [(-1, 5), (5, 1001)])
def test_touch_off_the_picture_is_refused(photograph, seen, fitter, x, y):
    with pytest.raises(ValidationError) as refusal:
        pin(photograph, seen, fitter, x=x, y=y)

    assert refusal.value.message_dict == {"spot": ["Touch the picture itself."]}


@pytest.mark.parametrize("other", [{"fault": ""}, {"void": True}])
def test_what_is_clean_or_taken_back_takes_no_pin(photograph, fitting, coat, fitter, other):
    row = ObservationFactory(fitting=fitting, garment=coat, by=fitter, **other)

    with pytest.raises(ValidationError) as refusal:
        pin(photograph, row, fitter)

    assert list(refusal.value.message_dict) == ["observation"]


def test_fault_of_another_garment_takes_no_pin(photograph, fitter):
    with pytest.raises(ValidationError):
        pin(photograph, ObservationFactory(fault="collar-stands-off"), fitter)


def test_pin_taken_off_is_off_once(photograph, seen, fitter):
    row = pin(photograph, seen, fitter)
    once = {"entry_id": uuid.uuid4(), "pin": row, "by": fitter}

    assert strike_pin(**once) == strike_pin(**once)
    assert list(pins_of(photograph)) == []


def test_picture_goes_with_the_line_that_answers(photograph, seen, answered, fitter):
    pin(photograph, seen, fitter)

    (found,) = pictures_pinned_for([answered.pk])

    assert (found.key, found.width, found.height) == (photograph.pk, 60, 40)
    assert [(mark.alteration, mark.x, mark.y) for mark in found.marks] == [(answered.pk, 250, 500)]
    assert found.jpeg.startswith(b"\xff\xd8")


@pytest.mark.parametrize("why", ["consent", "pin", "photograph", "file", "fault"])
def test_picture_stays_away_when_it_should(photograph, seen, answered, fitter, why):
    row = pin(photograph, seen, fitter)
    if why == "consent":
        ConsentFactory(customer=photograph.customer, by=fitter, given=False)
    elif why == "pin":
        strike_pin(entry_id=uuid.uuid4(), pin=row, by=fitter)
    elif why == "photograph":
        strike_photograph(entry_id=uuid.uuid4(), photograph=photograph, by=fitter)
    elif why == "file":
        photograph.image.storage.delete(photograph.image.name)
    else:
        ObservationFactory(fitting=seen.fitting, garment=seen.garment, strikes=seen, void=True)

    assert pictures_pinned_for([answered.pk]) == []


def test_pictures_of_many_lines_take_the_same_queries(
    photograph, seen, answered, fitter, django_assert_num_queries
):
    pin(photograph, seen, fitter)
    for _ in range(3):
        seen.alterations.add(AlterationFactory(garment=answered.garment, by=fitter))
    lines = list(seen.alterations.values_list("pk", flat=True))

    with django_assert_num_queries(4):  # photographs, pins, what they show, the lines
        (found,) = pictures_pinned_for(lines)

    assert len(found.marks) == 4


def test_ticket_prints_the_picture_with_the_lines_number(photograph, seen, answered, fitter):
    pin(photograph, seen, fitter)
    values = {"due_on": timezone.localdate(), "note": "", "by": fitter}
    issue_ticket(form_id=uuid.uuid4(), garment=answered.garment, alterations=[answered], **values)

    paper = render_tickets(
        for_paper(TicketRevision.objects.all()), unit="in", address=lambda *_: "http://house/t"
    )

    pages = PdfReader(io.BytesIO(paper)).pages
    shown = [line for page in pages for line in page.extract_text().splitlines()]
    assert [line for line in shown if "Back, arms down" in line] == [
        f"{timezone.localdate():%-d %b %Y}, Back, arms down"
    ]
    assert sum(len(page.images) for page in pages) == 1


def test_touch_on_the_page_sets_a_pin(client, photograph, seen):
    page = reverse("session:pin_page", args=[photograph.pk])
    shown = client.get(page).context["shown"]
    sent = {"entry_id": str(uuid.uuid4()), "observation": str(seen.pk)}

    answer = client.post(page, sent | {"spot.x": "15", "spot.y": "30"})

    (row,) = pins_of(photograph)
    assert (answer.url, shown.width, shown.height) == (page, 60, 40)
    assert (row.x, row.y) == (250, 750)


def test_page_of_a_decided_garment_offers_no_choice(client, photograph, seen, fitting, coat):
    pin(photograph, seen, fitting.fitter)
    decide_next_step(
        entry_id=uuid.uuid4(), fitting=fitting, garment=coat, step="alter", by=fitting.fitter
    )

    page = client.get(reverse("session:pin_page", args=[photograph.pk])).content.decode()

    assert (page.count('name="observation"'), page.count("take off")) == (0, 0)
    assert page.count("The next step is decided") == 1


@pytest.mark.parametrize(
    "sent", [{"spot.x": "15", "spot.y": "30"}, {"observation": "x", "spot.x": "1", "spot.y": "1"}]
)
def test_touch_before_the_choice_is_told_beside_it(client, photograph, seen, sent):
    page = reverse("session:pin_page", args=[photograph.pk])

    answer = client.post(page, {"entry_id": str(uuid.uuid4()), **sent})

    assert (answer.status_code, list(answer.context["form"].errors)) == (422, ["observation"])
    assert PhotographPin.objects.count() == 0
