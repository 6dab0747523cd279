"""Photographs from the tablet's camera: made safe and small before they are kept.

A picture is never kept as it came. It is decoded within limits, turned upright, made smaller and
encoded again, so that neither metadata (where it was taken) nor anything hidden behind the pixels
survives.
"""

import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import IO, Final

from django.core.exceptions import ValidationError
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

FORMATS: Final = ("JPEG", "PNG", "WEBP")  # sniffed, never by name: others have run programs
MOST_BYTES: Final = 20 * 1024 * 1024
MOST_PIXELS: Final = 50_000_000  # below Pillow's own warning at 89 million
LONGEST: Final = 2048
THUMBNAIL: Final = 320
PRINTED: Final = 1000  # 300 points an inch at 84 mm, the tallest a ticket prints one
QUALITY: Final = 85
NO_PICTURE: Final = (
    "That is no JPEG, PNG or WebP picture: set the camera to take JPEG, and take it again."
)
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
            return _in_colours(ImageOps.exif_transpose(opened))
    except UnidentifiedImageError as error:
        raise ValidationError(NO_PICTURE) from error
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise ValidationError("The picture has too many points: take it smaller.") from error
    except DAMAGED as error:
        raise ValidationError("The picture is damaged: take it again.") from error


def _in_colours(picture: Image.Image) -> Image.Image:
    # Pillow cuts greys of 16 bits off at 255, which leaves a white sheet.
    if picture.mode.startswith("I"):
        picture = picture.convert("I").point(lambda grey: grey / 256).convert("L")
    return picture.convert("RGB")


def _encoded(picture: Image.Image) -> bytes:
    # A fresh image takes the pixels alone: no EXIF, colour profile, comment or text comes along.
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True, exif=b"", icc_profile=None)
    return out.getvalue()
