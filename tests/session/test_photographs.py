"""Photographs: nothing hidden in them survives, nothing without consent, nothing for other eyes.

The rules are those of OWASP ASVS 5.0 (5.2.2 re-write images, 5.2.6 limit pixels, 5.3.2 generated
names, 14.2.8 remove metadata, 14.3.2 no-store, 3.2.1 sandbox) and of Pillow's own security pages.
"""

import io
import struct
import uuid
import zlib

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from PIL import Image, ImageFile

from fittings.models import Photograph
from fittings.session import photographs
from fittings.session.forms import PhotographForm
from fittings.session.photographs import NO_PICTURE, for_paper, prepare
from fittings.session.services import decide_next_step
from fittings.session.services.photographs import (
    record_photograph,
    record_photographs,
    strike_photograph,
)
from tests.factories import ConsentFactory, FittingFactory, UserFactory
from tests.session.conftest import EARLIER

pytestmark = pytest.mark.django_db

GPS = 0x8825
ORIENTATION = 0x0112
TURNED = 6  # the camera was held upright: the picture lies on its side


def picture(size=(60, 40), kind="JPEG", **saved):
    out = io.BytesIO()
    Image.new("RGB", size, (120, 90, 60)).save(out, kind, **saved)
    out.seek(0)
    return out


def located_picture():
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    return picture(exif=exif, comment=b"taken at home", dpi=(300, 300))


def bomb():
    """A PNG of a few bytes that says it is 60,000 by 60,000."""

    def chunk(name, data):
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    parts = (chunk(b"IHDR", header), chunk(b"IDAT", zlib.compress(b"")), chunk(b"IEND", b""))
    return io.BytesIO(b"\x89PNG\r\n\x1a\n" + b"".join(parts))


def mistold():
    """A picture whose EXIF calls its own width letters: Pillow cannot write that back."""
    exif = Image.Exif()
    exif.update({ORIENTATION: TURNED, 0x0100: 60})
    long, letters = b"\x01\x00\x00\x04", b"\x01\x00\x00\x02"
    return io.BytesIO(picture(exif=exif).getvalue().replace(long, letters, 1))


def opened(data):
    return Image.open(io.BytesIO(data))


@pytest.fixture
def keep(fitting, coat, fitter):
    def record(upload=None, **values):
        usual = {"entry_id": uuid.uuid4(), "fitting": fitting, "garment": coat, "by": fitter}
        return record_photograph(**(usual | {"upload": upload or picture()} | values))

    return record


@pytest.fixture
def consent(customer, fitter):
    return ConsentFactory(customer=customer, by=fitter)


def test_gps_and_comment_are_gone_from_what_is_kept():
    kept = opened(prepare(located_picture()).image)

    assert (dict(kept.getexif()), kept.info.get("comment")) == ({}, None)
    assert b"Exif" not in prepare(located_picture()).image


def test_turned_picture_is_kept_upright():
    assert opened(prepare(located_picture()).image).size == (40, 60)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_kinds_taken_are_kept_as_jpeg(kind):
    assert opened(prepare(picture(kind=kind)).image).format == "JPEG"


def test_large_picture_is_made_smaller():
    prepared = prepare(picture(size=(4000, 3000)))

    assert opened(prepared.image).size == (2048, 1536)
    assert max(opened(prepared.thumbnail).size) == 320


def test_paper_gets_as_much_as_it_can_show():
    kept = prepare(picture((2048, 1536))).image

    printed = for_paper(io.BytesIO(kept))

    with Image.open(io.BytesIO(printed)) as shown:
        assert (shown.format, shown.size) == ("JPEG", (1000, 750))
    assert len(printed) < len(kept) / 3


def test_greys_of_sixteen_bits_are_no_white_sheet():
    upload = io.BytesIO()
    Image.new("I;16", (60, 40), 0x8000).save(upload, "PNG")

    with Image.open(io.BytesIO(prepare(upload).image)) as shown:
        assert (shown.mode, shown.getpixel((30, 20))) == ("RGB", (128, 128, 128))


def test_page_hidden_behind_pixels_is_gone():
    upload = io.BytesIO(picture(kind="PNG").getvalue() + b"<script>alert(1)</script>")

    assert b"<script>" not in prepare(upload).image


