"""Why each late line is late: the limit whose lifting brings it in time, found by solving again.

First what is true of a line alone: it cannot be made, or it is too late already. Then every limit a
late line can meet is lifted in a solve of its own, which answers for all late lines at once; the
limit that brings a line in time is its reason, and of several the one with the greatest fall of
points. Where no single one does, all of the line's limits are lifted and put back one by one as
long as the line stays in time: what is left holds it together. The most telling solves come first, their
number is bounded, and a stop in between leaves lines that are *not looked into*, never a guess.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from production.planning.lifting import MOULD, Limit, lift, limits_of
from production.planning.reasons import ORDERED_TOO_LATE
from production.planning.resolving import Answer, Resolver
from production.planning.solution import Held, Plan, PlannedLine

CANNOT, TOO_LATE, ONE, TOGETHER, SEARCH, NONE, NOT_YET = (
    "cannot be made",
    "too late already",
    "limit",
    "together",
    "longer search",
    "not found",
    "not looked into",
)
# Solves at most: one for each limit, then to take limits apart that hold a line together.
SINGLES_MOST = 12
TOGETHER_MOST = 12
# From so many kinds of mould on, one solve with all of them lifted may spare the rest.
MANY_MOULDS = 3

OnProgress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Because:
    """Why one line is late.

    `kind`: "limit" (`limits` holds the one), "together" (`limits` holds those), "too late already"
    (`limits` holds what would still bring it in time, if lifted), "cannot be made", "longer search" (the
    same problem, given more tries, has it in time), "not found" (late even with all of its limits lifted) or
    "not looked into". `poured_by` is when its first mix would have had to start, with the studio to itself;
    `earliest_packed` what that could reach now.
    """

    line: str
    kind: str
    limits: tuple[Limit, ...] = ()
    poured_by: int | None = None
    earliest_packed: int | None = None


class Why:
    """Looks for the reasons of the late lines of a plan; `reasons` is true at every moment.

    `lifted` keeps what each lifted limit came to, for whoever prices offers.
    """

    def __init__(self, plan: Plan, resolver: Resolver, on_progress: OnProgress | None = None) -> None:
        self.resolver, self.problem = resolver, resolver.problem
        self._on_progress = on_progress
        weighs = {line.id for line in self.problem.lines if line.weight > 0}
        self.late = [line for line in plan.late if line.line in weighs]
        self.limits = {line.line: limits_of(self.problem, line.line) for line in self.late}
        self.lifted: dict[frozenset[Limit], Answer] = {}
        self._found: dict[str, Because] = {}
        for line in self.late:
            self._note_facts(line)
        self._order = self._most_telling_first()

    @property
    def reasons(self) -> tuple[Because, ...]:
        """Why each late line is late, as far as it was looked into."""
        return tuple(self._found.get(line.line, Because(line.line, NOT_YET)) for line in self.late)

    def look(self) -> None:
        """Solve until every late line has its reason or the bounded number of solves is used up.

        Raises
        ------
        Stopped
            When the resolver was asked to stop; what was found until then stays.
        """
        if not self.late:
            return
        singles = self._order[:SINGLES_MOST]
        try:
            self._tell(0, len(singles) + 1)
            self._note_longer_search(self.resolver.unchanged)
            for done, limit in enumerate(self._not_vain(singles), start=1):
                self._tell(done, len(singles) + 1)
                self._lift({limit})
        finally:
            # Also when it was stopped: what one limit does is true whether or not the others were tried.
            self._note_singles()
        self._take_apart()

    def _tell(self, done: int, of: int) -> None:
        if self._on_progress is not None:
            self._on_progress(done, of)

    def _note_facts(self, line: PlannedLine) -> None:
        held = line.held
        if held is None:
            return
        if held.limit == ORDERED_TOO_LATE:
            facts = held.latest_first_pour, held.earliest_packed
            self._found[line.line] = Because(line.line, TOO_LATE, (), *facts)
        elif held.limit in ("jug", "working time"):
            self._found[line.line] = Because(line.line, CANNOT, (Limit(held.limit),))

    def _most_telling_first(self) -> list[Limit]:
        """All limits of the late lines: first what most late points waited for, then what most can meet."""
        points: dict[Limit, float] = defaultdict(float)
        waited: dict[Limit, float] = defaultdict(float)
        weight_of = {line.id: line.weight * line.quantity for line in self.problem.lines}
        for line in self.late:
            late = weight_of[line.line] * (self.problem.late_step_days + (line.days_late or 365))
            for limit in self.limits[line.line]:
                points[limit] += late
                if line.held is not None and _is_held_by(line.held, limit):
                    waited[limit] += late
        return sorted(points, key=lambda limit: (-waited[limit], -points[limit], limit))

    def _lift(self, limits: Iterable[Limit]) -> Answer:
        chosen = frozenset(limits)
        if chosen not in self.lifted:
            self.lifted[chosen] = self.resolver.answer(lift(self.problem, chosen))
        return self.lifted[chosen]

    def _not_vain(self, singles: list[Limit]) -> Iterable[Limit]:
        """The single limits worth a solve: no mould alone where all moulds together change nothing."""
        moulds = [limit for limit in singles if limit.kind == MOULD]
        vain = False
        if len(moulds) > MANY_MOULDS:
            lifted, unchanged = self._lift(moulds).score, self.resolver.unchanged.score
            vain = (lifted.points, lifted.mixes) == (unchanged.points, unchanged.mixes)
            if vain:
                for mould in moulds:
                    self.lifted[frozenset((mould,))] = self.resolver.unchanged
        return [limit for limit in singles if not (vain and limit.kind == MOULD)]

    def _note_longer_search(self, unchanged: Answer) -> None:
        """Lines that more tries alone bring in time, in a plan that is better than the one in hand."""
        for line in self.late:
            if unchanged.days_late[line.line] == 0:
                self._found.setdefault(line.line, Because(line.line, SEARCH))

    def _note_singles(self) -> None:
        for line in self.late:
            found = self._found.get(line.line)
            enough = [
                (self.lifted[single].key, limit)
                for limit in self.limits[line.line]
                for single in [frozenset((limit,))]
                if single in self.lifted and self.lifted[single].days_late[line.line] == 0
            ]
            if not enough:
                continue
            best = min(enough)[1]
            if found is None:
                self._found[line.line] = Because(line.line, ONE, (best,))
            elif found.kind == TOO_LATE:
                self._found[line.line] = Because(
                    line.line, TOO_LATE, (best,), found.poured_by, found.earliest_packed
                )

    # Together ----------------------------------------------------------------------------------

    def _take_apart(self) -> None:
        """For lines that no single limit frees: the fewest of their limits that do so together."""
        budget = self.resolver.solves + TOGETHER_MOST
        for line in self.late:
            limits = self.limits[line.line]
            tried = all(frozenset((limit,)) in self.lifted for limit in limits)
            if line.line in self._found or not tried:
                continue
            self._note_known_together(line.line)
            if line.line not in self._found and self.resolver.solves < budget:
                self._found_together(line.line, budget)

    def _note_known_together(self, line: str) -> None:
        """Take what was found for another line, where it is enough for this one."""
        for other in list(self._found.values()):
            ours = other.kind == TOGETHER and set(other.limits) <= set(self.limits[line])
            if ours and self._lift(other.limits).days_late[line] == 0:
                self._found[line] = Because(line, TOGETHER, other.limits)
                return

    def _found_together(self, line: str, budget: int) -> None:
        kept = list(self.limits[line])
        if self._lift(kept).days_late[line] > 0:
            self._found[line] = Because(line, NONE)
            return
        # What is least likely to hold it is put back first.
        for limit in sorted(kept, key=self._order.index, reverse=True):
            if len(kept) == 2:
                break
            if self.resolver.solves >= budget:
                return
            fewer = [other for other in kept if other != limit]
            if self._lift(fewer).days_late[line] == 0:
                kept = fewer
        self._found[line] = Because(line, TOGETHER, tuple(kept))


def _is_held_by(held: Held, limit: Limit) -> bool:
    """Whether a line waited longest for this limit in the plan in hand."""
    return held.limit == limit.kind and limit.name in ("", held.mould, held.compound)
