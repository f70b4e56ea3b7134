"""What the checker answers: rules that are broken, and where."""

from __future__ import annotations

from dataclasses import dataclass

SLIGHT = 1e-3
"""Grams and minutes below this are the noise of floating point."""
DAY = 1440


@dataclass(frozen=True)
class Fault:
    """One broken rule: its name, the place in the plan, and what is wrong there."""

    rule: str
    place: str
    said: str

    def __str__(self) -> str:
        return f"{self.place}: {self.said} ({self.rule})"


Busy = tuple[int, int, str]
"""From, until, and the place in the plan that takes it."""


def too_many_at_once(busy: list[Busy]) -> list[tuple[int, int, str]]:
    """How many are at work at the start of each: minute, count and place, for those that last at all.

    Each lasts from its first minute to just before its last.
    """
    ends = sorted(end for start, end, _ in busy if end > start)
    found, over, at_work = [], 0, 0
    for start, end, place in sorted(busy):
        while over < len(ends) and ends[over] <= start:
            over, at_work = over + 1, at_work - 1
        if end > start:
            at_work += 1
            found.append((start, at_work, place))
    return found
