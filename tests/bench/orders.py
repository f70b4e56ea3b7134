"""`manage.py bench orders`: taking orders in, promising days, and the Orders page with years behind it.

Each measurement is a function that prints lines of the table, listed in `MEASURED`; every run is on a
throw-away SQLite file with the demo studio in it.
"""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from tests.bench import papers

ROWS, SMALL_ROWS = 50_000, 2_000
ORDERS, SMALL_ORDERS = 100_000, 2_000
LINES = 200
PROMISES = 25
PAGE_RUNS = 25
ROWS_AN_ORDER = 2
BAD_EVERY = 25


@dataclass(frozen=True)
class Bench:
    """What every measurement is given."""

    client: Any
    now: datetime
    today: date
    small: bool

    def say(self, what: str, figure: str) -> None:
        """A line of the table."""
        print(f"| {what:<38} | {figure} |", flush=True)


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table; with "--small" little of everything, to try the bench itself."""
    with tempfile.TemporaryDirectory(prefix="shopfloor-bench-") as folder:
        os.environ["STUDIO_DIR"] = folder
        os.environ.pop("DATABASE_URL", None)
        os.environ["STATICFILES_BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
        os.environ["DJANGO_SETTINGS_MODULE"] = "shopfloor.settings"
        Path(folder, "static").mkdir()
        import django

        django.setup()
        from django.core.management import call_command

        from shopfloor.journeys.demo.loading import load_demo
        from shopfloor.studio.port import LiveStudio
        from tests.bench.run import signed_in_client

        studio = LiveStudio()
        call_command("migrate", verbosity=0)
        load_demo(now=studio.now(), folder=Path(folder))
        now = studio.now()
        bench = Bench(signed_in_client(), now, studio.local(now).date(), "--small" in arguments)
        for measure in MEASURED:
            measure(bench)
    # Slips and the trace are measured on a file of their own; `bench papers` runs only them.
    return papers.run(arguments)


def _promises(bench: Bench) -> None:
    """A day promised for one line while two hundred are open."""
    from orders.operations.keeping import NewOrder
    from orders.operations.taking import type_order
    from orders.queries.needs import open_lines
    from production.queries.offered import articles_offered

    offered = articles_offered()
    while (open_now := len(open_lines())) < LINES:
        article = offered[open_now % len(offered)]
        colour = article.colours[open_now % len(article.colours)]
        type_order(
            order=NewOrder(
                number=f"L{open_now}",
                customer="Godwit Flats",
                ordered_on=bench.today,
                ship_by=bench.today + timedelta(days=14 + open_now % 40),
                lines=((article.id, colour.id, 1),),
            ),
            request_key=uuid4(),
            now=bench.now,
        )
    first = offered[0]
    insisted = (bench.today + timedelta(days=3)).isoformat()
    asked = {"what_1": f"{first.id}:{first.colours[0].id}", "count_1": "2"}
    for words, query in (("", asked), (", a day insisted on", asked | {"ship_by": insisted})):
        times = _times(lambda query=query: bench.client.get("/orders/promise/", query), PROMISES)
        bench.say(f"promise, {open_now} open lines{words}", _spread(times))


def _import(bench: Bench) -> None:
    """A long file with errors, read and kept as the background does it."""
    from orders.models import Order
    from orders.operations.importing import preview_of, read_file
    from orders.operations.large_files import keep_large
    from orders.queries.range_names import range_names

    rows = SMALL_ROWS if bench.small else ROWS
    names = range_names()
    article, name = next(iter(names.articles.items()))
    colour = names.colours[min(names.made_in[article])]
    ship_by = bench.today + timedelta(days=60)
    days = (f"{ship_by:%Y-%m-%d}", f"{ship_by:%d.%m.%Y}", f"{ship_by.day} {ship_by:%b %Y}")
    lines = ["Order;Customer;Address;Ship by;Article;Colour;How many"]
    for number in range(rows):
        order = number // ROWS_AN_ORDER
        count = "viele" if number % BAD_EVERY == 0 else "1,0"
        lines.append(f"F{order};Godwit {order};9 Invented Row;{days[order % 3]};{name};{colour};{count}")
    content = "\r\n".join(lines).encode("cp1252")
    began = time.perf_counter()
    upload = read_file(name="long.csv", content=content, now=bench.now)
    taken_apart = time.perf_counter() - began
    began, cpu = time.perf_counter(), time.process_time()
    seen = preview_of(upload, today=bench.today)[2].sorted
    read, cpu = time.perf_counter() - began, time.process_time() - cpu
    bench.say(
        f"order file, {rows:,} rows, read",
        f"{rows / (taken_apart + read):,.0f} rows a second ({cpu:.1f} s CPU),"
        f" {seen.rows_to_mend:,} named to mend",
    )
    before = Order.objects.count()
    began, cpu = time.perf_counter(), time.process_time()
    keep_large(
        token=upload.token,
        shown=seen.digest,
        today=bench.today,
        request_key=uuid4(),
        by=None,
        now=bench.now,
        tell=lambda done, of, saying: None,
        should_stop=lambda: False,
    )()
    kept, cpu = time.perf_counter() - began, time.process_time() - cpu
    orders = Order.objects.count() - before
    assert orders == len(seen.new)
    bench.say(
        "the same, read again and kept",
        f"{rows / kept:,.0f} rows a second ({cpu:.1f} s CPU), {orders:,} orders",
    )
    began = time.perf_counter()
    again = preview_of(upload, today=bench.today)[2].sorted
    assert not again.new
    bench.say("the same file again", f"{time.perf_counter() - began:.1f} s to say that nothing is added")
    # So that what is measured next has the demo's open orders.
    _take_back(bench)


def _take_back(bench: Bench) -> None:
    from inventory.models import Act
    from orders.operations.undoing import undo_keep_file

    act = Act.objects.filter(name="orders.keep_file").latest("id")
    began = time.perf_counter()
    undo_keep_file(act_id=act.pk, request_key=uuid4(), now=bench.now)
    bench.say("the import taken back", f"{time.perf_counter() - began:.1f} s")


def _page(bench: Bench) -> None:
    """The pages of the orders with years of shipped ones behind them."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from tests.bench.history import fill_orders

    count = SMALL_ORDERS if bench.small else ORDERS
    began = time.perf_counter()
    fill_orders(count, bench.today, bench.now)
    bench.say(f"{count:,} shipped orders written", f"{time.perf_counter() - began:.0f} s")
    for page in ("/orders/", "/orders/can-leave/", "/orders/closed/", "/orders/numbers/"):
        assert bench.client.get(page).status_code == 200, page
        with CaptureQueriesContext(connection) as queries:
            bench.client.get(page)
        asked = len(queries)
        times = _times(lambda page=page: bench.client.get(page), PAGE_RUNS)
        bench.say(f"page {page}", f"{_spread(times)}, {asked} queries")


MEASURED: tuple[Callable[[Bench], None], ...] = (_import, _promises, _page)


def _times(act: Callable[[], object], count: int) -> list[tuple[float, float]]:
    """Milliseconds of each of so many calls, by the wall and of CPU."""
    found = []
    for _ in range(count):
        began, cpu = time.perf_counter(), time.process_time()
        act()
        found.append(((time.perf_counter() - began) * 1000, (time.process_time() - cpu) * 1000))
    return found


def _spread(times: Sequence[tuple[float, float]]) -> str:
    wall, cpu = (sorted(one) for one in zip(*times, strict=True))
    place = int(len(times) * 0.95) - 1
    return (
        f"median {statistics.median(wall):.0f} ms, p95 {wall[place]:.0f} ms"
        f" (of CPU {statistics.median(cpu):.0f} and {cpu[place]:.0f} ms)"
    )
