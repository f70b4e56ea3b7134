"""What goes from the tables to the planner, and what it takes to turn its answer back into rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from inventory.ports import StudioHours
from inventory.queries.lead_times import LeadTime
from production.planning.problem import Pin, Problem


@dataclass(frozen=True)
class TaskLine:
    """One drying board of a demand, as the plan keeps it. `weight` 0 is never late."""

    wanted_by: str
    board: int
    label: str
    article_id: int
    colour_id: int
    quantity: int
    ship_by: date
    weight: int
    kind: str = "order"


@dataclass(frozen=True)
class CannotBeMade:
    """Pieces that no plan can pour, with the sentence that says why and what to do."""

    wanted_by: str
    label: str
    article_id: int
    colour_id: int
    quantity: int
    ship_by: date
    weight: int
    sentence: str
    kind: str = "order"


@dataclass(frozen=True)
class MouldFacts:
    """What explains a wait for a mould: copies that count, minutes in the mould, minutes to clean and dry."""

    mould_id: int
    copies: int
    in_mould_minutes: int
    clean_and_dry_minutes: int


@dataclass(frozen=True)
class NotOrdered:
    """What a plan may take of a material beyond what is here and ordered (in the material's unit).

    It is taken to be ordered today and in by `in_by`, after its supplier's time. So a material that nobody
    ordered makes lines wait for as long as its supplier takes, and does not leave them unplaced.
    """

    lead: LeadTime
    here: float
    ordered: float
    in_by: date


@dataclass(frozen=True)
class PlanningTask:
    """A planning problem with the rows its names stand for.

    `start` is the aware local instant of minute 0, a Monday 00:00; `planned_from` is when it was read.
    `lines` by the problem's line id, without the lines that nobody waits for (casts that only have to be
    opened). `part_ids` by the problem's article name, then by part name. `not_ordered` by supply,
    `pin_ids` of the problem's pins.
    """

    problem: Problem
    start: datetime
    planned_from: datetime
    lines: Mapping[str, TaskLine]
    part_ids: Mapping[str, Mapping[str, int]]
    mould_facts: Mapping[str, MouldFacts]
    compound_ids: Mapping[str, int]
    colour_ids: Mapping[str, int]
    cannot_be_made: tuple[CannotBeMade, ...]
    not_ordered: Mapping[str, NotOrdered]
    hours: StudioHours
    pin_ids: tuple[tuple[Pin, int], ...] = ()
