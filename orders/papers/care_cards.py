"""What stands on care cards: four fronts to an A4 sheet, and their backs in mirrored places.

Hazard wording is printed as it is kept with the material, never composed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from inventory.drawings.shapes import Picture
from inventory.ports import StudioFacts
from inventory.queries.wording import in_words
from orders.papers.card_words import usual_care
from orders.papers.codes import qr_of
from production.drawings.mould_to_piece import mould_to_piece
from production.queries.care import CareFacts

PER_SHEET, PER_ROW = 4, 2


def missing_maker_facts(facts: StudioFacts) -> tuple[str, ...]:
    """What a maker's papers must say and the studio has not typed in.

    Source: Regulation (EU) 2023/988, Art. 9(6): name or trade mark, postal and electronic address.
    """
    named = {
        "the studio's name": facts.name,
        "its postal address": facts.address.strip(),
        "its e-mail or web address": "@" in facts.contact or "." in facts.contact,
    }
    return tuple(what for what, there in named.items() if not there)


@dataclass(frozen=True)
class Card:
    """One card: front and back of one piece. `contents` and `hazard` only where it is filled."""

    facts: CareFacts
    drawing: Picture
    qr: SafeString
    care: tuple[str, ...]
    contents: str
    hazard: tuple[str, ...]


@dataclass(frozen=True)
class CareSheet:
    """Four places of an A4 sheet, front and back; None is an empty place."""

    fronts: tuple[Card | None, ...]
    backs: tuple[Card | None, ...]


def cards_of(pieces: Sequence[CareFacts], *, studio: StudioFacts) -> list[Card]:
    """A card for each piece."""
    usual = usual_care(studio)
    return [
        Card(
            facts=facts,
            drawing=mould_to_piece(facts.silhouette),
            qr=qr_of(studio.site_address, "p", facts.mark),
            care=facts.care or usual,
            contents=", ".join(
                f"{fill.material} {in_words(fill.amount, fill.unit)}" for fill in facts.filled_with
            ),
            hazard=tuple(
                dict.fromkeys(fill.hazard_wording for fill in facts.filled_with if fill.hazard_wording)
            ),
        )
        for facts in pieces
    ]


def care_sheets(cards: Sequence[Card]) -> list[CareSheet]:
    """Cards laid out four to a sheet. Backs are mirrored, for turning the sheet over its long edge."""
    sheets = []
    for start in range(0, len(cards), PER_SHEET):
        four: list[Card | None] = [*cards[start : start + PER_SHEET]]
        four += [None] * (PER_SHEET - len(four))
        backs = [four[place ^ 1] for place in range(PER_SHEET)]
        sheets.append(CareSheet(tuple(four), tuple(backs)))
    return sheets
