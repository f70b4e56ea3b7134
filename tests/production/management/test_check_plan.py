"""`manage.py check_plan`: the score of a sound plan, or one line for each broken rule."""

from __future__ import annotations

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from tests.production.management.test_plan import PROBLEM


def written(path: Path, form: Any) -> Path:
    path.write_text(form if isinstance(form, str) else json.dumps(form), encoding="utf-8")
    return path


@pytest.fixture
def planned(tmp_path: Path) -> tuple[Path, Path]:
    """A problem file, and the plan that `manage.py plan` makes of it."""
    problem, plan = written(tmp_path / "problem.json", PROBLEM), tmp_path / "plan.json"
    call_command("plan", problem=problem, out=plan, stdout=StringIO())
    return problem, plan


def test_a_plan_of_the_planner_passes_and_its_score_is_told(planned, capsys) -> None:
    call_command("check_plan", *planned)

    assert "0 points, 2 mixes" in capsys.readouterr().out


def test_each_broken_rule_is_a_line_with_its_place_and_the_command_fails(planned, capsys) -> None:
    problem, plan = planned
    form = json.loads(plan.read_text())
    form["mixes"][0]["opened"] -= 60
    form["steps"].pop()
    written(plan, form)

    with pytest.raises(SystemExit) as ended:
        call_command("check_plan", problem, plan)

    lines = capsys.readouterr().out.splitlines()
    assert ended.value.code == 1
    assert any(line.startswith("mixes[0]: opened before it has set") for line in lines)
    assert any(line.startswith("line 1: has the steps coat 1, not coat 1, pack") for line in lines)
    assert not any("points" in line for line in lines)


def test_what_does_not_fit_into_the_calendar_is_left_out_and_told(tmp_path: Path, capsys) -> None:
    late = {**PROBLEM["orders"][0], "id": "2", "quantity": 200}
    problem = written(tmp_path / "problem.json", {**PROBLEM, "orders": [*PROBLEM["orders"], late]})
    plan = tmp_path / "plan.json"

    call_command("plan", problem=problem, out=plan)
    call_command("check_plan", problem, plan)

    said = capsys.readouterr().out
    assert "1 lines do not fit" in said
    assert "1 lines are left out" in said


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{}", "form must be given"),
        ('{"form": "casting-plan 1", "mixes": [1e999]}', "mixes[0] must be an object, not inf"),
        ('{"form": NaN}', "NaN is not a number"),
        ('{"form": 1, "form": 2}', "gives 'form' twice"),
        ("[" * 100_000, "nested too deeply"),
        ("9" * 5000, "cannot be read"),
    ],
)
def test_a_bad_plan_file_is_refused_in_one_sentence(planned, text: str, says: str) -> None:
    problem, plan = planned
    written(plan, text)

    with pytest.raises(CommandError) as refused:
        call_command("check_plan", problem, plan)

    assert says in str(refused.value)


def test_the_shell_gets_the_exit_code_and_no_trace(planned) -> None:
    problem, plan = planned
    written(plan, plan.read_text().replace('"Rust"', '"Fog"'))

    answer = subprocess.run(
        [sys.executable, "manage.py", "check_plan", str(problem), str(plan)],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )

    assert answer.returncode == 1
    assert "of another colour" in answer.stdout
    assert answer.stderr == ""
