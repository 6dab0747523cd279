"""What browser tests do with a page."""

from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page

LANDSCAPE, UPRIGHT, PHONE = (1180, 820), (820, 1180), (390, 844)
PASSWORD = "chalk-and-thread-7"  # the one that UserFactory gives


def sign_in(page: Page, user: User | str, password: str = PASSWORD) -> None:
    """Sign in by the form, as a person does, and arrive on the page that follows."""
    address = reverse("accounts:sign_in")
    page.goto(address)
    page.locator("input[name=username]").fill(str(user))
    page.locator("input[name=password]").fill(password)
    with page.expect_navigation(url=lambda url: address not in url):
        page.locator("input[name=password]").press("Enter")
