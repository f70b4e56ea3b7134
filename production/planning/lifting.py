"""Limits, and a problem with some of them lifted: as many copies, hands, hours or grams as can be used."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace

from production.planning.calendar import DAY
from production.planning.problem import Compound, Pin, Problem, Window

MOULD, HANDS, HOURS, CLOSED_DAYS = "mould", "hands", "working hours", "closed days"
POWDER, MATERIAL, PINS, NO_POURS = "powder", "material", "pins", "no pours"
# More pairs of hands than a studio's work can keep busy at once, few enough to be played quickly.
MANY_PAIRS = 12
MANY_G = 1e12
# Each of so many pins is lifted by itself; of more all at once, for each costs a solve.
MOST_PINS_APART = 4


@dataclass(frozen=True, slots=True, order=True)
class Limit:
    """One thing there is only so much of: `kind`, and the name of its mould, material or pin if it has one.

    Pins without a name are all of them together.
    """

    kind: str
    name: str = ""


def limits_of(problem: Problem, line_id: str) -> tuple[Limit, ...]:
    """The limits that can hold a line; those that cannot bind whatever the plan are left out."""
    return tuple(limit for limit in limits_met(problem, line_id) if can_bind(problem, limit))


def limits_met(problem: Problem, line_id: str) -> tuple[Limit, ...]:
    """Everything a line takes that there is only so much of, each once."""
    line = problem.line_by_id[line_id]
    article = problem.article_by_name[line.article]
    found = [Limit(MOULD, part.mould) for part in article.parts]
    found += [Limit(HANDS), Limit(HOURS), Limit(CLOSED_DAYS)]
    for part in article.parts:
        compound = problem.compound_by_name[part.compound]
        found.append(Limit(POWDER, compound.powder or compound.name))
        colour = part.colour or line.colour
        for recipe in problem.recipes:
            if (recipe.compound, recipe.colour) == (compound.name, colour):
                found += [Limit(MATERIAL, need.supply) for need in recipe.needs]
    for needs in [article.pack_needs, *(step.needs for step in article.steps)]:
        found += [Limit(MATERIAL, need.supply) for need in needs]
    if len(problem.pins) <= MOST_PINS_APART:
        found += [Limit(PINS, pin_name(pin)) for pin in problem.pins]
    else:
        found.append(Limit(PINS))
    poured = [(part.compound, part.colour or line.colour) for part in article.parts]
    if any(barred.concerns(*mixed) for barred in problem.no_pours for mixed in poured):
        found.append(Limit(NO_POURS))
    return tuple(dict.fromkeys(found))


def can_bind(problem: Problem, limit: Limit) -> bool:
    """Whether a limit can hold anything: False where from the start there is enough for every piece."""
    if limit.kind == MOULD:
        mould = problem.mould_by_name[limit.name]
        in_moulds = any(
            part.mould == limit.name
            for poured in problem.poured
            for cast in poured.casts
            for part in problem.article_by_name[problem.line_by_id[cast.line].article].parts
        )
        free = 0 if in_moulds else mould.copies - sum(minute > 0 for minute in mould.free_at)
        return free < _casts_of(problem, limit.name)
    if limit.kind == POWDER:
        in_hand = [
            problem.supply_by_name[compound.powder].opening if compound.powder else compound.powder_g
            for compound in _mixed_from(problem, limit.name)
        ]
        return min(in_hand, default=0) < sum(_powder_by_colour(problem, limit.name).values())
    if limit.kind == MATERIAL:
        return problem.supply_by_name[limit.name].opening < _most_used(problem, limit.name)
    if limit.kind == CLOSED_DAYS:
        return bool(closed_days(problem))
    return True


def lift(problem: Problem, limits: Collection[Limit]) -> Problem:
    """The problem with each of the limits lifted: so much of it that more could not be used.

    Closed days get a usual day's hours, from the day after the first window on; longer hours last from
    midnight to midnight on every day with hands in.
    """
    for limit in sorted(limits, key=_in_order):
        problem = _LIFTS[limit.kind](problem, limit.name)
    return problem


def _in_order(limit: Limit) -> tuple[int, Limit]:
    # Days are opened before hours are stretched, so that the opened days are stretched too.
    return list(_LIFTS).index(limit.kind), limit


def closed_days(problem: Problem) -> list[int]:
    """Days without a window, by number from the problem's start, after the first day that has one."""
    open_days = _open_days(problem.windows)
    if not open_days:
        return []
    last = problem.minutes // DAY
    return [day for day in range(min(open_days) + 1, last) if day not in open_days]


def usual_day(problem: Problem) -> tuple[Window, ...]:
    """The windows of the most usual day with hands in, as minutes of a day; the fullest of equals."""
    by_day: dict[int, list[Window]] = {}
    for window in problem.windows:
        if window.pairs and window.start // DAY == (window.end - 1) // DAY:
            start = window.start // DAY * DAY
            by_day.setdefault(window.start // DAY, []).append(
                Window(window.start - start, window.end - start, window.pairs)
            )
    days = Counter(tuple(windows) for windows in by_day.values())
    return max(
        days,
        key=lambda day: (days[day], sum((window.end - window.start) * window.pairs for window in day)),
        default=(),
    )


