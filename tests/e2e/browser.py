"""What browser tests do with a page."""

from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page

from tests.live_house import LiveHouse

# Milliseconds until what is waited for counts as not coming: only a test that fails waits so long,
# and a machine busy with others is slow.
PATIENCE = 30_000
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
    context.set_default_timeout(PATIENCE)
    context.on("console", lambda said: said.type == "error" and problems.append(said.text))
    context.on("weberror", lambda raised: problems.append(str(raised.error)))
    return context


def let_in(page: Page, user: User) -> None:
    """Signed in already on this tablet, before the house whose secret key is the settings' one.

    For tests of what comes after: the form costs a page and a real hash each time.
    """
    client = Client()
    client.force_login(user)
    ticket = client.cookies[settings.SESSION_COOKIE_NAME].value
    kept = {"name": settings.SESSION_COOKIE_NAME, "value": ticket, "httpOnly": True}
    page.context.add_cookies([{**kept, "domain": "127.0.0.1", "path": "/"}])


def sign_in(page: Page, user: User | str, password: str = PASSWORD) -> None:
    """Sign in by the form, as a person does, and arrive on the page that follows."""
    address = reverse("accounts:sign_in")
    page.goto(address)
    page.locator("input[name=username]").fill(str(user))
    page.locator("input[name=password]").fill(password)
    with page.expect_navigation(url=lambda url: address not in url):
        page.locator("input[name=password]").press("Enter")
