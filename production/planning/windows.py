"""The aggregated model of working windows: what the solver makes of a plan."""

from functools import cache
from importlib.util import find_spec


@cache
def solver_is_here() -> bool:
    """Whether OR-Tools is installed; it is not imported for the answer."""
    return find_spec("ortools") is not None
