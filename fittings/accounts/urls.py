"""Addresses of sign-in and of the people of the house."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path, reverse_lazy

from fittings.accounts import entry_views, key_views, views
from fittings.accounts.key_forms import OldPasswordForm

app_name = "accounts"
urlpatterns = [
    path("sign-in/", login_not_required(entry_views.sign_in), name="sign_in"),
    path("sign-out/", login_not_required(auth.LogoutView.as_view()), name="sign_out"),
    path("second-step/", login_not_required(entry_views.second_step), name="second_step"),
    path("hand/", login_not_required(entry_views.hand_change), name="hand_change"),
    path("prove/", entry_views.prove, name="prove"),
    path("here/", login_not_required(views.here), name="here"),
    path(
        "password/",
        auth.PasswordChangeView.as_view(
            template_name="accounts/password_form.html",
            form_class=OldPasswordForm,
            success_url=reverse_lazy("accounts:password_changed"),
        ),
        name="password_change",
    ),
    path("password/changed/", views.password_changed, name="password_changed"),
    # one's own keys
    path("keys/", key_views.own_keys, name="own_keys"),
    path("keys/pin/", key_views.pin_update, name="pin_update"),
    path("keys/second-factor/", key_views.factor_page, name="factor_page"),
    # shared tablets and the rules of signing in
    path("tablets/", key_views.rules_update, name="rules_update"),
    path("tablets/new/", key_views.tablet_create, name="tablet_create"),
    path("tablets/<int:pk>/end/", key_views.tablet_end, name="tablet_end"),
    # the owner's list of people
    path("", views.person_list, name="person_list"),
    path("new/", views.person_create, name="person_create"),
    path("<int:pk>/", views.person_update, name="person_update"),
    path("<int:pk>/second-factor/", key_views.factor_remove, name="factor_remove"),
]
