"""A real Chromium, and what a page must be: free of accessibility faults and of errors in its console."""

from __future__ import annotations

import os
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Playwright

OPTIONS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "has_touch": True,
    "is_mobile": True,
}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}}


def launch(playwright: Playwright, path: str) -> Browser:
    """Start the Chromium at `path`; its sandbox does not work for root, so root goes without."""
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return playwright.chromium.launch(executable_path=path, args=[*OPTIONS, *as_root])


def page_of(browser: Browser, shape: dict[str, Any]) -> Page:
    """A new page of its own session, which notes what the console complains of in `page.complaints`."""
    page = browser.new_context(locale="en-GB", **shape).new_page()
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda fault: complaints.append(str(fault)))
    page.complaints = complaints  # type: ignore[attr-defined]
    return page


def accessibility_faults(page: Page) -> list[str]:
    """What axe finds against WCAG 2.2 A and AA on the page as it stands, one line for each fault."""
    rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    # A tap answers as soon as the next page is on its way: then there is no document yet to look at.
    page.wait_for_load_state()
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": rules}})
    return [
        f"{fault['id']}: {fault['help']} at {node['target']}"
        for fault in found.response["violations"]
        for node in fault["nodes"]
    ]
