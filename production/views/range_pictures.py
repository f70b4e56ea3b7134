"""From an article's route to the facts of its strip."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from inventory.drawings.shapes import Drawn
from inventory.drawings.wall_clock import span_words
from production.drawings.day_scale import NARROW, WIDE, DayScale, drawn_days
from production.drawings.ebb import EbbFacts, EbbStep, ebb_kind, ebb_picture
from production.queries.range import ArticleRow

ANY_MONDAY = date(2001, 1, 1)
SHELL_GREY = "#D5D7D1"


def route_picture(row: ArticleRow) -> Drawn | None:
    """The route from the jug to ready as one strip, nobody waited for; None without parts."""
    times = row.times
    if times is None:
        return None
    days = drawn_days(ANY_MONDAY, times.ready // 1440 + 1, lambda day: (0, 1440))
    colour_hex = row.colours[0].hex if row.colours else SHELL_GREY
    facts = EbbFacts(
        name=row.article.name,
        started=0,
        poured=times.poured,
        out=times.out,
        dry=times.dry,
        ready=times.ready,
        mixed=False,
        colour_hex=colour_hex,
        silhouette=row.article.silhouette,
        steps=tuple(
            EbbStep(ebb_kind(step.kind), step.start, step.end, name=step.name) for step in times.steps
        ),
    )
    parts = [f"out of the mould after {span_words(times.out)}", f"dry after {span_words(times.dry)}"]
    parts += [f"{step.name} after {span_words(step.start)}" for step in times.steps]
    says = f"{row.article.name}: {', '.join(parts)}, ready after {span_words(times.ready)}"
    wide, narrow = (
        replace(ebb_picture(facts, DayScale(days, width), with_words=False), says=says)
        for width in (WIDE, NARROW)
    )
    return Drawn(wide=wide, narrow=narrow)
