"""Nothing that was answered is lost when everything is killed; a longer one is `manage.py bench kills`."""

from __future__ import annotations

import pytest

from tests.services.kills import try_kills
from tests.services.programs import need_program

pytestmark = pytest.mark.services


@pytest.mark.parametrize(("database", "seed"), [("sqlite", 11), ("postgresql", 12)])
def test_kills_under_load_lose_nothing_and_leave_nothing_half_done(database: str, seed: int):
    for program in ("initdb", "postgres", "redis-server") if database == "postgresql" else ():
        need_program(program)

    told = try_kills(database, 5, seed, kills=5)

    assert told.faults == [], told.lines()
    assert told.killed and told.acknowledged > 5 and told.notices > 1, told.lines()
