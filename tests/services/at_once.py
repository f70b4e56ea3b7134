"""Several threads at the same moment, each with its own connection to the database."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from django.db import connections


def at_once(*calls: Callable[[], Any]) -> list[Any]:
    """Make the calls in as many threads, begun together; answers what each returned or raised."""
    begin = threading.Barrier(len(calls))
    answers: list[Any] = [None] * len(calls)

    def run(place: int, call: Callable[[], Any]) -> None:
        begin.wait()
        try:
            answers[place] = call()
        except Exception as fault:
            answers[place] = fault
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers
