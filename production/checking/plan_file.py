"""Reads a plan in the exchanged form for checking against its problem."""

from __future__ import annotations

from typing import Any

from production.checking.limits import MOST_LINES, MOST_ROWS
from production.checking.places import Malformed, Place, shown
from production.checking.problem_file import read_casts
from production.checking.studio import Answered, Asked, Pour

PLAN_FORM = "casting-plan 1"


def read_plan(form: Any, asked: Asked) -> Answered:
    """A plan from what JSON gave. `unplaced` (optional) names the lines that it leaves out.

    Raises: Malformed for the first field that is missing or names what the problem does not have.
    """
    top = Place("", form)
    if top.at("form").value != PLAN_FORM:
        top.at("form").refuse(f'"{PLAN_FORM}"')
    unplaced = top.at("unplaced").rows(MOST_LINES) if top.has("unplaced") else []
    return Answered(
        mixes=tuple(_pour(at, asked) for at in top.at("mixes").rows(MOST_ROWS)),
        opened=_opened(top.at("opened"), asked),
        steps=tuple(_step(at, asked) for at in top.at("steps").rows(MOST_ROWS)),
        unplaced=frozenset(at.one_of(asked.lines, "orders") for at in unplaced),
    )


def _pour(place: Place, asked: Asked) -> Pour:
    return Pour(
        place=place.path,
        start=place.at("start").minute(),
        compound=place.at("compound").one_of(asked.mixtures, "compounds"),
        colour=place.at("colour").text(),
        casts=read_casts(place.at("casts"), asked.lines, asked.articles),
        opened=place.at("opened").minute(),
    )


def _opened(place: Place, asked: Asked) -> dict[str, int]:
    found = {}
    for name, at in place.named(MOST_ROWS):
        if name not in asked.poured:
            raise Malformed(at.path, "of a mix that is in its moulds", shown(name))
        found[name] = at.minute()
    return found


def _step(place: Place, asked: Asked) -> tuple[str, str, str, int]:
    line = place.at("line").one_of(asked.lines, "orders")
    names = {task.name for task in asked.articles[asked.lines[line].article].tasks}
    step = place.at("step").one_of(names, f"steps of line {line}")
    return place.path, line, step, place.at("start").minute()
