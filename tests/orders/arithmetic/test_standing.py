"""How an order stands, in one sentence (design, screens: Orders)."""

from __future__ import annotations

import pytest

from orders.arithmetic.standing import standing_sentence


@pytest.mark.parametrize(
    ("states", "given", "said"),
    [
        (["ready"] * 4, {"boxed": 3}, "all 4 ready, 3 in the box"),
        (["ready"] * 2, {}, "both ready"),
        (["ready"], {"shipped": 3}, "ready, 3 shipped"),
        (["in the mould"] * 2, {"ready_words": "Fri 9, 13:00"}, "in the mould, ready Fri 9, 13:00"),
        (
            ["in the mould", "drying"],
            {"ready_words": "Thu 8, 13:00"},
            "1 of 2 drying, 1 in the mould, ready Thu 8, 13:00",
        ),
        (["drying"] * 2 + ["not poured"] * 4, {}, "2 of 6 drying, 4 not poured"),
        (
            ["not poured"] * 4,
            {"pours": ["today", "Wed 7"], "ready_words": "Fri 9, 13:00"},
            "to pour today and Wed 7, ready Fri 9, 13:00",
        ),
        (["ready", "not poured"], {"pours": ["Wed 7, 09:00"]}, "1 of 2 ready, 1 to pour Wed 7, 09:00"),
        (["not poured"], {}, "not poured"),
        ([], {"shipped": 2}, "2 shipped"),
    ],
)
def test_sentences(states, given, said):
    assert standing_sentence(states, **{"boxed": 0, "shipped": 0, **given}) == said
