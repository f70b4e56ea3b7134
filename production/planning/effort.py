"""How hard the planner looks for a better plan, counted in tries and not in seconds.

Counts are what makes the same problem give the same plan on a slow machine and on a fast one.
"""

from dataclasses import dataclass

from production.planning.faults import check_number, check_whole


@dataclass(frozen=True, slots=True)
class Effort:
    """Tries of each stage; none of a stage leaves it out.

    `rules`: list rules of the portfolio, at least one. `urgency_tries`, `nudge_tries` and `move_tries`:
    simulations of the urgency search, of nudging lines, and of moves on mixes. `window_units`: most units
    (parts of lines that are left to pour) for which the aggregated model is asked; `window_seconds`
    and `bound_seconds`: the solver's deterministic seconds, which count its steps and not the clock.
    `seed` is that of every search.
    """

    rules: int = 1
    urgency_tries: int = 0
    nudge_tries: int = 0
    window_units: int = 0
    window_seconds: float = 0
    move_tries: int = 0
    bound_seconds: float = 0
    seed: int = 1

    def __post_init__(self) -> None:
        check_whole("effort.rules", self.rules, 1)
        check_whole("effort.urgency_tries", self.urgency_tries, 0)
        check_whole("effort.window_units", self.window_units, 0)
        check_number("effort.window_seconds", self.window_seconds)
        check_whole("effort.nudge_tries", self.nudge_tries, 0)
        check_whole("effort.move_tries", self.move_tries, 0)
        check_number("effort.bound_seconds", self.bound_seconds)
        check_whole("effort.seed", self.seed, 0)

    def share(self, percent: float) -> "Effort":
        """The same with so many hundredths of its tries (at least one list rule)."""
        return Effort(
            rules=max(1, round(self.rules * percent / 100)),
            urgency_tries=round(self.urgency_tries * percent / 100),
            nudge_tries=round(self.nudge_tries * percent / 100),
            window_units=self.window_units,
            window_seconds=self.window_seconds * percent / 100,
            move_tries=round(self.move_tries * percent / 100),
            bound_seconds=self.bound_seconds * percent / 100,
            seed=self.seed,
        )


def effort_for(line_count: int) -> Effort:
    """The effort that suits so many lines."""
    return Effort(rules=56 if line_count <= 1000 else 3)
