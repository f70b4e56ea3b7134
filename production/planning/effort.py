"""How hard the planner looks for a better plan, counted in tries and not in seconds.

Counts are what makes the same problem give the same plan on a slow machine and on a fast one.
"""

from dataclasses import dataclass

from production.planning.faults import check_number, check_whole

# No portfolio has more list rules; the size decides which are tried.
ALL_RULES = 56
# Tries times lines that a stage may come to, the most tries whatever the size, and the most for each line.
URGENCY_WORK, MOST_URGENCY_TRIES, URGENCY_TRIES_A_LINE = 1_500_000, 3000, 100
NUDGE_WORK, MOST_NUDGE_TRIES, NUDGE_TRIES_A_LINE = 500_000, 1500, 100
MOVE_WORK, MOST_MOVE_TRIES, MOVE_TRIES_A_LINE = 1_000_000, 3000, 150
# A grouping costs about the same at any size.
GROUP_WORK, MOST_GROUP_TRIES, LEAST_GROUP_TRIES = 200_000, 200, 100
# How often the rules are played with lines let be late; above so many lines to choose them takes long.
MOST_PRESSURES, MOST_LINES_PRESSED = 4, 1500
# Above this the solver proves nothing that counting does not.
MOST_LINES_BOUND, BOUND_SECONDS = 400, 1.0


@dataclass(frozen=True, slots=True)
class Effort:
    """Tries of each stage; none of a stage leaves it out.

    `rules`: list rules of the portfolio, at least one. `pressures`: how often they are played again with
    lines late that are best let be late. `urgency_tries`, `nudge_tries` and `move_tries`:
    simulations of the urgency search, of nudging lines, and of moves on mixes. `group_tries`: groupings
    of the mixes of a jug that the solver is asked for. `bound_seconds`: the solver's deterministic seconds
    for bounds, which count its steps and not the clock. `seed` is that of every search.
    """

    rules: int = 1
    pressures: int = 0
    urgency_tries: int = 0
    nudge_tries: int = 0
    group_tries: int = 0
    move_tries: int = 0
    bound_seconds: float = 0
    seed: int = 1

    def __post_init__(self) -> None:
        check_whole("effort.rules", self.rules, 1)
        check_whole("effort.pressures", self.pressures, 0)
        check_whole("effort.urgency_tries", self.urgency_tries, 0)
        check_whole("effort.nudge_tries", self.nudge_tries, 0)
        check_whole("effort.group_tries", self.group_tries, 0)
        check_whole("effort.move_tries", self.move_tries, 0)
        check_number("effort.bound_seconds", self.bound_seconds)
        check_whole("effort.seed", self.seed, 0)

    def share(self, percent: float) -> "Effort":
        """The same with so many hundredths of its tries; the list rules stay, which no plan is worse than."""
        return Effort(
            rules=self.rules,
            pressures=round(self.pressures * percent / 100),
            urgency_tries=round(self.urgency_tries * percent / 100),
            nudge_tries=round(self.nudge_tries * percent / 100),
            group_tries=round(self.group_tries * percent / 100),
            move_tries=round(self.move_tries * percent / 100),
            bound_seconds=self.bound_seconds * percent / 100,
            seed=self.seed,
        )


def effort_for(line_count: int) -> Effort:
    """The effort that suits so many lines.

    One try takes about as much longer as there are more lines, so there are fewer of them: from about
    3 seconds of one core at 10 lines to a minute at 200 and three at 5,000.
    """
    lines = max(1, line_count)
    return Effort(
        rules=ALL_RULES,
        pressures=MOST_PRESSURES if lines <= MOST_LINES_PRESSED else 0,
        urgency_tries=min(MOST_URGENCY_TRIES, URGENCY_WORK // lines, URGENCY_TRIES_A_LINE * lines),
        nudge_tries=min(MOST_NUDGE_TRIES, NUDGE_WORK // lines, NUDGE_TRIES_A_LINE * lines),
        group_tries=min(MOST_GROUP_TRIES, max(LEAST_GROUP_TRIES, GROUP_WORK // lines)),
        move_tries=min(MOST_MOVE_TRIES, MOVE_WORK // lines, MOVE_TRIES_A_LINE * lines),
        bound_seconds=BOUND_SECONDS if lines <= MOST_LINES_BOUND else 0,
    )