def open_days_as_usual(problem: Problem, days: Iterable[int]) -> Problem:
    """The problem with a usual day's hours on days that have none."""
    added = [
        Window(day * DAY + window.start, day * DAY + window.end, window.pairs)
        for day in days
        for window in usual_day(problem)
    ]
    kept = [window for window in problem.windows if window.pairs]
    windows = sorted((*kept, *added), key=lambda window: window.start)
    return replace(problem, windows=tuple(windows))


def _open_days(windows: Iterable[Window]) -> set[int]:
    return {
        day
        for window in windows
        if window.pairs
        for day in range(window.start // DAY, (window.end - 1) // DAY + 1)
    }


def _casts_of(problem: Problem, mould: str) -> int:
    per_article = {
        article.name: sum(part.mould == mould for part in article.parts) for article in problem.articles
    }
    return sum(line.quantity * per_article[line.article] for line in problem.lines)


def _mixed_from(problem: Problem, powder: str) -> list[Compound]:
    return [compound for compound in problem.compounds if (compound.powder or compound.name) == powder]


def _powder_by_colour(problem: Problem, powder: str) -> dict[tuple[str, str], float]:
    """Grams of a powder that every piece in a mix of its own would take, by compound and colour."""
    compounds = {compound.name: compound for compound in _mixed_from(problem, powder)}
    grams: dict[tuple[str, str], float] = {}
    for line in problem.lines:
        for part in problem.article_by_name[line.article].parts:
            compound = compounds.get(part.compound)
            if compound is not None:
                slurry_g = part.ml * compound.slurry_g_per_ml + compound.residue_g
                key = compound.name, part.colour or line.colour
                grams[key] = grams.get(key, 0) + line.quantity * slurry_g * compound.powder_share
    return grams


def _most_used(problem: Problem, supply: str) -> float:
    """More of a supply than any plan can use."""
    most: float = 0
    for compound in problem.compounds:
        grams = _powder_by_colour(problem, compound.powder or compound.name)
        for recipe in problem.recipes:
            if recipe.compound == compound.name:
                per_gram = sum(need.per_powder_g for need in recipe.needs if need.supply == supply)
                most += per_gram * grams.get((compound.name, recipe.colour), 0)
    for line in problem.lines:
        article = problem.article_by_name[line.article]
        for needs in [article.pack_needs, *(step.needs for step in article.steps)]:
            most += sum(need.each * line.quantity + need.per_batch for need in needs if need.supply == supply)
    return most


# Lifting each kind ---------------------------------------------------------------------------------


def pin_name(pin: Pin) -> str:
    """The name of the limit that a pin is."""
    return f"{pin.start} {pin.compound} {pin.colour}"


def _lift_pins(problem: Problem, name: str) -> Problem:
    return replace(problem, pins=tuple(pin for pin in problem.pins if name and pin_name(pin) != name))


def _lift_no_pours(problem: Problem, name: str) -> Problem:
    return replace(problem, no_pours=())


def _lift_mould(problem: Problem, name: str) -> Problem:
    return more_copies(problem, name, _casts_of(problem, name))


def more_copies(problem: Problem, mould: str, more: int) -> Problem:
    """The problem with so many more copies of a mould, free from the start."""
    return replace(
        problem,
        moulds=tuple(
            replace(kind, copies=kind.copies + more) if kind.name == mould else kind
            for kind in problem.moulds
        ),
    )


def _lift_powder(problem: Problem, name: str) -> Problem:
    compounds = tuple(
        replace(compound, powder_g=MANY_G, receipts=())
        if (compound.powder or compound.name) == name
        else compound
        for compound in problem.compounds
    )
    return _lift_material(replace(problem, compounds=compounds), name)


def _lift_material(problem: Problem, name: str) -> Problem:
    supplies = tuple(
        replace(supply, opening=MANY_G, receipts=()) if supply.name == name else supply
        for supply in problem.supplies
    )
    return replace(problem, supplies=supplies)


def _lift_closed_days(problem: Problem, name: str) -> Problem:
    return open_days_as_usual(problem, closed_days(problem))


def _lift_hours(problem: Problem, name: str) -> Problem:
    pairs: dict[int, int] = {}
    for window in problem.windows:
        for day in _open_days([window]):
            pairs[day] = max(pairs.get(day, 0), window.pairs)
    first = min((window.start for window in problem.windows if window.pairs), default=0)
    windows = tuple(
        Window(max(first, day * DAY), min(problem.minutes, (day + 1) * DAY), pairs[day])
        for day in sorted(pairs)
    )
    return replace(problem, windows=windows)


def _lift_hands(problem: Problem, name: str) -> Problem:
    windows = tuple(
        replace(window, pairs=max(window.pairs, MANY_PAIRS)) if window.pairs else window
        for window in problem.windows
    )
    return replace(problem, windows=windows)


_LIFTS: dict[str, Callable[[Problem, str], Problem]] = {
    PINS: _lift_pins,
    NO_POURS: _lift_no_pours,
    MOULD: _lift_mould,
    POWDER: _lift_powder,
    MATERIAL: _lift_material,
    CLOSED_DAYS: _lift_closed_days,
    HOURS: _lift_hours,
    HANDS: _lift_hands,
}
