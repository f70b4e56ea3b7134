"""Names of wishes, there and back."""

from __future__ import annotations

import pytest

from orders.arithmetic.wanted_by import line_key, line_of_key, wish_key


def test_a_line_is_found_by_the_name_it_gave():
    assert line_of_key(line_key(12)) == 12


@pytest.mark.parametrize("key", ["", "line:", "line:x", wish_key(12)])
def test_other_names_name_no_line(key):
    assert line_of_key(key) is None
