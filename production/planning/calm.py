"""Keeping a plan calm: what the plan before it had ahead is where the next one starts from.

Every mix of the old plan is given to the simulator not before its old start, with the list rule and the
urgency of lines it was made with; where nothing changed that plays the old plan again, minute by minute.
What a search then changes has a price (`changes`), so that it is changed only where it pays.
"""

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from production.planning.calendar import DAY, WorkCalendar
from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared
from production.planning.problem import CastCount
from production.planning.simulate import Run, simulate
from production.planning.state import GivenMix
from production.planning.streams import Takes

# A mix that begins within this many minutes of where it was has stayed: hands plan by the quarter hour.
STAYS_WITHIN = 15
# Hands have made ready for what comes within so many working days; later changes cost them little.
NEAR_WORKING_DAYS = 2
NEAR_CHANGE, FAR_CHANGE = 1.0, 0.2
# What a plan is replayed with that does not say what it was made with.
PLAIN_RULE = ListRule(5 * DAY, 5 * DAY, 0.0)


@dataclass(frozen=True, slots=True)
class KeptMix:
    """A mix of the old plan in the names of the new problem; casts in the order of filling."""

    start: int
    compound: str
    colour: str
    casts: tuple[CastCount, ...]


@dataclass(frozen=True, slots=True)
class Keep:
    """What the old plan has ahead at minute `now` of the new problem.

    `rule` is the list rule it was made with and `urgency` the minutes its search added to the latest
    starts of lines (negative is more urgent); lines that are not named have 0.
    """

    mixes: tuple[KeptMix, ...]
    now: int
    rule: ListRule | None = None
    urgency: tuple[tuple[str, int], ...] = ()


def given_from(prepared: Prepared, keep: Keep) -> list[GivenMix]:
    """The mixes of the old plan for the simulator, none before its old start, in order of time.

    What is not wanted any more, or cannot be poured, falls away.
    """
    units = _units_by_cast(prepared)
    left = [unit.pieces for unit in prepared.units]
    given = []
    for mix in sorted(keep.mixes, key=lambda mix: (mix.start, mix.compound, mix.colour)):
        jug = prepared.jug_number.get((mix.compound, mix.colour))
        if jug is None:
            continue
        takes = _still_possible(prepared, jug, _still_wanted(mix.casts, units, left))
        for unit, pieces in takes:
            left[unit] -= pieces
        if takes:
            given.append(GivenMix(mix.start, jug, takes))
    return given


def offsets_from(prepared: Prepared, keep: Keep) -> tuple[int, ...]:
    """The urgency of lines that the old plan was made with, by line number of the new problem."""
    urgency = dict(keep.urgency)
    return tuple(urgency.get(line.id, 0) for line in prepared.problem.lines)


def replayed(prepared: Prepared, keep: Keep) -> Run:
    """The old plan played in the new problem; what it does not know is placed behind it by its list rule."""
    return simulate(
        prepared,
        keep.rule or PLAIN_RULE,
        offsets=offsets_from(prepared, keep),
        given=given_from(prepared, keep),
    )


def changes(keep: Keep, run: Run) -> float:
    """The price of what a run changes of the old plan, in mixes.

    A mix of the old plan that is still wanted and does not stay where it was (same compound and colour,
    within a quarter of an hour) costs 1 when it was to start within two working days, 0.2 later.
    """
    near_until = _end_of_near(run.prepared.calendar, keep.now)
    moved = _not_kept(keep, run)
    return sum(NEAR_CHANGE if mix.not_before < near_until else FAR_CHANGE for mix in moved)


def kept_of(keep: Keep, run: Run) -> tuple[int, int]:
    """How many mixes of the old plan stay where they were, and of how many that are still wanted."""
    wanted = len(given_from(run.prepared, keep))
    return wanted - len(_not_kept(keep, run)), wanted


def ladder_key(keep: Keep | None, run: Run) -> tuple[int, float, float, int]:
    """What plans are compared by, less is better: missed pins, points, mixes with changes, early minutes."""
    changed = changes(keep, run) if keep else 0
    score = run.score
    return run.missed_pins, score.points, score.mixes + changed, score.early_piece_minutes


