"""A studio at work whose processes are killed at random moments, and what must be true afterwards.

Several people tap by HTTP, each tap with a request key of its own, and tap again with the same key while no
answer comes, as the app does on a phone. Meanwhile web, worker, clock, their parent and the database server
are ended by kill -9. Afterwards everything that was answered must be there exactly once.
"""

from __future__ import annotations

import contextlib
import email
import email.message
import http.client
import os
import random
import re
import signal
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

from tests.services.live import PASSWORD, LiveStudio
from tests.services.postgres import PostgresServer, new_database
from tests.services.redis import running_redis
from tests.services.tapping import Hand

HANDS = 4
TUBS = ("B1", "Q1")
FILLED_G = 20_000
# Each of these runs low by one tap, while everything is being killed.
SMALL_TUBS = tuple(f"T{number}" for number in range(1, 41))
SMALL_G = 3
SMALL_SHARE = 0.2
PAUSE_SECONDS = (0.1, 1.5)
# The share of kills that are followed by the next one while things are still coming up.
STRAIGHT_AGAIN = 0.25
ANSWER_SECONDS = 90
# Whoever gets no answer walks away from every fourth tap instead of tapping again.
WALKS_AWAY = 0.25
COPY_EVERY_SECONDS = 3.0
# A machine that is busy otherwise is not waited for longer than this.
SECONDS_FOR_KILLS = 40.0
CHILDREN = ("web", "worker", "beat")
NO_ANSWER = (OSError, http.client.HTTPException)


def found() -> None:
    """People, hours and two tubs of a powder that runs low; run inside the studio."""
    from django.contrib.auth.models import Group, User

    from inventory.roles import OWNER_GROUP
    from shopfloor.notices.models import How, MailWish
    from shopfloor.studio.models import StudioSettings
    from shopfloor.studio.port import LiveStudio
    from tests.factories.inventory import G, a_filled_tub, a_material

    StudioSettings.objects.update_or_create(pk=1, defaults={"name": "Samphire Lane"})
    owner, _ = User.objects.get_or_create(username="owner")
    owner.set_password(PASSWORD)
    owner.save()
    owner.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])
    MailWish.objects.create(
        user=owner, address="owner@samphire.example", confirmed_at=LiveStudio().now(), stores=How.AT_ONCE
    )
    powder = a_material(name="Quick compound", safety_level=100 * FILLED_G * G)
    for code in TUBS:
        a_filled_tub(FILLED_G * G, powder, code=code, capacity=2 * FILLED_G * G)
    for code in SMALL_TUBS:
        a_filled_tub(SMALL_G * G, a_material(name=f"Pigment {code}.", safety_level=SMALL_G * G), code=code)


@dataclass
class Told:
    """What one run saw."""

    seed: int
    killed: Counter[str] = field(default_factory=Counter)
    acknowledged: int = 0
    walked_away: int = 0
    sent_again: int = 0
    jobs_cut_off: int = 0
    jobs_given_up: int = 0
    copies: int = 0
    notices: int = 0
    letters: int = 0
    longest_gap_seconds: float = 0.0
    faults: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        """For people."""
        kills = ", ".join(f"{name} {count}" for name, count in sorted(self.killed.items()))
        return [
            f"seed {self.seed}: {sum(self.killed.values())} kills survived of {sum(self.killed.values())}"
            f" tried ({kills})"
            if not self.faults
            else f"seed {self.seed}: {len(self.faults)} faults after {kills}",
            f"{self.acknowledged} taps answered, each there once; {self.sent_again} sent again,"
            f" {self.walked_away} left unanswered and there once or not at all",
            f"{self.notices} notices opened once each, told by {self.letters} e-mails, none twice",
            f"{self.copies} copies kept, {self.jobs_cut_off} jobs cut off and ended later,"
            f" {self.jobs_given_up} given up; longest wait for any answer {self.longest_gap_seconds:.1f} s",
            *self.faults,
        ]


