"""A round of counting, laid aside, taken up again by two people, and posted as a whole."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from inventory.arithmetic.tare import GrossBelowTare
from inventory.errors import NothingToUndo, ReadBefore, RoundChanged, RoundEnded, StudioError
from inventory.models import CountReading, CountRound, Posting
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from, reverse
from inventory.operations.rounds import begin_round, lay_round_down, post_round, read_tub
from inventory.operations.undoing import UNDO
from inventory.queries.rounds import open_round, round_page
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_material,
    a_tap,
    a_tap_of,
    a_tub,
    fill,
    held,
    in_an_act,
    ledger_size,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

HOUR = timedelta(hours=1)


def make_tubs():
    """B4 with 10 kg bought at 30.00, Q2 with 5 kg bought at 20.00; both 1 kg empty."""
    powder = a_material(name="Quick compound")
    bulk = a_tub(powder, code="B4", stands_at="shelf 1")
    fill(bulk, 10 * KG, price_minor=3000)
    working = a_tub(powder, code="Q2", role="working", capacity=15 * KG, stands_at="bench")
    fill(working, 5 * KG, price_minor=2000)
    return bulk, working


@pytest.fixture
def tubs(db):
    return make_tubs()


def begin():
    return begin_round(**a_tap()).facts["round_id"]


def read(round_id, tub, net, **changed):
    return read_tub(round_id=round_id, container_id=tub.pk, gross_mg=net + KG, **{**a_tap(), **changed})


def post_it(round_id, **tap):
    return post_round(round_id=round_id, shown=round_page(open_round()).shown, **{**a_tap(), **tap})


def test_the_list_is_by_place_and_goes_on_where_it_was_left(tubs):
    bulk, working = tubs
    page = round_page(open_round())
    assert [(place, [tub.code for tub in of]) for place, of in page.places] == [
        ("bench", ["Q2"]),
        ("shelf 1", ["B4"]),
    ]

    read(begin(), working, 5 * KG)

    # Nothing is kept but in the database: another day, another device.
    page = round_page(open_round())
    assert ([tub.code for tub in page.read], page.next_code) == (["Q2"], "B4")


def test_nothing_moves_before_it_is_posted_and_then_all_of_it_together(tubs):
    bulk, working = tubs
    round_id = begin()
    before = ledger_size()
    said = read(round_id, bulk, 9_900_000, reason="lumps").said
    read(round_id, working, 5_050_000)
    assert said == "B4: 9.90 kg read, 0.10 kg less than it should hold."
    assert (ledger_size(), held(bulk), held(working)) == (before, 10 * KG, 5 * KG)

    done = post_it(round_id)

    assert done.said == "2 tubs counted, 2 with a difference."
    assert (held(bulk), held(working)) == (9_900_000, 5_050_000)
    posted = Posting.objects.filter(kind="count").order_by("reason")
    assert [(one.reason, one.entries.get().amount) for one in posted] == [
        ("lumps", 100_000),
        ("not known", 50_000),
    ]
    assert {one.request_key for one in posted} == {posted[0].request_key}
    assert verify_ledger().faults == ()
    assert open_round() is None


def test_differences_are_shown_with_what_they_are_worth(tubs):
    """Worked by hand: 0.10 kg of 10 kg at 30.00 is 0.30; 0.05 kg of 5 kg at 20.00 is 0.20."""
    bulk, working = tubs
    round_id = begin()
    read(round_id, bulk, 9_900_000)
    read(round_id, working, 5_050_000)

    page = round_page(open_round())

    assert [(tub.code, tub.difference, tub.worth_minor) for tub in page.differing] == [
        ("Q2", 50_000, 20),
        ("B4", -100_000, -30),
    ]
    assert page.worth_minor == -10


def test_more_in_a_tub_that_should_be_empty_is_worth_what_the_last_lot_in_it_cost(tubs):
    """Worked by hand: 0.50 kg of a lot of 5 kg at 20.00 is 2.00."""
    _, working = tubs
    with in_an_act() as tap:
        draw_from(tap, working.pk, 5 * KG, "mix")
    round_id = begin()
    read(round_id, working, 500_000, now=MONDAY + HOUR)

    assert round_page(open_round()).worth_minor == 200


@pytest.mark.parametrize("month_day", [(10, 25), (3, 28)], ids=["clocks back", "clocks forward"])
def test_a_round_over_the_change_of_clocks_knows_what_came_first(tubs, month_day):
    """Europe/London, 25 Oct 2026 and 28 Mar 2027 at 01:00 UTC: the hour comes twice, or not at all."""
    _, working = tubs
    month, day = month_day
    change = datetime(2026 if month == 10 else 2027, month, day, 1, 0, tzinfo=UTC)
    round_id = begin()
    read(round_id, working, 5 * KG, now=change - timedelta(minutes=30))
    with in_an_act(happened_at=change + timedelta(minutes=20), now=change + HOUR) as tap:
        draw_from(tap, working.pk, KG, "mix")

    assert round_page(open_round()).differing == []
    assert post_it(round_id, now=change + 2 * HOUR).said.startswith("1 tub counted, none with a difference.")


def test_a_draw_between_reading_and_posting_stays_a_draw(tubs):
    """5.00 kg there, 4.90 read, 1.00 drawn after: 3.90 is left, and 0.10 is the difference."""
    _, working = tubs
    round_id = begin()
    read(round_id, working, 4_900_000)
    with transaction.atomic():
        draw_from(a_tap_of(happened_at=MONDAY + HOUR, now=MONDAY + HOUR), working.pk, KG, "mix")

    post_it(round_id, now=MONDAY + 2 * HOUR)

    assert held(working) == 3_900_000
    assert Posting.objects.get(kind="count").entries.get().amount == 100_000


def test_a_draw_made_before_the_reading_and_recorded_after_it_counts_as_before(tubs):
    """The tap of a draw at 08:00 arrives after the reading of 09:00: the kilogram was gone by then."""
    _, working = tubs
    round_id = begin()
    read(round_id, working, 4 * KG, now=MONDAY + HOUR)
    assert round_page(open_round()).differing[0].difference == -KG

    late = a_tap_of(happened_at=MONDAY + HOUR / 2, now=MONDAY + 2 * HOUR)
    with transaction.atomic():
        draw_from(late, working.pk, KG, "mix")

    assert round_page(open_round()).differing == []
    post_it(round_id, now=MONDAY + 3 * HOUR)
    assert (held(working), Posting.objects.filter(kind="count").count()) == (4 * KG, 0)


def test_a_draw_taken_back_after_the_reading_counts_as_if_it_had_never_been(tubs):
    """A kilogram noted by mistake before the reading, found as there, and taken back after it."""
    _, working = tubs
    with transaction.atomic():
        (drawn,) = draw_from(a_tap_of(), working.pk, KG, "mix")
    round_id = begin()
    read(round_id, working, 5 * KG, now=MONDAY + HOUR)
    with transaction.atomic():
        reverse(a_tap_of(happened_at=MONDAY + 2 * HOUR, now=MONDAY + 2 * HOUR), drawn.posting_id, reason="")

    post_it(round_id, now=MONDAY + 3 * HOUR)

    assert held(working) == 5 * KG
    assert not Posting.objects.filter(kind="count").exists()


def test_a_decant_between_readings_is_no_difference_of_either_tub(tubs):
    """B4 read before and Q2 after two kilograms went from one into the other."""
    bulk, working = tubs
    round_id = begin()
    read(round_id, bulk, 10 * KG)
    later = MONDAY + HOUR
    decant(source_id=bulk.pk, target_id=working.pk, amount=2 * KG, **a_tap(now=later))
    read(round_id, working, 7 * KG, now=later + HOUR)

    assert post_it(round_id, now=later + 2 * HOUR).said == "2 tubs counted, none with a difference."


def test_what_changed_since_the_page_was_shown_is_looked_at_again(tubs):
    _, working = tubs
    round_id = begin()
    read(round_id, working, 4 * KG, now=MONDAY + HOUR)
    shown = round_page(open_round()).shown
    late = a_tap_of(happened_at=MONDAY + HOUR / 2, now=MONDAY + 2 * HOUR)
    with transaction.atomic():
        draw_from(late, working.pk, KG, "mix")

    with pytest.raises(RoundChanged, match="Look again"):
        post_round(round_id=round_id, shown=shown, **a_tap(now=MONDAY + 3 * HOUR))

    assert not Posting.objects.filter(kind="count").exists()


def test_a_tub_with_less_in_it_by_now_than_would_come_out_stops_the_whole(tubs):
    bulk, working = tubs
    round_id = begin()
    read(round_id, bulk, 9 * KG)
    read(round_id, working, KG)
    with transaction.atomic():
        draw_from(a_tap_of(happened_at=MONDAY + HOUR, now=MONDAY + HOUR), working.pk, 3 * KG, "mix")

    with pytest.raises(StudioError) as caught:
        post_it(round_id, now=MONDAY + 2 * HOUR)

    assert caught.value.message == (
        "Q2 should have held 5.00 kg and 1.00 kg was read; now it holds 2.00 kg, too little to take the"
        " difference off. Read it again."
    )
    assert (held(bulk), held(working)) == (10 * KG, 2 * KG)


def test_two_people_count_in_one_round_and_see_each_other(tubs, owner, helper_user):
    bulk, working = tubs
    first = begin_round(**a_tap(by=owner.pk))
    second = begin_round(**a_tap(by=helper_user.pk))
    assert second.said == "A round is under way. Go on with it."
    round_id = first.facts["round_id"]
    assert second.facts["round_id"] == round_id

    earlier = read(round_id, working, 5 * KG, by=owner.pk)
    with pytest.raises(ReadBefore) as caught:
        read(round_id, working, 4 * KG, by=helper_user.pk)

    # 08:00 UTC is 09:00 in London in October.
    assert "Q2 was read 09:00 by owner: 5.00 kg." in caught.value.message
    read(round_id, working, 4 * KG, by=helper_user.pk, instead_of=earlier.facts["reading_id"])
    assert CountReading.objects.get().counted == 4 * KG


def test_refuses_beside_the_field_and_keeps_no_reading(tubs):
    _, working = tubs
    round_id = begin()

    with pytest.raises(GrossBelowTare, match="less than the empty tub"):
        read(round_id, working, -1)
    with pytest.raises(StudioError, match="a spill or lumps make it less"):
        read(round_id, working, 6 * KG, reason="spill")
    with pytest.raises(StudioError, match="Nothing was read yet"):
        post_it(round_id)

    assert not CountReading.objects.exists()


def test_a_round_that_ended_takes_no_more(tubs):
    _, working = tubs
    round_id = begin()
    lay_round_down(round_id=round_id, **a_tap())

    with pytest.raises(RoundEnded, match="has ended"):
        read(round_id, working, 5 * KG)
    with pytest.raises(RoundEnded):
        lay_round_down(round_id=round_id, **a_tap())


def test_again_with_the_same_key_posts_once(tubs):
    _, working = tubs
    round_id = begin()
    read(round_id, working, 4 * KG)
    key, shown = uuid4(), round_page(open_round()).shown

    first = post_round(round_id=round_id, shown=shown, **a_tap(key))
    again = post_round(round_id=round_id, shown=shown, **a_tap(key))

    assert (again.said, again.again, held(working)) == (first.said, True, 4 * KG)


def test_undone_the_tubs_hold_what_they_held_and_the_round_is_open(tubs):
    bulk, working = tubs
    round_id = begin()
    read(round_id, bulk, 9 * KG)
    read(round_id, working, 4 * KG)
    done = post_it(round_id)

    UNDO["inventory.post_round"](act_id=done.act_id, **a_tap())

    assert (held(bulk), held(working)) == (10 * KG, 5 * KG)
    page = round_page(open_round())
    assert (page.round_id, [tub.difference for tub in page.differing]) == (round_id, [-KG, -KG])
    assert verify_ledger().faults == ()


def test_a_round_cannot_be_opened_again_beside_another(tubs):
    _, working = tubs
    round_id = begin()
    read(round_id, working, 4 * KG)
    done = post_it(round_id)
    begin()

    with pytest.raises(RoundEnded, match="Another round has begun"):
        UNDO["inventory.post_round"](act_id=done.act_id, **a_tap())

    assert held(working) == 4 * KG


def test_a_reading_is_undone_until_it_is_posted(tubs):
    _, working = tubs
    round_id = begin()
    done = read(round_id, working, 4 * KG)
    UNDO["inventory.read_tub"](act_id=done.act_id, **a_tap())
    assert not CountReading.objects.exists()

    done = read(round_id, working, 4 * KG)
    post_it(round_id)
    with pytest.raises(NothingToUndo, match="was posted"):
        UNDO["inventory.read_tub"](act_id=done.act_id, **a_tap())


def test_the_database_refuses_a_second_open_round(tubs):
    begin()

    with pytest.raises(IntegrityError), transaction.atomic():
        CountRound.objects.create(begun_at=MONDAY)


def test_the_list_asks_as_often_for_many_tubs(tubs, django_assert_num_queries):
    round_id = begin()
    for number in range(6):
        read(round_id, a_filled_tub(KG, code=f"X{number}"), 2 * KG)

    with django_assert_num_queries(6):
        round_page(open_round())


@pytest.mark.django_db(transaction=True)
def test_two_people_who_begin_at_once_begin_one_round():
    make_tubs()

    answers = at_once(*[lambda: begin_round(**a_tap())] * 3)

    assert {answer.facts["round_id"] for answer in answers} == {CountRound.objects.get().pk}


@pytest.mark.django_db(transaction=True)
def test_draws_at_the_moment_of_posting_are_neither_lost_nor_counted_twice():
    """Read 4.90 of 5.00; while it is posted 0.30 is drawn three times: 4.00 is left in every order."""
    _, working = make_tubs()
    round_id = begin()
    read(round_id, working, 4_900_000)
    later = a_tap(now=MONDAY + HOUR)
    shown = round_page(open_round()).shown

    def draw():
        with in_an_act(happened_at=MONDAY + HOUR, now=MONDAY + HOUR) as tap:
            return draw_from(tap, working.pk, 300_000, "mix")

    answers = at_once(lambda: post_round(round_id=round_id, shown=shown, **later), draw, draw, draw)

    assert [answer for answer in answers if isinstance(answer, Exception)] == []
    assert held(working) == 4_000_000
    assert verify_ledger().faults == ()
