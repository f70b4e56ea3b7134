"""`manage.py bench hosts`: the studio on several machines, made of network namespaces. Linux, as root.

A command and not a test, because a container often may not make namespaces.
"""

from __future__ import annotations

from collections.abc import Sequence


def run(arguments: Sequence[str]) -> int:
    """Try every promise of several machines; ends with 1 where one does not hold."""
    from tests.services.door import BehindDoor
    from tests.services.hosts import Machines
    from tests.services.programs import ProgramMissing

    for layout in (Machines, BehindDoor):
        try:
            tried = layout(lambda words: print(f"- {words}", flush=True))
        except ProgramMissing as fault:
            print(fault)
            return 2
        try:
            tried.try_all()
        except (AssertionError, ProgramMissing) as fault:
            print(f"Does not hold: {fault}")
            return 1
        finally:
            tried.clear()
    return 0
