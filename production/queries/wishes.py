"""What the plan calls those it pours for."""

from __future__ import annotations

from collections.abc import Iterable

from production.models import PlannedLine
from production.queries.progress import mix_numbers_ahead, planned_mixes_ahead


def wish_label(wanted_by: str) -> str:
    """What the newest plan that had the demand called it: order number or market day; "" if unknown."""
    return wish_labels([wanted_by]).get(wanted_by, "")


def wish_labels(wanted_by: Iterable[str]) -> dict[str, str]:
    """The labels of demands by their keys, unknown ones left out. One query."""
    wanted = {key for key in wanted_by if key}
    if not wanted:
        return {}
    rows = PlannedLine.objects.filter(wanted_by__in=wanted).order_by("id").values_list("wanted_by", "label")
    return dict(rows)


def next_mix_in(colour_id: int) -> str:
    """Number of the next planned mix of a colour, "" if none is planned. Two queries."""
    ahead = planned_mixes_ahead()
    numbers = mix_numbers_ahead(ahead)
    return next((f"{numbers[planned.pk]}" for planned in ahead if planned.colour_id == colour_id), "")
