"""Addresses of sign-in and of the people of the house."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path, reverse_lazy

from fittings.accounts import views

app_name = "accounts"
urlpatterns = [
    path("sign-in/", login_not_required(views.sign_in), name="sign_in"),
    path("sign-out/", login_not_required(auth.LogoutView.as_view()), name="sign_out"),
    path("here/", login_not_required(views.here), name="here"),
    path(
        "password/",
        auth.PasswordChangeView.as_view(
            template_name="accounts/password_form.html",
            success_url=reverse_lazy("accounts:password_changed"),
        ),
        name="password_change",
    ),
    path("password/changed/", views.password_changed, name="password_changed"),
    # the owner's list of people
    path("", views.person_list, name="person_list"),
    path("new/", views.person_create, name="person_create"),
    path("<int:pk>/", views.person_update, name="person_update"),
]