def pair_starts(old: Sequence[int], new: Sequence[int]) -> list[tuple[int, int | None]]:
    """Each old start with the new one that stands for it: as many within a quarter of an hour as can be.

    The others are paired in order of time; None for an old one too many. Both sorted, of one jug.
    """
    left = list(new)
    pairs: dict[int, int | None] = {}
    for place, start in enumerate(old):
        found = bisect_left(left, start - STAYS_WITHIN)
        if found < len(left) and left[found] <= start + STAYS_WITHIN:
            pairs[place] = left.pop(found)
    for place in range(len(old)):
        if place not in pairs:
            pairs[place] = left.pop(0) if left else None
    return [(start, pairs[place]) for place, start in enumerate(old)]


def _not_kept(keep: Keep, run: Run) -> list[GivenMix]:
    """The mixes of the old plan that are still wanted and do not stay where they were."""
    starts: dict[int, list[int]] = defaultdict(list)
    for mix in sorted(run.mixes, key=lambda mix: mix.start):
        starts[mix.jug].append(mix.start)
    old: dict[int, list[GivenMix]] = defaultdict(list)
    for given in given_from(run.prepared, keep):
        old[given.jug].append(given)
    moved = []
    for jug, mixes in old.items():
        paired = pair_starts([mix.not_before for mix in mixes], starts[jug])
        for was, (start, now_at) in zip(mixes, paired, strict=True):
            if now_at is None or abs(now_at - start) > STAYS_WITHIN:
                moved.append(was)
    return moved


def _end_of_near(calendar: WorkCalendar, now: int) -> int:
    days = sorted({window.start // DAY for window in calendar.windows if window.end > now})
    near = days[:NEAR_WORKING_DAYS]
    return (near[-1] + 1) * DAY if near else now


def _units_by_cast(prepared: Prepared) -> dict[tuple[str, str], int]:
    """The unit that each part of a line is poured in; of a matched set only by its first part."""
    units = {}
    for number, unit in enumerate(prepared.units):
        part = prepared.streams[unit.stream].parts[0]
        units[prepared.problem.lines[unit.line].id, part.name] = number
    return units


def _still_wanted(casts: Iterable[CastCount], units: dict[tuple[str, str], int], left: list[int]) -> Takes:
    takes: Counter[int] = Counter()
    for cast in casts:
        unit = units.get((cast.line, cast.part))
        if unit is not None:
            takes[unit] = min(takes[unit] + cast.quantity, left[unit])
    return tuple((unit, pieces) for unit, pieces in takes.items() if pieces > 0)


def _still_possible(prepared: Prepared, jug_number: int, takes: Takes) -> Takes:
    """As much of a mix as the jug, its working time and the copies there are can still hold.

    Copies may have been lent or broken, a compound or a mould changed: a mix that never fits would wait for
    ever, and its pieces with it.
    """
    jug = prepared.jugs[jug_number]
    hands = prepared.calendar.longest_minutes - jug.weigh_and_mix_minutes - jug.clean_up_minutes
    fill, slurry = min(jug.working_minutes, hands) * 1000, jug.holds_mg
    opening = prepared.calendar.longest_minutes * 1000
    copies = [mould.copies for mould in prepared.problem.moulds]
    found = []
    for unit, wanted in takes:
        stream = prepared.streams[prepared.units[unit].stream]
        each = stream.takes
        pieces = min(
            wanted,
            fill // each.fill_milliminutes,
            slurry // each.slurry_mg,
            opening // each.opening_milliminutes,
            *(copies[mould] // needed for mould, needed in stream.needs),
        )
        if pieces > 0 and stream.jug == jug_number:
            found.append((unit, pieces))
            fill -= pieces * each.fill_milliminutes
            slurry -= pieces * each.slurry_mg
            opening -= pieces * each.opening_milliminutes
            for mould, needed in stream.needs:
                copies[mould] -= pieces * needed
    return tuple(found)
