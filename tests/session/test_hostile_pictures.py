"""Seventy kinds of files that are no photograph: each refused in a sentence, none of them kept.

What is a photograph, though an odd one, is kept as its points alone; under what name it was sent
changes nothing. OWASP ASVS 5.0.0: 5.2.1 sizes, 5.2.2 contents not names, 5.3.2 names of our own.
"""

import io
import re
import tracemalloc
import uuid
import zipfile

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from fittings.models import Photograph
from fittings.session.photographs import MOST_BYTES, prepare
from tests.factories import ConsentFactory
from tests.session import hostile_pictures as made

NAMES = {
    "a way out": "../../../etc/cron.d/photo.jpg",
    "a way out of another system": "..\\..\\photo.jpg",
    "an absolute path": "/etc/passwd",
    "NUL": "photo.php\0.jpg",
    "turned round": "photo\u202egpj.exe",
    "full width dots": "\uff0e\uff0e\uff0fphoto.jpg",
    "two endings": "photo.jpg.php",
    "a settings file": ".htaccess",
    "a device": "CON.jpg",
    "a script": "<script>alert(1)</script>.jpg",
    "a statement": "x'; DROP TABLE fittings_photograph; --.jpg",
    "a line end": "photo.jpg\r\nX-Bad: 1",
    "no letter": " ",
    "endless": "x" * 600 + ".jpg",
}
OURS = re.compile(r"[\w/-]+\.jpg")


@pytest.fixture
def send(client, fitter, fitting, coat, customer):
    """Send a file as the tablet does, from a customer who agreed."""
    ConsentFactory(customer=customer, by=fitter)

    def sent(name, content):
        file = SimpleUploadedFile("photo.jpg", content, "image/jpeg")
        file._name = name
        values = {"entry_id": uuid.uuid4(), "photograph": file, "caption": "Back, arms down"}
        return client.post(f"/fitting/{fitting.pk}/{coat.number}/photographs/", values)

    return sent


def test_kinds_are_sixty_and_more_and_differ():
    assert len({content for content, _ in made.REFUSED.values()}) == len(made.REFUSED) > 60


@pytest.mark.parametrize("what", made.REFUSED)
def test_file_that_is_no_photograph_is_refused_in_a_sentence(what):
    content, says = made.REFUSED[what]

    with pytest.raises(ValidationError) as refusal:
        prepare(io.BytesIO(content))

    assert refusal.value.messages == [says]


@pytest.mark.parametrize("what", made.BOMBS)
def test_bomb_is_refused_before_its_points_take_memory(what):
    tracemalloc.start()
    with pytest.raises(ValidationError):
        prepare(io.BytesIO(made.BOMBS[what]))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert most < 2_000_000  # the smallest of them would be 50 MB of points


def test_file_of_more_than_twenty_megabytes_is_refused():
    with pytest.raises(ValidationError) as refusal:
        prepare(io.BytesIO(made.picture() + bytes(MOST_BYTES)))

    assert refusal.value.messages == [made.TOO_HEAVY]


@pytest.mark.parametrize("what", made.ODD)
def test_odd_photograph_is_kept_as_its_points_alone(what):
    kept = prepare(io.BytesIO(made.ODD[what])).image

    with Image.open(io.BytesIO(kept)) as picture:
        assert (picture.format, picture.mode, dict(picture.getexif())) == ("JPEG", "RGB", {})
        assert getattr(picture, "n_frames", 1) == 1
    assert (b"<svg" in kept, zipfile.is_zipfile(io.BytesIO(kept))) == (False, False)


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["drawing with a script", "PNG cut in its points", "grey JPEG"])
def test_page_says_it_beside_the_field_and_keeps_what_was_typed(send, what):
    content, says = made.REFUSED[what]
    before = sorted(default_storage.listdir(".")[1]) if default_storage.exists(".") else []

    answer = send("photo.jpg", content)

    assert (answer.status_code, says in answer.content.decode()) == (422, True)
    assert "Back, arms down" in answer.content.decode()
    after = sorted(default_storage.listdir(".")[1]) if default_storage.exists(".") else []
    assert (Photograph.objects.count(), after) == (0, before)


@pytest.mark.django_db
@pytest.mark.parametrize("what", NAMES)
def test_name_it_was_sent_under_is_never_ours(send, what):
    answer = send(NAMES[what], made.picture())

    # Where the name alone makes it no file at all, the form says that a picture is missing.
    names = [row.image.name for row in Photograph.objects.all()]
    assert (answer.status_code, len(names)) in {(302, 1), (422, 0)}
    assert [name for name in names if not OURS.fullmatch(name) or "photo." in name] == []
