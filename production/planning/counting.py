"""Bounds that need no solver: casts against turns of the moulds, minutes against hands, pieces against jugs.

Each is true of every plan, and quick enough for thousands of lines.
"""

from bisect import bisect_left, bisect_right, insort
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import ceil, floor, gcd

from production.planning.forward import earliest_packed
from production.planning.measures import NOISE
from production.planning.prepare import Prepared
from production.planning.turns import NEVER, Earliest, late_points

TOO_LATE, MOULDS, HANDS = "lines too late already", "turns of the moulds", "hours of hands"

# What must be done by a minute, and what being late with it costs: minute, amount, points.
Demand = tuple[int, float, float]


def points_by_counting(prepared: Prepared) -> tuple[float, str]:
    """Lateness points that no plan goes below, and what proves it."""
    earliest = Earliest(prepared)
    sure = sure_points(prepared, earliest)
    at_least, proven_by = sum(sure), TOO_LATE
    for extra, by in (
        (sum(extra_by_group(prepared, earliest, sure).values()), MOULDS),
        (_by_hands(prepared, sure), HANDS),
    ):
        if sum(sure) + extra > at_least + NOISE:
            at_least, proven_by = sum(sure) + extra, by
    return up_to_grain(prepared, at_least), proven_by


def sure_points(prepared: Prepared, earliest: Earliest) -> list[float]:
    """Per line, what it costs even with the studio to itself."""
    points = []
    for line in range(len(prepared.problem.lines)):
        packed = None if line in prepared.cannot else earliest_packed(prepared, line)
        days = NEVER if packed is None else earliest.days_late(line, packed)
        points.append(late_points(prepared, line, days))
    return points


def up_to_grain(prepared: Prepared, points: float) -> float:
    """The least that any plan can score and that is no less than `points`: plans score in whole grains."""
    problem, grain = prepared.problem, 0
    for line in problem.lines:
        each = line.weight * line.quantity
        for amount in (each * 1000, each * problem.late_step_days * 1000):
            if abs(amount - round(amount)) > NOISE:
                return floor(points * 1000) / 1000
            grain = gcd(grain, round(amount))
    return ceil(points * 1000 / grain - NOISE) * grain / 1000 if grain else points


def least_extra(demands: Iterable[Demand], room_until: Mapping[int, float]) -> float:
    """The least points of demands that must be let go, because not all fit by their minutes.

    At each minute, what is due by then and beyond the room until then is let go, the cheapest per
    amount first and in fractions: no choice of whole demands costs less.
    """
    ordered = sorted(demands)
    least, due, known = 0.0, 0.0, list[tuple[float, float]]()
    for place, (minute, amount, points) in enumerate(ordered):
        due += amount
        insort(known, (points / amount, amount))
        last = place + 1 == len(ordered) or ordered[place + 1][0] != minute
        if last and due > room_until[minute] + NOISE:
            least = max(least, _cheapest(known, due - room_until[minute]))
    return least


def _cheapest(known: Iterable[tuple[float, float]], excess: float) -> float:
    """What so much costs, bought from (price, amount) in order of price."""
    cost = 0.0
    for price, amount in known:
        cost += price * min(amount, excess)
        excess -= amount
        if excess <= 0:
            break
    return cost


def extra_by_group(prepared: Prepared, earliest: Earliest, sure: Sequence[float]) -> dict[int, float]:
    """Points above the sure ones by group of lines: casts due by a minute against turns of their mould."""
    demands: dict[int, dict[tuple[int, int], float]] = defaultdict(lambda: defaultdict(float))
    for number, unit in enumerate(prepared.units):
        if sure[unit.line]:
            continue
        last = last_pour_in_time(earliest, number)
        for mould, copies in prepared.streams[unit.stream].needs:
            demands[mould][last, unit.line] += unit.pieces * copies
    turns = earliest.quickest_turns()
    by_group: dict[int, float] = defaultdict(float)
    group_of = groups_of_lines(prepared)
    for mould, lines in demands.items():
        fills = sorted(
            start
            for free_at in earliest.copies_from(mould)
            for start in earliest.fills(turns[mould], prepared.problem.moulds[mould].rest_minutes, free_at)
        )
        room = {minute: float(bisect_right(fills, minute)) for minute, _ in lines}
        by_line: dict[int, list[tuple[int, float]]] = defaultdict(list)
        for (minute, line), casts in lines.items():
            by_line[line].append((minute, casts))
        asked = [
            # A line with casts due by several minutes counts whole at the last of them.
            (max(minute for minute, _ in due), sum(casts for _, casts in due), late_points(prepared, line, 1))
            for line, due in by_line.items()
        ]
        if asked:
            group = group_of[next(iter(by_line))]
            by_group[group] = max(by_group[group], least_extra(asked, room))
    return by_group


