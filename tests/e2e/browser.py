"""What browser tests do with a page."""

from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page

from tests.live_house import LiveHouse

LANDSCAPE, UPRIGHT, PHONE = (1180, 820), (820, 1180), (390, 844)
PASSWORD = "chalk-and-thread-7"  # the one that UserFactory gives


def tablet_of(
    browser: Browser, house: LiveHouse, problems: list[str], size=LANDSCAPE, **options
) -> BrowserContext:
    """A tablet before a house, nothing kept on it; what it complains of goes to `problems`."""
    width, height = size
    # What a service worker asks for goes past page.route: only the cold start lets it in.
    options.setdefault("service_workers", "block")
    context = browser.new_context(
        base_url=house.url,
        viewport={"width": width, "height": height},
        has_touch=True,
        reduced_motion="reduce",
        locale="en-GB",
        **options,
    )
    context.set_default_timeout(10_000)
    context.on("console", lambda said: said.type == "error" and problems.append(said.text))
    context.on("weberror", lambda raised: problems.append(str(raised.error)))
    return context


def sign_in(page: Page, user: User | str, password: str = PASSWORD) -> None:
    """Sign in by the form, as a person does, and arrive on the page that follows."""
    address = reverse("accounts:sign_in")
    page.goto(address)
    page.locator("input[name=username]").fill(str(user))
    page.locator("input[name=password]").fill(password)
    with page.expect_navigation(url=lambda url: address not in url):
        page.locator("input[name=password]").press("Enter")
