"""What is worth a notice right now, collected from the apps."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol

from shopfloor.studio.port import LiveStudio


class Condition(Protocol):
    """A cause for a notice: `cause` is its stable key, `kind` a Notice.Kind, `link` the page to act on."""

    cause: str
    kind: str
    text: str
    link: str


def conditions(studio: LiveStudio, *, now: datetime) -> list[Condition]:
    """Everything worth a notice at `now`. A fixed number of queries."""
    return []
