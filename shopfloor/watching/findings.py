"""What was looked at, and what was found."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """How bad a finding is."""

    OK = "ok"
    # Works, and somebody should look soon.
    LOOK = "look"
    # Something that people need does not work now.
    DOWN = "down"


@dataclass(frozen=True)
class Finding:
    """One thing looked at: how it stands in one sentence, and how to mend it (empty where all is well)."""

    name: str
    state: State
    said: str
    mend: str = ""


def fine(name: str, said: str) -> Finding:
    """Nothing wrong."""
    return Finding(name, State.OK, said)


def worst(findings: list[Finding]) -> State:
    """The worst state among the findings; ok where there are none."""
    order = list(State)
    return max((finding.state for finding in findings), key=order.index, default=State.OK)