def last_pour_in_time(earliest: Earliest, unit_number: int) -> int:
    """The last minute at which a piece of a unit can be poured and its line still be in time (-1: none)."""
    ship_by = earliest.prepared.problem.lines[earliest.prepared.units[unit_number].line].ship_by
    too_late = bisect_left(
        range(max(0, ship_by) + 1), True, key=lambda m: _packed(earliest, unit_number, m) > ship_by
    )
    return too_late - 1


def _packed(earliest: Earliest, unit_number: int, minute: int) -> int:
    """The earliest a line is packed when a piece is poured as soon as hands work from a minute on."""
    turn = earliest.turn_of_stream[earliest.prepared.units[unit_number].stream]
    poured_at = earliest.calendar.first_fit(minute, turn.hands)
    return NEVER if poured_at is None else earliest.packed(unit_number, poured_at)


def groups_of_lines(prepared: Prepared) -> list[int]:
    """Per line a number that lines share when moulds tie them together, directly or over other lines."""
    group = list(range(len(prepared.problem.lines)))

    def root(line: int) -> int:
        while group[line] != line:
            group[line] = group[group[line]]
            line = group[line]
        return line

    first_of: dict[int, int] = {}
    for unit in prepared.units:
        for mould, _ in prepared.streams[unit.stream].needs:
            group[root(unit.line)] = root(first_of.setdefault(mould, unit.line))
    return [root(line) for line in range(len(group))]


def _by_hands(prepared: Prepared, sure: Sequence[float]) -> float:
    """Points above the sure ones: hands-on minutes of lines due by a minute against the hours until then."""
    minutes = [float(sum(minutes for _, minutes in tasks)) for tasks in prepared.tasks]
    for unit in prepared.units:
        takes = prepared.streams[unit.stream].takes
        minutes[unit.line] += unit.pieces * (takes.fill_milliminutes + takes.opening_milliminutes) / 1000
    demands, hours = [], {}
    for line, wanted in enumerate(prepared.problem.lines):
        if not sure[line] and minutes[line] > 0:
            demands.append((wanted.ship_by, minutes[line], late_points(prepared, line, 1)))
            hours[wanted.ship_by] = 0.0
    for due in hours:
        for window in prepared.calendar.windows:
            if window.start >= due:
                break
            hours[due] += window.pairs * (min(window.end, due) - window.start)
    return least_extra(demands, hours)


def mixes_by_counting(prepared: Prepared, points: float) -> int:
    """Mixes without which no plan has at most so many lateness points: pieces against what a mix holds."""
    earliest = Earliest(prepared)
    by_jug: dict[int, dict[int, int]] = defaultdict(dict)
    for unit_number, unit in enumerate(prepared.units):
        by_jug[prepared.streams[unit.stream].jug][unit_number] = unit.pieces
    needed = sum(mixes_for(prepared, jug, pieces) for jug, pieces in by_jug.items())
    sure = sure_points(prepared, earliest)
    return max(0, needed - _mixes_left_out(prepared, sure, points - sum(sure)))


def mixes_for(prepared: Prepared, jug_number: int, pieces: Mapping[int, int]) -> int:
    """The least mixes that hold so many pieces by unit: working time, jug, opening and copies."""
    jug, longest = prepared.jugs[jug_number], prepared.calendar.longest_minutes
    fill = slurry = opening = 0
    casts: dict[int, int] = defaultdict(int)
    for unit, count in pieces.items():
        stream = prepared.streams[prepared.units[unit].stream]
        fill += count * stream.takes.fill_milliminutes
        slurry += count * stream.takes.slurry_mg
        opening += count * stream.takes.opening_milliminutes
        for mould, copies in stream.needs:
            casts[mould] += count * copies
    hands = longest - jug.weigh_and_mix_minutes - jug.clean_up_minutes
    copies_of = prepared.problem.moulds
    return max(
        -(-fill // (1000 * min(jug.working_minutes, hands))),
        -(-slurry // jug.holds_mg),
        -(-opening // (1000 * longest)),
        *(-(-count // copies_of[mould].copies) for mould, count in casts.items()),
    )


def _mixes_left_out(prepared: Prepared, sure: Sequence[float], points_to_spend: float) -> int:
    """At most so many mixes are saved by leaving lines out of a plan for so many points.

    A line left out saves no more than the mixes it would need alone; the dearest savings are
    bought first, and in fractions.
    """
    saves: dict[int, int] = defaultdict(int)
    for number, unit in enumerate(prepared.units):
        saves[unit.line] += mixes_for(prepared, prepared.streams[unit.stream].jug, {number: unit.pieces})
    saved, bought = 0.0, []
    for line, mixes in saves.items():
        price = late_points(prepared, line, NEVER) - sure[line]
        if price <= NOISE:
            saved += mixes
        else:
            bought.append((mixes / price, mixes, price))
    left = points_to_spend + NOISE
    for _, mixes, price in sorted(bought, reverse=True):
        share = min(1.0, max(0.0, left) / price)
        saved += mixes * share
        left -= price
    return floor(saved + NOISE)
