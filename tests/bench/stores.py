"""`manage.py bench stores`: the ledger under load, and with a quarter of a century behind it.

Each size of history is a database of its own, SQLite in a file and PostgreSQL started for the purpose, and is
measured in a process of its own. After every load the whole ledger is verified; a fault ends the bench.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

SIZES = (10_000, 100_000, 1_000_000)
SMALL_SIZES = (1_000, 5_000)
PAGES = ("/stores/", "/stores/tubs/B1/", "/stores/value/", "/stores/lists/ledger/", "/stores/lists/lots/")
PAGE_RUNS = 25
THREADS = 8
PROCESSES = 4
POSTINGS = 100
HORIZON_DAYS = 56
PROJECTIONS = 20
KG = 1_000_000


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table; with "--small" little history, to try the bench itself."""
    sizes = SMALL_SIZES if "--small" in arguments else SIZES
    chosen = [name for name in ("sqlite", "postgresql") if f"--{name}" in arguments]
    for database in chosen or ("sqlite", "postgresql"):
        for size in sizes:
            with _database(database) as environment:
                command = [sys.executable, "-m", "tests.bench.stores", "measure", str(size)]
                load = ["load"] if size == sizes[-1] else []
                status = subprocess.call([*command, *load], env=environment)
                if status:
                    return status
    return 0


@contextmanager
def _database(name: str) -> Iterator[dict[str, str]]:
    """The environment of a process that works on a database of its own."""
    from tests.services.postgres import running_postgres

    with tempfile.TemporaryDirectory(prefix="shopfloor-bench-") as folder:
        Path(folder, "static").mkdir()
        environment = {
            **os.environ,
            "STUDIO_DIR": folder,
            "STATICFILES_BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage",
            "DJANGO_SETTINGS_MODULE": "shopfloor.settings",
        }
        environment.pop("DATABASE_URL", None)
        if name == "sqlite":
            yield environment
            return
        with running_postgres() as address:
            yield {**environment, "DATABASE_URL": address}


def _measure(size: int, *, with_load: bool) -> None:
    """Everything about one size of history, in a process of its own."""
    from django.core.management import call_command
    from django.db import connection

    from shopfloor.studio.port import LiveStudio
    from tests.bench.run import signed_in_client
    from tests.bench.years import fill_years, found_studio

    call_command("migrate", verbosity=0)
    now = LiveStudio().now()
    tubs = found_studio()
    began = time.perf_counter()
    written = fill_years(size, now)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    name = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}[connection.vendor]
    print(f"\n{name}, {written:,} entries ({time.perf_counter() - began:.0f} s to write)", flush=True)
    _take_in(tubs, now)
    client = signed_in_client()
    for page in PAGES:
        _say(f"page {page}", _page(client, page))
    _say("verify_ledger", _verified())
    if with_load:
        _say(f"projection, {len(tubs)} materials, {HORIZON_DAYS} days", _projections(now.date()))
        for one_tub in (True, False):
            places = "one tub" if one_tub else "a tub each"
            ids = [tub.pk for tub in (tubs[:1] * THREADS if one_tub else tubs[:THREADS])]
            _say(f"postings, {THREADS} threads, {places}", _by_threads(ids))
            _say(f"postings, {PROCESSES} processes, {places}", _by_processes(ids[:PROCESSES]))
        _say("verify_ledger after all", _verified())


def _take_in(tubs: Sequence[Any], now: Any) -> None:
    """Something in every tub at present, by the studio's own act."""
    from inventory.operations.receiving import receive_lot

    for tub in tubs:
        receive_lot(
            material_id=tub.material_id,
            amount=40 * KG,
            received_on=now.date(),
            container_id=tub.pk,
            price_minor=6000,
            request_key=uuid4(),
            now=now,
        )


def _page(client: Any, page: str) -> str:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    assert client.get(page).status_code == 200, page
    with CaptureQueriesContext(connection) as queries:
        client.get(page)
    # Counted at once: the next request empties the log.
    count = len(queries)
    cpu = time.process_time()
    times = [_seconds(lambda: client.get(page)) * 1000 for _ in range(PAGE_RUNS)]
    cpu_ms = (time.process_time() - cpu) / PAGE_RUNS * 1000
    return (
        f"median {statistics.median(times):.0f} ms, p95 {_p95(times):.0f} ms, {cpu_ms:.0f} ms CPU,"
        f" {count} queries"
    )


