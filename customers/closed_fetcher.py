"""What a PDF may load: the house's own static files, the pictures handed to it, nothing else.

WeasyPrint reads local files and the network by default, and a paper carries words that people
type. A picture has no path or address here: only what the paper's own writer handed over, by a
name, can be put on it.
"""

import mimetypes
from collections.abc import Mapping
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from fontTools.ttLib import woff2  # type: ignore[import-untyped]
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "static:"
# The pictures a paper's writer hands over, by the scheme of their name.
HANDED = {"photo": "image/jpeg", "drawing": "image/svg+xml"}


class ClosedFetcher(URLFetcher):  # type: ignore[misc]  # WeasyPrint has no types
    """Fetches ``static:print/ticket.css`` and its like; any other address stops the rendering.

    ``handed`` are the pictures of this one paper: a JPEG by ``photo:<key>``, a drawing of ours as
    SVG by ``drawing:<name>``.
    """

    def __init__(self, handed: Mapping[str, bytes] | None = None) -> None:
        super().__init__(
            allowed_protocols=("static", *HANDED), allow_redirects=False, fail_on_errors=True
        )
        self.handed = dict(handed or {})

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:  # noqa: ARG002 - WeasyPrint's signature
        if url in self.handed:
            kind = HANDED[url.partition(":")[0]]
            return URLFetcherResponse(url, self.handed[url], {"Content-Type": kind})
        found = _find(url)
        if found is None:
            raise FatalURLFetchingError(f"A paper may not load {url[:200]!r}.")
        if found.suffix == ".woff2":
            font = _unpacked(found, found.stat().st_mtime_ns)
            return URLFetcherResponse(url, font, {"Content-Type": "font/ttf"})
        kind = mimetypes.guess_type(found.name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, found.read_bytes(), {"Content-Type": kind})


@lru_cache(maxsize=8)
def _unpacked(font: Path, changed: int) -> bytes:  # noqa: ARG001 - a changed file is another key
    """The TrueType font in a WOFF2 file.

    WeasyPrint unpacks it anew for every paper, which is three quarters of a short one's time.
    """
    out = BytesIO()
    woff2.decompress(BytesIO(font.read_bytes()), out)
    return out.getvalue()


def _find(url: str) -> Path | None:
    """The file behind a ``static:`` address; None for any other, and for a way out of it."""
    if not url.startswith(SCHEME):
        return None
    try:
        found = finders.find(unquote(url.removeprefix(SCHEME)))
    except (SuspiciousFileOperation, ValueError):
        return None
    return Path(found) if found and Path(found).is_file() else None
