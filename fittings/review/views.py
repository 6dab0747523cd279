"""The owner's review: one page of figures, and each of its tables as a file."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from customers.models import House
from fittings.review.asking import Asked, By
from fittings.review.carried import HEADING
from fittings.review.charts import interval_chart
from fittings.review.exports import to_csv
from fittings.review.figures import Table
from fittings.review.forms import AskForm
from fittings.review.measures import MEASURES
from fittings.review.repeat import hands, pairs_read, years_of
from fittings.review.tables import review


@require_safe
def review_page(request: HttpRequest) -> HttpResponse:
    """The rates for the days and garments that the address asks about."""
    form = AskForm(request.GET, timezone.localdate())
    tables = _tables(form.asked) if form.is_valid() else []
    context = {
        "form": form,
        "tables": [(table, interval_chart(table.rows, table.whole.figure)) for table in tables],
        "nothing": not any(table.rows for table in tables),
        "by_fault": form.cleaned_data.get("by") == By.FAULT,
    }
    return render(request, "review/review_page.html", context)


@require_safe
def repeat_page(request: HttpRequest) -> HttpResponse:
    """The technical error of every hand at every point it read twice."""
    pairs = pairs_read()
    context = {"hands": hands(pairs, House.get().unit), "years": years_of(pairs)}
    return render(request, "review/repeat_page.html", context)


@require_safe
def review_csv(request: HttpRequest, table: str) -> HttpResponse:
    """One table as CSV; when the address asks nonsense, the page that says what is wrong."""
    if table not in {measure.key for measure in MEASURES}:
        raise Http404
    form = AskForm(request.GET, timezone.localdate())
    if not form.is_valid():
        return redirect(f"{reverse('review:review_page')}?{request.GET.urlencode()}")
    asked = form.asked
    (wanted,) = (found for found in _tables(asked) if found.measure.key == table)
    by = "answer" if wanted.heading == HEADING else asked.by
    name = f"{table}-by-{by}-{asked.since}-to-{asked.until}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(to_csv(wanted), "text/csv; charset=utf-8", headers=headers)


def _tables(asked: Asked) -> list[Table]:
    return review(asked, timezone.now())
