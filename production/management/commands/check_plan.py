"""`manage.py check_plan`: whether a plan in the exchanged form keeps its problem's rules, and its score.

The checker shares no code with the planner, so that the same fault in both cannot hide.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from production.checking.rules import faults_in
from production.checking.scoring import score_of
from production.management.problem_files import plan_in, problem_in


class Command(BaseCommand):
    help = "Checks a plan, casting-plan 1, against its problem: the score, or a line for each broken rule."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which problem, and which plan of it."""
        parser.add_argument("problem", type=Path, help="file with the problem, JSON")
        parser.add_argument("plan", type=Path, help="file with the plan, JSON")

    def handle(self, *, problem: Path, plan: Path, **options: Any) -> None:
        """Read both, check, and end with 1 where a rule is broken."""
        _, asked = problem_in(problem)
        answered = plan_in(plan, asked)
        faults = faults_in(asked, answered)
        for fault in faults:
            self.stdout.write(str(fault))
        if faults:
            sys.exit(1)
        score = score_of(asked, answered)
        self.stdout.write(
            f"{score.points:g} points, {score.mixes} mixes, {score.early_piece_days:.1f} early piece-days;"
            f" {score.late_lines} of {len(asked.lines)} lines late."
        )
        if score.unplaced_lines:
            self.stdout.write(f"{score.unplaced_lines} lines are left out of it.")
