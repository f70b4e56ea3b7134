"""What would help and what would not, in words that lead to where it is done."""

from __future__ import annotations

from typing import Any

import pytest

from production.models import LateLook, LateOffer, OfferedLine, PlannedLine
from production.queries.late_looks import LateLookRead, LateOfferRead
from production.queries.offer_words import helps_for, would_not_help
from tests.production.queries.test_late_words import line

FIRST, SECOND = line(pk=1, quantity=4, article_id=9), line(pk=2, article_id=9)


def offer(kind: str, *helped: OfferedLine, **fields: Any) -> LateOfferRead:
    given = {"points_saved": 27, "mixes_saved": 3, "by_lifting": False, "name": "", **fields}
    return LateOfferRead(LateOffer(kind=kind, **given), {one.line_id: one for one in helped})


def days(of: PlannedLine, before: int | None, after: int | None) -> OfferedLine:
    return OfferedLine(line_id=of.pk, days_before=before, days_after=after)


def look(*offers: LateOfferRead, enough: tuple[str, ...] = ()) -> LateLookRead:
    return LateLookRead(LateLook(is_whole=True, enough=list(enough)), {}, offers, {9: {4}})


@pytest.mark.parametrize(
    ("kind", "fields", "text", "label", "place"),
    [
        (
            "one more copy",
            {"name": "Groyne bookend", "mould_id": 4},
            "One more copy of the mould Groyne bookend: in time; 27 points and 3 mixes saved.",
            "Note the moulds",
            "production:mould-copies",
        ),
        (
            "an hour more a day",
            {"mixes_saved": -5},
            "An hour more a day: in time; 27 points saved, at most 5 mixes more.",
            "Add hands",
            "studio",
        ),
        (
            "Saturday hands",
            {"mixes_saved": 0, "points_saved": 1},
            "Saturday hands: in time; 1 point saved.",
            "Add Saturday hands",
            "studio",
        ),
        (
            "a second pair of hands",
            {"mixes_saved": 1},
            "One more pair of hands: in time; 27 points and 1 mix saved.",
            "Add hands",
            "studio",
        ),
        (
            "two days earlier",
            {"name": "Slow plaster"},
            "Slow plaster two days earlier: in time; 27 points and 3 mixes saved.",
            "What will run out",
            "inventory:stores",
        ),
        (
            "a bigger jug",
            {},
            "A jug half as big again: in time; 27 points and 3 mixes saved.",
            "",
            "",
        ),
    ],
)
def test_an_offer_says_what_becomes_of_the_order_what_it_saves_and_where_it_is_done(
    kind: str, fields: dict[str, Any], text: str, label: str, place: str
) -> None:
    (help,) = helps_for([FIRST], look(offer(kind, days(FIRST, 3, 0), **fields)), some_in_time=False)

    assert (help.text, help.label, help.place) == (text, label, place)
    assert help.place_argument == fields.get("mould_id")


def test_two_parts_say_how_many_leave_first_and_lead_to_the_orders() -> None:
    found = offer("two parts", days(FIRST, 3, 3), line=FIRST, pieces=3, points_saved=15, mixes_saved=0)

    (help,) = helps_for([FIRST], look(found), some_in_time=True)

    assert help.text == "Two parts, 3 of 4 first: the first leave in time; 15 points saved."
    assert (help.label, help.place) == ("Ship in two parts", "orders")


@pytest.mark.parametrize(
    ("helped", "effect"),
    [
        ([days(FIRST, 3, 1)], "one day late instead of three"),
        ([days(FIRST, None, 2)], "two days late instead of never"),
        ([days(FIRST, 3, 0), days(SECOND, 2, 0)], "in time"),
        ([days(FIRST, 3, 0)], "one of two boards in time"),
    ],
)
def test_what_becomes_of_it_is_told_in_days_or_boards(helped: list[OfferedLine], effect: str) -> None:
    late = [FIRST, SECOND] if "boards" in effect or len(helped) == 2 else [FIRST]

    (help,) = helps_for(late, look(offer("Saturday hands", *helped)), some_in_time=False)

    assert help.text.startswith(f"Saturday hands: {effect};")


def test_the_four_that_save_most_are_shown() -> None:
    offers = [offer("one more copy", days(FIRST, 3, 0), name=f"mould {n}", mould_id=n) for n in range(6)]

    helps = helps_for([FIRST], look(*offers), some_in_time=False)

    assert [help.place_argument for help in helps] == [0, 1, 2, 3]


def test_what_saves_no_points_or_helps_only_others_would_not_help_this_one() -> None:
    found = look(
        offer("one more copy", days(SECOND, 3, 0), name="tray", mould_id=4),
        # The mould of another article is no matter of theirs.
        offer("one more copy", points_saved=0, mixes_saved=0, name="bookend", mould_id=5),
        offer("an hour more a day", points_saved=0, mixes_saved=7),
        offer("Saturday hands", points_saved=0, mixes_saved=0, by_lifting=True),
        offer("two parts", points_saved=0, mixes_saved=0, line=SECOND, line_id=2),
        enough=("Slow plaster",),
    )

    assert helps_for([FIRST], found, some_in_time=False) == ()
    assert would_not_help([FIRST], found) == (
        "One more copy of the mould tray, an hour more a day and Saturday hands would not help."
        " An hour more a day would save 7 mixes."
        " More Slow plaster would not help: what there is lasts."
    )


def test_many_materials_that_last_are_not_listed_one_by_one() -> None:
    assert would_not_help([FIRST], look(enough=("Slow plaster", "Sealer", "Wax"))) == (
        "More of the other powders and materials would not help: what there is lasts."
    )


def test_without_a_look_nothing_is_said_to_help_or_not() -> None:
    assert helps_for([FIRST], None, some_in_time=False) == ()
    assert would_not_help([FIRST], None) == ""
    assert would_not_help([FIRST], look()) == ""
