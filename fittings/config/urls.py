"""Every address of the ledger, grouped by place."""

from django.urls import include, path

from fittings.config.appearance import contrast
from fittings.config.health import health
from fittings.config.tablet import manifest, worker

urlpatterns = [
    path("health/", health, name="health"),
    path("contrast/", contrast, name="contrast"),
    path("app.webmanifest", manifest, name="manifest"),
    path("worker.js", worker, name="worker"),
    path("", include("fittings.diary.urls")),
    path("diary/waiting/", include("fittings.waiting.urls")),
    path("", include("fittings.feeds.urls")),
    path("trips/", include("fittings.travelling.urls")),
    path("open-days/", include("fittings.opendays.urls")),
    path("post/", include("fittings.post.urls")),
    path("promises/", include("fittings.promising.urls")),
    path("people/", include("fittings.accounts.urls")),
    path("customers/", include("customers.urls")),
    path("folio/", include("fittings.folios.urls")),
    path("garments/", include("garments.urls")),
    path("fitting/", include("fittings.session.urls")),
    path("catalogue/", include("fittings.housebook.urls")),
    path("import/", include("fittings.bringing.urls")),
    path("privacy/", include("fittings.privacy.urls")),
    path("workroom/", include("garments.workroom.urls")),
    path("learnt/", include("fittings.lessons.urls")),
    path("review/", include("fittings.review.urls")),
]
handler400 = "fittings.accounts.views.bad_request"
handler403 = "fittings.accounts.views.forbidden"
handler404 = "fittings.accounts.views.not_found"
handler500 = "fittings.accounts.views.server_error"
