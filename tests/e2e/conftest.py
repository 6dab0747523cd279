"""Browser tests: Debian's Chromium as a tablet, against a house in a server process of its own."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.e2e.browser import LANDSCAPE, PATIENCE, tablet_of
from tests.live_house import ROOT, LiveHouse

PICTURES = ROOT / ".var" / "shots"
CHROMIUM = shutil.which("chromium")
# Parts of the program that no test looks at. Of a list given twice the last one counts, so that
# what Playwright turns off stands here again; the last three are ours: the address bar's two pages
# of its own and a process in reserve, which each new tablet would else begin, and which take half
# of its time.
WITHOUT = """AvoidUnnecessaryBeforeUnloadCheckSync DestroyProfileOnBrowserClose HttpsUpgrades
HttpsFirstBalancedModeAutoEnable LensOverlay MediaRouter PaintHolding ThirdPartyStoragePartitioning
AvoidCorsURLLoaderRestartOnRedirect OptimizationHints NetworkTimeServiceQuerying AimEnabled
PreconnectToSearch WebUIOmniboxPopup WebUIOmniboxAimPopup SpareRendererForSitePerProcess"""
# No sandbox: CI is root. The rest keeps Chromium from asking its maker's servers for anything.
CHROMIUM_OPTIONS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    f"--disable-features={','.join(WITHOUT.split())}",
    "--host-resolver-rules=MAP ledger.example 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
# What is preloaded serves only a rule that axe-core itself leaves off; rules whose impact is never
# serious would be looked up for nothing.
ASK_AXE = """axe.run(document, {
  resultTypes: ['violations'], preload: false,
  rules: Object.fromEntries(axe._audit.rules
    .filter(({ impact }) => ['minor', 'moderate'].includes(impact))
    .map(({ id }) => [id, { enabled: false }])) })"""
expect.set_options(timeout=PATIENCE)
REPORTS = pytest.StashKey[dict[str, pytest.TestReport]]()
TABLETS = pytest.StashKey[list[BrowserContext]]()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    item.stash.setdefault(REPORTS, {})[report.when] = report
    return report


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_teardown(item):
    # While their house still answers: a fitting's screen asks it for news by itself.
    contexts = item.stash.get(TABLETS, [])
    called = item.stash[REPORTS].get("call")
    if item.funcargs.get("problems") or (called and called.failed):
        take_pictures(item.name, contexts)
    for context in contexts:
        context.close()


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    # Playwright keeps an event loop running while it is open, in which Django would refuse to
    # query; closed at the end of this folder, so that other tests do without.
    assert CHROMIUM, "Chromium is not here: `make test` installs Debian's package chromium."
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_OPTIONS)
        yield browser
        browser.close()


@pytest.fixture
def problems() -> list[str]:
    """What the browsers complained of: a script's errors, what the content security policy refused,
    what did not load. Any left at the end fail the test; what it meant to cause, it takes out."""
    return []


@pytest.fixture
def open_page(chromium, request, problems) -> Iterator[Callable[..., Page]]:
    """Opens a tablet of its own at each call: nobody signed in, nothing kept."""
    contexts = request.node.stash.setdefault(TABLETS, [])

    def open_tablet(size=LANDSCAPE, house: LiveHouse | None = None, **options) -> Page:
        house = house or request.getfixturevalue("live_house")
        context = tablet_of(chromium, house, problems, size, **options)
        contexts.append(context)
        return context.new_page()

    yield open_tablet
    assert problems == []


def take_pictures(name: str, contexts: list[BrowserContext]) -> None:
    pages = [page for context in contexts for page in context.pages]
    for number, page in enumerate(pages, start=1):
        # A picture that cannot be taken must not hide why the test failed.
        with suppress(Exception):
            page.screenshot(path=PICTURES / f"{name}-{number}.png", full_page=True)


@pytest.fixture
def page(open_page) -> Page:
    return open_page()


@pytest.fixture
def axe() -> Callable[[Page], list[str]]:
    """What axe-core finds of serious or critical impact on a page: "rule: the elements"."""

    def violations(page: Page) -> list[str]:
        # Evaluated by the debugger, which the page's content security policy does not bind.
        if page.evaluate("typeof axe") == "undefined":
            page.evaluate(AXE)
        found = page.evaluate(ASK_AXE)["violations"]
        return [
            f"{rule['id']}: {', '.join(str(node['target']) for node in rule['nodes'])}"
            for rule in found
            if rule["impact"] in {"serious", "critical"}
        ]

    return violations
