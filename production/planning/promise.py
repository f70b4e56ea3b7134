"""What could be promised for lines that are not in the plan yet, and what insisting on a day would push back.

The plan in hand is played again with the new lines behind everything (`earliest_ship_by`) or with an
urgency of their own (`pushed_back_by`). Nothing is searched, so the answer is there while an order is typed;
whatever a later search finds can only be sooner.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from production.planning.calendar import DAY
from production.planning.calm import PLAIN_RULE, Keep, given_from, offsets_from
from production.planning.forward import earliest_packed
from production.planning.lifting import Limit, lift, limits_of
from production.planning.list_rule import ListRule
from production.planning.prepare import Prepared, prepare
from production.planning.problem import Problem
from production.planning.simulate import Run, simulate
from production.planning.solution import days_late

BEHIND_ALL = 10**7
# In working days from now: where the new lines may begin, until nothing of the plan is late for them.
BEGIN_AFTER = (*range(11), 13, 16, 21, 34, 55)
# How much sooner than by their own day the insisted lines are taken up, in days.
SOONER = (0, 1, 2, 4, 10, 40)
ITSELF = Limit("itself")


@dataclass(frozen=True, slots=True)
class Promise:
    """When new lines are packed without making anything of the plan later.

    `packed_at` by line id, None where the calendar cannot hold it, or not without making others later.
    `limit` is what keeps the last of them from being sooner: the limit whose lifting gains it most days;
    "itself" where it takes that long in an empty studio too.
    """

    packed_at: dict[str, int | None]
    limit: Limit

    @property
    def all_packed_at(self) -> int | None:
        """When the last of them is packed; None when one cannot be."""
        minutes = [minute for minute in self.packed_at.values() if minute is not None]
        return max(minutes) if minutes and len(minutes) == len(self.packed_at) else None


@dataclass(frozen=True, slots=True)
class PushedBack:
    """A line of the plan that leaves later than it would have; days late before and after (None: never)."""

    line: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class Insisted:
    """What insisting on the ship-by of new lines does: how late they still are, and what is pushed back."""

    days_late: int | None
    pushed: tuple[PushedBack, ...]


def earliest_ship_by(problem: Problem, keep: Keep, new: Collection[str]) -> Promise:
    """When the lines named `new` (they are in the problem) can be packed behind the plan in hand.

    They take what hands, moulds and powder the plan leaves, and may begin at once or so many working days
    later that no line of the plan becomes later than it is.
    """
    before = _without(problem, keep, new)
    found = _behind(problem, keep, new, before)
    if found is None:
        return Promise(dict.fromkeys(sorted(new)), ITSELF)
    run, not_before = found
    packed = _packed(run, new)
    promise = Promise(packed, ITSELF)
    last = promise.all_packed_at
    if last is None:
        return promise
    slowest = max(packed, key=lambda line: packed[line] or 0)
    return Promise(packed, _limit_of(problem, keep, new, slowest, last, not_before))


def pushed_back_by(problem: Problem, keep: Keep, new: Collection[str]) -> Insisted:
    """What the lines named `new` push back if their ship-by in the problem is insisted on.

    They are taken up as urgently as makes them least late, and of that as costs the others least.
    """
    before = _without(problem, keep, new)
    behind = _behind(problem, keep, new, before)
    if behind is not None and _worst_late(behind[0], new) == 0:
        return Insisted(0, ())
    prepared = prepare(problem)
    runs = [_played(prepared, keep, new, -days * DAY) for days in SOONER]
    best = min(runs, key=lambda run: (_worst_late(run, new), run.score))
    worst = _worst_late(best, new)
    return Insisted(None if worst == BEHIND_ALL else worst, _pushed(before, best))


def _without(problem: Problem, keep: Keep, new: Collection[str]) -> Run:
    """The plan in hand, played without the new lines."""
    lines = tuple(line for line in problem.lines if line.id not in new)
    return _played(prepare(replace(problem, lines=lines)), keep, (), 0)


def _played(prepared: Prepared, keep: Keep, new: Collection[str], offset: int) -> Run:
    """The plan in hand played with the new lines, whose urgency is shifted by `offset` minutes."""
    rule = keep.rule or PLAIN_RULE
    offsets = list(offsets_from(prepared, keep))
    for line in new:
        offsets[prepared.line_number[line]] = offset
    # Poured as soon as there is room: what is in the plan has its own minutes to wait for.
    at_once = ListRule(2 * BEHIND_ALL, rule.look_ahead_minutes, 0.0)
    return simulate(prepared, at_once, offsets=offsets, given=given_from(prepared, keep))


def _behind(problem: Problem, keep: Keep, new: Collection[str], before: Run) -> tuple[Run, int] | None:
    """The new lines behind everything, from the first minute on from which nothing is later for them."""
    days = sorted({window.start // DAY for window in problem.windows if window.end > keep.now})
    begins = [(days[number] * DAY if number else keep.now) for number in BEGIN_AFTER if number < len(days)]
    for not_before in begins or [keep.now]:
        run = _played(prepare(_not_before(problem, new, not_before)), keep, new, BEHIND_ALL)
        if not _pushed(before, run):
            return run, not_before
    return None


def _not_before(problem: Problem, new: Collection[str], minute: int) -> Problem:
    lines = tuple(
        replace(line, not_before=max(line.not_before, minute)) if line.id in new else line
        for line in problem.lines
    )
    return replace(problem, lines=lines)


def _limit_of(
    problem: Problem, keep: Keep, new: Collection[str], slowest: str, last: int, not_before: int
) -> Limit:
    """The limit whose lifting has the slowest new line packed soonest, if that saves a day or more."""
    prepared = prepare(problem)
    alone = earliest_packed(prepared, prepared.line_number[slowest])
    if alone is not None and last // DAY <= alone // DAY:
        return ITSELF
    best, gained = ITSELF, 0
    for limit in limits_of(problem, slowest):
        lifted = _not_before(lift(problem, (limit,)), new, not_before)
        packed = _packed(_played(prepare(lifted), keep, new, BEHIND_ALL), [slowest])[slowest]
        days = 0 if packed is None else last // DAY - packed // DAY
        if days > gained:
            best, gained = limit, days
    return best


def _packed(run: Run, lines: Collection[str]) -> dict[str, int | None]:
    number = run.prepared.line_number
    return {line: run.packed_at[number[line]] for line in lines}


def _days_late(run: Run, line: str) -> int | None:
    number = run.prepared.line_number[line]
    packed = run.packed_at[number]
    return None if packed is None else days_late(packed, run.prepared.problem.lines[number].ship_by)


def _worst_late(run: Run, lines: Collection[str]) -> int:
    """Days late of the worst of some lines; one that is not placed counts as later than any."""
    return max(BEHIND_ALL if late is None else late for late in (_days_late(run, line) for line in lines))


def _pushed(before: Run, after: Run) -> tuple[PushedBack, ...]:
    """The lines that somebody waits for and that are later than they were; the worst first."""
    found = []
    for line in before.prepared.problem.lines:
        if line.weight == 0:
            continue
        was, now = _days_late(before, line.id), _days_late(after, line.id)
        if was is not None and (now is None or now > was):
            found.append(PushedBack(line.id, was, now))
    return tuple(sorted(found, key=lambda one: (one.after is not None, -(one.after or 0), one.line)))
