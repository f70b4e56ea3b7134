"""A studio that exists only inside the browser: pages and static files, under the real policy."""

from __future__ import annotations

import mimetypes
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from csp.utils import build_policy
from django.contrib.staticfiles import finders
from playwright.sync_api import Browser, Page, Request, Route

from tests.services.chromium import DESK, PHONE, page_of
from tests.shopfloor.frame.pages import NOW

HOST = "http://studio.test"


class Served:
    """Answers a page's requests: pages by path, acts by a function, static files from the apps."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.pages: dict[str, str] = {}
        self.posted: list[str] = []
        self.answer: Callable[[Request], str] = lambda request: "<p>done</p>"
        page.route(f"{HOST}/**", self._handle)

    def open(self, html: str, *, path: str = "/bench/", device_time: datetime | None = NOW) -> Page:
        """Open a page with the device's clock stopped at `device_time`, or running when that is None."""
        self.pages[path] = html
        if device_time is not None:
            self.page.clock.install(time=device_time - timedelta(seconds=1))
            self.page.clock.pause_at(device_time)
        self.page.goto(HOST + path)
        return self.page

    def _handle(self, route: Route) -> None:
        path = urlsplit(route.request.url).path
        policy = {"Content-Security-Policy": build_policy()}
        if route.request.method == "POST":
            self.posted.append(path)
            route.fulfill(body=self.answer(route.request), content_type="text/html", headers=policy)
        elif path.startswith("/static/"):
            found = finders.find(path.removeprefix("/static/"))
            kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
            route.fulfill(body=Path(str(found)).read_bytes(), content_type=kind)
        elif path in self.pages:
            route.fulfill(body=self.pages[path], content_type="text/html; charset=utf-8", headers=policy)
        else:
            route.fulfill(body="<!doctype html><title>elsewhere</title>", content_type="text/html")


@pytest.fixture
def phone(browser: Browser) -> Iterator[Served]:
    """A phone in the hand."""
    page = page_of(browser, PHONE)
    yield Served(page)
    page.context.close()


@pytest.fixture
def desk(browser: Browser) -> Iterator[Served]:
    """A wide screen."""
    page = page_of(browser, DESK)
    yield Served(page)
    page.context.close()


@pytest.fixture
def narrowest(browser: Browser) -> Iterator[Served]:
    """The narrowest screen a page has to fold into."""
    page = page_of(browser, {**PHONE, "viewport": {"width": 320, "height": 640}})
    yield Served(page)
    page.context.close()
