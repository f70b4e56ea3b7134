"""`manage.py bench bench`: the Bench on a phone of 390 px, in a real Chromium slowed four times.

A live demo studio of its own. Says the server's time, bytes over the wire, taps, paint and delays, and how
long the drying fit and the mix arithmetic take.
"""

from __future__ import annotations

import math
import os
import random
import statistics
import time
from collections.abc import Callable, Sequence
from typing import Any

PAGE_RUNS = 60
SLOWDOWN = 4
WEIGHINGS = 10_000
EACH = 5
CASTS = 1_000
PIECES = 2
START_SECONDS = 600
# What the script notes of each page: the largest paint, and the slowest answer to a tap, in ms.
NOTES = """
window.seen = {paint: 0, delay: 0};
new PerformanceObserver((found) => { window.seen.paint = found.getEntries().at(-1).startTime; })
  .observe({type: "largest-contentful-paint", buffered: true});
new PerformanceObserver((found) => found.getEntries().forEach((one) => {
  if (one.interactionId) window.seen.delay = Math.max(window.seen.delay, one.duration);
})).observe({type: "event", durationThreshold: 16, buffered: true});
"""


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table; with "--small" a tenth of the weighings and casts, and few page calls."""
    small = "--small" in arguments
    _say("drying fit", _timed_fit(WEIGHINGS // 10 if small else WEIGHINGS))
    _say("mix weights", _timed_weights(CASTS // 10 if small else CASTS))
    from tests.services import live

    live.START_SECONDS = START_SECONDS
    studio = live.LiveStudio(demo=True)
    try:
        studio.start()
        _on_a_phone(studio)
        _server_time(studio, 10 if small else PAGE_RUNS)
    finally:
        studio.clear()
    return 0


def _timed_fit(count: int) -> str:
    """Castings weighed so often, with noise of a gram: invented, tau 40 h, 1,000 g dry, 300 g to lose."""
    from production.arithmetic.drying import Weighing, fit_drying

    chance = random.Random(7)
    weighings = [
        Weighing(hours, round(1_000_000 + 300_000 * math.exp(-hours / 40) + chance.gauss(0, 1000)))
        for hours in (index * 200 / count for index in range(count))
    ]
    began = time.process_time()
    fit = fit_drying(weighings)
    one = time.process_time() - began
    began = time.process_time()
    for first in range(count // EACH):
        fit_drying(weighings[first :: count // EACH])
    each = time.process_time() - began
    return (
        f"{count:,} weighings: of one casting {one:.1f} s CPU (dry {fit.dry_mg / 1000:,.1f} g of 1,000 g),"
        f" of {count // EACH:,} castings {each:.1f} s CPU"
    )


def _timed_weights(count: int) -> str:
    from production.arithmetic.mix import CastFacts, ColourFacts, CompoundFacts, PigmentFacts, mix_weights

    compound = CompoundFacts(
        "quick compound",
        powder_density_g_per_ml=2.70,
        water_ratio=0.30,
        working_time_minutes=10 * count,
        jug_capacity_mg=10**12,
    )
    casts = [CastFacts(f"mould {index}", 100_000 + 137 * index, 1, 1) for index in range(count)]
    colour = ColourFacts("Fog", (PigmentFacts("Black oxide", 0.4),))
    began = time.process_time()
    weights = mix_weights(casts, compound, colour)
    spent = (time.process_time() - began) * 1000
    return f"{count:,} casts in one mix: {spent:.1f} ms CPU, {weights.powder_mg / 1e6:,.1f} kg of powder"


def _on_a_phone(studio: Any) -> None:
    from playwright.sync_api import sync_playwright

    from tests.services.chromium import PHONE, launch
    from tests.services.programs import need_program

    with sync_playwright() as playwright:
        browser = launch(playwright, need_program("chromium"))
        page = browser.new_context(locale="en-GB", service_workers="block", **PHONE).new_page()
        studio.sign_in(page)
        state = page.context.storage_state()
        page.context.close()
        # A second device: nothing of the studio is in its cache.
        page = browser.new_context(
            locale="en-GB", service_workers="block", storage_state=state, **PHONE
        ).new_page()
        page.add_init_script(NOTES)
        wire = page.context.new_cdp_session(page)
        wire.send("Network.enable")
        wire.send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
        came: list[float] = []
        wire.on("Network.loadingFinished", lambda event: came.append(event["encodedDataLength"]))
        _first_visit(page, studio.address, came)
        _one_mix(page, studio.address, came)
        browser.close()


def _first_visit(page: Any, address: str, came: list[float]) -> None:
    _open_and_paint(page, address)
    _say("first visit", f"{sum(came) / 1000:.0f} kB in {len(came)} answers (aim: under 100 kB)")
    paint = page.evaluate("window.seen.paint")
    _say("largest paint", f"{paint:.0f} ms, nothing cached, {SLOWDOWN} times slowed")
    _open_and_paint(page, address)
    _say("largest paint again", f"{page.evaluate('window.seen.paint'):.0f} ms, files cached")


def _open_and_paint(page: Any, address: str) -> None:
    """Open the Bench and wait until its letters are there and it was painted, a minute at most."""
    page.goto(f"{address}/bench/", wait_until="networkidle")
    page.evaluate("document.fonts.ready.then(() => 1)")
    for _ in range(60):
        page.wait_for_timeout(1000)
        if page.evaluate("window.seen.paint") > 0:
            return


def _weights_of_a_mix(page: Any, address: str) -> int:
    """Open the weights of a mix that can be made now and tick them; answers how many there were."""
    page.goto(f"{address}/bench/other/", wait_until="networkidle")
    choices = [one.get_attribute("value") for one in page.locator("select[name=wanted] option").all()]
    for value in choices:
        page.goto(f"{address}/bench/other/?wanted={value}&pieces={PIECES}", wait_until="networkidle")
        if page.locator("button.full:not([aria-disabled])", has_text="Powder in").count():
            break
    ticks = page.locator(".ingredient .tick").all()
    for tick in ticks:
        tick.tap()
    return len(ticks)


def _one_mix(page: Any, address: str, came: list[float]) -> None:
    """From the plate that leads to the weights to the last mould filled, counting taps."""
    bytes_each: list[float] = []
    waits: list[float] = []
    taps = 1
    weights = _weights_of_a_mix(page, address)
    page.wait_for_timeout(300)
    delay = page.evaluate("window.seen.delay")

    def tap(label: str) -> None:
        nonlocal taps
        taps += 1
        came.clear()
        began = time.perf_counter()
        page.get_by_role("button", name=label, exact=True).first.tap()
        page.locator("#said .said").wait_for()
        waits.append((time.perf_counter() - began) * 1000)
        page.wait_for_load_state("networkidle")
        bytes_each.append(sum(came))

    tap("Powder in: start")
    while page.get_by_role("button", name="Poured", exact=True).count():
        page.evaluate("document.querySelector('#said').replaceChildren()")
        tap("Poured")
    moulds = taps - 2
    most = f"{max(bytes_each) / 1000:.1f} kB at most, {statistics.mean(bytes_each) / 1000:.1f} kB in the mean"
    _say("bytes for a tap", f"{most} (aim: under 15 kB)")
    _say("next mix to poured", f"{taps} taps beside {weights} weights, {moulds} moulds (aim: 6 at most)")
    taps = 1
    _weights_of_a_mix(page, address)
    tap("Powder in: start")
    taps += 1
    page.locator("summary", has_text="All poured").tap()
    page.evaluate("document.querySelector('#said').replaceChildren()")
    tap(page.locator("button", has_text="poured").last.inner_text())
    _say("however many moulds", f"{taps} taps with all poured at once")
    _say("interaction delay", f"{delay:.0f} ms for a tick on the Weigh page, {SLOWDOWN} times slowed")
    _say("tap to next page", f"median {statistics.median(waits):.0f} ms, {SLOWDOWN} times slowed")


def _server_time(studio: Any, runs: int) -> None:
    """The page by a client in this process, on the studio's own database."""
    os.environ |= {"STUDIO_DIR": str(studio.directory), "DJANGO_SETTINGS_MODULE": "shopfloor.settings"}
    os.environ.pop("DATABASE_URL", None)
    import django

    django.setup()
    from tests.bench.run import signed_in_client

    client = signed_in_client()
    phone: Callable[[], Any] = lambda: client.get("/bench/", headers={"accept-encoding": "gzip"})  # noqa: E731
    assert phone().status_code == 200
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        size = len(phone().content)
        times.append((time.perf_counter() - began) * 1000)
    p95 = sorted(times)[math.ceil(len(times) * 0.95) - 1]
    median = statistics.median(times)
    _say(
        "server time", f"median {median:.0f} ms, p95 {p95:.0f} ms of {runs}, page {size / 1000:.1f} kB packed"
    )


def _say(what: str, figure: str) -> None:
    print(f"| {what:<22} | {figure} |", flush=True)
