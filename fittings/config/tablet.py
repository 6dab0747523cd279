"""What makes a tablet hold the ledger like a program of its own: the manifest and the worker.

W3C Web Application Manifest; W3C Service Workers (section on the script's scope).
"""

from functools import cache

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.views.decorators.http import require_safe

ICON_SIZES = (192, 512)  # pixels; what browsers ask for before they offer to install


@require_safe
@login_not_required
def manifest(_request: HttpRequest) -> JsonResponse:
    """How the ledger is called and looks among the tablet's programs."""
    icons = [
        {"src": static(f"icons/mark-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in ICON_SIZES
    ]
    return JsonResponse(
        {
            "name": "Fitting ledger",
            "short_name": "Ledger",
            "start_url": "/",
            "scope": "/",
            "display": "standalone",
            "background_color": "#fffdf7",
            "theme_color": "#24527b",
            "icons": icons,
        },
        content_type="application/manifest+json",
    )


@require_safe
@login_not_required
def worker(_request: HttpRequest) -> HttpResponse:
    """The service worker, at the top: from /static/ it would rule over /static/ alone."""
    answer = HttpResponse(_script(), content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    return answer


@cache
def _script() -> str:
    return (settings.BASE_DIR / "static" / "js" / "worker.js").read_text(encoding="utf-8")
