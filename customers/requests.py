"""Where someone who sends a form wants to come back to, and how one that is wrong is answered."""

from django.forms import BaseForm
from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

UNPROCESSABLE = 422  # a form with something wrong in it, shown again
CONFLICT = 409  # someone else was faster: what they kept is shown beside what was sent


def status_of(form: BaseForm) -> int:
    """The status of a page with this form on it: whether something is wrong, or two were at it."""
    if getattr(form, "clashed", False):
        return CONFLICT
    return UNPROCESSABLE if form.errors else 200


def way_back(request: HttpRequest) -> str:
    """The page a form or its address says it was opened from, if it is one of this house."""
    back = request.POST.get("next") or request.GET.get("next", "")
    allowed = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    # A bare word would be taken for the name of a page, and there may be none of that name.
    return back if allowed and back.startswith("/") else ""
