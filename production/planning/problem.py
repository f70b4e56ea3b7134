"""A planning problem: what is to be cast, with which moulds, powder and hours of hands.

Every time is a whole number of minutes after the problem's start (a Monday, 00:00, local
time, see `calendar.py`); negative is before it. Durations are minutes. `_g` is grams and
`_ml` millilitres; the simulator turns them into whole milligrams, rounded against us.

How our words and those of the scheduling literature meet:

==============  ==========================================================================
literature      here
==============  ==========================================================================
job             `Line`: an article, a colour, a quantity (one drying board at most)
task            a mix, an opening, or a `Step` of an article's route
machine         a copy of a `MouldKind`
renewable       hands (`Window.pairs`)
consumable      powder (`Compound.powder_g`, `Receipt`), any other `Supply`
break           closed hours: whatever is in no `Window`
due date        `Line.ship_by`: late has a price (`late_step_days`, `weight`)
deadline        a market day; given as a ship-by with a high `weight`
setup           cleaning and drying of a mould copy (`MouldKind.rest_minutes`)
release         `Line.not_before`, and powder on hand
horizon         `Problem.minutes`
makespan        the minute the last line is packed
slack           ship-by minus the minute a line is packed
critical        the part of a line that came out of its mould last
==============  ==========================================================================
"""

from dataclasses import dataclass
from functools import cached_property

from production.planning.checks import check_problem
from production.planning.faults import check_name, check_number, check_once, check_whole, refuse
from production.planning.no_pours import NoPours
from production.planning.supplies import Recipe, StepNeed, Supply


@dataclass(frozen=True, slots=True)
class Window:
    """Hours in which `pairs` pairs of hands work; a hands-on task lies inside one window."""

    start: int
    end: int
    pairs: int = 1

    def __post_init__(self) -> None:
        check_whole("hands.from", self.start, 0)
        check_whole(f"hands.to of the window from {self.start}", self.end, self.start + 1)
        check_whole(f"hands.pairs of the window from {self.start}", self.pairs, 0)


@dataclass(frozen=True, slots=True)
class Receipt:
    """Powder that comes in during the plan: `powder_g` grams at minute `at`."""

    at: int
    powder_g: float

    def __post_init__(self) -> None:
        check_whole("receipts.at", self.at)
        check_number(f"receipts.g at {self.at}", self.powder_g)


@dataclass(frozen=True, slots=True)
class Compound:
    """A powder system with the times and weights of one mix of it.

    `working_minutes` bounds all fills of one mix, `open_after_minutes` runs from the end of
    filling to the opening of its moulds, `dry_minutes` from there to the first step.
    `residue_g` stays in the jug, `jug_g` is the most it holds (both slurry). `powder_share`
    is grams of powder per gram of slurry; `powder_g` is in hand at the start. `powder` names the
    supply it draws on instead, which other compounds may share.
    """

    name: str
    working_minutes: int
    open_after_minutes: int
    dry_minutes: int
    slurry_g_per_ml: float
    powder_share: float
    weigh_and_mix_minutes: int
    clean_up_minutes: int
    residue_g: float
    jug_g: float
    powder_g: float
    receipts: tuple[Receipt, ...] = ()
    powder: str | None = None

    def __post_init__(self) -> None:
        check_name("compounds.name", self.name)
        of = f" of compound {self.name}"
        check_whole("working_minutes" + of, self.working_minutes, 1)
        check_whole("open_after_minutes" + of, self.open_after_minutes, 0)
        check_whole("dry_hours (in minutes)" + of, self.dry_minutes, 0)
        check_number("slurry_g_per_ml" + of, self.slurry_g_per_ml, above=True)
        check_number("powder_share" + of, self.powder_share, above=True)
        if self.powder_share > 1:
            refuse("powder_share" + of, self.powder_share, "at most 1")
        check_whole("weigh_and_mix_minutes" + of, self.weigh_and_mix_minutes, 0)
        check_whole("clean_up_minutes" + of, self.clean_up_minutes, 0)
        check_number("residue_g" + of, self.residue_g)
        check_number("jug_g" + of, self.jug_g, above=True)
        check_number("powder opening_g" + of, self.powder_g)
        if self.powder is not None:
            check_name("powder" + of, self.powder)


