"""`manage.py plan`: plan a problem in the exchanged form, without touching the studio's own tables."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from production.planning.faults import ProblemFault
from production.planning.forms import plan_to_form, problem_from_form
from production.planning.problem import Problem
from production.planning.solve import plan


class Command(BaseCommand):
    help = "Plans a problem in the exchanged form, casting-plan-problem 1, into a plan, casting-plan 1."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which problem, where the plan goes, and how long to look for a better one."""
        parser.add_argument("--problem", type=Path, required=True, help="file with the problem, JSON")
        parser.add_argument("--out", type=Path, required=True, help="file to write the plan to, JSON")
        parser.add_argument("--seconds", type=float, help="stop looking for a better plan after so long")

    def handle(self, *, problem: Path, out: Path, seconds: float | None, **options: Any) -> None:
        """Read, plan, write."""
        read = _read(problem)
        found = plan(read, wall_seconds=seconds)
        try:
            out.write_text(json.dumps(plan_to_form(found), indent=1) + "\n", encoding="utf-8")
        except OSError as fault:
            raise CommandError(f"The plan cannot be written to {out}: {fault.strerror}.") from None
        late = len(found.late)
        lines, points = len(found.lines), found.score.points
        self.stdout.write(f"{len(found.mixes)} mixes, {late} of {lines} lines late, {points:g} points.")


def _read(path: Path) -> Problem:
    """The problem in a file, or one sentence on what is wrong with it."""
    try:
        return problem_from_form(json.loads(path.read_text(encoding="utf-8")))
    except OSError as fault:
        raise CommandError(f"{path} cannot be read: {fault.strerror}.") from None
    except UnicodeDecodeError:
        raise CommandError(f"{path} is not text in UTF-8.") from None
    except json.JSONDecodeError as fault:
        raise CommandError(f"{path} is not JSON: line {fault.lineno}, {fault.msg}.") from None
    except RecursionError:
        raise CommandError(f"{path} is nested too deeply to be a problem.") from None
    except ProblemFault as fault:
        raise CommandError(f"{path}: {fault.message}") from None
