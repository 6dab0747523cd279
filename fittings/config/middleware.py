"""What every answer needs: HTMX-aware redirects and no copies of private pages."""

from collections.abc import Callable
from contextlib import suppress

from django.http import HttpRequest, HttpResponse
from django.utils.cache import add_never_cache_headers, patch_vary_headers
from django_htmx.http import HttpResponseClientRedirect

GetResponse = Callable[[HttpRequest], HttpResponse]
MOST_BYTES = 50 * 1024 * 1024  # of one request: a photograph may have 20 MB
PIECE = 64 * 1024


class PlainBodiesMiddleware:
    """Refuse, unread, a body that no page of ours sends: a huge one, or one not in UTF-8.

    Django lays every upload on the disk before it knows who sends it, and decodes text by whatever
    charset the sender names, which can give characters that no database keeps. Any other body is
    read to its end: the server hangs up on who still sends, and the answer is lost on the way.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdecimal() or int(length) > MOST_BYTES:
            most = f"{MOST_BYTES // 1024**2} MB"
            return _refused(f"Nothing was kept: the ledger takes at most {most} at once.", 413)
        charset = (request.content_params or {}).get("charset", "utf-8")
        if charset.lower() != "utf-8":
            return _refused("Nothing was kept: the ledger reads UTF-8 alone.", 415)
        response = self.get_response(request)
        with suppress(OSError):  # who hung up reads no answer either
            while request.read(PIECE):
                pass
        return response


def _refused(sentence: str, status: int) -> HttpResponse:
    return HttpResponse(sentence, status=status, content_type="text/plain")


class KeptByMiddleware:
    """Take what a tablet kept from its author alone.

    The tablet says in ``Kept-By`` whose entry it sends. Signed out meanwhile is 401, someone else
    signed in 412: either way nothing is written, and the tablet keeps the entry.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        author = request.headers.get("Kept-By")
        if author is None or author == str(request.user.pk):
            return self.get_response(request)
        if request.user.is_authenticated:
            return _refused("Not kept: someone else is signed in.", 412)
        answer = _refused("Not kept: sign in first.", 401)
        answer["WWW-Authenticate"] = "Session"  # RFC 9110 wants one; no browser asks for this one
        return answer


class HtmxRedirectMiddleware:
    """Turn a redirect answering an HTMX request into a move of the whole page.

    Without it the browser follows the redirect unseen and the sign-in page, or another whole
    page, is swapped into a fragment.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request", "HX-Target"])
        if request.headers.get("HX-Request") and response.status_code in {301, 302, 303}:
            moved = HttpResponseClientRedirect(response["Location"])
            moved.cookies = response.cookies
            return moved
        return response


class PrivatePagesMiddleware:
    """Pages hold people's names and bodies: no cache keeps them, unless a view says otherwise.

    No other site draws them in, and no page asks the tablet for more than it shows: a photograph
    comes through the tablet's own camera program.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        response["Cross-Origin-Resource-Policy"] = "same-origin"
        response["Permissions-Policy"] = "camera=(), geolocation=(), microphone=()"
        return response
