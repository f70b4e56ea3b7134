"""`manage.py bench running`: a live studio under load, growing, copied, upgraded and at rest.

`--seconds 20` for each load, `--entries 10000 100000` for growth, `--part load growth rest` for some of it.
The reading load comes from wrk (apt-get install wrk), the taps from threads of our own, all on loopback.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import re
import statistics
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from uuid import uuid4

from tests.services.live import PASSWORD, LiveStudio
from tests.services.postgres import new_database, running_postgres
from tests.services.programs import find_program
from tests.services.redis import running_redis
from tests.services.tapping import Hand

PARTS = ("rest", "load", "growth")
PEOPLE = 20
THINK_SECONDS = (0.5, 1.5)
TAPS_SHARE = 0.2
PAGES = ("/bench/", "/week/", "/shelf/", "/orders/", "/stores/")
PAGE_RUNS = 15
REST_SECONDS = 20
OWNER = (
    "from django.contrib.auth.models import User\n"
    "person = User.objects.get_or_create(username='owner')[0]\n"
    f"person.set_password('{PASSWORD}')\n"
    "person.save()\n"
    "from django.contrib.auth.models import Group\n"
    "from inventory.roles import OWNER_GROUP\n"
    "person.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])\n"
)
GROW = (
    "from shopfloor.studio.port import LiveStudio\n"
    "from tests.bench.years import fill_years, found_studio\n"
    "found_studio()\n"
    "fill_years({entries}, LiveStudio().now())\n"
)
# wrk itself names 90 and 99 only.
LUA = """done = function(summary, latency)
  local e = summary.errors
  io.write(string.format("p95 %.0f ms, %d errors\\n", latency:percentile(95) / 1000,
    e.connect + e.read + e.write + e.status + e.timeout))
end
"""


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table."""
    asked = argparse.ArgumentParser(prog="manage.py bench running")
    asked.add_argument("--seconds", type=float, default=20)
    asked.add_argument("--entries", type=int, nargs="+", default=[10_000, 100_000, 1_000_000])
    asked.add_argument("--part", choices=PARTS, nargs="+", default=list(PARTS))
    given = asked.parse_args(arguments)
    if "rest" in given.part:
        _rest()
    if "load" in given.part:
        _load("SQLite, one web of 2 threads", {}, ("--threads", "2"), given.seconds)
        with running_postgres() as postgres, running_redis() as redis:
            environment = {"DATABASE_URL": new_database(postgres), "REDIS_URL": redis}
            _load("PostgreSQL and Redis, 2 webs", environment, ("--webs", "2"), given.seconds)
    if "growth" in given.part:
        for entries in given.entries:
            _growth(entries)
    return 0


@contextlib.contextmanager
def _studio(
    environment: dict[str, str] | None = None, options: tuple[str, ...] = (), *, demo: bool = False
) -> Iterator[LiveStudio]:
    studio = LiveStudio(environment=environment, options=options)
    try:
        studio.run("migrate", "--verbosity", "0")
        if demo:
            studio.run("demo")
        studio.run("shell", "--verbosity", "0", "-c", OWNER)
        yield studio
    finally:
        studio.clear()


def _rest() -> None:
    """The memory of all processes together, each shared page counted once."""
    with _studio(demo=True) as studio:
        hand = Hand(studio.start().address)
        hand.sign_in("owner", PASSWORD)
        for page in PAGES:
            hand.ask("GET", page)
        time.sleep(REST_SECONDS)
        _say("memory at rest, `up` with its demo", _memory(studio))
        before = studio.rows("select count(*) from production_plan")
        assert hand.tap("/week/plan/", request_key=str(uuid4()))[0] == 302
        time.sleep(REST_SECONDS)
        assert studio.rows("select count(*) from production_plan") > before, "no plan was made"
        _say("the same after the week was planned", _memory(studio))


def _memory(studio: LiveStudio) -> str:
    assert studio.up
    sizes = {pid: _pss_mb(pid) for pid in _family(studio.up.pid)}
    return f"{sum(sizes.values()):.0f} MB in {len(sizes)} processes"


def _family(pid: int) -> list[int]:
    listed = subprocess.run(
        ["ps", "-e", "-o", "pid=,ppid="], check=True, capture_output=True, text=True
    ).stdout
    parents = {int(child): int(parent) for child, parent in (line.split() for line in listed.splitlines())}
    return [pid, *(child for child, parent in parents.items() if parent == pid)]


def _pss_mb(pid: int) -> float:
    found = re.search(r"^Pss:\s+(\d+) kB", Path(f"/proc/{pid}/smaps_rollup").read_text(), re.M)
    return int(found[1]) / 1024 if found else 0


def _load(name: str, environment: dict[str, str], options: tuple[str, ...], seconds: float) -> None:
    with _studio(environment, options, demo=True) as studio:
        hand = Hand(studio.start().address)
        hand.sign_in("owner", PASSWORD)
        for page in ("/bench/", "/stores/"):
            _say(f"{name}: {page}, 8 at once", _wrk(studio.address + page, hand, seconds))
        _say(f"{name}: {PEOPLE} people", _people(studio, hand, seconds))


