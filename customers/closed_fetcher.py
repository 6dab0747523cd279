"""What a PDF may load: the house's own static files, and nothing else on earth.

WeasyPrint reads local files and the network by default, and a paper carries words that people
type. Photographs are not printed yet, so they have no address here either.
"""

import mimetypes
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "static:"


class ClosedFetcher(URLFetcher):  # type: ignore[misc]  # WeasyPrint has no types
    """Fetches ``static:print/ticket.css`` and its like; any other address stops the rendering."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=("static",), allow_redirects=False, fail_on_errors=True)

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:  # noqa: ARG002 - WeasyPrint's signature
        found = _find(url)
        if found is None:
            raise FatalURLFetchingError(f"A paper may not load {url[:200]!r}.")
        kind = mimetypes.guess_type(found.name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, found.read_bytes(), {"Content-Type": kind})


def _find(url: str) -> Path | None:
    """The file behind a ``static:`` address; None for any other, and for a way out of it."""
    if not url.startswith(SCHEME):
        return None
    try:
        found = finders.find(unquote(url.removeprefix(SCHEME)))
    except (SuspiciousFileOperation, ValueError):
        return None
    return Path(found) if found and Path(found).is_file() else None
