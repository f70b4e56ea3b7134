"""Names under which the planner and the pieces know who wants them."""

from __future__ import annotations


def line_key(line_id: int) -> str:
    """What a piece poured for an order line names as its wish."""
    return f"line:{line_id}"


def wish_key(wish_id: int) -> str:
    """What a piece poured for the shelf names as its wish."""
    return f"wish:{wish_id}"


def line_of_key(key: str) -> int | None:
    """The order line that a wish names, None where it names none."""
    kind, _, number = key.partition(":")
    return int(number) if kind == "line" and number.isdecimal() else None
