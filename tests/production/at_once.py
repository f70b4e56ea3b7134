"""Two screens at the same time, on connections of their own."""

from __future__ import annotations

from collections.abc import Callable
from threading import Barrier, Thread
from typing import Any

from django.db import connection

from inventory.errors import StudioError


def at_once(*tries: Callable[[], Any]) -> list[Any]:
    """Run the functions in threads at the same time; what each answered, or how it was refused."""
    gate = Barrier(len(tries))
    answers: list[Any] = [None] * len(tries)

    def run(place: int, one: Callable[[], Any]) -> None:
        gate.wait()
        try:
            answers[place] = one()
        except StudioError as fault:
            answers[place] = fault
        finally:
            connection.close()

    threads = [Thread(target=run, args=(place, one)) for place, one in enumerate(tries)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers
