"""`manage.py bench`: how fast the studio is with years of history behind it, on a throw-away SQLite file."""

from __future__ import annotations

import io
import os
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any
from uuid import uuid4

SUBJECTS = ("bench", "hosts", "kills", "orders", "papers", "plan", "running", "stores")
ENTRIES = 100_000
ORDERS = 10_000
PAGES = ("/bench/", "/week/", "/shelf/", "/orders/", "/stores/")
PAGE_RUNS = 25
THREADS = 8
POSTINGS_PER_THREAD = 40
SLIPS = 10


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table; with "--small" history shrinks fifty-fold, to try the bench itself.

    A first word names another bench, as in SUBJECTS.
    """
    if arguments and arguments[0] in SUBJECTS:
        return import_module(f"tests.bench.{arguments[0]}").run(arguments[1:])
    unknown = [argument for argument in arguments if argument != "--small"]
    if unknown:
        named = " or ".join(SUBJECTS)
        print(f'There is no bench "{unknown[0]}": say nothing for the whole studio, or {named}.')
        return 2
    small = "--small" in arguments
    with tempfile.TemporaryDirectory(prefix="shopfloor-bench-") as folder:
        os.environ["STUDIO_DIR"] = folder
        os.environ.pop("DATABASE_URL", None)
        os.environ["STATICFILES_BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
        os.environ["DJANGO_SETTINGS_MODULE"] = "shopfloor.settings"
        Path(folder, "static").mkdir()
        import django

        django.setup()
        _measure(Path(folder), ENTRIES // 50 if small else ENTRIES, ORDERS // 50 if small else ORDERS)
    return 0


def _measure(folder: Path, entries_count: int, orders_count: int) -> None:
    from django.core.management import call_command

    from shopfloor.journeys.demo.loading import load_demo
    from shopfloor.studio.port import LiveStudio
    from tests.bench.history import fill_ledger, fill_orders

    call_command("migrate", verbosity=0)
    now = LiveStudio().now()
    began = time.perf_counter()
    load_demo(now=now, folder=folder)
    _say("demo loaded", f"{time.perf_counter() - began:.1f} s")
    client = signed_in_client()
    before = {page: _time_page(client, page) for page in PAGES}
    began = time.perf_counter()
    written = fill_ledger(entries_count, now)
    fill_orders(orders_count, now.date(), now)
    _say(
        "history written",
        f"{written:,} entries, {orders_count:,} orders, {time.perf_counter() - began:.0f} s",
    )
    for page in PAGES:
        _say_page(page, before[page], _time_page(client, page))
    _say("verify_ledger", _timed(lambda: call_command("verify_ledger", stdout=io.StringIO())))
    _measure_postings()
    _measure_slips(client)


def signed_in_client() -> Any:
    """A client signed in as the owner."""
    from django.contrib.auth.models import User
    from django.test import Client

    client = Client(HTTP_HOST="localhost")
    client.force_login(
        User.objects.create_superuser("bench", password=None), "django.contrib.auth.backends.ModelBackend"
    )
    return client


def _time_page(client: Any, page: str) -> tuple[list[float], int]:
    """Milliseconds of each of several calls, after one to warm up, and the number of queries of one."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    assert client.get(page).status_code == 200, page
    with CaptureQueriesContext(connection) as queries:
        client.get(page)
    # Counted at once: the next request empties the log.
    count = len(queries)
    times = []
    for _ in range(PAGE_RUNS):
        began = time.perf_counter()
        client.get(page)
        times.append((time.perf_counter() - began) * 1000)
    return times, count


def _say_page(page: str, before: tuple[list[float], int], after: tuple[list[float], int]) -> None:
    times, queries = after
    p95 = sorted(times)[int(len(times) * 0.95) - 1]
    same = "the same" if queries == before[1] else f"NOT the same: {before[1]}"
    _say(
        f"page {page}",
        f"median {statistics.median(times):.0f} ms, p95 {p95:.0f} ms, {queries} queries "
        f"(without history {statistics.median(before[0]):.0f} ms and {same})",
    )


def _measure_postings() -> None:
    """Spills of one gram from one tub by many threads at once; every gram must be accounted for."""
    from django.db import connection

    from inventory.operations.spilling import note_spill
    from inventory.queries.holdings import held_by_container
    from shopfloor.studio.port import LiveStudio

    tub = max(held_by_container().items(), key=lambda held: held[1])
    now = LiveStudio().now()

    def spill() -> None:
        for _ in range(POSTINGS_PER_THREAD):
            note_spill(container_id=tub[0], amount=1000, request_key=uuid4(), now=now)
        connection.close()

    threads = [threading.Thread(target=spill) for _ in range(THREADS)]
    began = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - began
    count = THREADS * POSTINGS_PER_THREAD
    lost = held_by_container()[tub[0]] - (tub[1] - count * 1000)
    _say("postings, 8 threads", f"{count / seconds:.0f} a second, {lost // 1000} of {count} lost")
    if lost:
        sys.exit("The ledger lost updates.")


def _measure_slips(client: Any) -> None:
    def slip() -> None:
        answer = client.get("/orders/order/1041/packing-slip/")
        assert answer.status_code == 200 and answer.content.startswith(b"%PDF"), answer.status_code

    slip()
    began = time.perf_counter()
    for _ in range(SLIPS):
        slip()
    _say("packing slips", f"{SLIPS / (time.perf_counter() - began):.1f} a second, one document each")


def _timed(act: Callable[[], object]) -> str:
    began, cpu = time.perf_counter(), time.process_time()
    act()
    return f"{time.perf_counter() - began:.2f} s ({time.process_time() - cpu:.2f} s CPU)"


def _say(what: str, figure: str) -> None:
    print(f"| {what:<22} | {figure} |", flush=True)