@pytest.mark.parametrize(
    ("upload", "message"),
    [
        (lambda: io.BytesIO(b""), NO_PICTURE),
        (lambda: io.BytesIO(b"not a picture"), NO_PICTURE),
        (
            lambda: io.BytesIO(b"%!PS-Adobe-3.0 EPSF-3.0\n"),
            NO_PICTURE,
        ),
        (lambda: picture(kind="GIF"), NO_PICTURE),
        (lambda: picture(kind="TIFF"), NO_PICTURE),
        (
            lambda: io.BytesIO(picture(size=(900, 900), kind="PNG").getvalue()[:200]),
            "The picture is damaged: take it again.",
        ),
        (mistold, "The picture is damaged: take it again."),
        (bomb, "The picture has too many points: take it smaller."),
    ],
)
def test_what_is_no_picture_is_refused(upload, message):
    with pytest.raises(ValidationError) as refusal:
        prepare(upload())

    assert refusal.value.messages == [message]


def test_picture_cut_short_is_refused_after_printing(monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as WeasyPrint leaves it
    short = picture(size=(900, 900), kind="PNG").getvalue()[:200]

    with pytest.raises(ValidationError) as refusal:
        prepare(io.BytesIO(short))

    assert refusal.value.messages == ["The picture is damaged: take it again."]


def test_our_own_ceiling_is_below_pillows(monkeypatch):
    monkeypatch.setattr(photographs, "MOST_PIXELS", 100)

    with pytest.raises(ValidationError):
        prepare(picture(size=(11, 10)))


def test_heavy_file_is_refused_unread(monkeypatch):
    monkeypatch.setattr(photographs, "MOST_BYTES", 10)

    with pytest.raises(ValidationError):
        prepare(picture())


def test_photograph_is_kept_with_consent(keep, consent, customer):
    kept = keep(caption="Back, arms down")

    row = Photograph.objects.get()
    assert (row, row.customer, row.width, row.height) == (kept, customer, 60, 40)


def test_photograph_without_consent_is_refused(keep):
    with pytest.raises(ValidationError) as refusal:
        keep()

    assert refusal.value.message_dict == {
        "photograph": ["The customer has not agreed to photographs."]
    }


def test_consent_taken_back_refuses_again(keep, consent, customer, fitter):
    ConsentFactory(customer=customer, by=fitter, given=False)

    with pytest.raises(ValidationError):
        keep()


def test_consent_to_publicity_is_no_consent_here(keep, customer, fitter):
    ConsentFactory(customer=customer, by=fitter, kind="publicity")

    with pytest.raises(ValidationError):
        keep()


def test_same_photograph_twice_is_kept_once(keep, consent):
    entry_id = uuid.uuid4()

    assert keep(entry_id=entry_id) == keep(entry_id=entry_id)
    assert Photograph.objects.count() == 1


def test_names_tell_nothing_and_differ(keep, consent, customer):
    first, second = keep(), keep()

    names = {first.image.name, first.thumbnail.name, second.image.name, second.thumbnail.name}
    assert len(names) == 4
    assert not any(customer.family_name.lower() in name.lower() for name in names)


def test_decided_garment_takes_no_photograph(keep, consent, fitting, coat, fitter):
    decide_next_step(entry_id=uuid.uuid4(), fitting=fitting, garment=coat, step="alter", by=fitter)

    with pytest.raises(ValidationError):
        keep()


def test_bad_picture_leaves_no_row_and_no_file(keep, consent, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path

    with pytest.raises(ValidationError):
        keep(io.BytesIO(b"not a picture"))

    assert (Photograph.objects.count(), list(tmp_path.rglob("*.jpg"))) == (0, [])


def test_files_go_when_the_row_is_refused(keep, consent, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path

    def refuse(*args, **kwargs):
        raise RuntimeError("the database is full")

    monkeypatch.setattr(Photograph, "save", refuse)

    with pytest.raises(RuntimeError):
        keep()

    assert list(tmp_path.rglob("*.jpg")) == []


def test_photograph_is_served_for_these_eyes_only(client, keep, consent):
    answer = client.get(keep().get_absolute_url())

    picture_served = opened(b"".join(answer.streaming_content))
    assert picture_served.format == "JPEG"
    assert {name: answer[name] for name in ("Cache-Control", "X-Content-Type-Options")} == {
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer["Content-Disposition"] == 'inline; filename="photograph.jpg"'


def test_thumbnail_is_served_small(client, keep, consent):
    kept = keep(picture(size=(1600, 1200)))

    answer = client.get(f"/fitting/photographs/{kept.pk}/small/")

    assert opened(b"".join(answer.streaming_content)).size == (320, 240)


@pytest.mark.parametrize(
    ("role", "status"),
    [("front of house", 403), ("workroom", 200), ("fitter", 200), ("owner", 200)],
)
def test_photograph_is_shown_by_role_table(client, keep, consent, role, status):
    kept = keep()
    client.force_login(UserFactory(role=role))

    answers = [
        client.get(address)
        for address in (kept.get_absolute_url(), f"/fitting/photographs/{kept.pk}/small/")
    ]

    assert [answer.status_code for answer in answers] == [status, status]
    [answer.close() for answer in answers]


def test_struck_photograph_is_shown_to_nobody(client, keep, consent, fitter):
    kept = keep()
    strike_photograph(entry_id=uuid.uuid4(), photograph=kept, by=fitter)

    answer = client.get(kept.get_absolute_url())

    assert (answer.status_code, Photograph.objects.count()) == (404, 2)


def test_photograph_struck_twice_is_struck_once(keep, consent, fitter):
    kept = keep()
    first = strike_photograph(entry_id=uuid.uuid4(), photograph=kept, by=fitter)

    assert strike_photograph(entry_id=uuid.uuid4(), photograph=kept, by=fitter) == first


def test_lost_file_is_said_not_crashed(client, keep, consent):
    kept = keep()
    kept.image.storage.delete(kept.image.name)

    assert client.get(kept.get_absolute_url()).status_code == 404


def test_unknown_photograph_is_not_found(client, fitter):
    assert client.get(f"/fitting/photographs/{uuid.uuid4()}/").status_code == 404


@pytest.fixture
def before(consent, customer, fitter, coat):
    """A fitting of the coat nine days ago."""
    at = timezone.now() - EARLIER
    return FittingFactory(customer=customer, fitter=fitter, garments=[coat], started_at=at)


def test_several_are_kept_by_one_form(client, fitting, coat, consent):
    files = [SimpleUploadedFile(f"{n}.jpg", picture().read()) for n in range(3)]
    said = {"entry_id": uuid.uuid4(), "chosen": files, "view": "back", "caption": "Arms down"}
    address = f"/fitting/{fitting.pk}/{coat.number}/photographs/"

    answers = [client.post(address, said, follow=True) for _ in range(2)]

    assert [row.view for row in Photograph.objects.all()] == ["back"] * 3
    assert "3 photographs are kept." in answers[0].content.decode()


def test_one_damaged_of_several_keeps_none_and_says_which(fitting, coat, fitter, consent):
    uploads = [picture(), io.BytesIO(b"not a picture")]
    about = {"fitting": fitting, "garment": coat, "by": fitter}

    with pytest.raises(ValidationError) as refusal:
        record_photographs(entry_id=uuid.uuid4(), uploads=uploads, **about)

    assert refusal.value.messages == [f"Photograph 2 of 2: {NO_PICTURE}"]
    assert Photograph.objects.count() == 0


def test_more_than_twelve_at_once_are_refused():
    files = MultiValueDict({"chosen": [SimpleUploadedFile("a.jpg", b"x")] * 13})
    form = PhotographForm({"entry_id": uuid.uuid4()}, files)

    assert form.errors == {"chosen": ["Choose 12 at most at once."]}


def test_tablet_forgets_picture_without_consent(client, fitting, coat):
    said = {"entry_id": uuid.uuid4(), "photograph": picture()}
    address = f"/fitting/{fitting.pk}/{coat.number}/photographs/"

    answer = client.post(address, said, headers={"HX-Request": "true"})

    assert (answer.status_code, answer["X-Forget"]) == (422, "picture")


def test_last_of_the_same_view_lies_beside(client, keep, before, coat):
    older = keep(fitting=before, view="back")
    last = keep(fitting=before, view="back")
    keep(fitting=before, view="front")
    now = keep(view="back")
    keep(view="left")

    page = client.get(f"/fitting/{now.fitting_id}/{coat.number}/photographs/beside/")

    assert page.context["pairs"] == [(now, last)]
    assert older.get_absolute_url() not in page.content.decode()


def test_screen_leads_beside_only_where_there_is_a_pair(client, keep, before, fitting):
    keep(fitting=before, view="back")
    keep(view="front")
    alone = client.get(fitting.get_absolute_url()).content.decode()
    keep(view="back")

    paired = client.get(fitting.get_absolute_url()).content.decode()

    assert ("Beside the last" in alone, "Beside the last" in paired) == (False, True)


@pytest.mark.parametrize("count", [1, 3])
def test_pairs_cost_the_same_however_many(client, keep, before, count, django_assert_num_queries):
    for view in ("front", "back", "left")[:count]:
        now = keep(view=view)
        keep(fitting=before, view=view)

    with django_assert_num_queries(7):
        client.get(f"/fitting/{now.fitting_id}/{now.garment.number}/photographs/beside/")
