"""One person's tablet, that counts how often it is touched."""

from playwright.sync_api import Locator, Page, expect

from tests.e2e.browser import sign_in


class Tablet:
    """A page and its owner's finger. Things are found by role and label, as a person finds them."""

    def __init__(self, page: Page, user: object) -> None:
        self.page = page
        self.taps = 0
        sign_in(page, user)

    def tap(self, part: Locator) -> None:
        part.tap()
        self.taps += 1

    def button(self, name: str, within: Locator | None = None) -> None:
        self.tap((within or self.page).get_by_role("button", name=name, exact=True).first)

    def link(self, name: str, *, exact: bool = True) -> None:
        self.tap(self.page.get_by_role("link", name=name, exact=exact).first)

    def choose(self, group: str, name: str) -> None:
        """One of a group's tiles; its label is what a finger meets."""
        tiles = self.page.get_by_role("group", name=group)
        self.tap(tiles.locator("label", has_text=name).first)

    def type(self, label: str, text: str) -> None:
        self.page.get_by_label(label).fill(text)

    def reads(self, text: str) -> None:
        expect(self.page.get_by_text(text).first).to_be_visible()
