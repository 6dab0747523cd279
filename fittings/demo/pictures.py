"""Photographs of nobody: a coat drawn in chalk on dark cloth, as a board in the cutting room."""

import datetime
from io import BytesIO
from typing import Final

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from numpy.random import Generator
from PIL import Image, ImageDraw, ImageFilter

from fittings.demo.record import Record
from fittings.models import Fitting, Photograph
from fittings.session.photographs import prepare
from garments.models import Garment

SIZE: Final = (720, 960)
CLOTH: Final = (38, 44, 56)
CHALK: Final = (236, 234, 226)
# Half a coat seen from the front, in thousandths of the sheet, the middle at 500: neck, shoulder,
# arm, cuff, side, hem and front edge. The other half is its mirror image.
OUTLINE: Final = (
    (455, 160),
    (330, 205),
    (285, 290),
    (240, 560),
    (255, 720),
    (318, 722),
    (345, 480),
    (352, 600),
    (335, 880),
    (470, 905),
    (500, 880),
)
LAPEL: Final = ((455, 160), (405, 330), (437, 352), (498, 520))
MARKS: Final = (((360, 300), (430, 330)), ((350, 560), (420, 548)), ((400, 850), (470, 842)))


def chalk_drawing(rng: Generator) -> bytes:
    """A PNG of a coat in chalk, no two alike: the hand shakes and three places are marked."""
    grain = Image.effect_noise(SIZE, 14).convert("RGB")
    sheet = Image.blend(Image.new("RGB", SIZE, CLOTH), grain, 0.12)
    pen = ImageDraw.Draw(sheet)
    for line in (OUTLINE, LAPEL):
        for mirrored in (False, True):
            _chalk(rng, pen, line, width=6, mirrored=mirrored)
    for mark in MARKS:
        _chalk(rng, pen, mark, width=10, mirrored=bool(rng.random() < 1 / 2))
    out = BytesIO()
    sheet.filter(ImageFilter.GaussianBlur(1.2)).save(out, "PNG")
    return out.getvalue()


def _chalk(
    rng: Generator,
    pen: ImageDraw.ImageDraw,
    line: tuple[tuple[int, int], ...],
    *,
    width: int,
    mirrored: bool,
) -> None:
    points = [
        (
            (1000 - x if mirrored else x) * SIZE[0] / 1000 + float(rng.normal(0, 2.5)),
            y * SIZE[1] / 1000 + float(rng.normal(0, 2.5)),
        )
        for x, y in line
    ]
    pen.line(points, fill=CHALK, width=width, joint="curve")


def hang(
    record: Record,
    fitting: Fitting,
    garment: Garment,
    caption: str,
    *,
    at: datetime.datetime,
    by: User,
) -> Photograph:
    """A photograph taken at a fitting; its files are written at once, as the service does."""
    prepared = prepare(BytesIO(chalk_drawing(record.rng)))
    photograph = record.entry(
        Photograph,
        customer=fitting.customer,
        fitting=fitting,
        garment=garment,
        caption=caption,
        view=Photograph.View.FRONT,
        at=at,
        by=by,
    )
    for field, content in (
        (photograph.image, prepared.image),
        (photograph.thumbnail, prepared.thumbnail),
    ):
        # Without a name Django takes the file for none and finds no width.
        field.save("", ContentFile(content, name="drawing.jpg"), save=False)
    return photograph