@dataclass(frozen=True, slots=True)
class MouldKind:
    """A kind of mould; fill and opening minutes are hands-on per cast, rest is unattended.

    `copies` counts every copy that can be used during the plan. `free_at` names the minute
    at which each copy that is damp or away at the start comes free; a copy holding a cast
    of `Problem.poured` is not listed there, nor need one be that is free from the start.
    `open_after_minutes` runs from the end of filling to opening (None: the compound's); a mix
    is opened after the longest of its moulds.
    """

    name: str
    copies: int
    fill_minutes: float
    open_minutes: float
    rest_minutes: int
    free_at: tuple[int, ...] = ()
    open_after_minutes: int | None = None

    def __post_init__(self) -> None:
        check_name("moulds.name", self.name)
        of = f" of mould {self.name}"
        check_whole("copies" + of, self.copies, 0)
        check_number("fill_minutes" + of, self.fill_minutes)
        check_number("open_minutes" + of, self.open_minutes)
        check_whole("rest_minutes" + of, self.rest_minutes, 0)
        for minute in self.free_at:
            check_whole("free_at" + of, minute)
        if self.open_after_minutes is not None:
            check_whole("open_after_minutes" + of, self.open_after_minutes, 0)


@dataclass(frozen=True, slots=True)
class Part:
    """One casting of an article; `colour` None means the colour of the line."""

    name: str
    mould: str
    ml: float
    compound: str
    colour: str | None = None

    def __post_init__(self) -> None:
        check_name("parts.name", self.name)
        check_name(f"mould of part {self.name}", self.mould)
        check_number(f"ml of part {self.name}", self.ml, above=True)
        check_name(f"compound of part {self.name}", self.compound)
        if self.colour is not None:
            check_name(f"colour of part {self.name}", self.colour)


@dataclass(frozen=True, slots=True)
class Step:
    """One finishing step, done for a whole line at once.

    `wait_minutes` runs from the end of the step before (of the opening, for the first);
    None stands for the drying of the parts' compound. Hands are needed for `minutes_each`
    per piece and `minutes_per_batch` once. `needs` are drawn when it starts.
    """

    name: str
    wait_minutes: int | None
    minutes_each: float
    minutes_per_batch: float = 0
    needs: tuple[StepNeed, ...] = ()

    def __post_init__(self) -> None:
        check_name("steps.name", self.name)
        if self.name == "pack":
            refuse("steps.name", self.name, "another name than that of the packing itself")
        of = f" of step {self.name}"
        if self.wait_minutes is not None:
            check_whole("wait_minutes" + of, self.wait_minutes, 0)
        check_number("minutes_each" + of, self.minutes_each)
        check_number("minutes_per_batch" + of, self.minutes_per_batch)
        check_once("needs" + of, [need.supply for need in self.needs])


@dataclass(frozen=True, slots=True)
class Article:
    """What is sold: its parts, its finishing steps in order, then packing.

    `pack_wait_minutes` runs from the end of the last step to packing; without steps it is
    added to the drying. `matched`: all parts of a piece come from one mix. Pieces in
    progress are a line of an article without parts, with only the steps that are left.
    `pack_needs` are drawn when packing starts.
    """

    name: str
    parts: tuple[Part, ...]
    steps: tuple[Step, ...]
    pack_minutes: int
    pack_wait_minutes: int = 0
    matched: bool = False
    pack_needs: tuple[StepNeed, ...] = ()

    def __post_init__(self) -> None:
        check_name("articles.name", self.name)
        of = f" of article {self.name}"
        check_whole("pack_minutes" + of, self.pack_minutes, 0)
        check_whole("pack_wait_minutes" + of, self.pack_wait_minutes, 0)
        check_once("parts" + of, [part.name for part in self.parts])
        check_once("steps" + of, [step.name for step in self.steps])
        check_once("pack_needs" + of, [need.supply for need in self.pack_needs])
        if self.matched and len({(part.compound, part.colour) for part in self.parts}) > 1:
            refuse(
                "parts" + of, [part.name for part in self.parts], "of one compound and colour when matched"
            )
        if not self.parts and any(step.wait_minutes is None for step in self.steps):
            refuse("wait_minutes" + of, None, "given in minutes, because the article has no parts to dry")


