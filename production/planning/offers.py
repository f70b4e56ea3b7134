"""What would help, and what it would save: each offer is the problem with a little more of something, solved.

Late points and mixes saved are counted against the unchanged problem given the same tries. Offers of a
limit that changes nothing even when it is lifted altogether need no solve of their own: they would not
help. Shipping a line in two parts is an offer too: the first pieces are due as before, the others may
follow, and only those that come late cost points.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from production.planning.calendar import DAY
from production.planning.lifting import (
    CLOSED_DAYS,
    HANDS,
    HOURS,
    MATERIAL,
    MOULD,
    POWDER,
    Limit,
    closed_days,
    more_copies,
    open_days_as_usual,
)
from production.planning.problem import Line, Problem, Window
from production.planning.resolving import Answer
from production.planning.why import Why

COPY, HOUR, SATURDAYS, PAIR, EARLIER, JUG, PARTS = (
    "one more copy",
    "an hour more a day",
    "Saturday hands",
    "a second pair of hands",
    "two days earlier",
    "a bigger jug",
    "two parts",
)
# Solves at most.
OFFERS_MOST = 16
COPIES_MOST = 4
PARTS_MOST = 3
SATURDAY = 5
BIGGER_JUG = 1.5
EARLIER_DAYS = 2

OnProgress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that might help: `name` is the mould, the powder or material, or the line it is about.

    `pieces` is how many pieces would leave first, where it is shipped in two parts.
    """

    kind: str
    name: str = ""
    pieces: int = 0


@dataclass(frozen=True, slots=True)
class Priced:
    """What an offer comes to: points and mixes of the plan with it, and what of both it saves.

    `mixes_saved` is below 0 where fewer points cost more mixes. `lines` are the late lines it makes less
    late: id, days late as it is and with it (NEVER: not placed). `by_lifting`: not solved as such,
    because its limit saves no points even when it is lifted altogether.
    """

    offer: Offer
    points: float
    mixes: int
    points_saved: float
    mixes_saved: int
    lines: tuple[tuple[str, int, int], ...] = ()
    by_lifting: bool = False

    @property
    def helps(self) -> bool:
        """Whether it makes the plan less late."""
        return self.points_saved > 0


class Offers:
    """Prices offers for a plan whose late lines were looked into; `priced` is true at every moment."""

    def __init__(self, why: Why, on_progress: OnProgress | None = None) -> None:
        self.resolver, self.problem = why.resolver, why.resolver.problem
        self.priced: list[Priced] = []
        self._why = why
        self._late = [line.line for line in why.late]
        self._on_progress = on_progress

    def look(self) -> None:
        """Price every offer there is for the late lines, the most telling first.

        Raises
        ------
        Stopped
            When the resolver was asked to stop; what was priced until then stays.
        """
        if not self._late:
            return
        solves = self._offers()
        for done, offer in enumerate(solves):
            if self._on_progress is not None:
                self._on_progress(done, len(solves))
            self.priced.append(self._price(offer))

    # Which -------------------------------------------------------------------------------------

    def _offers(self) -> list[Offer]:
        """What is worth a solve; what is not is priced by its lifted limit."""
        unchanged = self.resolver.unchanged.score
        singles = sorted(
            (answer.key, limit)
            for limits, answer in self._why.lifted.items()
            if len(limits) == 1
            for limit in limits
        )
        offers: list[Offer] = []
        for (_, score), limit in singles:
            # Together with others it may help although alone it changes nothing.
            may_help = (score.points, score.mixes) < (unchanged.points, unchanged.mixes)
            for offer in self._of_limit(limit):
                if may_help or self._is_together(limit):
                    offers.append(offer)
                else:
                    self.priced.append(self._compare(offer, self.resolver.unchanged, by_lifting=True))
        copies = [offer for offer in offers if offer.kind == COPY][:COPIES_MOST]
        others = [offer for offer in offers if offer.kind != COPY]
        return [*copies, *others, *self._parts_offers(), *self._jug_offers()][:OFFERS_MOST]

    def _is_together(self, limit: Limit) -> bool:
        return any(limit in because.limits for because in self._why.reasons)

    def _of_limit(self, limit: Limit) -> list[Offer]:
        if limit.kind == MOULD:
            return [Offer(COPY, limit.name)]
        if limit.kind == HANDS:
            return [Offer(PAIR)]
        if limit.kind == HOURS:
            return [Offer(HOUR)]
        if limit.kind == CLOSED_DAYS and _closed_saturdays(self.problem):
            return [Offer(SATURDAYS)]
        if limit.kind in (POWDER, MATERIAL) and _has_receipts(self.problem, limit.name):
            return [Offer(EARLIER, limit.name)]
        return []

    def _jug_offers(self) -> list[Offer]:
        return (
            [Offer(JUG)]
            if any(self.problem.article_by_name[line.article].parts for line in self.problem.lines)
            else []
        )

    def _parts_offers(self) -> list[Offer]:
        """The worst late lines that can be shipped in two parts, with the pieces that may leave first."""
        started = {out.line for out in self.problem.out_of_mould}
        started |= {cast.line for poured in self.problem.poured for cast in poured.casts}
        offers = []
        for line in self._late_lines():
            if line.quantity > 1 and line.id not in started:
                offers.append(Offer(PARTS, line.id, self.resolver.pieces_dry_first(line.id)))
        return [offer for offer in offers if offer.pieces][:PARTS_MOST]

    def _late_lines(self) -> list[Line]:
        """The late lines, those that cost most points first."""
        lines = [self.problem.line_by_id[line] for line in self._late]
        days = self.resolver.unchanged.days_late
        return sorted(
            lines,
            key=lambda line: (
                -line.weight * line.quantity * (self.problem.late_step_days + days[line.id]),
                line.id,
            ),
        )

    # What it comes to --------------------------------------------------------------------------

    def _price(self, offer: Offer) -> Priced:
        if offer.kind != PARTS:
            return self._compare(offer, self.resolver.answer(offered(self.problem, offer)))
        first, second = halves(self.problem, offer)
        problem = offered(self.problem, offer)
        answer = self.resolver.answer_in_parts(problem, {offer.name: (first.id, second.id, offer.pieces)})
        late = {**answer.days_late, offer.name: answer.days_late[second.id]}
        together = replace(answer, days_late=late)
        # Nobody has to ship in two parts: where that is worse, the answer is to leave it.
        return self._compare(offer, min(together, self.resolver.unchanged, key=lambda one: one.key))

    def _compare(self, offer: Offer, answer: Answer, by_lifting: bool = False) -> Priced:
        unchanged = self.resolver.unchanged
        lines = tuple(
            (line, unchanged.days_late[line], answer.days_late[line])
            for line in self._late
            if answer.days_late[line] < unchanged.days_late[line]
            # The rest of a line in two parts may be as late as before; what leaves first is not.
            or (line == offer.name and answer.score.points < unchanged.score.points)
        )
        return Priced(
            offer=offer,
            points=answer.score.points,
            mixes=answer.score.mixes,
            points_saved=unchanged.score.points - answer.score.points,
            mixes_saved=unchanged.score.mixes - answer.score.mixes,
            lines=lines,
            by_lifting=by_lifting,
        )


