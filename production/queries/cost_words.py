"""Costs in words: lines with their amounts and prices, and why a piece cost more or less than it should."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.arithmetic.quantities import format_amount, format_money
from production.arithmetic.costing import CARRIED, WholeLine
from production.arithmetic.pricing import Difference
from production.queries.standard_cost import MINUTES, Losses

PER = {
    "g": (1_000_000, "a kg"),
    "ml": (1_000_000, "a litre"),
    "piece": (1_000, "each"),
    MINUTES: (60, "an hour"),
}
MATERIALS, MOULDS, HANDS = "Materials", "Moulds", "Hands"
GROUPS = (MATERIALS, MOULDS, HANDS, CARRIED)


@dataclass(frozen=True)
class CostRow:
    """One line of a cost sheet. `group` is what it stands under."""

    group: str
    name: str
    amount: str
    price: str
    minor: int


def cost_rows(lines: Sequence[WholeLine], currency: str) -> list[CostRow]:
    """The lines of a cost for a table, grouped: materials, moulds, hands, seconds and scrap."""
    rows = [
        CostRow(_group(line), line.name, amount_words(line), price_words(line, currency), line.minor)
        for line in lines
    ]
    return sorted(rows, key=lambda row: GROUPS.index(row.group))


def group_sums(lines: Sequence[WholeLine]) -> tuple[int, ...]:
    """What each of GROUPS comes to, in minor units; together they are the cost."""
    return tuple(sum(line.minor for line in lines if _group(line) == group) for group in GROUPS)


def amount_words(line: WholeLine) -> str:
    """How much of it: "412 g", "3.4 min", "" where nothing is counted."""
    if line.unit == MINUTES:
        return f"{float(line.amount):.1f} min".replace(".0 min", " min")
    step = 1000 if line.amount >= 100_000 else 100
    return format_amount(round(line.amount / step) * step, line.unit) if line.unit else ""  # type: ignore[arg-type]


def price_words(line: WholeLine, currency: str) -> str:
    """What it cost for a kilogram, a litre, a piece or an hour; "" where nothing is counted."""
    if not line.unit or not line.amount:
        return ""
    per, word = PER[line.unit]
    return f"{format_money(round(line.exact_minor * per / line.amount), currency)} {word}"


def losses_words(losses: Losses) -> str:
    """How the past year came out: "38 good, 2 seconds or scrap, 1 cast scrap before it was a piece"."""
    if not losses.good:
        return "Nothing good has come out of the moulds in the past year, so nothing is carried yet."
    words = f"In the past year {losses.good} came out good and {losses.failed} as seconds or scrap"
    if losses.scrap_casts:
        casts = "1 cast was" if losses.scrap_casts == 1 else f"{losses.scrap_casts} casts were"
        words += f"; {casts} scrap before a piece was made of it"
    if losses.good + losses.failed < 10:
        words += ". That is few to go by"
    return f"{words}."


def difference_words(one: Difference, currency: str, *, is_ready: bool) -> str:
    """Why a line of a piece differs from the standard, in one sentence."""
    if one.name == CARRIED:
        return _carried_words(one)
    if one.was is None:
        return f"{one.name}: not yet." if not is_ready else f"{one.name}: none went into this piece."
    if one.should is None:
        return f"{one.name}: the article does not take it now."
    if not one.should.unit:
        return f"{one.name}: this copy wears at another price than the copies do on the average."
    said = []
    was, should = amount_words(one.was), amount_words(one.should)
    if one.by_amount and was != should:
        said.append(f"{was} instead of {should}")
    if one.by_price and one.was.unit != MINUTES:
        now, then = price_words(one.should, currency), price_words(one.was, currency)
        if now != then:
            said.append(f"paid {then}, now {now}")
    return f"{one.name}: {' and '.join(said) or 'rounded'}."


def _carried_words(one: Difference) -> str:
    if one.was is None:
        return f"{CARRIED}: none came out of its mix, where the past year had some."
    if one.should is None:
        return f"{CARRIED}: it carries those of its own mix; the past year had none to reckon with."
    return f"{CARRIED}: it carries those of its own mix instead of the past year's average."


def _group(line: WholeLine) -> str:
    if line.name == CARRIED:
        return CARRIED
    if line.unit == MINUTES:
        return HANDS
    return MATERIALS if line.unit else MOULDS
