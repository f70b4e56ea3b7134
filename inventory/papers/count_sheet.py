"""The sheet of a round of counting: every tub by place, with room to write."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from inventory.ports import StudioFacts
from inventory.queries.rounds import RoundPage


def sheet_of(page: RoundPage, *, facts: StudioFacts, printed_at: datetime) -> dict[str, Any]:
    """The context of the sheet. What a tub should hold is not on it, so that it is the scale that is read."""
    return {
        "facts": facts,
        "places": page.places,
        "count": len(page.tubs),
        "printed_at": printed_at,
        "has_grams": any(tub.unit == "g" for tub in page.tubs),
    }
