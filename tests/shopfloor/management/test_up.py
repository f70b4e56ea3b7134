"""`manage.py up` as a person runs it: real children, real signals."""

from __future__ import annotations

import os
import signal
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.services.live import LiveStudio

pytestmark = pytest.mark.services

ORPHAN_SECONDS = 10


def children_of(pid: int) -> set[int]:
    """The children of a process, from the system's own table."""
    found = set()
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == pid:
            found.add(int(status.parent.name))
    return found


def alive(pids: set[int]) -> set[int]:
    """Those of the processes that still run."""
    return {pid for pid in pids if Path(f"/proc/{pid}").exists()}


def wait_until(holds: Callable[[], bool], seconds: float) -> bool:
    until = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True


def three_children(studio: LiveStudio) -> set[int]:
    assert studio.up
    pid = studio.up.pid
    assert wait_until(lambda: len(children_of(pid)) == 3, 20), studio.said()[-2000:]
    return children_of(pid)


def test_ctrl_c_or_a_term_signal_ends_all_three_and_the_second_start_makes_nothing_anew(start_studio):
    studio = start_studio(fresh=True)
    secret = (studio.directory / "secret").read_text()

    for how in (signal.SIGINT, signal.SIGTERM):
        children = three_children(studio)
        status = studio.stop(how=how)
        assert status == 0
        assert alive(children) == set()
        assert studio.said().rstrip().endswith("Stopped. Nothing is left running.")
        if how == signal.SIGINT:
            studio.start()

    assert (studio.directory / "secret").read_text() == secret
    assert (studio.directory / "secret").stat().st_mode & 0o777 == 0o600
    assert studio.said().count("Collected the style sheets") == 1


def test_all_children_end_when_the_parent_is_killed(start_studio):
    studio = start_studio()
    children = three_children(studio)

    os.kill(studio.up.pid, signal.SIGKILL)

    assert wait_until(lambda: not alive(children), ORPHAN_SECONDS), alive(children)


def test_the_parent_holds_nothing_of_what_it_prepared(live_studio):
    status = Path(f"/proc/{live_studio.up.pid}/status").read_text()
    kilobytes = int(status.partition("VmRSS:")[2].split()[0])

    assert kilobytes < 50_000


def test_a_second_up_of_the_same_studio_says_where_it_is_open(live_studio):
    second = live_studio.run("up", "--port", str(live_studio.port), check=False)

    assert second.returncode == 1
    assert second.stderr.strip() == (
        f"CommandError: This studio is open already at http://localhost:{live_studio.port}. "
        "Use it there, or stop it first with Ctrl-C."
    )
    assert live_studio.answers()


def test_a_port_that_another_program_has_is_named():
    studio = LiveStudio()
    try:
        with socket.create_server(("127.0.0.1", studio.port)):
            answer = studio.run("up", "--port", str(studio.port), check=False)
    finally:
        studio.clear()

    assert answer.returncode == 1
    assert answer.stderr.strip() == (
        f"CommandError: Port {studio.port} is taken by another program. "
        f"Choose another one: manage.py up --port {studio.port + 1}"
    )


def test_the_link_signs_in_once_and_asks_for_a_password(live_studio):
    link = live_studio.link

    first = _tap(link)
    second = _tap(link)

    assert first == (200, f"{live_studio.address.replace('127.0.0.1', 'localhost')}/sign-in/password/")
    assert second[0] == 422


def _tap(link: str) -> tuple[int, str]:
    """Open the link in a fresh browser session and press its plate."""
    jar = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    page = jar.open(link, timeout=10).read().decode()
    token = page.partition('name="csrfmiddlewaretoken" value="')[2].partition('"')[0]
    request = urllib.request.Request(link, data=f"csrfmiddlewaretoken={token}".encode())
    try:
        with jar.open(request, timeout=10) as answer:
            return answer.status, answer.url
    except urllib.error.HTTPError as fault:
        return fault.code, fault.url


def test_a_child_that_falls_is_started_again(live_studio):
    before = three_children(live_studio)

    for pid in before:
        os.kill(pid, signal.SIGKILL)

    assert wait_until(live_studio.answers, 20)
    after = three_children(live_studio)
    assert not before & after
    assert "The web ended by itself (exit -9). Again in 1 s." in live_studio.said()
