"""Light or high contrast, kept per device in a cookie."""

from typing import Any

from django.http import HttpRequest


def appearance(request: HttpRequest) -> dict[str, Any]:
    """Template context: the contrast this device asked for."""
    return {"contrast": "high" if request.COOKIES.get("contrast") == "high" else "usual"}
