"""`python3 -m tests.journeys.pictures`: the pictures of README, from the demo studio on a fixed morning.

Run it with the project's own environment; it needs Chromium and pdftoppm.
"""

from __future__ import annotations

import os
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

MORNING = datetime(2026, 10, 7, 8, 10, tzinfo=UTC)
PICTURES = Path(__file__).resolve().parent.parent.parent / "shopfloor" / "pictures"
COLOURS_KEPT = 96
LARGEST_BYTES = 150_000


def main() -> None:
    """Open the demo in a folder that is thrown away, and take every picture."""
    with tempfile.TemporaryDirectory(prefix="studio-pictures-") as folder:
        os.environ.update(
            STUDIO_DIR=folder, DJANGO_SETTINGS_MODULE="shopfloor.settings", DJANGO_ALLOW_ASYNC_UNSAFE="true"
        )
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from shopfloor.studio.port import LiveStudio
        from tests.journeys.opening import Clock

        clock = Clock(MORNING)
        LiveStudio.now = lambda studio: clock.at  # type: ignore[method-assign]
        session = _opened(Path(folder), clock)
        with _served() as address:
            _take(address, session, clock, Path(folder))
    for picture in sorted(PICTURES.glob("*.png")):
        print(f"{picture.name}: {picture.stat().st_size // 1000} kB")


def _opened(folder: Path, clock: Any) -> str:
    """Fill the studio; answers the session of somebody signed in."""
    from django.contrib.auth.models import Group, User
    from django.core.management import call_command
    from django.test import Client

    from inventory.roles import OWNER_GROUP
    from shopfloor.journeys.demo.loading import load_demo
    from tests.journeys.opening import look_round

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    load_demo(now=clock.at, folder=folder)
    look_round(clock)
    owner = User.objects.create(username="owner")
    owner.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])
    client = Client()
    client.force_login(owner)
    return client.cookies["sessionid"].value


@contextmanager
def _served() -> Iterator[str]:
    """The studio on a free port of this machine, in this process, so that the clock can be moved."""
    from waitress.server import create_server

    from shopfloor.wsgi import application

    server: Any = create_server(application, host="127.0.0.1", port=0, threads=4)
    threading.Thread(target=server.run, daemon=True).start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()


def _take(address: str, session: str, clock: Any, folder: Path) -> None:
    from playwright.sync_api import sync_playwright

    from tests.services.chromium import DESK, PHONE, launch, page_of
    from tests.services.programs import find_program

    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = launch(playwright, find_program("chromium"))
        desk, phone = (page_of(browser, shape) for shape in (DESK, PHONE))
        for page in (desk, phone):
            page.context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
        _desk(desk, address, folder)
        _phone(phone, address, clock)
        browser.close()


def _desk(page: Any, address: str, folder: Path) -> None:
    for name in ("week", "orders", "stores", "shelf"):
        page.goto(f"{address}/{name}/")
        _shot(page, f"{name}-desk")
    page.goto(f"{address}/orders/")
    page.get_by_role("link", name="Pack").first.click()
    page.locator("label.packrow").first.wait_for()
    for place in range(page.locator("label.packrow").count()):
        page.locator("label.packrow").nth(place).click()
        page.locator("label.packrow.done").nth(place).wait_for()
    slip = page.get_by_role("link", name="Packing slip").first.get_attribute("href")
    _print(page.request.get(f"{address}{slip}").body(), "packing-slip", folder)


def _phone(page: Any, address: str, clock: Any) -> None:
    """Open what is due, then weigh and pour the next mix."""
    from playwright.sync_api import expect

    from tests.journeys.opening import look_round

    page.goto(f"{address}/bench/")
    due = page.locator(".notices li", has_text="due out").count()
    for _ in range(due):
        page.get_by_role("button", name="Out of the mould").first.tap()
        good = page.get_by_role("button", name="Good")
        good.first.wait_for()
        for left in range(good.count() - 1, -1, -1):
            good.first.tap()
            expect(good).to_have_count(left)
        page.goto(f"{address}/bench/")
    look_round(clock)
    page.get_by_role("link", name="Weigh mix").first.tap()
    page.get_by_role("button", name="Powder in: start").wait_for()
    _shot(page, "weigh-phone")
    for tick in page.locator(".ingredient .tick").all():
        tick.tap()
    page.get_by_role("button", name="Powder in: start").tap()
    page.get_by_role("button", name="Poured").wait_for()
    clock.later(4)
    page.get_by_role("button", name="Poured").tap()
    page.locator(".said").first.wait_for()
    clock.later(1)
    page.goto(f"{address}/bench/")
    _shot(page, "bench-phone")


def _shot(page: Any, name: str) -> None:
    page.wait_for_load_state("networkidle")
    page.screenshot(path=PICTURES / f"{name}.png", animations="disabled", caret="hide")
    _small(PICTURES / f"{name}.png")


def _print(pdf: bytes, name: str, folder: Path) -> None:
    """The first page of a paper as a picture."""
    file = folder / f"{name}.pdf"
    file.write_bytes(pdf)
    options = ["-png", "-r", "110", "-f", "1", "-l", "1", "-singlefile"]
    subprocess.run(["pdftoppm", *options, str(file), str(PICTURES / name)], check=True)
    _small(PICTURES / f"{name}.png")


def _small(picture: Path) -> None:
    """Keep few colours, which is what the pages have, so that the picture stays small."""
    from PIL import Image

    with Image.open(picture) as image:
        kept = image.convert("RGB").quantize(COLOURS_KEPT, dither=Image.Dither.NONE)
    kept.save(picture, optimize=True)
    size = picture.stat().st_size
    if size > LARGEST_BYTES:
        raise SystemExit(f"{picture.name} has {size} bytes, and {LARGEST_BYTES} are allowed.")


if __name__ == "__main__":
    main()
