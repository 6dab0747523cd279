"""Addresses of the owner's review."""

from django.urls import path

from fittings.review import views

app_name = "review"
urlpatterns = [
    path("", views.review_page, name="review_page"),
    path("read-twice/", views.repeat_page, name="repeat_page"),
    path("what-is-counted/", views.definitions_page, name="definitions_page"),
    path("why/", views.why_page, name="why_page"),
    path("why/<slug:sheet>.csv", views.why_csv, name="why_csv"),
    path("behind/<slug:sheet>/", views.row_page, name="row_page"),
    path("letter/", views.letter_page, name="letter_page"),
    path("letter/send/", views.letter_send, name="letter_send"),
    path("letter/letter.pdf", views.letter_pdf, name="letter_pdf"),
    path("letter/<slug:sheet>.csv", views.letter_csv, name="letter_csv"),
    path("<slug:table>.csv", views.review_csv, name="review_csv"),
    path("<slug:table>/", views.closer_page, name="closer_page"),
    path("<slug:table>/garments/", views.behind_page, name="behind_page"),
    path("<slug:table>/<slug:sheet>.csv", views.sheet_csv, name="sheet_csv"),
]
