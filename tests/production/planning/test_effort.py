"""Effort in tries: shares of it, and nothing odd let in."""

import pytest

from production.planning.effort import Effort, effort_for
from production.planning.faults import ProblemFault


def test_a_share_keeps_all_list_rules_and_the_seed():
    whole = Effort(rules=56, pressures=4, urgency_tries=1000, move_tries=400, bound_seconds=4, seed=7)
    share = whole.share(5)

    assert share == Effort(rules=56, urgency_tries=50, move_tries=20, bound_seconds=0.2, seed=7)


@pytest.mark.parametrize("lines", [0, 1, 10, 50, 200, 1000, 1001, 5000, 100_000])
def test_every_size_has_an_effort(lines):
    assert effort_for(lines).rules >= 1


def test_no_rule_at_all_is_refused():
    with pytest.raises(ProblemFault) as refused:
        Effort(rules=0)

    assert "effort.rules" in refused.value.message
