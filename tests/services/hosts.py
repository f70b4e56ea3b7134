"""Several machines on one: network namespaces on a bridge, each with its own address. Linux, as root.

`store` has PostgreSQL and Redis, `one` and `two` each a studio: web, worker and clock; `three` and `door` are
for what `tests/services/door.py` tries. What they share is the database, Redis, a secret and one folder,
which is one by being on one disk here; on real machines it is mounted over the network.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.services.live import PASSWORD, LiveStudio
from tests.services.postgres import PostgresServer, new_database
from tests.services.programs import ProgramMissing, find_program
from tests.services.tapping import Hand

BRIDGE, NET = "studio-net", "10.83.7"
HOSTS = {"store": f"{NET}.1", "one": f"{NET}.2", "two": f"{NET}.3", "three": f"{NET}.4", "door": f"{NET}.5"}
WAIT_SECONDS = 90
Say = Callable[[str], None]


def _ip(*words: str) -> None:
    done = subprocess.run(["ip", *words], check=False, capture_output=True, text=True)
    if done.returncode:
        raise ProgramMissing(f"ip {' '.join(words)}: {done.stderr.strip()}. This needs Linux and root.")


@contextlib.contextmanager
def machines() -> Iterator[None]:
    """The namespaces and the bridge between them.

    Raises: ProgramMissing where this system does not allow it.
    """
    find_program("ip")
    try:
        _ip("link", "add", BRIDGE, "type", "bridge")
        _ip("addr", "add", f"{NET}.254/24", "dev", BRIDGE)
        _ip("link", "set", BRIDGE, "up")
        for name, address in HOSTS.items():
            _ip("netns", "add", f"studio-{name}")
            _ip(
                "link", "add", f"to-{name}", "type", "veth", "peer", "name", "eth0", "netns", f"studio-{name}"
            )
            _ip("link", "set", f"to-{name}", "master", BRIDGE, "up")
            for words in (
                ("addr", "add", f"{address}/24", "dev", "eth0"),
                ("link", "set", "eth0", "up"),
                ("link", "set", "lo", "up"),
            ):
                _ip("-n", f"studio-{name}", *words)
        yield
    finally:
        for name in HOSTS:
            with contextlib.suppress(ProgramMissing):
                end_machine(name)
                _ip("netns", "del", f"studio-{name}")
        with contextlib.suppress(ProgramMissing):
            _ip("link", "del", BRIDGE)


def inside(name: str) -> tuple[str, ...]:
    """What to put before a command to run it on a machine."""
    return ("ip", "netns", "exec", f"studio-{name}")


def end_machine(name: str) -> None:
    """Kill all that runs on a machine, as when its plug is pulled."""
    done = subprocess.run(
        ["ip", "netns", "pids", f"studio-{name}"], check=False, capture_output=True, text=True
    )
    for pid in done.stdout.split():
        with contextlib.suppress(ProcessLookupError):
            os.kill(int(pid), signal.SIGKILL)


class Shared:
    """The machines, what all of them share, and a way to put a studio on one."""

    def __init__(self, say: Say) -> None:
        self.say = say
        self.stack = contextlib.ExitStack()
        self.stack.enter_context(machines())
        self.shared = Path(tempfile.mkdtemp(prefix="studio-shared-"))
        self.stack.callback(shutil.rmtree, self.shared, ignore_errors=True)
        self.environment = {
            "DATABASE_URL": self._postgres(),
            "REDIS_URL": self._redis(),
            "SECRET_KEY": secrets.token_urlsafe(50),
            "SHARED_DIR": str(self.shared),
            "ALLOWED_HOSTS": ",".join(HOSTS.values()),
            "JOB_RING_SECONDS": "2",
            "JOB_LEASE_SECONDS": "5",
            "NOTICE_SECONDS": "5",
        }

    def _postgres(self) -> str:
        server = PostgresServer(listen=HOSTS["store"], port=5432)
        self.stack.callback(server.clear)
        with (server.cluster / "pg_hba.conf").open("a") as rules:
            rules.write(f"host all all {NET}.0/24 trust\n")
        who = [f"--setuid={server.account['user']}", f"--setgid={server.account['group']}"]
        server.start("nsenter", "--net=/run/netns/studio-store", *who)
        return new_database(server.address)

    def _redis(self) -> str:
        program = find_program("redis-server")
        options = ["--port", "6379", "--bind", HOSTS["store"], "--protected-mode", "no", "--save", ""]
        server = subprocess.Popen([*inside("store"), program, *options], stdout=subprocess.DEVNULL)
        self.stack.callback(server.wait)
        self.stack.callback(server.terminate)
        return f"redis://{HOSTS['store']}:6379/0"

    def studio(self, name: str, *options: str, **more: str) -> LiveStudio:
        """A studio on a machine, not yet started."""
        studio = LiveStudio(
            environment={**self.environment, **more}, host=HOSTS[name], before=inside(name), options=options
        )
        self.stack.callback(studio.clear)
        return studio

    def clear(self) -> None:
        """End everything."""
        self.stack.close()


class Machines(Shared):
    """The studio on two machines that each do everything, and what is to be seen of it."""

    def __init__(self, say: Say) -> None:
        super().__init__(say)
        self.one, self.two = self.studio("one"), self.studio("two")

    def try_all(self) -> None:
        """Every promise, one line each; an AssertionError says which does not hold."""
        for studio in (self.one, self.two):
            studio.open_up()
        self._wait(lambda: self.one.answers() and self.two.answers(), "both webs answer")
        self.say("two machines opened an empty database at the same moment; both serve pages")
        self._shell(self.one, "from tests.services.kills import found; found(); print('found')")
        here, there = Hand(self.one.address), Hand(self.two.address)
        here.sign_in("owner", PASSWORD)
        there.cookies, there.csrf = here.cookies, here.csrf
        self._tap_seen(here, there)
        self._file_seen(here, there)
        self._asked_together()
        self._worker_of_the_other(here)
        self._machine_lost(there)
        verified = self.two.run("verify_ledger").stdout.strip()
        self.say(f"verify_ledger: {verified}")

    def _shell(self, studio: LiveStudio, code: str) -> str:
        done = studio.run("shell", "--verbosity", "0", "-c", code, check=False)
        assert done.returncode == 0, done.stderr[-1500:]
        return done.stdout.split()[-1]

    def _tap_seen(self, here: Hand, there: Hand) -> None:
        assert _spill(here, 1250) == 302
        page = there.ask("GET", "/stores/tubs/B1/")[1].decode()
        assert "18.75" in page, "the tub on the other machine"
        assert there.ask("GET", "/static/shopfloor/studio.css")[0] in (200, 404)
        self.say("signed in on one, a tap on one is seen on two with the same session")

    def _file_seen(self, here: Hand, there: Hand) -> None:
        """A file sent to one is there for the next step on two."""
        code = (
            "from datetime import UTC, datetime\n"
            "from orders.operations.uploads import keep_upload, load_upload\n"
        )
        keep = "print(keep_upload(name='week', digest='', text='', encoding='', now=datetime.now(UTC)).token)"
        token = self._shell(self.one, code + keep)
        assert self._shell(self.two, f"{code}print(load_upload('{token}').name)") == "week"
        self.say("a file sent in on one is read on two")

    def _asked_together(self) -> None:
        code = "from django.core.cache import cache; cache.add('x', 0); print(cache.incr('x'))"
        counted = [int(self._shell(studio, code)) for studio in (self.one, self.two, self.one)]
        assert counted == [1, 2, 3], counted
        self.say("requests of programs are counted together")

    def _worker_of_the_other(self, here: Hand) -> None:
        """The worker of one is gone for good; what is asked for on one is done on two."""
        assert self.one.up
        self._stop_for_good("worker")
        assert here.tap("/studio/copies/", request_key=_key())[0] == 302
        self._wait(
            lambda: self.two.rows("select count(*) from backups_keptcopy where name <> ''") != [(0,)],
            "a copy is kept",
        )
        assert list((self.shared / "copies").glob("*.tar.gz")), "the copy in the shared folder"
        self.say("one has no worker any more: a copy asked for on one is made by two, in the shared folder")

    def _stop_for_good(self, child: str) -> None:
        """Stop a child of one without an end: its parent does not start it anew."""
        listed = subprocess.run(
            ["ip", "netns", "pids", "studio-one"], check=True, capture_output=True, text=True
        )
        for pid in listed.stdout.split():
            with contextlib.suppress(OSError):
                if child.encode() in (Path("/proc") / pid / "cmdline").read_bytes().split(b"\0"):
                    os.kill(int(pid), signal.SIGSTOP)

    def _machine_lost(self, there: Hand) -> None:
        holders = set()
        for _ in range(6):
            holders.add(self.two.rows("select holder from jobs_clock")[0][0])
            time.sleep(0.5)
        assert len(holders) == 1, "one clock rings"
        # The clock that rings is to be on the machine that is lost.
        self._two_clock_waits(holders.pop())
        holder = self.two.rows("select holder from jobs_clock")[0][0]
        end_machine("one")
        began = time.monotonic()
        self._wait(
            lambda: self.two.rows("select holder from jobs_clock")[0][0] not in (holder, None),
            "the clock of two",
        )
        seconds = time.monotonic() - began
        newest = self.two.rows("select max(id) from jobs_job")[0][0]
        assert _spill(there, 1) == 302
        self._wait(
            lambda: (
                self.two.rows(f"select count(*) from jobs_job where id > {newest} and state = 'done'")[0][0]
                > 0
            ),
            "work after the loss",
        )
        self.say(f"one is gone: the clock of two rings after {seconds:.1f} s, taps and work go on")

    def _two_clock_waits(self, holder: Any) -> None:
        """Stop the clock of two until one's holds the row, then let it go on waiting."""
        listed = subprocess.run(
            ["ip", "netns", "pids", "studio-two"], check=True, capture_output=True, text=True
        )
        clocks = [
            int(pid)
            for pid in listed.stdout.split()
            if b"beat" in (Path("/proc") / pid / "cmdline").read_bytes().split(b"\0")
        ]
        os.kill(clocks[0], signal.SIGSTOP)
        time.sleep(8)
        os.kill(clocks[0], signal.SIGCONT)
        self._wait(lambda: self.two.rows("select holder from jobs_clock")[0][0] is not None, "a clock")

    def _wait(self, holds: Callable[[], bool], what: str) -> None:
        until = time.monotonic() + WAIT_SECONDS
        while not holds():
            said = f"{self.one.said()[-1500:]}\n{self.two.said()[-1500:]}"
            assert time.monotonic() < until, f"{what}: not within {WAIT_SECONDS} s\n{said}"
            time.sleep(0.1)


def _key() -> str:
    return secrets.token_hex(16)


def _spill(hand: Hand, grams: int) -> int:
    return hand.tap("/stores/spill/?tub=B1", request_key=_key(), amount=f"{grams} g", reason="spill")[0]
