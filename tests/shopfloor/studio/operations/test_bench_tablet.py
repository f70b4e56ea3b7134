"""PINs: few tries, none of them free."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from shopfloor.studio.errors import PinRefused
from shopfloor.studio.operations.bench_tablet import TRIES, WAIT_MINUTES, keep_pin, person_by_pin

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize("pin", ["", "123", "123456789", "12a4", "١٢٣٤", "1234", "9876", "0000", "7890"])
def test_a_pin_that_is_no_pin_or_tried_first_by_everybody_is_refused(helper_user, pin):
    with pytest.raises(PinRefused):
        keep_pin(helper_user.pk, pin)


def test_after_five_wrong_ones_the_right_one_waits_too(helper_user):
    keep_pin(helper_user.pk, "4711")
    for _ in range(TRIES):
        with pytest.raises(PinRefused, match="That is not helper's PIN"):
            person_by_pin(helper_user.pk, "0815", now=NOW)

    with pytest.raises(PinRefused, match="5 wrong PINs for helper. Wait 5 minutes"):
        person_by_pin(helper_user.pk, "4711", now=NOW)
    later = NOW + timedelta(minutes=WAIT_MINUTES, seconds=1)
    assert person_by_pin(helper_user.pk, "4711", now=later) == helper_user


def test_somebody_kept_out_is_not_let_in_by_a_pin_either(helper_user):
    keep_pin(helper_user.pk, "4711")
    helper_user.is_active = False
    helper_user.save()

    with pytest.raises(PinRefused, match="There is no PIN under that name"):
        person_by_pin(helper_user.pk, "4711", now=NOW)