class KillRun:
    """One studio, its people, and whoever kills."""

    def __init__(self, studio: LiveStudio, server: PostgresServer | None, seed: int) -> None:
        self.studio, self.server = studio, server
        self.mail = studio.directory / "mail"
        self.told = Told(seed)
        self.chance = random.Random(seed)
        self.over = threading.Event()
        self.lock = threading.Lock()
        self.answered: dict[str, str] = {}
        self.left: dict[str, str] = {}
        self.last_answer = time.monotonic()
        self.turn: list[str] = []
        self.small = list(SMALL_TUBS)

    def run(self, seconds: float, kills: int) -> Told:
        """Tap and kill for so long, and at least so many times; let everything come to rest, and look."""
        self.studio.start()
        people = [Hand(self.studio.address) for _ in range(HANDS)]
        for person in people:
            person.sign_in("owner", PASSWORD)
        hands = [
            threading.Thread(target=self._tap, args=(number, person)) for number, person in enumerate(people)
        ]
        hands.append(threading.Thread(target=self._ask_for_copies, args=(people[0],)))
        self.last_answer = time.monotonic()
        for hand in hands:
            hand.start()
        until = time.monotonic() + seconds
        most = max(until, time.monotonic() + SECONDS_FOR_KILLS)
        while time.monotonic() < most and (time.monotonic() < until or self.told.killed.total() < kills):
            self._kill()
            if self.chance.random() > STRAIGHT_AGAIN:
                self._wait_for_an_answer()
            time.sleep(self.chance.uniform(*PAUSE_SECONDS))
        self.over.set()
        for hand in hands:
            hand.join(timeout=ANSWER_SECONDS)
            if hand.is_alive():
                self.told.faults.append("somebody never got an answer")
        self._rest()
        self.studio.stop()
        self._look()
        return self.told

    # People

    def _tap(self, number: int, hand: Hand) -> None:
        chance = random.Random(f"{self.told.seed} {number}")
        while not self.over.is_set():
            key, tub = str(uuid4()), chance.choice(TUBS)
            with self.lock:
                if self.small and chance.random() < SMALL_SHARE:
                    tub = self.small.pop()
            walks = chance.random() < WALKS_AWAY
            self._one_tap(hand, key, tub, walks)

    def _one_tap(self, hand: Hand, key: str, tub: str, walks: bool) -> None:
        until = time.monotonic() + ANSWER_SECONDS
        while time.monotonic() < until:
            try:
                code, content = hand.tap(
                    f"/stores/spill/?tub={tub}", request_key=key, amount="1 g", reason="spill"
                )
            except NO_ANSWER:
                code, content = 0, b""
            with self.lock:
                if code == 302:
                    now = time.monotonic()
                    gap, self.last_answer = now - self.last_answer, now
                    self.told.longest_gap_seconds = max(self.told.longest_gap_seconds, gap)
                    self.answered[key] = tub
                    return
                if code and code < 500 and "at this moment" not in content.decode():
                    self.told.faults.append(f"a tap was answered {code}")
                    return
                if walks:
                    self.left[key] = tub
                    return
                self.told.sent_again += 1
            time.sleep(0.15)
        self.told.faults.append("a tap was never answered")

    def _ask_for_copies(self, hand: Hand) -> None:
        while not self.over.wait(COPY_EVERY_SECONDS):
            with contextlib.suppress(*NO_ANSWER):
                hand.tap("/studio/copies/", request_key=str(uuid4()))

    # Whoever kills

    def _kill(self) -> None:
        if not self.turn:
            # Each in its turn, in an order of chance, so that a short run misses none.
            self.turn = [*CHILDREN, "parent", *(["database"] if self.server else [])]
            self.chance.shuffle(self.turn)
        victim = self.turn.pop()
        if victim == "database" and self.server:
            self.server.kill()
            self.told.killed[victim] += 1
            time.sleep(self.chance.uniform(0, 1))
            self.server.start()
        elif victim == "parent" and self.studio.up:
            self.studio.up.kill()
            self.studio.up.wait()
            self.told.killed[victim] += 1
        elif pid := self._pid_of(victim):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
                self.told.killed[victim] += 1
        self._keep_open()

    def _pid_of(self, child: str) -> int | None:
        """The child's process, by its command line; None while it is being started again."""
        if self.studio.up is None:
            return None
        for status in Path("/proc").glob("[0-9]*/stat"):
            with contextlib.suppress(OSError):
                parent = int(status.read_text().rpartition(")")[2].split()[1])
                words = (status.parent / "cmdline").read_bytes().split(b"\0")
                if parent == self.studio.up.pid and child.encode() in words:
                    return int(status.parent.name)
        return None

    def _keep_open(self) -> None:
        """Start `up` again where it is gone, as the system's own supervisor would."""
        until = time.monotonic() + ANSWER_SECONDS
        while self.studio.up is None or self.studio.up.poll() is not None:
            if time.monotonic() > until:
                raise RuntimeError(f"The studio does not open again:\n{self.studio.said()[-2000:]}")
            self.studio.open_up()
            # It refuses while the children of the one before are still ending.
            time.sleep(1.0)

    def _wait_for_an_answer(self) -> None:
        """Until somebody was answered again, so that what is killed is mostly at work."""
        since = time.monotonic()
        while self.last_answer < since and time.monotonic() < since + ANSWER_SECONDS:
            self._keep_open()
            time.sleep(0.05)

    # Afterwards

    def _rest(self) -> None:
        """Wait until it is open and every job that was asked for so far has ended."""
        self._keep_open()
        until = time.monotonic() + ANSWER_SECONDS
        while not self.studio.answers():
            self._keep_open()
            time.sleep(0.1)
        newest = self.studio.rows("select max(id) from jobs_job")[0][0]
        is_open = f"select id, kind, state, attempts from jobs_job where id <= {newest} and ended_at is null"
        while open_jobs := self.studio.rows(is_open):
            if time.monotonic() > until:
                self.told.faults.append(f"jobs that never ended: {open_jobs}")
                return
            self._keep_open()
            time.sleep(0.2)

    def _look(self) -> None:
        self.told.acknowledged, self.told.walked_away = len(self.answered), len(self.left)
        if not self.answered:
            self.told.faults.append("nobody was answered")
        self._look_at_taps()
        self._look_at_jobs()
        self._look_at_notices()
        verified = self.studio.run("verify_ledger", check=False)
        if verified.returncode:
            self.told.faults.append(f"verify_ledger: {verified.stderr.strip()}")

    def _look_at_taps(self) -> None:
        """Every answered tap is there once with one whole posting, and the tubs hold the rest."""
        rows = self.studio.rows(
            "select a.request_key, c.code, count(distinct p.id), sum(e.amount) from inventory_act a"
            " left join inventory_posting p on p.request_key = a.request_key"
            " left join inventory_entry e on e.posting_id = p.id"
            " left join inventory_container c on c.place_id = e.source_id"
            " where a.name = 'inventory.note_spill' group by a.id, a.request_key, c.code"
        )
        found = Counter(str(key).replace("-", "") for key, *_ in rows)
        tubs = {str(key).replace("-", ""): (code, count, amount) for key, code, count, amount in rows}
        asked = {key.replace("-", ""): tub for key, tub in (self.answered | self.left).items()}
        faults = self.told.faults
        for key in self.answered:
            if found[key.replace("-", "")] != 1:
                faults.append(f"answered tap {key} is there {found[key.replace('-', '')]} times")
        faults += [f"tap {key} is there and nobody made it" for key in found.keys() - asked.keys()]
        faults += [
            f"tap {key} is half done: {tubs[key]}"
            for key in found.keys() & asked.keys()
            if tubs[key] != (asked[key], 1, 1000)
        ]
        halves = self.studio.rows(
            "select count(*) from inventory_posting p left join inventory_act a"
            " on a.request_key = p.request_key where a.id is null"
        )[0][0]
        if halves:
            faults.append(f"{halves} postings belong to no act")
        for code in (*TUBS, *SMALL_TUBS):
            filled_g = FILLED_G if code in TUBS else SMALL_G
            spilled = sum(1 for key in found if asked.get(key) == code)
            held = self.studio.rows(
                "select sum(h.amount) from inventory_holding h join inventory_container c"
                f" on c.place_id = h.place_id where c.code = '{code}'"
            )[0][0]
            if held != (filled_g - spilled) * 1000:
                faults.append(f"{code} holds {held} and {spilled} g were spilled")

    def _look_at_jobs(self) -> None:
        jobs = self.studio.rows("select kind, state, attempts, fault from jobs_job")
        self.told.jobs_cut_off = sum(state == "done" and attempts > 1 for _, state, attempts, _ in jobs)
        given_up = [(kind, fault) for kind, state, _, fault in jobs if state == "failed"]
        self.told.jobs_given_up = len(given_up)
        self.told.faults += [
            f"{kind} failed: {fault}" for kind, fault in given_up if not fault.startswith("Cut off")
        ]
        kept = [name for (name,) in self.studio.rows("select name from backups_keptcopy where name <> ''")]
        self.told.copies = len(kept)
        there = {path.name for path in (self.studio.directory / "copies").glob("studio-*.tar.gz")}
        newest = max(kept, default="")
        if newest and newest not in there:
            self.told.faults.append(f"the copy {newest} is written down and not there")

    def _look_at_notices(self) -> None:
        """What runs low stays low: one notice of each, opened once, and told by e-mail once at most."""
        notices = self.studio.rows(
            "select cause, count(*), max(text) from notices_notice where kind = 'low' group by cause"
        )
        self.told.notices = len(notices)
        self.told.faults += [f"{count} notices of {cause}" for cause, count, _ in notices if count != 1]
        letters = [email.message_from_bytes(path.read_bytes()) for path in self.mail.iterdir()]
        self.told.letters = len(letters)
        said = Counter(
            name for letter in letters for name in set(re.findall(r"Pigment T\d+\.", _words(letter)))
        )
        self.told.faults += [f"{name} was told {count} times" for name, count in said.items() if count > 1]
        if len({letter["Message-ID"] for letter in letters}) != len(letters):
            self.told.faults.append("one e-mail was sent twice")


