import pytest
from django.core.exceptions import ValidationError

from garments.cutbook.services import add_cut_version, make_cut, set_cut_retired
from garments.models import Cut, CutVersion
from garments.queries import cuts_with_versions, newest_versions
from tests.factories import CutFactory, CutVersionFactory

pytestmark = pytest.mark.django_db


def test_make_cut_gives_it_a_first_version():
    made = make_cut(name="  Weir   drape ", kind="coat", note=" Full chest ")

    assert (made.cut.name, made.cut.kind, made.version, made.note) == (
        "Weir drape",
        "coat",
        1,
        "Full chest",
    )


def test_make_cut_refuses_a_name_taken_by_its_kind():
    CutFactory(name="Weir drape", kind="coat")

    with pytest.raises(ValidationError) as refusal:
        make_cut(name="weir drape", kind="coat", note="")

    assert refusal.value.message_dict == {
        "name": ["There is a cut called weir drape for this garment already."]
    }


def test_make_cut_takes_the_name_for_another_kind():
    CutFactory(name="Weir drape", kind="coat")

    assert make_cut(name="Weir drape", kind="trousers", note="").cut.kind == "trousers"


def test_make_cut_refuses_an_unknown_kind():
    with pytest.raises(ValidationError):
        make_cut(name="Weir", kind="cape", note="")

    assert Cut.objects.count() == 0


def test_add_cut_version_counts_on():
    first = CutVersionFactory()

    added = add_cut_version(cut=first.cut, version=2, note="Scye higher")

    assert (added.version, added.note, first.cut.versions.count()) == (2, "Scye higher", 2)


def test_add_cut_version_keeps_the_same_form_once():
    cut = CutVersionFactory().cut

    added = add_cut_version(cut=cut, version=2, note="Scye higher")

    assert add_cut_version(cut=cut, version=2, note="Scye higher") == added


def test_add_cut_version_refuses_a_number_taken_meanwhile():
    cut = CutVersionFactory().cut
    add_cut_version(cut=cut, version=2, note="Scye higher")

    with pytest.raises(ValidationError) as refusal:
        add_cut_version(cut=cut, version=2, note="Scye lower")

    assert refusal.value.messages == ["Version 2 is taken: someone else made it meanwhile."]
    assert CutVersion.objects.count() == 2


def test_newest_versions_leave_out_old_and_laid_aside():
    first = CutVersionFactory(cut__kind="coat")
    second = CutVersionFactory(cut=first.cut, version=2)
    aside = CutVersionFactory(cut__kind="coat")
    trousers = CutVersionFactory(cut__kind="trousers")
    set_cut_retired(cut=aside.cut, retired=True)

    assert list(newest_versions("coat")) == [second]
    assert set(newest_versions()) == {second, trousers}


@pytest.mark.parametrize("cuts", [1, 3])
def test_cuts_with_versions_take_two_queries(cuts, django_assert_num_queries):
    for _ in range(cuts):
        CutVersionFactory(version=2, cut=CutVersionFactory().cut)

    with django_assert_num_queries(2):
        told = [[row.version for row in cut.versions.all()] for cut in cuts_with_versions()]

    assert told == [[2, 1]] * cuts
