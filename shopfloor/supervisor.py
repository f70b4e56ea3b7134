"""One parent for web server, worker and clock: starts them, starts them again when they fall, stops them.

`manage.py up` prepares the studio with all of Django in memory, then becomes this program, which needs none
of it: the same process, with the same lock, and little in memory. Standard library only.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from types import FrameType
from typing import IO

from shopfloor.bootstrap import PROJECT

PAUSE_SECONDS = 1.0
PAUSE_SECONDS_MOST = 30.0
STEADY_SECONDS = 60.0
STOP_SECONDS = 20.0
LOOK_EVERY_SECONDS = 0.2

Say = Callable[[str], None]


@dataclass
class Child:
    """One of the three, and how often it fell lately."""

    name: str
    arguments: tuple[str, ...] = ()
    running: subprocess.Popen[bytes] | None = None
    started_at: float = 0.0
    start_again_at: float = 0.0
    pause_seconds: float = field(default=PAUSE_SECONDS)

    def start(self) -> None:
        """Start it, in a group of its own: a Ctrl-C then reaches only the parent, which stops it in order."""
        own_group: dict[str, object] = (
            {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}  # type: ignore[attr-defined,unused-ignore]
            if sys.platform == "win32"
            else {"start_new_session": True}
        )
        self.running = subprocess.Popen(
            [sys.executable, "-m", "shopfloor.children", self.name, *self.arguments],
            cwd=PROJECT,
            # Never written to: its end is how the child learns that the parent is gone.
            stdin=subprocess.PIPE,
            **own_group,  # type: ignore[call-overload]
        )
        self.started_at = time.monotonic()

    def watch(self, say: Say) -> None:
        """Start it again, after a pause that grows while it keeps falling."""
        now = time.monotonic()
        if self.running is not None and self.running.poll() is not None:
            if now - self.started_at > STEADY_SECONDS:
                self.pause_seconds = PAUSE_SECONDS
            status = self.running.returncode
            say(f"The {self.name} ended by itself (exit {status}). Again in {self.pause_seconds:g} s.")
            self.running = None
            self.start_again_at = now + self.pause_seconds
            self.pause_seconds = min(self.pause_seconds * 2, PAUSE_SECONDS_MOST)
        if self.running is None and now >= self.start_again_at:
            self.start()

    def ask_to_stop(self) -> None:
        """Tell it to end in order."""
        if self.running is not None and self.running.poll() is None:
            # By the signal alone: the end of its standard input would cut the job in hand short.
            self.running.terminate()

    def wait_for_end(self, until: float) -> None:
        """Wait for its end, and end it by force when it takes too long."""
        if self.running is None:
            return
        try:
            # Its exit status says nothing here: the worker answers 1 when it was told to stop.
            self.running.wait(timeout=max(until - time.monotonic(), 0.1))
        except subprocess.TimeoutExpired:
            self.running.kill()
            self.running.wait()


@dataclass(frozen=True)
class Crew:
    """How many children of each kind, and threads of each web."""

    webs: int = 1
    threads: int = 8
    workers: int = 1
    clocks: int = 1


class Supervisor:
    """Keeps the children running until Ctrl-C or SIGTERM."""

    def __init__(self, *, host: str, port: int, say: Say, crew: Crew) -> None:
        self.host, self.port, self.say = host, port, say
        place = ["--host", host, "--port", str(port), "--threads", str(crew.threads)]
        place += ["--shared"] if crew.webs > 1 else []
        self.webs = [Child("web", tuple(place)) for _ in range(crew.webs)]
        self.others = [Child("worker") for _ in range(crew.workers)]
        self.others += [Child("beat") for _ in range(crew.clocks)]
        self.children = [*self.webs, *self.others]
        self.told_to_stop = False

    def run(self, words_when_open: str) -> None:
        """Start the children, say these words once pages are served, and stay until told to stop."""
        # Set here, because a process started in the background of a script ignores Ctrl-C unless told
        # otherwise.
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self._stop)
        try:
            for web in self.webs:
                web.start()
            self._wait_until_open()
            if not self.told_to_stop:
                self.say(words_when_open)
                for child in self.others:
                    child.start()
            while not self.told_to_stop:
                for child in self.children:
                    child.watch(self.say)
                time.sleep(LOOK_EVERY_SECONDS)
        finally:
            self._end_all()

    def _stop(self, number: int, frame: FrameType | None) -> None:
        self.told_to_stop = True

    def _wait_until_open(self) -> None:
        while self.webs and not self.told_to_stop and not is_taken(self.host, self.port):
            for web in self.webs:
                web.watch(self.say)
            time.sleep(0.05)

    def _end_all(self) -> None:
        for child in self.children:
            child.ask_to_stop()
        until = time.monotonic() + STOP_SECONDS
        for child in self.children:
            child.wait_for_end(until)


def become_parent(host: str, port: int, crew: Crew, lock: IO[str], words_when_open: str) -> None:
    """Go on as the parent, in this very process, which holds `lock` as before; does not come back.

    The words go through a pipe, since the link in them is a secret that no list of processes may show.
    """
    order = json.dumps({"host": host, "port": port, "crew": asdict(crew)})
    if sys.platform == "win32":
        # No process can become another there: this one stays as large as it is.
        _keep_running(order, words_when_open)
        return
    words, pen = os.pipe()
    with os.fdopen(pen, "w", encoding="utf-8") as file:
        file.write(words_when_open)
    for handle in (words, lock.fileno()):
        os.set_inheritable(handle, True)
    os.chdir(PROJECT)
    os.execv(sys.executable, [sys.executable, "-m", "shopfloor.supervisor", order, str(words)])


def _keep_running(order: str, words_when_open: str) -> None:
    told = json.loads(order)
    crew = Crew(**told["crew"])
    Supervisor(host=told["host"], port=told["port"], say=_say, crew=crew).run(words_when_open)
    _say("Stopped. Nothing is left running.")


def _say(words: str) -> None:
    print(words, flush=True)


def is_taken(host: str, port: int) -> bool:
    """Whether somebody listens at this port already."""
    reachable = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
    try:
        socket.create_connection((reachable, port), timeout=2).close()
    except OSError:
        return False
    return True


def names_of_this_machine() -> list[str]:
    """The names and the number under which others on the workshop's network reach this machine."""
    name = socket.gethostname()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Sends nothing: it only asks the system which of its numbers faces the network.
            probe.connect(("192.0.2.1", 9))
            number = probe.getsockname()[0]
        except OSError:
            return [name, f"{name}.local"]
    return [name, f"{name}.local", number]


if __name__ == "__main__":
    with os.fdopen(int(sys.argv[2]), encoding="utf-8") as words:
        said = words.read()
    try:
        _keep_running(sys.argv[1], said)
    except KeyboardInterrupt:
        sys.exit("Stopped.")
