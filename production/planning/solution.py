"""A plan and its score: what comes out of the planner, in the problem's own names.

Times are whole minutes after the problem's start.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from production.planning.list_rule import ListRule
from production.planning.problem import Pin, Problem

DAY = 1440
# A line the calendar cannot hold counts as packed this long after the calendar's end, so
# that a plan which leaves a line out never scores better than one which packs it late.
UNPLACED_DAYS = 365


@dataclass(frozen=True, slots=True, order=True)
class Score:
    """How bad a plan is; compared in this order, less is better.

    `points`: sum over late lines of weight x quantity x (late_step_days + days late, rounded
    up). `mixes`: how many. `early_piece_minutes`: sum over casts of the later of ship-by and
    packed, less the start of their mix.
    """

    points: float
    mixes: int
    early_piece_minutes: int

    @property
    def early_piece_days(self) -> float:
        """Early piece-days."""
        return self.early_piece_minutes / DAY


@dataclass(frozen=True, slots=True)
class PlannedCast:
    """`quantity` casts of one part of a line, in a kind of mould, in one mix."""

    line: str
    part: str
    quantity: int
    mould: str


@dataclass(frozen=True, slots=True)
class PlannedMix:
    """One mix: hands are busy from `start` to `cleaned_at`, and from `opened` to `out_at`.

    `casts` are in the order the moulds are filled.
    """

    start: int
    compound: str
    colour: str
    casts: tuple[PlannedCast, ...]
    opened: int
    weigh_and_mix_minutes: int
    fill_minutes: int
    clean_up_minutes: int
    opening_minutes: int

    @property
    def poured_at(self) -> int:
        """When the first mould is filled."""
        return self.start + self.weigh_and_mix_minutes

    @property
    def filled_at(self) -> int:
        """When the last mould has been filled."""
        return self.poured_at + self.fill_minutes

    @property
    def cleaned_at(self) -> int:
        """When the hands are free again."""
        return self.filled_at + self.clean_up_minutes

    @property
    def out_at(self) -> int:
        """When all its casts are out of their moulds."""
        return self.opened + self.opening_minutes


@dataclass(frozen=True, slots=True)
class PlannedOpening:
    """Opening of a mix that was in its moulds when the plan began."""

    poured: str
    start: int
    minutes: int


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One finishing step of a whole line; packing is the step "pack"."""

    line: str
    step: str
    start: int
    minutes: int

    @property
    def end(self) -> int:
        """When it is done."""
        return self.start + self.minutes


@dataclass(frozen=True, slots=True)
class Held:
    """What held a line: the limit, and the facts behind it.

    `limit` is "ordered too late", "mould", "hands", "powder", "material" or "closed days"; for a
    line that no plan can hold also "jug" or "working time" (one piece is too much for one mix).
    `compound` is whose powder was lacking, or the name of the supply for "material".
    `waited_minutes` is how long its critical pieces waited for each limit, in working time.
    `latest_first_pour` is when its first mix would have had to start, with the studio to
    itself (negative: before the plan); `earliest_packed` is what that could reach now.
    """

    limit: str
    mould: str | None = None
    compound: str | None = None
    waited_minutes: Mapping[str, int] = field(default_factory=dict)
    latest_first_pour: int | None = None
    earliest_packed: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """When a line is packed (None: not within the calendar) and by how much it is late.

    `days_late` is rounded up, 0 in time, None when it is not placed. `held` says why a line
    is late or not placed, None otherwise.
    """

    line: str
    packed_at: int | None
    days_late: int | None
    held: Held | None = None

    @property
    def held_by(self) -> str | None:
        """The limit that held a late line."""
        return self.held.limit if self.held else None


@dataclass(frozen=True, slots=True)
class Bounds:
    """What no plan can beat.

    `points`: no plan of the problem scores fewer lateness points, proven by `points_proven_by`.
    `mixes`: no plan with at most the points of the plan it was made for has fewer mixes; None where
    nothing is known.
    """

    points: float
    points_proven_by: str
    mixes: int | None = None


ALL_TRIES, PROVEN, STOPPED, WALL_LIMIT = "all tries", "proven", "stopped", "wall limit"


@dataclass(frozen=True)
class Plan:
    """A plan that can be done as it stands, and the list rule that made it.

    `mixes` and `steps` are in order of time, `lines` in the problem's order; `missed_pins`
    are those that no mix starts in. `tries` simulations led to it; `ended` says why no more were
    made: "all tries", "proven" (it reaches its `bounds`), "stopped" or "wall limit" (only then may
    the same problem give another plan next time). `missing` names what is not installed that would
    have looked further. `kept_mixes`: how many mixes of the plan before it are kept, and of how many.
    `urgency` by line: minutes its search added to the line's latest starts; with `rule` and the mixes
    it makes the plan again.
    """

    mixes: tuple[PlannedMix, ...]
    openings: tuple[PlannedOpening, ...]
    steps: tuple[PlannedStep, ...]
    lines: tuple[PlannedLine, ...]
    score: Score
    rule: ListRule | None = None
    missed_pins: tuple[Pin, ...] = ()
    bounds: Bounds | None = None
    tries: int = 1
    ended: str = ALL_TRIES
    missing: str = ""
    kept_mixes: tuple[int, int] = (0, 0)
    urgency: tuple[tuple[str, int], ...] = ()

    @cached_property
    def line_by_id(self) -> dict[str, PlannedLine]:
        """What becomes of each line."""
        return {line.line: line for line in self.lines}

    @property
    def late(self) -> tuple[PlannedLine, ...]:
        """Lines that are late or not placed."""
        return tuple(line for line in self.lines if line.days_late != 0)

    @property
    def unplaced(self) -> tuple[PlannedLine, ...]:
        """Lines that are not packed within the calendar."""
        return tuple(line for line in self.lines if line.packed_at is None)


def days_late(packed_at: int, ship_by: int) -> int:
    """Days from ship-by to packed, rounded up; 0 when in time."""
    return max(0, -((ship_by - packed_at) // DAY))


def score_of(
    problem: Problem, plan_mixes: Sequence[PlannedMix], packed_at: Mapping[str, int | None]
) -> Score:
    """Score of mixes and packings, in the problem's own names; a line without a packing is not placed."""
    points: float = 0
    leaves_at: dict[str, int] = {}
    for line in problem.lines:
        packed = packed_at.get(line.id)
        late = days_late(problem.minutes + UNPLACED_DAYS * DAY if packed is None else packed, line.ship_by)
        if packed is None or late:
            points += line.weight * line.quantity * (problem.late_step_days + late)
        leaves_at[line.id] = max(line.ship_by, problem.minutes if packed is None else packed)
    early = sum(
        (leaves_at[cast.line] - mix.start) * cast.quantity for mix in plan_mixes for cast in mix.casts
    )
    return Score(points, len(plan_mixes), early)


def missed_pins_of(problem: Problem, mixes: Sequence[PlannedMix]) -> tuple[Pin, ...]:
    """The pins that no mix of their compound and colour starts in."""
    return tuple(
        pin
        for pin in problem.pins
        if not any(
            (mix.compound, mix.colour) == (pin.compound, pin.colour) and pin.start <= mix.start <= pin.end
            for mix in mixes
        )
    )