def offered(problem: Problem, offer: Offer) -> Problem:
    """The problem with an offer taken."""
    if offer.kind == COPY:
        return more_copies(problem, offer.name, 1)
    if offer.kind == SATURDAYS:
        return open_days_as_usual(problem, _closed_saturdays(problem))
    if offer.kind == HOUR:
        return replace(problem, windows=_an_hour_more(problem))
    if offer.kind == PAIR:
        pairs = (
            replace(window, pairs=window.pairs + 1) if window.pairs else window for window in problem.windows
        )
        return replace(problem, windows=tuple(pairs))
    if offer.kind == JUG:
        compounds = (replace(one, jug_g=one.jug_g * BIGGER_JUG) for one in problem.compounds)
        return replace(problem, compounds=tuple(compounds))
    if offer.kind == EARLIER:
        return _earlier(problem, offer.name)
    if offer.kind == PARTS:
        both = halves(problem, offer)
        lines = [half for line in problem.lines for half in (both if line.id == offer.name else (line,))]
        return replace(problem, lines=tuple(lines))
    raise ValueError(f"There is no offer called {offer.kind}.")


def halves(problem: Problem, offer: Offer) -> tuple[Line, Line]:
    """The two lines that a line becomes when it is shipped in two parts."""
    line = problem.line_by_id[offer.name]
    taken = set(problem.line_by_id)
    ids: list[str] = []
    for name in ("first", "rest"):
        new = f"{line.id}, {name}"
        while new in taken:
            new += " part"
        ids.append(new)
    first = replace(line, id=ids[0], quantity=offer.pieces)
    return first, replace(line, id=ids[1], quantity=line.quantity - offer.pieces)


def _closed_saturdays(problem: Problem) -> list[int]:
    return [day for day in closed_days(problem) if day % 7 == SATURDAY]


def _an_hour_more(problem: Problem) -> tuple[Window, ...]:
    """Every day's last window an hour longer, up to midnight."""
    longer = []
    windows = problem.windows
    for number, window in enumerate(windows):
        day_ends = min(problem.minutes, ((window.end - 1) // DAY + 1) * DAY)
        is_last = number + 1 == len(windows) or windows[number + 1].start >= day_ends
        longer.append(
            replace(window, end=min(day_ends, window.end + 60)) if is_last and window.pairs else window
        )
    return tuple(longer)


def _has_receipts(problem: Problem, name: str) -> bool:
    compounds = [one for one in problem.compounds if (one.powder or one.name) == name]
    supplies = [one for one in problem.supplies if one.name == name]
    return any(one.receipts for one in compounds) or any(one.receipts for one in supplies)


def _earlier(problem: Problem, name: str) -> Problem:
    """What is to come of a powder or material comes two days earlier."""
    sooner = EARLIER_DAYS * DAY
    compounds = tuple(
        replace(one, receipts=tuple(replace(receipt, at=receipt.at - sooner) for receipt in one.receipts))
        if (one.powder or one.name) == name
        else one
        for one in problem.compounds
    )
    supplies = tuple(
        replace(one, receipts=tuple(replace(receipt, at=receipt.at - sooner) for receipt in one.receipts))
        if one.name == name
        else one
        for one in problem.supplies
    )
    return replace(problem, compounds=compounds, supplies=supplies)
