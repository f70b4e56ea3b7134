"""A problem and a plan as the checker sees them: what the two exchanged forms say, and no more.

Times are whole minutes after the problem's start; durations are minutes; amounts are in the forms' units.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Hours:
    """A working window."""

    start: int
    end: int
    pairs: int


@dataclass(frozen=True)
class Stuff:
    """Powder or any other supply: what is there at the start, and what comes when."""

    opening: float
    receipts: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Mixture:
    """A compound: one mix of it. `powder` is the name of the stuff it is made from."""

    working: int
    open_after: int
    dry: int
    g_per_ml: float
    powder_share: float
    weigh: int
    clean_up: int
    residue_g: float
    jug_g: float
    powder: str


@dataclass(frozen=True)
class Form:
    """A kind of mould. `open_after` None is the compound's."""

    copies: int
    fill: float
    open: float
    rest: int
    free_at: tuple[int, ...]
    open_after: int | None


@dataclass(frozen=True)
class PartMade:
    """One part of an article. `colour` None is the line's."""

    mould: str
    ml: float
    compound: str
    colour: str | None


Need = tuple[str, float, float]  # supply, each, per batch


@dataclass(frozen=True)
class Task:
    """A finishing step, or packing. `wait` None is until dry; `dry_too` adds that to the wait."""

    name: str
    wait: int | None
    each: float
    once: float
    needs: tuple[Need, ...] = ()
    dry_too: bool = False


@dataclass(frozen=True)
class Made:
    """An article: its parts by name, its finishing with packing at the end."""

    parts: dict[str, PartMade]
    matched: bool
    tasks: tuple[Task, ...]


@dataclass(frozen=True)
class Wanted:
    """A line of the orders."""

    article: str
    colour: str
    quantity: int
    ship_by: int
    weight: float
    not_before: int


Casts = tuple[tuple[str, str, int], ...]  # line, part, quantity
Barred = tuple[str | None, str | None, int, int]  # compound, colour (None: any), from, before


@dataclass(frozen=True)
class InMoulds:
    """A mix that is in its moulds at the start."""

    compound: str
    colour: str
    filled_at: int
    casts: Casts


@dataclass(frozen=True)
class Asked:
    """The whole problem."""

    minutes: int
    late_step_days: float
    hours: tuple[Hours, ...]
    stuff: dict[str, Stuff]
    mixtures: dict[str, Mixture]
    moulds: dict[str, Form]
    articles: dict[str, Made]
    lines: dict[str, Wanted]
    poured: dict[str, InMoulds]
    out: tuple[tuple[str, str, int, int], ...]  # line, part, quantity, opened at
    pins: tuple[tuple[str, str, int, int], ...]  # compound, colour, from, to
    recipes: dict[tuple[str, str], tuple[tuple[str, float], ...]] = field(default_factory=dict)
    no_pours: tuple[Barred, ...] = ()

    def part(self, line: str, part: str) -> PartMade:
        """A part of a line's article."""
        return self.articles[self.lines[line].article].parts[part]


@dataclass(frozen=True)
class Pour:
    """One mix of a plan, with its place in the file."""

    place: str
    start: int
    compound: str
    colour: str
    casts: Casts
    opened: int


@dataclass(frozen=True)
class Answered:
    """The whole plan. `unplaced` lines are said to be left out; what is given of them must still be right."""

    mixes: tuple[Pour, ...]
    opened: dict[str, int]
    steps: tuple[tuple[str, str, str, int], ...]  # place, line, step, start
    unplaced: frozenset[str]
