"""The yardstick: a Django page with a session, a user, one query of 50 rows and one template."""

from django.http import HttpResponse
from django.template import engines
from django.urls import include, path

from customers.models import Customer

PAGE = engines["django"].from_string(
    "<!doctype html><title>Customers</title><p>{{ user.username }}</p>"
    "<ul>{% for customer in customers %}<li>{{ customer.name }}</li>{% endfor %}</ul>"
)
MIDDLEWARE = [
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
]


def bare(request):
    customers = Customer.objects.order_by("pk")[:50]
    return HttpResponse(PAGE.render({"user": request.user, "customers": customers}, request))


urlpatterns = [path("bare/", bare), path("", include("fittings.config.urls"))]
