"""What a PDF may load: the house's own static files, the photographs handed to it, nothing else.

WeasyPrint reads local files and the network by default, and a paper carries words that people
type. A photograph has no path or address here: only what the paper's own writer handed over, by a
key, can be put on it.
"""

import mimetypes
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "static:"
PHOTOGRAPH = "photo:"


class ClosedFetcher(URLFetcher):  # type: ignore[misc]  # WeasyPrint has no types
    """Fetches ``static:print/ticket.css`` and its like; any other address stops the rendering.

    ``photographs`` are the JPEGs that ``photo:<key>`` stands for on this one paper.
    """

    def __init__(self, photographs: Mapping[str, bytes] | None = None) -> None:
        super().__init__(
            allowed_protocols=("static", "photo"), allow_redirects=False, fail_on_errors=True
        )
        self.photographs = dict(photographs or {})

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:  # noqa: ARG002 - WeasyPrint's signature
        if url.startswith(PHOTOGRAPH):
            return URLFetcherResponse(url, self._photograph(url), {"Content-Type": "image/jpeg"})
        found = _find(url)
        if found is None:
            raise FatalURLFetchingError(f"A paper may not load {url[:200]!r}.")
        kind = mimetypes.guess_type(found.name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, found.read_bytes(), {"Content-Type": kind})

    def _photograph(self, url: str) -> bytes:
        try:
            return self.photographs[url.removeprefix(PHOTOGRAPH)]
        except KeyError:
            raise FatalURLFetchingError(f"A paper may not load {url[:200]!r}.") from None


def _find(url: str) -> Path | None:
    """The file behind a ``static:`` address; None for any other, and for a way out of it."""
    if not url.startswith(SCHEME):
        return None
    try:
        found = finders.find(unquote(url.removeprefix(SCHEME)))
    except (SuspiciousFileOperation, ValueError):
        return None
    return Path(found) if found and Path(found).is_file() else None
