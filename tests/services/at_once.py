"""Several taps at the same moment, each in a thread with its own connection to the database."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from django.db import connections

LONGEST_SECONDS = 60


def at_once(*taps: Callable[[], Any]) -> list[Any]:
    """Run every tap in a thread of its own, all let go together; answers or refusals in the order given."""
    answers: list[Any] = [None] * len(taps)
    start = threading.Barrier(len(taps))

    def run(number: int, tap: Callable[[], Any]) -> None:
        try:
            start.wait(timeout=LONGEST_SECONDS)
            answers[number] = tap()
        except Exception as fault:  # the refusal is the answer
            answers[number] = fault
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(taps)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=LONGEST_SECONDS)
    return answers