def _verified() -> str:
    """How long the verifier takes; ends the bench when it finds anything."""
    from inventory.queries.verify import verify_ledger

    began, cpu = time.perf_counter(), time.process_time()
    found = verify_ledger()
    seconds, cpu = time.perf_counter() - began, time.process_time() - cpu
    if found.faults:
        sys.exit(f"The ledger does not agree: {found.faults[0]}.")
    return (
        f"{seconds:.2f} s ({cpu:.2f} s CPU) for {found.entries:,} entries,"
        f" {seconds * 1e6 / found.entries:.1f} s a million: all agrees"
    )


def _projections(today: date) -> str:
    from inventory.models import Material
    from inventory.queries.running_out import running_out

    draws = {
        key: [(today + timedelta(days=day), 300_000) for day in range(HORIZON_DAYS)]
        for key in Material.objects.values_list("pk", flat=True)
    }
    rows = running_out(today, draws, lambda day: day.weekday() < 5, HORIZON_DAYS)
    assert len(rows[0].balances) == HORIZON_DAYS
    times = [
        _seconds(lambda: running_out(today, draws, lambda day: day.weekday() < 5, HORIZON_DAYS)) * 1000
        for _ in range(PROJECTIONS)
    ]
    return f"median {statistics.median(times):.0f} ms, p95 {_p95(times):.0f} ms"


def _by_threads(tub_ids: Sequence[int]) -> str:
    """Spills of one gram by threads that begin together."""
    start = threading.Barrier(len(tub_ids) + 1)

    def work(tub_id: int) -> None:
        from django.db import connection

        start.wait()
        _spill(tub_id)
        connection.close()

    threads = [threading.Thread(target=work, args=(tub_id,)) for tub_id in tub_ids]
    before = _held()
    for thread in threads:
        thread.start()
    start.wait()
    began, cpu = time.perf_counter(), time.process_time()
    for thread in threads:
        thread.join()
    seconds, cpu = time.perf_counter() - began, time.process_time() - cpu
    each_ms = cpu / len(tub_ids) / POSTINGS * 1000
    return f"{_rate(len(tub_ids), seconds, before)}, {each_ms:.1f} ms CPU each"


def _by_processes(tub_ids: Sequence[int]) -> str:
    """The same by processes; each posts once, says that it is ready, and waits for the word."""
    workers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.bench.stores", "spill", str(tub_id)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for tub_id in tub_ids
    ]
    for worker in workers:
        assert worker.stdout and worker.stdout.readline() == "ready\n"
    before = _held()
    began = time.perf_counter()
    for worker in workers:
        assert worker.stdin
        worker.stdin.write("go\n")
        worker.stdin.flush()
    for worker in workers:
        assert worker.stdout and worker.stdout.readline() == "done\n", "A process could not post."
    seconds = time.perf_counter() - began
    for worker in workers:
        worker.wait()
    return _rate(len(tub_ids), seconds, before)


def _spill(tub_id: int, count: int = POSTINGS) -> None:
    """Whoever is told that the studio is busy taps again, with the same key, as a person would."""
    from inventory.errors import StudioBusy
    from inventory.operations.spilling import note_spill
    from shopfloor.studio.port import LiveStudio

    studio = LiveStudio()
    for _ in range(count):
        key = uuid4()
        while True:
            try:
                note_spill(container_id=tub_id, amount=1000, request_key=key, now=studio.now())
                break
            except StudioBusy as refusal:
                print(f"({refusal})", file=sys.stderr, flush=True)


def _rate(hands: int, seconds: float, held_before: int) -> str:
    count = hands * POSTINGS
    lost = _held() - (held_before - count * 1000)
    if lost:
        sys.exit(f"{lost // 1000} of {count} postings were lost.")
    return f"{count / seconds:.0f} a second, 0 of {count} lost"


def _held() -> int:
    from inventory.queries.holdings import held_by_container

    return sum(held_by_container().values())


def _seconds(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def _p95(times: Sequence[float]) -> float:
    return sorted(times)[int(len(times) * 0.95) - 1]


def _say(what: str, figure: str) -> None:
    print(f"| {what:<38} | {figure} |", flush=True)


def _in_a_process(task: str, number: int, rest: Sequence[str]) -> None:
    import django

    django.setup()
    if task == "measure":
        _measure(number, with_load="load" in rest)
        return
    _held()
    _spill(number, 1)
    print("ready", flush=True)
    sys.stdin.readline()
    _spill(number)
    print("done", flush=True)


if __name__ == "__main__":
    _in_a_process(sys.argv[1], int(sys.argv[2]), sys.argv[3:])
