"""Photographs from the tablet's camera: made safe, kept small, and only with consent.

A picture is never kept as it came. It is decoded within limits, turned upright, made smaller and
encoded again, so that neither metadata (where it was taken) nor anything hidden behind the pixels
survives.
"""

import struct
import uuid
import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import IO, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from customers.ledger import already_kept, take_back
from fittings.models import Fitting, Photograph
from fittings.session.queries import may_photograph
from fittings.session.services.guards import refuse_closed, struck_before
from garments.models import Garment

FORMATS: Final = ("JPEG", "PNG", "WEBP")  # sniffed, never by name: others have run programs
MOST_BYTES: Final = 20 * 1024 * 1024
MOST_PIXELS: Final = 50_000_000  # below Pillow's own warning at 89 million
LONGEST: Final = 2048
THUMBNAIL: Final = 320
PRINTED: Final = 1000  # 300 points an inch at 84 mm, the tallest a ticket prints one
QUALITY: Final = 85
# What Pillow raises, by fuzzing, on pixels and on EXIF that are not what they say they are.
DAMAGED: Final = (
    OSError,
    SyntaxError,
    ValueError,
    ArithmeticError,
    LookupError,
    AttributeError,
    TypeError,
    struct.error,
)


@dataclass(frozen=True)
class Prepared:
    """A picture as it will be kept: two JPEG files without metadata."""

    image: bytes
    thumbnail: bytes


def prepare(upload: IO[bytes]) -> Prepared:
    """Decode, turn upright, shrink and encode again.

    ValidationError with a sentence: not a picture of a kind we take, damaged, or too large.
    """
    if _size(upload) > MOST_BYTES:
        raise ValidationError("The picture is larger than 20 MB: take it again at a smaller size.")
    picture = _decoded(upload)
    small = picture.copy()
    small.thumbnail((THUMBNAIL, THUMBNAIL))
    return Prepared(image=_encoded(picture), thumbnail=_encoded(small))


def for_paper(image: IO[bytes]) -> bytes:
    """A kept photograph as large as paper can show it, as JPEG: a quarter of its points."""
    with Image.open(image, formats=["JPEG"]) as kept:
        kept.draft("RGB", (PRINTED, PRINTED))
        kept.thumbnail((PRINTED, PRINTED))
        return _encoded(kept)


def _size(upload: IO[bytes]) -> int:
    upload.seek(0, 2)
    size = upload.tell()
    upload.seek(0)
    return size


def _decoded(upload: IO[bytes]) -> Image.Image:
    # WeasyPrint, once imported, lets pictures that are cut short pass in the whole process.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        # The limit of pixels is looked at before a single one is decoded.
        with warnings.catch_warnings(), Image.open(upload, formats=FORMATS) as opened:
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            if opened.width * opened.height > MOST_PIXELS:
                raise ValidationError("The picture has too many points: take it smaller.")
            opened.draft("RGB", (LONGEST, LONGEST))
            # Smaller before it is turned: at full size it would stand in memory three times.
            opened.thumbnail((LONGEST, LONGEST))
            return ImageOps.exif_transpose(opened).convert("RGB")
    except UnidentifiedImageError as error:
        raise ValidationError("That is no JPEG, PNG or WebP picture.") from error
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise ValidationError("The picture has too many points: take it smaller.") from error
    except DAMAGED as error:
        raise ValidationError("The picture is damaged: take it again.") from error


def _encoded(picture: Image.Image) -> bytes:
    # A fresh image takes the pixels alone: no EXIF, colour profile, comment or text comes along.
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True, exif=b"", icc_profile=None)
    return out.getvalue()


def record_photograph(
    *,
    entry_id: uuid.UUID,
    fitting: Fitting,
    garment: Garment,
    upload: IO[bytes],
    caption: str = "",
    by: User,
) -> Photograph:
    """Keep a photograph taken now. Sent twice it is kept once.

    ValidationError: no standing consent of the customer, a picture that cannot be kept.
    """
    if kept := already_kept(Photograph, entry_id, by, fitting=fitting, garment=garment):
        return kept
    refuse_closed(fitting, garment)
    if not may_photograph(fitting.customer):
        raise ValidationError({"photograph": "The customer has not agreed to photographs."})
    try:
        prepared = prepare(upload)
    except ValidationError as error:
        raise ValidationError({"photograph": error.messages}) from error
    photograph = Photograph(
        pk=entry_id,
        customer=fitting.customer,
        fitting=fitting,
        garment=garment,
        caption=caption.strip(),
        by=by,
    )
    try:
        return _keep(photograph, prepared)
    except IntegrityError:
        # The same tap came twice at once, and the other was faster.
        if kept := already_kept(Photograph, entry_id, by, fitting=fitting, garment=garment):
            return kept
        raise


def _keep(photograph: Photograph, prepared: Prepared) -> Photograph:
    """Files first, the row after: a row never points at a file that is not there."""
    # A file without a name counts as none: Django would read no size from it.
    photograph.image.save("", ContentFile(prepared.image, "upright.jpg"), save=False)
    photograph.thumbnail.save("", ContentFile(prepared.thumbnail, "small.jpg"), save=False)
    try:
        with transaction.atomic():
            photograph.save(force_insert=True)
    except BaseException:
        photograph.image.delete(save=False)
        photograph.thumbnail.delete(save=False)
        raise
    return photograph


@transaction.atomic
def strike_photograph(*, entry_id: uuid.UUID, photograph: Photograph, by: User) -> Photograph:
    """Take a photograph out of every screen; struck already, the entry that struck it."""
    if struck := struck_before(photograph, photograph.fitting, entry_id=entry_id, by=by):
        return struck
    about = ("customer", "fitting", "garment")
    return take_back(photograph, entry_id=entry_id, by=by, same=about)
