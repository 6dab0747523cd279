"""Sign-in, passwords, the people of the house, and the pages for what went wrong."""

from django.http import HttpRequest, HttpResponse


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return HttpResponse("The form was too old. Go back and send it again.", status=403)
