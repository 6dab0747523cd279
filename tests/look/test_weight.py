"""What a first page brings over the wire, before the screen's own content."""

import gzip
from pathlib import Path

from django.contrib.staticfiles import finders

PACKED = ["django_htmx/htmx-2.min.js", "js/app.js", "js/pad.js", "icons/mark.svg"]
PACKED += [f"css/{name}.css" for name in ("house", "forms", "parts", "contrast")]
FONTS = [f"fonts/literata-{weight}.woff2" for weight in (400, 600)]

# design.md gives the fitting screen 120 KB at first load; the frame leaves a third of it free.
FRAME_BYTES = 80 * 1024


def test_frame_leaves_room_for_the_fitting_screen():
    packed = sum(len(gzip.compress(content(name), 6)) for name in PACKED)

    assert packed + sum(len(content(name)) for name in FONTS) <= FRAME_BYTES


def content(name):
    return Path(finders.find(name)).read_bytes()
