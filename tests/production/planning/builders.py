"""Small planning problems with the least that a test needs; the rest has plain defaults."""

from dataclasses import replace
from typing import Any

from production.planning.problem import Article, Compound, Line, MouldKind, Part, Problem, Step, Window

DAY = 1440


def working_days(days: int, opens: int = 540, closes: int = 1020, pairs: int = 1) -> tuple[Window, ...]:
    """One window a day, by minute of the day."""
    return tuple(Window(day * DAY + opens, day * DAY + closes, pairs) for day in range(days))


def a_compound(name: str = "Quick", **changes: Any) -> Compound:
    """Sets in 60 minutes, dries in a day; a jug of 2 kg with 50 g residue, powder enough."""
    plain = Compound(
        name=name,
        working_minutes=12,
        open_after_minutes=60,
        dry_minutes=DAY,
        slurry_g_per_ml=2.0,
        powder_share=0.5,
        weigh_and_mix_minutes=10,
        clean_up_minutes=5,
        residue_g=50,
        jug_g=2000,
        powder_g=1e6,
    )
    return replace(plain, **changes)


def a_mould(name: str = "tray", **changes: Any) -> MouldKind:
    """Two copies, 2 minutes to fill, 3 to open, an hour of rest."""
    return replace(MouldKind(name, copies=2, fill_minutes=2, open_minutes=3, rest_minutes=60), **changes)


def an_article(name: str = "Tray", **changes: Any) -> Article:
    """One part of 100 ml, one coat of 5 minutes, packed in 10 after two hours."""
    plain = Article(
        name=name,
        parts=(Part("body", "tray", 100, "Quick"),),
        steps=(Step("coat 1", None, 5),),
        pack_minutes=10,
        pack_wait_minutes=120,
    )
    return replace(plain, **changes)


def a_line(line_id: str = "101", **changes: Any) -> Line:
    """One Slate tray by the evening of the eleventh day."""
    return replace(Line(line_id, "Tray", "Slate", quantity=1, ship_by=10 * DAY + 1020), **changes)


def a_problem(*lines: Line, **changes: Any) -> Problem:
    """Trays to be cast in 30 working days of one pair of hands."""
    plain: dict[str, Any] = {
        "minutes": 30 * DAY,
        "windows": working_days(30),
        "late_step_days": 2,
        "compounds": (a_compound(),),
        "moulds": (a_mould(),),
        "articles": (an_article(),),
        "lines": lines or (a_line(),),
    }
    return Problem(**{**plain, **changes})
