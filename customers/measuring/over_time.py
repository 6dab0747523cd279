"""A customer's measures over time: the page of charts, and the same on paper."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.measuring.history import histories
from customers.models import Customer
from customers.paper import answer_paper, render_paper
from customers.queries import standing_sets, unit_of


@require_safe
def measure_history(request: HttpRequest, number: str) -> HttpResponse:
    """Each point over all standing sets, as a chart with its table beside it."""
    return render(request, "customers/measure_history.html", _context(number))


@require_safe
def measure_history_pdf(_request: HttpRequest, number: str) -> HttpResponse:
    """The same charts and tables on A4."""
    context = _context(number) | {"printed_on": timezone.localdate()}
    html = render_to_string("customers/measure_history_paper.html", context)
    name = f"measures-{context['customer'].number}"
    return answer_paper(render_paper(html, "print/history.css"), name)


def _context(number: str) -> dict[str, Any]:
    customer = get_object_or_404(Customer, number=number)
    unit = unit_of(customer)
    sets = standing_sets(customer)
    taken = [(row.taken_on, row.lengths()) for row in reversed(sets)]
    groups = histories(taken, unit)
    moving = [history for _, points in groups for history in points if history.moves]
    return {"customer": customer, "sets": sets, "groups": groups, "moving": moving}
