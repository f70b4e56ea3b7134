"""`manage.py bench kills`: kill -9 at random moments under load, for as long as you like.

`--minutes 5`, `--database sqlite|postgresql` (with Redis), `--seed N` to repeat a run's choices.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Sequence


def run(arguments: Sequence[str]) -> int:
    """Kill for so long, say what was found, and end with 1 where anything was lost."""
    from tests.services.kills import try_kills

    asked = argparse.ArgumentParser(prog="manage.py bench kills")
    asked.add_argument("--minutes", type=float, default=2.0)
    asked.add_argument("--database", choices=["sqlite", "postgresql"], default="sqlite")
    asked.add_argument("--seed", type=int, default=None)
    given = asked.parse_args(arguments)
    seed = random.randrange(10**6) if given.seed is None else given.seed
    print(f"On {given.database} for {given.minutes:g} min, seed {seed}", flush=True)
    told = try_kills(given.database, given.minutes * 60, seed)
    print("\n".join(told.lines()), flush=True)
    return 1 if told.faults else 0
