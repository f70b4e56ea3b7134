from __future__ import annotations

import socket

import pytest

from shopfloor.supervisor import PAUSE_SECONDS_MOST, Child, is_taken, names_of_this_machine


def test_a_port_is_taken_while_somebody_listens_at_it():
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        assert is_taken("127.0.0.1", port)
        assert is_taken("0.0.0.0", port)

    assert not is_taken("127.0.0.1", port)


def test_this_machine_is_known_by_its_own_name():
    assert socket.gethostname() in names_of_this_machine()
    assert "0.0.0.0" not in names_of_this_machine()


@pytest.fixture
def falling_child():
    """A child that ends at once, however often it is started: Python refuses the name of its port."""
    child = Child("web", ("--port", "nowhere"))
    yield child
    if child.running:
        child.running.wait()


def test_a_child_that_keeps_falling_is_started_ever_more_slowly(falling_child, monkeypatch):
    said = []
    now = [100.0]
    monkeypatch.setattr("shopfloor.supervisor.time.monotonic", lambda: now[0])
    pauses = []

    for _ in range(7):
        falling_child.start()
        falling_child.running.wait()
        falling_child.watch(said.append)
        pauses.append(falling_child.start_again_at - now[0])
        assert falling_child.running is None

    assert pauses == [1, 2, 4, 8, 16, PAUSE_SECONDS_MOST, PAUSE_SECONDS_MOST]
    assert said[0] == "The web ended by itself (exit 2). Again in 1 s."


def test_a_child_that_stood_for_a_minute_is_started_again_at_once_when_it_falls(falling_child, monkeypatch):
    now = [100.0]
    monkeypatch.setattr("shopfloor.supervisor.time.monotonic", lambda: now[0])
    falling_child.pause_seconds = PAUSE_SECONDS_MOST
    falling_child.start()
    falling_child.running.wait()
    now[0] += 61

    falling_child.watch(lambda words: None)

    assert falling_child.start_again_at - now[0] == 1
