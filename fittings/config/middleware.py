"""What every answer needs: HTMX-aware redirects and no copies of private pages."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import add_never_cache_headers, patch_vary_headers
from django_htmx.http import HttpResponseClientRedirect

GetResponse = Callable[[HttpRequest], HttpResponse]


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
    """Pages hold people's names and bodies: no cache keeps them, unless a view says otherwise."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            add_never_cache_headers(response)
        return response
