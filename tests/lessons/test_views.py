import re
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from fittings.models import Lessons, Omission
from tests.factories import UserFactory
from tests.lessons import scenes
from tests.lessons.scenes import taught

pytestmark = pytest.mark.django_db
LIST, FIGURE = reverse("lessons:lesson_list"), reverse("lessons:figure_detail")
KEYS = {"cause": scenes.CAUSE, "fault": scenes.COLLAR, "operation": scenes.OPERATION}
LIST_QUERIES = 7
FIGURE_QUERIES = 12


@pytest.fixture
def owner(client):
    person = UserFactory(role="owner", first_name="Nell", last_name="Ashdown")
    client.force_login(person)
    return person


@pytest.fixture(autouse=True)
def today(monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda *_: scenes.DAY)


def text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def rows_of(answer):
    """The cells of the table of figures."""
    table = answer.content.decode().partition('id="figures"')[2].partition("</table>")[0]
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", table, re.DOTALL)
    plain = [" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in cells]
    return [plain[start : start + 7] for start in range(7, len(plain), 7)]


def send(client, name, *args, **values):
    posted = {"entry_id": uuid.uuid4(), **KEYS, **values}
    return client.post(reverse(f"lessons:{name}", args=args), posted, follow=True)


def test_list_shows_catalogue_beside_house(client, owner):
    for days in range(6):
        taught("cured", days=days + 1)
    scenes.learn()

    (row,) = rows_of(client.get(LIST))

    name = "Back balance short · Stands off the neck · Pass back up"
    assert row == [name, "65 %", "86 %", "60 % to 99 %", "+21.0", "6", "6 of 6 cured"]


def test_empty_house_has_learnt_nothing(client, owner):
    answer = client.get(LIST)

    assert "Nothing learnt yet" in text(answer)
    assert rows_of(answer) == []


def test_too_few_proposals_are_too_few_to_tell(client, owner):
    scenes.proposed(taught(), back_balance_short=0.7)
    scenes.learn()

    assert "Too few to tell: 1 look." in text(client.get(LIST))


def test_enough_proposals_show_score_and_diagram(client, owner):
    for days in range(20):
        scenes.proposed(taught(days=days + 1), back_balance_short=0.7)
    scenes.learn()

    answer = client.get(LIST)

    assert "As proposed 0.0900" in text(answer)
    assert "Said 70%, came true 20 of 20" in text(answer)
    assert " style=" not in answer.content.decode()


@pytest.mark.parametrize("field", ["what", "least", "sort"])
def test_nonsense_asked_is_told_beside_its_field(client, owner, field):
    answer = client.get(LIST, {field: "nonsense"})

    assert "There is no “nonsense” here: choose one of the list." in text(answer)


def test_figure_lists_cases_behind_it(client, owner):
    alteration = taught("better")
    taught("cured", cause="collar-too-long")
    scenes.learn()

    answer = client.get(FIGURE, KEYS)

    garments = re.findall(r'<a href="/folio/garments?/([^/"]+)', answer.content.decode())
    assert garments == [alteration.garment.number]
    assert "Judged better on 20 February 2026" in text(answer)


def test_alteration_judged_twice_is_listed_once(client, owner):
    scenes.judge(taught("same", days=20), "cured", 5)
    scenes.learn()

    shown = text(client.get(FIGURE, KEYS))

    assert re.findall(r"Judged (\w+) on", shown) == ["same"]


@pytest.mark.parametrize(
    "keys",
    [{}, {"cause": "nobody", "kind": "coat"}, KEYS | {"operation": "pad"}, {"cause": "x" * 99}],
)
def test_figure_there_is_not_is_not_found(client, owner, keys):
    taught()
    scenes.learn()

    assert client.get(FIGURE, keys).status_code == 404


def test_figure_is_left_out_with_reason_and_taken_in(client, owner):
    taught()
    scenes.learn()
    told = text(send(client, "figure_omit", note="An odd cloth"))
    omission = Omission.objects.get()
    again = text(send(client, "omission_strike", omission.pk))

    assert "Nell Ashdown let it learn nothing on" in told
    assert "“An odd cloth”" in told
    assert "Goes by 65 %" in told
    assert "Nell Ashdown: learn from it again" in again


def test_only_case_is_left_out_and_found_again(client, owner):
    alteration = taught()
    scenes.learn()
    told = text(send(client, "case_omit", alteration.pk))
    left = Lessons.objects.get().cases
    send(client, "omission_strike", Omission.objects.get().pk)

    assert "left out by Nell Ashdown" in told
    assert (left, Lessons.objects.get().cases) == (0, 1)


def test_figure_nobody_learnt_cannot_be_left_out(client, owner):
    assert send(client, "figure_omit").status_code == 404
    assert Omission.objects.count() == 0


def test_form_without_its_figure_is_refused_in_words(client, owner):
    alteration = taught()
    answer = send(client, "case_omit", alteration.pk, cause="")

    assert "This field is required." in text(answer)
    assert Omission.objects.count() == 0


def test_owner_learns_anew_at_once(client, owner):
    taught()
    answer = client.post(reverse("lessons:lessons_renew"), follow=True)

    assert "Learnt anew from everything judged before today." in text(answer)
    assert Lessons.objects.get().cases == 1


@pytest.mark.parametrize("count", [1, 3, 10])
def test_pages_ask_a_fixed_number_of_questions(client, owner, count, django_assert_num_queries):
    for days in range(count):
        taught(days=days + 1)
    scenes.learn()

    with django_assert_num_queries(LIST_QUERIES):
        client.get(LIST, {"least": "1"})
    with django_assert_num_queries(FIGURE_QUERIES):
        client.get(FIGURE, KEYS)
