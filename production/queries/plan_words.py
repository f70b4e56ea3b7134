"""How good a plan is and how it was looked for, in plain words: what is proven is said, what is not too."""

from __future__ import annotations

from production.models import Plan
from production.planning.looking import WHY
from production.queries.wording import counted

# The planner's stages by their names there; a new one is said by its own name.
STAGES = {
    "rules": "ordering the work in other ways",
    "urgency": "letting late orders go first",
    "nudges": "letting some orders go sooner, some later",
    "windows": "sharing out the hours anew",
    "moves": "moving mixes about",
    "overload": "letting few lines be late for the sake of the rest",
    "regroup": "filling the jugs better",
    "bounds": "proving how good it is",
}


def progress_words(stage: str, done: int, of: int, points: float, mixes: int) -> str:
    """What the planning is at, and the best so far: "moving mixes about, 20 of 300; best so far ..."."""
    late = f"{points:g} points for late lines" if points else "nothing late"
    tried = f"{STAGES.get(stage, stage)}, {done} of {of}" if of else STAGES.get(stage, stage)
    return f"{tried}; best so far {late}, {counted(mixes, 'mix')}"


def looking_words(phase: str, done: int, of: int) -> str:
    """What a look into late lines is at: "Looking for what would help: 3 of 9"."""
    what = "why it is late" if phase == WHY else "what would help"
    return f"Looking for {what}: {done} of {of}"


def proven_words(plan: Plan, late_lines: int) -> str:
    """What is proven of a plan, "3 late lines; no plan can score better than 36 points.", or how far not."""
    if plan.bound_points is None:
        return ""
    if plan.points <= plan.bound_points:
        return _least_late(plan, late_lines)
    late = f"{counted(late_lines, 'late line')}, {counted(plan.points, 'point')}"
    if plan.bound_points <= 0:
        return f"{late}; whether fewer can be had is not proven."
    return f"{late}; not proven; at least {plan.bound_points}."


def _least_late(plan: Plan, late_lines: int) -> str:
    """For a plan that no other beats in points: so, and how many mixes it needs at least."""
    said = []
    if late_lines:
        points = counted(plan.bound_points or 0, "point")
        said.append(f"{counted(late_lines, 'late line')}; no plan can score better than {points}.")
    if plan.bound_mixes:
        than = "" if plan.mixes_count <= plan.bound_mixes else f" than {plan.bound_mixes}"
        other = "no plan so good" if late_lines else "no plan without late lines"
        said.append(f"{counted(plan.mixes_count, 'mix')}; {other} has fewer{than}.")
    return " ".join(said)


def ended_words(plan: Plan) -> str:
    """What to know of the search that made a plan, "" where it made all its tries with all it needs."""
    said = []
    if plan.ended == Plan.Ended.STOPPED:
        said.append(f"Stopped after {_tries(plan)}; the best so far.")
    if plan.ended == Plan.Ended.WALL_LIMIT:
        said.append(
            f"Ended by the clock after {_tries(plan)}; the best so far, and another time it may be another."
        )
    if plan.missing:
        said.append("The solver is not installed here: fewer ways were tried, and less is proven.")
    return " ".join(said)


def _tries(plan: Plan) -> str:
    return "1 try" if plan.tries == 1 else f"{plan.tries} tries"