def _words(letter: email.message.Message) -> str:
    parts = [part for part in letter.walk() if part.get_content_type() == "text/plain"]
    return "".join(part.get_payload(decode=True).decode() for part in parts)  # type: ignore[union-attr]


def try_kills(database: str, seconds: float, seed: int, *, kills: int = 0) -> Told:
    """A run on "sqlite", or on "postgresql" with Redis, from an empty folder to the last look."""
    quick = {"JOB_RING_SECONDS": "1", "JOB_LEASE_SECONDS": "8", "NOTICE_SECONDS": "2"}
    with contextlib.ExitStack() as stack:
        server = None
        if database == "postgresql":
            server = PostgresServer()
            stack.callback(server.clear)
            server.start()
            quick["DATABASE_URL"] = new_database(server.address)
            quick["REDIS_URL"] = stack.enter_context(running_redis())
        studio = LiveStudio(environment=quick)
        stack.callback(studio.clear)
        (studio.directory / "mail").mkdir()
        studio.environment["EMAIL_URL"] = f"filemail:///{studio.directory}/mail"
        studio.run("migrate", "--verbosity", "0")
        studio.run("shell", "--verbosity", "0", "-c", "from tests.services.kills import found; found()")
        return KillRun(studio, server, seed).run(seconds, kills)
