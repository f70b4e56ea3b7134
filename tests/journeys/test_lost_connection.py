"""A lost connection at the Bench, in a real Chromium with the real policy: kept, sent once, and told."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect

from inventory.models import Act
from production.models import Cast, Mix, PlannedMix
from production.operations.pouring import pour_cast
from tests.factories.inventory import a_tap
from tests.factories.production import minutes, pots, started
from tests.services.chromium import OPTIONS, PHONE
from tests.services.live import PASSWORD

pytestmark = [
    pytest.mark.browser,
    pytest.mark.services,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("studio_open"),
]


@pytest.fixture
def phone(browser: Browser, chromium_path: str, tmp_path: Path) -> Iterator[Callable[[], BrowserContext]]:
    """Opens the phone's browser, each time with what it kept before."""
    opened: list[BrowserContext] = []

    def open_it() -> BrowserContext:
        opened.append(
            browser.browser_type.launch_persistent_context(
                tmp_path / "phone", executable_path=chromium_path, args=[*OPTIONS, "--no-sandbox"], **PHONE
            )
        )
        return opened[-1]

    yield open_it
    for one in opened:
        one.close()


def sign_in(page: Page, address: str) -> None:
    page.goto(f"{address}/sign-in/")
    page.fill("input[name=username]", "owner")
    page.fill("input[name=password]", PASSWORD)
    page.locator("main button.full").click()
    expect(page.get_by_role("button", name="Poured", exact=True)).to_be_visible()


def test_taps_made_without_a_connection_are_kept_sent_once_and_told(
    live_server, owner: User, phone: Callable[[], BrowserContext], axe: Callable[[Page], list[str]]
):
    mix: Mix = started(pots(), timezone.now() - minutes(3))
    first, second, *_ = mix.casts.order_by("position")
    context = phone()
    page = context.pages[0]
    sign_in(page, live_server.url)
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.goto(f"{live_server.url}/bench/")

    context.set_offline(True)
    made_at = timezone.now()
    page.get_by_role("button", name="Poured", exact=True).tap()
    expect(page.locator("#kept")).to_contain_text("kept, will be sent when the connection is back")
    page.reload()
    expect(page.locator("#kept")).to_contain_text(f"copy {first.mould_copy.number}")
    expect(page.locator(".clock [data-until]")).to_have_text(re.compile(r"1[12]:\d\d"))
    expect(page.get_by_text(f"copy {second.mould_copy.number}", exact=False).first).to_be_visible()
    page.get_by_role("button", name="Poured", exact=True).tap()
    expect(page.locator("#kept .said")).to_have_count(2)
    expect(page.locator("[data-away]")).to_contain_text("2 waiting")
    page.evaluate("scrollTo(0, 0)")
    assert axe(page) == []
    assert Cast.objects.filter(poured_at__isnull=False).count() == 0
    context.close()

    pour_cast(**a_tap(now=timezone.now()), cast_id=second.pk)
    page = phone().pages[0]
    page.goto(f"{live_server.url}/bench/")

    expect(page.locator("#kept .said.wrong")).to_contain_text("refused. Already poured")
    expect(page.locator("#kept .said:not(.wrong)")).to_contain_text("poured")
    first.refresh_from_db()
    assert abs(first.poured_at - made_at) < timedelta(seconds=5)
    assert Act.objects.filter(name="production.pour_cast").count() == 2
    page.get_by_role("button", name="Seen").first.tap()
    expect(page.locator("#kept .said")).to_have_count(1)


def test_the_next_mix_is_weighed_and_started_without_a_connection(
    live_server, owner: User, phone: Callable[[], BrowserContext]
):
    planned = pots()
    PlannedMix.objects.update(starts_at=timezone.now(), poured_by=timezone.now() + minutes(15))
    context = phone()
    page = context.pages[0]
    page.goto(f"{live_server.url}/sign-in/")
    page.fill("input[name=username]", "owner")
    page.fill("input[name=password]", PASSWORD)
    page.locator("main button.full").click()
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.goto(f"{live_server.url}/bench/")
    for _ in range(100):
        if page.evaluate(f"caches.match('/bench/weigh/{planned.pk}/').then(Boolean)"):
            break
        page.wait_for_timeout(100)

    context.set_offline(True)
    page.get_by_role("link", name=re.compile("Weigh mix")).tap()
    expect(page.locator(".ingredient .tick")).to_have_count(3)
    for tick in page.locator(".ingredient .tick").all():
        tick.tap()
    page.get_by_role("button", name="Powder in: start").tap()
    expect(page.locator("#kept")).to_contain_text("Working time left 14:")
    assert Mix.objects.count() == 0
    context.set_offline(False)

    expect(page.locator("#kept")).to_contain_text("stiff about", timeout=30_000)
    assert Mix.objects.get().casts.count() == 4
