"""What stands on care cards: four fronts to an A4 sheet, and their backs in mirrored places.

The candle cautions are the usual ones in our own words; the studio checks them against the standard in force
where it sells. Hazard wording is printed as it is kept with the material, never composed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from inventory.drawings.shapes import Picture
from inventory.ports import StudioFacts
from inventory.queries.wording import in_words
from orders.papers.codes import qr_of
from production.drawings.mould_to_piece import mould_to_piece
from production.queries.care import CareFacts

PER_SHEET, PER_ROW = 4, 2
USUAL_CARE = (
    "Cast mineral, poured by hand and sealed. Small bubbles and a change of tone are part of how it is made.",
    "Wipe with a soft damp cloth. No soaking, no dishwasher, no acid cleaners: vinegar and lemon mark it.",
    "Not for food or drink.",
    "Put felt under it on polished wood.",
)
NEVER_LEAVE = ("Never leave a burning candle.", "Keep it in sight.")
# Three that are always there, then the usual ones. Source of what they ask: EN 15494:2019 (label list as seen
# in a laboratory's notice); a US trade body's rules for 4 h at most and 1/2 in (13 mm) of wax left; the rest
# is common practice, no source. A card in the box does not stand in for the label on the candle itself.
CANDLE_CAUTIONS = (
    "Keep away from children and pets.",
    "Keep away from anything that can catch fire, and from draughts.",
    "Stand it level, on something heat does not harm.",
    "Leave 10 cm between burning candles.",
    "Trim the wick to {wick} mm before lighting. Keep the wax clear of bits.",
    "No more than 3 hours at a time. Stop when 13 mm of wax is left.",
    "Put it out with a snuffer. Do not move it until the wax has set.",
)
THE_CUP = (
    "Cast mineral, sealed, not for food. The outside gets warm. Small bubbles are part of how it is cast."
)


def candle_cautions(wick_mm: int) -> tuple[str, ...]:
    """The cautions of a filled piece, with the length the studio trims wicks to (it differs by market)."""
    return tuple(caution.format(wick=wick_mm) for caution in CANDLE_CAUTIONS)


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


def cards_of(pieces: Sequence[CareFacts], *, site_address: str) -> list[Card]:
    """A card for each piece."""
    return [
        Card(
            facts=facts,
            drawing=mould_to_piece(facts.silhouette),
            qr=qr_of(site_address, "p", facts.mark),
            care=facts.care or USUAL_CARE,
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
