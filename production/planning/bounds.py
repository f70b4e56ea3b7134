"""What no plan can beat: proven bounds on lateness points and on mixes.

Counting (`counting.py`) always gives one; where the solver is installed it is asked for better ones
(`windows_bounds.py`).
"""

from collections.abc import Callable

from production.planning.counting import mixes_by_counting, points_by_counting
from production.planning.prepare import Prepared
from production.planning.simulate import Run
from production.planning.solution import Bounds
from production.planning.windows import solver_is_here
from production.planning.windows_bounds import Proof, proof_by_windows

ShouldStop = Callable[[], bool]


def lower_bounds(
    prepared: Prepared, run: Run, *, deterministic_seconds: float, should_stop: ShouldStop | None = None
) -> Bounds:
    """Bounds proven for a problem; `points` for every plan, `mixes` for plans no later than `run`.

    Parameters
    ----------
    deterministic_seconds
        How long the solver may look, in its own count of work; 0 leaves it out.
    should_stop
        Asked between solves; what is proven by then is the answer.
    """
    return prove(prepared, run, deterministic_seconds=deterministic_seconds, should_stop=should_stop).bounds


def prove(
    prepared: Prepared, run: Run, *, deterministic_seconds: float, should_stop: ShouldStop | None = None
) -> Proof:
    """The bounds of `lower_bounds`, and which lines the solver would have late (none without it)."""
    if deterministic_seconds > 0 and solver_is_here():
        return proof_by_windows(
            prepared, run, deterministic_seconds=deterministic_seconds, should_stop=should_stop
        )
    points, proven_by = points_by_counting(prepared)
    return Proof(Bounds(points, proven_by, mixes_by_counting(prepared, run.score.points)), {})
