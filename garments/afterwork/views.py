"""What the bench's work came to, beside what was asked of it."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from customers.models import House
from garments.afterwork.bias import FEWEST, Verdict
from garments.afterwork.queries import read_afterwork

CASES_SHOWN = 25


@require_safe
def afterwork(request: HttpRequest) -> HttpResponse:
    """How each kind of work comes out, and the cases behind one (``of``) or behind all."""
    found = read_afterwork(House.get().unit)
    asked = request.GET.get("of", "")
    row = found.row(asked)
    if asked and row is None:
        raise Http404("No such work has been measured before and after.")
    context = {
        "rows": found.rows,
        "too_few": [each for each in found.rows if each.lean.verdict is Verdict.TOO_FEW],
        "row": row,
        "mixed": found.mixed,
        "few": FEWEST,
        "page_obj": Paginator(found.of(row), CASES_SHOWN).get_page(request.GET.get("page")),
    }
    return render(request, "garments/afterwork.html", context)
