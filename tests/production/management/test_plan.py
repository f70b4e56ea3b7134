"""`manage.py plan` on the exchanged forms: a plan that keeps the rules, or one sentence."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from tests.production.planning.checker import faults_in

PROBLEM: dict[str, Any] = {
    "form": "casting-plan-problem 1",
    "minutes": 14 * 1440,
    "hands": [{"from": day * 1440 + 480, "to": day * 1440 + 1020, "pairs": 1} for day in range(14)],
    "mix": {"weigh_and_mix_minutes": 10, "clean_up_minutes": 5, "residue_g": 30, "jug_g": 3500},
    "late_step_days": 2,
    "compounds": {
        "quick": {
            "working_minutes": 12,
            "open_after_minutes": 60,
            "dry_hours": 24,
            "slurry_g_per_ml": 1.9,
            "powder_share": 0.77,
        }
    },
    "powder": {"quick": {"opening_g": 15000, "receipts": []}},
    "moulds": {"tray": {"copies": 2, "fill_minutes": 2, "open_minutes": 3, "rest_minutes": 120}},
    "articles": {
        "Ferry tray": {
            "parts": [{"name": "tray", "mould": "tray", "ml": 240, "compound": "quick", "colour": None}],
            "matched": False,
            "coats": 1,
            "coat_minutes": 3,
            "recoat_hours": 4,
            "fill_minutes": 0,
            "cure_hours": 0,
            "pack_minutes": 4,
        }
    },
    "orders": [
        {"id": "1", "article": "Ferry tray", "colour": "Rust", "quantity": 4, "ship_by": 8220, "weight": 1}
    ],
    "poured": [],
    "out_of_mould": [],
    "pins": [],
}


def written(folder: Path, text: str) -> Path:
    path = folder / "problem.json"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_problem_file_becomes_a_plan_file_that_keeps_the_rules(tmp_path: Path) -> None:
    out = tmp_path / "plan.json"

    call_command("plan", problem=written(tmp_path, json.dumps(PROBLEM)), out=out, seconds=5)

    form = json.loads(out.read_text(encoding="utf-8"))
    assert form["form"] == "casting-plan 1"
    assert sum(cast["quantity"] for mix in form["mixes"] for cast in mix["casts"]) == 4
    assert faults_in(PROBLEM, form) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "is not JSON"),
        ("[]", "the file must be an object"),
        (json.dumps({**PROBLEM, "form": "another"}), "form must be"),
        (json.dumps({**PROBLEM, "late_step_days": -1}), "late_step_days must be"),
        (json.dumps({**PROBLEM, "orders": [{**PROBLEM["orders"][0], "article": "Jar"}]}), "'Jar'"),
        ("[" * 100_000, "nested too deeply"),
        (json.dumps({**PROBLEM, "orders": [{**PROBLEM["orders"][0], "quantity": -3}]}), "orders[0].quantity"),
        (json.dumps({**PROBLEM, "orders": PROBLEM["orders"] * 30_000}), "orders must be a list of at most"),
        (json.dumps(PROBLEM).replace('"copies": 2', '"copies": 1000000000'), "moulds.tray.copies"),
        (json.dumps(PROBLEM).replace('"pairs": 1', '"pairs": -1', 1), "hands[0].pairs"),
        (json.dumps(PROBLEM).replace('"weight": 1', '"weight": NaN'), "NaN is not a number"),
        (json.dumps(PROBLEM).replace('"weight": 1', '"weight": 1e999'), "orders[0].weight"),
        (" " * 20_000_001, "larger than 20 MB"),
    ],
    ids=range(13),
)
def test_a_bad_file_is_refused_in_one_sentence(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(CommandError) as refused:
        call_command("plan", problem=written(tmp_path, text), out=tmp_path / "plan.json")

    assert says in str(refused.value)
    assert not (tmp_path / "plan.json").exists()


def test_the_wall_limit_is_said_when_it_hits(tmp_path: Path, capsys) -> None:
    call_command(
        "plan", problem=written(tmp_path, json.dumps(PROBLEM)), out=tmp_path / "p.json", seconds=1e-9
    )

    assert "Ended by the clock" in capsys.readouterr().out


def test_no_time_at_all_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="--seconds must be a number above 0"):
        call_command(
            "plan", problem=written(tmp_path, json.dumps(PROBLEM)), out=tmp_path / "p.json", seconds=-1
        )


def test_a_file_that_is_not_there_and_a_place_that_cannot_be_written_are_named(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("plan", problem=tmp_path / "none.json", out=tmp_path / "plan.json")
    with pytest.raises(CommandError, match="cannot be written"):
        call_command(
            "plan", problem=written(tmp_path, json.dumps(PROBLEM)), out=tmp_path / "none" / "plan.json"
        )


def test_the_shell_gets_one_line_and_the_exit_code_1(tmp_path: Path) -> None:
    problem = written(tmp_path, '{"form": 1}')
    command = [
        sys.executable,
        "manage.py",
        "plan",
        "--problem",
        str(problem),
        "--out",
        str(tmp_path / "p.json"),
    ]

    answer = subprocess.run(command, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False)

    assert answer.returncode == 1
    assert len(answer.stderr.strip().splitlines()) == 1
    assert "form must be" in answer.stderr
