"""A page for a monitor: is the process up and does the database answer?"""

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@require_safe
@login_not_required
def health(_request: HttpRequest) -> HttpResponse:
    """200 and ``ok`` when a query comes back; a database that is gone is a 500 like any other."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return HttpResponse("ok", content_type="text/plain")
