import pytest

from production.planning.faults import ProblemFault
from production.planning.list_rule import ListRule


@pytest.mark.parametrize(
    ("settings", "field"),
    [((-1, 0, 0), "pour_ahead_minutes"), ((0, 1.5, 0), "look_ahead_minutes"), ((0, 0, -0.1), "least_fill")],
)
def test_settings_that_cannot_be_meant_are_refused(settings, field):
    with pytest.raises(ProblemFault, match=f"{field} must be"):
        ListRule(*settings)
