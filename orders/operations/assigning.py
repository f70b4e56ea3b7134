"""Keeping pieces for order lines."""

from __future__ import annotations

from datetime import datetime


def offer_pieces(*, now: datetime) -> None:
    """Keep free pieces for the order lines that lack them."""
