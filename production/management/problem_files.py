"""Reading the exchanged forms from files: one sentence for whatever is wrong with one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import CommandError

from production.checking.limits import MOST_BYTES
from production.checking.places import Malformed
from production.checking.plan_file import read_plan
from production.checking.problem_file import read_problem
from production.checking.studio import Answered, Asked


def problem_in(path: Path) -> tuple[dict[str, Any], Asked]:
    """The problem form in a file, as JSON gave it and as the checker read it.

    Raises: CommandError with one sentence, which names the field where one is at fault.
    """
    form = _json_in(path)
    try:
        return form, read_problem(form)
    except Malformed as fault:
        raise CommandError(f"{path}: {fault.message}") from None


def plan_in(path: Path, asked: Asked) -> Answered:
    """The plan form in a file.

    Raises: CommandError with one sentence, which names the field where one is at fault.
    """
    form = _json_in(path)
    try:
        return read_plan(form, asked)
    except Malformed as fault:
        raise CommandError(f"{path}: {fault.message}") from None


def _json_in(path: Path) -> Any:
    try:
        with path.open("rb") as file:
            found = file.read(MOST_BYTES + 1)
    except OSError as fault:
        raise CommandError(f"{path} cannot be read: {fault.strerror}.") from None
    if len(found) > MOST_BYTES:
        raise CommandError(f"{path} is larger than {MOST_BYTES // 1_000_000} MB; nothing of it was read.")
    try:
        return json.loads(found.decode(), parse_constant=_no_number, object_pairs_hook=_names_once)
    except UnicodeDecodeError:
        raise CommandError(f"{path} is not text in UTF-8.") from None
    except json.JSONDecodeError as fault:
        raise CommandError(f"{path} is not JSON: line {fault.lineno}, {fault.msg}.") from None
    except RecursionError:
        raise CommandError(f"{path} is nested too deeply to be a form.") from None
    except ValueError as fault:
        # Ours, and the one for a number of thousands of figures.
        raise CommandError(f"{path} cannot be read: {str(fault).split(';')[0]}.") from None


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is not a number")


def _names_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"one object gives {twice[:60]!r} twice")
    return found
