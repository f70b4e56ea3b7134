"""`manage.py plan`: plan a problem in the exchanged form, without touching the studio's own tables."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from production.management.problem_files import problem_in
from production.planning.faults import ProblemFault
from production.planning.forms import plan_to_form, problem_from_form
from production.planning.problem import Problem
from production.planning.solution import PROVEN, STOPPED, WALL_LIMIT, Plan
from production.planning.solve import plan

ENDED = {
    PROVEN: "Ended because no plan is better",
    STOPPED: "Stopped",
    WALL_LIMIT: "Ended by the clock; the best so far, and another time it may be another",
}


class Command(BaseCommand):
    help = "Plans a problem in the exchanged form, casting-plan-problem 1, into a plan, casting-plan 1."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which problem, where the plan goes, and how long to look for a better one."""
        parser.add_argument("--problem", type=Path, required=True, help="file with the problem, JSON")
        parser.add_argument("--out", type=Path, required=True, help="file to write the plan to, JSON")
        parser.add_argument("--seconds", type=float, help="stop looking for a better plan after so long")

    def handle(self, *, problem: Path, out: Path, seconds: float | None, **options: Any) -> None:
        """Read, plan, write, and say how good it is."""
        if seconds is not None and not seconds > 0:
            raise CommandError(f"--seconds must be a number above 0, not {seconds:g}.")
        found = plan(_read(problem), wall_seconds=seconds)
        try:
            out.write_text(json.dumps(plan_to_form(found), indent=1) + "\n", encoding="utf-8")
        except OSError as fault:
            raise CommandError(f"The plan cannot be written to {out}: {fault.strerror}.") from None
        for sentence in _said(found):
            self.stdout.write(sentence)


def _said(found: Plan) -> list[str]:
    """The score, what is proven of it, and how the search ended."""
    late, score = len(found.late), found.score
    said = [
        f"{len(found.mixes)} mixes, {late} of {len(found.lines)} lines late, {score.points:g} points,"
        f" {score.early_piece_days:.1f} early piece-days."
    ]
    if found.unplaced:
        said.append(f"{len(found.unplaced)} lines do not fit into the calendar and are left out.")
    if found.missed_pins:
        said.append(f"{len(found.missed_pins)} pins are not met.")
    said += _proven(found)
    tries = f"{found.tries} {'try' if found.tries == 1 else 'tries'}"
    said.append(f"{ENDED.get(found.ended, 'Ended with all its tries')}, {tries}.")
    if found.missing:
        said.append(f"Not installed here: {found.missing}. Fewer ways were tried, and less is proven.")
    return said


def _proven(found: Plan) -> list[str]:
    bounds, points = found.bounds, found.score.points
    if bounds is None:
        return ["Nothing is proven about it."]
    if points <= bounds.points:
        said = [f"Proven: no plan scores fewer points than {points:g}."]
    else:
        said = [f"Not proven; every plan scores at least {bounds.points:g} points."]
    if bounds.mixes is not None:
        said.append(f"No plan with so few points has fewer than {bounds.mixes} mixes.")
    return said


def _read(path: Path) -> Problem:
    form, _ = problem_in(path)
    try:
        return problem_from_form(form)
    except ProblemFault as fault:
        raise CommandError(f"{path}: {fault.message}") from None
