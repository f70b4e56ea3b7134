"""A browser that looks closely at every page it comes to, and the screens of the journey in it."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect

from tests.services.live import PASSWORD

NARROWEST = 320
# Wider than the window by less than a pixel is rounding.
SLACK = 1


class Eyes:
    """One browser window at the live studio. `look()` finds what no page may have."""

    def __init__(
        self, page: Page, address: str, axe: Callable[[Page], list[str]], pictures: str = ""
    ) -> None:
        self.page, self.address, self.axe, self.pictures = page, address, axe, pictures
        self.is_phone = page.viewport_size is not None and page.viewport_size["width"] < 500
        self.looked: list[str] = []
        page.set_default_timeout(20_000)

    def sign_in(self) -> None:
        """Sign in by name and password."""
        self.page.goto(f"{self.address}/sign-in/")
        self.look("sign in")
        self.page.fill("input[name=username]", "owner")
        self.page.fill("input[name=password]", PASSWORD)
        self.page.locator("main button[type=submit], main button:not([type])").first.click()
        self.says("Mix something else")

    def open(self, path: str) -> None:
        """Open an address."""
        self.page.goto(f"{self.address}{path}")

    def press(self, label: str, *, place: Locator | None = None) -> None:
        """Press the first plate or link of this label: by finger on the phone, else by mouse."""
        within = place or self.page.locator("main")
        name = re.compile(rf"^\s*{re.escape(label)}\s*$")
        plate = within.get_by_role("button", name=name).or_(within.get_by_role("link", name=name)).first
        plate.tap() if self.is_phone else plate.click()
        # The page that a tap leads to is on its way when the tap returns, not yet whole.
        self.page.wait_for_load_state()

    def says(self, words: str) -> None:
        """Wait until these words stand on the page."""
        expect(self.page.locator("main")).to_contain_text(re.compile(_loose(words)))

    def look(self, name: str) -> None:
        """No accessibility fault, no complaint in the console, nothing that wants scrolling sideways."""
        complaints = self.page.complaints  # type: ignore[attr-defined]
        faults = [f"{name}: {fault}" for fault in (*complaints, *self.axe(self.page))]
        faults += self._too_wide(name)
        if self.pictures:
            kind = "phone" if self.is_phone else "desk"
            self.page.screenshot(path=f"{self.pictures}/{kind} {name}.png", full_page=True)
        self.looked.append(name)
        assert faults == [], "\n".join(faults)

    def _too_wide(self, name: str) -> list[str]:
        found = self._overflow(name)
        if self.is_phone:
            size = self.page.viewport_size
            assert size is not None
            self.page.set_viewport_size({"width": NARROWEST, "height": size["height"]})
            found += self._overflow(name)
            self.page.set_viewport_size(size)
        return found

    def _overflow(self, name: str) -> list[str]:
        wide, window = self.page.evaluate(
            "() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        return [f"{name}: {wide} px in a window of {window}"] if wide > window + SLACK else []


def _loose(words: str) -> str:
    """Words as they may be broken over lines and elements."""
    return r"\s*".join(re.escape(word) for word in words.split())
