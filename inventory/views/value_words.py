"""The figures of the value page in words and pictures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.arithmetic.lumps import TubSize, lost_by_age
from inventory.arithmetic.money import format_money
from inventory.drawings.bars import BarsFacts, bars_picture
from inventory.drawings.lumps import LumpsFacts, lumps_picture
from inventory.drawings.shapes import Picture
from inventory.queries.lumps import MaterialLumps
from inventory.queries.wording import level_in_words

BY_UNIT = {"g": "a kg", "ml": "a litre", "piece": "a thousand"}
AGES_DAYS = (0, 15, 30, 60, 90)


@dataclass(frozen=True)
class LumpsShown:
    """One material's lumps: the answer, the two plots, and the same as tables."""

    material_id: int
    material: str
    unit: str
    answer: str
    plots: tuple[Picture, ...]
    by_age: tuple[tuple[str, int, str], ...]
    sizes: tuple[tuple[str, str, str, str, str], ...]


def month_words(month: date, today: date) -> str:
    """A month as the tables say it: "Oct", with its year where that is another."""
    return f"{month:%b}" if month.year == today.year else f"{month:%b %Y}"


def months_picture(
    heading: str,
    by_month: dict[date, Counter[str]],
    reasons: Sequence[str],
    currency: str,
    today: date,
    css: str,
) -> Picture:
    """What the months cost for these reasons, as bars; the picture says every figure."""
    sums = {month: sum(cost[reason] for reason in reasons) for month, cost in by_month.items()}
    said = ", ".join(
        f"{month_words(month, today)} {format_money(cost, currency)}" for month, cost in sums.items()
    )
    return bars_picture(
        BarsFacts(
            says=f"{heading} by month: {said}.",
            bars=[(f"{month:%b}", cost) for month, cost in sums.items()],
            highest_words=format_money(max(sums.values()), currency),
            css=css,
        )
    )


def lumps_shown(lumps: MaterialLumps, currency: str) -> LumpsShown:
    """Whether the big tub is really cheaper, with both figures, and what it is drawn from."""
    biggest = max(one.capacity for one in lumps.openings)
    by_age = tuple(
        (_age_words(place), count, percent(part) if part is not None else "")
        for place, (_, count, part) in enumerate(lost_by_age(lumps.openings, AGES_DAYS))
        if count
    )
    said = "; ".join(f"{age} {part} of what came out" for age, _, part in by_age)
    says = f"Lumps of {lumps.material} by the age of the opened tub: {said}."
    plots = tuple(
        lumps_picture(
            LumpsFacts(
                says=says if across.startswith("days") else f"The same {across}.",
                marks=[
                    (
                        one.age_days if across.startswith("days") else one.number,
                        round(one.lost * 10_000),
                        one.capacity == biggest,
                    )
                    for one in lumps.openings
                ],
                across=across,
            )
        )
        for across in ("days since it was opened", "times it had been opened")
    )
    return LumpsShown(
        material_id=lumps.material_id,
        material=lumps.material,
        unit=lumps.unit,
        answer=answer(lumps, currency),
        plots=plots,
        by_age=by_age,
        sizes=tuple(_size_row(size, lumps.unit, currency) for size in lumps.sizes),
    )


def answer(lumps: MaterialLumps, currency: str) -> str:
    """ "The 25 kg tub is cheaper: 1.67 GBP a kg used, 1.91 GBP out of the 5 kg tub." """
    by = BY_UNIT[lumps.unit]
    if lumps.verdict is None:
        return _no_verdict(lumps, currency)
    big, small = lumps.verdict.big, lumps.verdict.small
    sizes = [level_in_words(size.capacity, lumps.unit) for size in (big, small)]
    used = [format_money(round(size.used_minor), currency) for size in (big, small)]
    saves = round(lumps.verdict.saves_minor)
    is_so = "is cheaper" if saves > 0 else "is dearer" if saves < 0 else "costs the same"
    lost = f"{percent(big.lost)} of it went as lumps"
    tried = f"{percent(small.lost)} lumps" if small.is_known else "none of it opened here yet"
    return (
        f"The {sizes[0]} tub {is_so}: {used[0]} {by} used, {lost}."
        f" The {sizes[1]} one: {used[1]} {by}, {tried}."
    )


def _no_verdict(lumps: MaterialLumps, currency: str) -> str:
    size = lumps.sizes[0]
    tub = level_in_words(size.capacity, lumps.unit)
    if not size.bought or not size.is_known:
        return f"{percent(size.lost)} of what came out of the {tub} tub went as lumps. No price is noted yet."
    by = BY_UNIT[lumps.unit]
    bought, used = (format_money(round(minor), currency) for minor in (size.bought_minor, size.used_minor))
    return (
        f"Only {tub} tubs so far: {bought} {by} as bought, {used} {by} used, {percent(size.lost)} lumps."
        " Note the price of a smaller pack to compare."
    )


def percent(part: Fraction) -> str:
    """A part as a percentage with one decimal: "4.1 %"."""
    return f"{float(part) * 100:.1f} %"


def _age_words(place: int) -> str:
    if place + 1 == len(AGES_DAYS):
        return f"from day {AGES_DAYS[place]}"
    return f"day {AGES_DAYS[place]} to {AGES_DAYS[place + 1] - 1}"


def _size_row(size: TubSize, unit: str, currency: str) -> tuple[str, str, str, str, str]:
    priced = size.bought > 0
    return (
        level_in_words(size.capacity, unit),
        format_money(round(size.bought_minor), currency) if priced else "",
        level_in_words(size.out, unit) if size.out else "",
        percent(size.lost) if size.is_known else "",
        format_money(round(size.used_minor), currency) if priced and size.lost < 1 else "",
    )