def _wrk(address: str, hand: Hand, seconds: float) -> str:
    cookies = "; ".join(f"{name}={value}" for name, value in hand.cookies.items())
    with tempfile.NamedTemporaryFile("w", suffix=".lua") as script:
        script.write(LUA)
        script.flush()
        said = subprocess.run(
            [find_program("wrk"), "-t1", "-c8", f"-d{seconds:.0f}s", "--timeout", "30s", "-s", script.name]
            + ["-H", f"Cookie: {cookies}", address],
            check=True,
            capture_output=True,
            text=True,
        ).stdout
    rate = re.search(r"Requests/sec:\s+([\d.]+)", said)
    return f"{float(rate[1]) if rate else 0:.1f} a second, {said.splitlines()[-1]}"


def _people(studio: LiveStudio, signed_in: Hand, seconds: float) -> str:
    """Each looks at pages and now and then notes a spill, with a second of thought between."""
    code = studio.rows(
        "select c.code from inventory_container c join inventory_holding h on h.place_id = c.place_id"
        " join inventory_material m on m.id = c.material_id where m.unit = 'g'"
        " group by c.code order by sum(h.amount) desc"
    )[0][0]
    until, lock = time.monotonic() + seconds, threading.Lock()
    times: list[float] = []
    faults: list[int] = []
    keys: list[str] = []

    def be_somebody(number: int) -> None:
        chance = random.Random(number)
        hand = Hand(studio.address)
        hand.cookies, hand.csrf = dict(signed_in.cookies), signed_in.csrf
        while time.monotonic() < until:
            began, key = time.monotonic(), str(uuid4())
            is_tap = chance.random() < TAPS_SHARE
            if is_tap:
                page = f"/stores/spill/?tub={code}"
                got = hand.tap(page, request_key=key, amount="0.01 g", reason="spill")[0]
            else:
                got = hand.ask("GET", chance.choice(PAGES))[0]
            with lock:
                times.append((time.monotonic() - began) * 1000)
                if got != (302 if is_tap else 200):
                    faults.append(got)
                elif is_tap:
                    keys.append(key.replace("-", ""))
            time.sleep(chance.uniform(*THINK_SECONDS))

    people = [threading.Thread(target=be_somebody, args=(number,)) for number in range(PEOPLE)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    rows = studio.rows("select request_key from inventory_act where name = 'inventory.note_spill'")
    lost = len(set(keys) - {str(row[0]).replace("-", "") for row in rows})
    verified = studio.run("verify_ledger", check=False).returncode
    return (
        f"{len(times) / seconds:.1f} requests a second, median {statistics.median(times):.0f} ms,"
        f" p95 {_p95(times):.0f} ms, {len(faults)} errors, {lost} of {len(keys)} taps lost,"
        f" ledger {'differs' if verified else 'agrees'}"
    )


def _growth(entries: int) -> None:
    name = f"{entries:,} entries"
    with _studio() as studio:
        studio.run("shell", "--verbosity", "0", "-c", GROW.format(entries=entries))
        hand = Hand(studio.start().address)
        hand.sign_in("owner", PASSWORD)
        for page in ("/stores/", "/stores/tubs/B1/", "/studio/history/"):
            _say(f"{name}: {page}", _page(hand, page))
        began = time.monotonic()
        spills = 40
        for _ in range(spills):
            hand.tap("/stores/spill/?tub=B1", request_key=str(uuid4()), amount="0.01 g", reason="spill")
        _say(f"{name}: taps, one after the other", f"{spills / (time.monotonic() - began):.1f} a second")
        _copies(name, studio)
        _upgrade(name, studio)


def _page(hand: Hand, page: str) -> str:
    assert hand.ask("GET", page)[0] == 200, page
    times = []
    for _ in range(PAGE_RUNS):
        began = time.monotonic()
        hand.ask("GET", page)
        times.append((time.monotonic() - began) * 1000)
    return f"median {statistics.median(times):.0f} ms, p95 {_p95(times):.0f} ms"


def _copies(name: str, studio: LiveStudio) -> None:
    """A copy made and tried while the studio is open, and put back after."""
    size_gb = (studio.directory / "studio.sqlite3").stat().st_size / 1e9
    copy = studio.directory / "bench.tar.gz"
    began = time.monotonic()
    studio.run("backup", str(copy))
    made = time.monotonic() - began
    studio.stop()
    began = time.monotonic()
    studio.run("restore", str(copy))
    back = time.monotonic() - began
    _say(
        f"{name}: copy of {size_gb * 1000:.0f} MB",
        f"made and tried in {made:.1f} s ({made / size_gb:.0f} s a GB), {copy.stat().st_size / 1e6:.0f} MB;"
        f" restored in {back:.1f} s ({back / size_gb:.0f} s a GB)",
    )
    copy.unlink()


def _upgrade(name: str, studio: LiveStudio) -> None:
    """From the stop of the old version to the first page of the new one, with a table to be made."""
    studio.start()
    studio.stop()
    began = time.monotonic()
    studio.start()
    plain = time.monotonic() - began
    studio.stop()
    studio.run("migrate", "jobs", "zero", "--verbosity", "0")
    began = time.monotonic()
    studio.start()
    upgraded = time.monotonic() - began
    assert "Upgraded." in studio.said()
    _say(
        f"{name}: closed for an upgrade", f"{upgraded:.1f} s, with a copy first (a plain start {plain:.1f} s)"
    )


def _p95(times: Sequence[float]) -> float:
    return sorted(times)[int(len(times) * 0.95) - 1]


def _say(what: str, figure: str) -> None:
    load = os.getloadavg()[0]
    print(f"| {what} | {figure} | {load:.1f} |", flush=True)