@dataclass(frozen=True, slots=True)
class Line:
    """`quantity` pieces of an article in a colour, wanted packed by minute `ship_by`.

    A late line costs `weight` x quantity x (`late_step_days` + days late). Nothing of it is
    poured (or, without parts, finished) before `not_before`.
    """

    id: str
    article: str
    colour: str
    quantity: int
    ship_by: int
    weight: float = 1
    not_before: int = 0

    def __post_init__(self) -> None:
        check_name("orders.id", self.id)
        of = f" of line {self.id}"
        check_name("article" + of, self.article)
        check_name("colour" + of, self.colour)
        check_whole("quantity" + of, self.quantity, 1)
        check_whole("ship_by" + of, self.ship_by)
        check_number("weight" + of, self.weight)
        check_whole("not_before" + of, self.not_before)


@dataclass(frozen=True, slots=True)
class CastCount:
    """`quantity` casts of one part of a line in one mix."""

    line: str
    part: str
    quantity: int

    def __post_init__(self) -> None:
        check_name("casts.line", self.line)
        check_name(f"casts.part of line {self.line}", self.part)
        check_whole(f"casts.quantity of line {self.line}, part {self.part}", self.quantity, 1)


@dataclass(frozen=True, slots=True)
class Poured:
    """A mix that is in its moulds now; filling ended at `filled_at`."""

    id: str
    compound: str
    colour: str
    filled_at: int
    casts: tuple[CastCount, ...]

    def __post_init__(self) -> None:
        check_name("poured.id", self.id)
        check_name(f"compound of poured {self.id}", self.compound)
        check_name(f"colour of poured {self.id}", self.colour)
        check_whole(f"filled_at of poured {self.id}", self.filled_at)


@dataclass(frozen=True, slots=True)
class OutOfMould:
    """Casts that are out of their moulds; the wait for the next step began at `opened_at`.

    `part` is empty for a line whose article has no parts (pieces in progress).
    """

    line: str
    part: str
    quantity: int
    opened_at: int

    def __post_init__(self) -> None:
        check_name("out_of_mould.line", self.line)
        check_whole(f"out_of_mould.quantity of line {self.line}", self.quantity, 1)
        check_whole(f"out_of_mould.opened_at of line {self.line}", self.opened_at)


@dataclass(frozen=True, slots=True)
class Pin:
    """A mix of this compound and colour must start from minute `start` to minute `end`."""

    compound: str
    colour: str
    start: int
    end: int

    def __post_init__(self) -> None:
        check_name("pins.compound", self.compound)
        check_name("pins.colour", self.colour)
        check_whole("pins.from", self.start)
        check_whole(f"pins.to of the pin from {self.start}", self.end, self.start)


@dataclass(frozen=True)
class Problem:
    """Everything the planner knows; whoever makes one from tables does so in one place.

    Raises
    ------
    ProblemFault
        When a name is used that is not defined, windows overlap, more casts are in
        progress than a line needs, or more copies are in use than there are.
    """

    minutes: int
    windows: tuple[Window, ...]
    late_step_days: float
    compounds: tuple[Compound, ...]
    moulds: tuple[MouldKind, ...]
    articles: tuple[Article, ...]
    lines: tuple[Line, ...]
    poured: tuple[Poured, ...] = ()
    out_of_mould: tuple[OutOfMould, ...] = ()
    pins: tuple[Pin, ...] = ()
    supplies: tuple[Supply, ...] = ()
    recipes: tuple[Recipe, ...] = ()
    no_pours: tuple[NoPours, ...] = ()

    def __post_init__(self) -> None:
        check_problem(self)

    @cached_property
    def compound_by_name(self) -> dict[str, Compound]:
        """Compounds by name."""
        return {compound.name: compound for compound in self.compounds}

    @cached_property
    def mould_by_name(self) -> dict[str, MouldKind]:
        """Kinds of mould by name."""
        return {mould.name: mould for mould in self.moulds}

    @cached_property
    def article_by_name(self) -> dict[str, Article]:
        """Articles by name."""
        return {article.name: article for article in self.articles}

    @cached_property
    def line_by_id(self) -> dict[str, Line]:
        """Lines by id."""
        return {line.id: line for line in self.lines}

    @cached_property
    def supply_by_name(self) -> dict[str, Supply]:
        """Supplies by name."""
        return {supply.name: supply for supply in self.supplies}
