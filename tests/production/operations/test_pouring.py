"""Powder in, mould by mould, stopped."""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from inventory.errors import NotEnoughInContainer
from inventory.models import Holding
from inventory.queries.wording import in_words
from production.arithmetic.mix_walls import FillsOutlastWorkingTime, MixTooLargeForJug, NoRecipeForColour
from production.errors import (
    AlreadyDone,
    MixNotSetting,
    MouldNotFree,
    MouldNotMeasured,
    NoTubToWeighFrom,
    WeightsChanged,
)
from production.models import Cast, Compound, Mix, MixDraw, Mould, MouldCopy
from production.operations.pouring import pour_cast, pour_rest, start_mix, stop_mix
from production.queries.asked import asked_by_plan
from production.queries.mix_weights import mix_to_weigh
from tests.factories.inventory import KG, MONDAY, G, a_filled_tub, a_tap, fill, ledger_size
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_planned_mix,
    an_article,
    minutes,
    out_of_mould,
    pots,
    poured,
    started,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


def powder_left(compound: Compound) -> int:
    return sum(Holding.objects.filter(lot__material=compound.powder).values_list("amount", flat=True))


class TestStartMix:
    def test_makes_a_mix_with_one_cast_for_each_mould_in_the_order_of_filling(self):
        planned = pots()

        done = start_mix(**a_tap(), planned_mix_id=planned.pk)

        mix = Mix.objects.get(pk=done.facts["mix_id"])
        names = [(cast.part.name, cast.mould_copy.number) for cast in mix.casts.order_by("position")]
        assert names == [("pot", 1), ("pot", 2), ("saucer", 1), ("saucer", 2)]
        assert mix.planned == planned
        assert done.said == f"Mix {mix.number} started 09:00, stiff about 09:15."

    def test_draws_powder_and_pigment_lot_by_lot_as_the_weights_say(self):
        planned = pots()
        tub = planned.compound.powder.containers.get()
        fill(tub, 15 * KG)

        mix = started(planned)

        by_material = {}
        for draw in MixDraw.objects.filter(mix=mix):
            by_material.setdefault(draw.material_id, []).append(draw.amount)
        powder, pigment = planned.compound.powder_id, planned.colour.pigments.get().pigment_id
        assert len(by_material[powder]) == 2
        assert sum(by_material[powder]) == mix.powder_mg
        assert sum(by_material[pigment]) == pytest.approx(mix.powder_mg * 0.02, abs=100)
        assert powder_left(planned.compound) == 30 * KG - mix.powder_mg

    def test_powder_out_of_another_tub_than_the_next_in_turn_is_recorded(self):
        planned = pots()
        turn = planned.compound.powder.containers.get()
        other = a_filled_tub(20 * KG, planned.compound.powder, code="B9")

        done = start_mix(**a_tap(), planned_mix_id=planned.pk, tubs=["B9"])

        mix = Mix.objects.get(pk=done.facts["mix_id"])
        assert done.said.endswith(f"Powder from B9 instead of {turn.code}.")
        draw = MixDraw.objects.get(mix=mix, material=planned.compound.powder)
        assert (draw.container, draw.amount) == (other, mix.powder_mg)
        assert draw.posting.reason == f"mix {mix.number}, instead of {turn.code}"

    def test_the_tub_whose_turn_it_is_needs_no_word(self):
        planned = pots()
        turn = planned.compound.powder.containers.get()

        done = start_mix(**a_tap(), planned_mix_id=planned.pk, tubs=[turn.code])

        assert "instead of" not in done.said

    def test_a_pigment_out_of_another_tub_begins_there_and_goes_on_in_the_next_in_turn(self):
        planned = pots()
        pigment = planned.colour.pigments.get().pigment
        turn = pigment.containers.get()
        other = a_filled_tub(G, pigment, code="P9")

        done = start_mix(**a_tap(), planned_mix_id=planned.pk, tubs=["P9"])

        assert f"{pigment.name} from P9 instead of {turn.code}." in done.said
        draws = MixDraw.objects.filter(mix=done.facts["mix_id"], material=pigment).order_by("pk")
        assert [draw.container for draw in draws] == [other, turn]
        assert draws[0].amount == G
        assert draws[0].posting.reason.endswith(f", instead of {turn.code}")

    @pytest.mark.django_db(transaction=True)
    def test_two_mixes_that_want_the_last_kilogram_at_once(self):
        """One is made; the other is told what is left, and nothing is drawn for it."""
        compound = a_compound(powder_held=1 * KG)
        colour = a_colour(compound)
        planned = [a_planned_mix(an_article(compound, colour, a_mould()), colour, pieces=2) for _ in range(2)]
        takes = mix_to_weigh(asked_by_plan(planned[0].pk), now=MONDAY).weights.powder_mg
        assert takes <= KG < 2 * takes

        answers = at_once(*[lambda one=one: start_mix(**a_tap(), planned_mix_id=one.pk) for one in planned])

        (refused,) = [answer for answer in answers if isinstance(answer, NotEnoughInContainer)]
        left = KG - takes
        assert refused.facts["held"] == left
        assert in_words(left, "g") in refused.message
        assert (Mix.objects.count(), powder_left(compound)) == (1, left)

    def test_numbers_the_mixes_one_after_the_other(self):
        first = started(pots())
        second = started(pots())

        assert second.number == first.number + 1

    def test_takes_the_copies_with_the_least_casts(self):
        planned = pots(pieces=1, copies=2)
        MouldCopy.objects.filter(number=1).update(casts_before=40)

        mix = started(planned)

        assert {cast.mould_copy.number for cast in mix.casts.all()} == {2}

    def test_leaves_a_mould_out_and_mixes_less(self):
        planned = pots()
        whole = started(pots()).powder_mg
        pot_entry = planned.casts.get(part__name="pot").pk

        mix = started(planned, left_out=[pot_entry])

        assert [cast.part.name for cast in mix.casts.all()] == ["pot", "saucer", "saucer"]
        assert mix.powder_mg < whole

    def test_thinner_has_more_water_and_is_recorded(self):
        plain, thin = started(pots()), started(pots(), water_adjust_percent=5.0)

        assert thin.water_adjust_percent == 5.0
        assert thin.water_mg / thin.powder_mg == pytest.approx(
            1.05 * plain.water_mg / plain.powder_mg, abs=1e-3
        )

    def test_again_with_the_same_key_draws_nothing_twice(self):
        planned, key = pots(), uuid4()
        first = start_mix(**a_tap(key), planned_mix_id=planned.pk)
        before = ledger_size()

        again = start_mix(**a_tap(key), planned_mix_id=planned.pk)

        assert again.again is True
        assert again.facts == first.facts
        assert ledger_size() == before

    def test_a_second_screen_is_told_when_it_was_started(self):
        planned = pots()
        mix = started(planned)
        before = ledger_size()

        with pytest.raises(AlreadyDone) as refused:
            start_mix(**a_tap(now=MONDAY + minutes(3)), planned_mix_id=planned.pk)

        assert refused.value.message == f"Mix {mix.number} was started 09:00."
        assert ledger_size() == before

    @pytest.mark.django_db(transaction=True)
    def test_two_screens_at_once_start_it_once(self):
        planned = pots()

        answers = at_once(
            *[lambda: start_mix(**a_tap(), planned_mix_id=planned.pk)] * 2,
        )

        assert Mix.objects.count() == 1
        assert [type(answer).__name__ for answer in answers].count("AlreadyDone") == 1
        assert powder_left(planned.compound) == 15 * KG - Mix.objects.get().powder_mg

    def test_a_top_up_repeats_the_recorded_ratios_of_the_mix_that_ran_short(self):
        planned = pots()
        short = started(planned, water_adjust_percent=4.0)
        stop_mix(**a_tap(now=MONDAY + minutes(9)), mix_id=short.pk)
        planned.colour.pigments.update(load=0.08)

        done = start_mix(**a_tap(now=MONDAY + minutes(20)), tops_up_id=short.pk)

        top_up = Mix.objects.get(pk=done.facts["mix_id"])
        ratio = short.water_mg / short.powder_mg
        assert top_up.water_mg / top_up.powder_mg == pytest.approx(ratio, abs=2e-3)
        pigment = MixDraw.objects.filter(mix=top_up).exclude(material=planned.compound.powder).get()
        assert pigment.amount / top_up.powder_mg == pytest.approx(0.02, abs=2e-4)
        assert top_up.casts.count() == 4
        assert f"mix {short.number}: a second mix can differ in colour" in done.said


class TestStartMixRefuses:
    """Each refusal leaves no mix, no draw and the copies free."""

    def refused(self, fault, planned, **content):
        before = ledger_size()
        with pytest.raises(fault) as refused:
            start_mix(**a_tap(), planned_mix_id=planned.pk, **content)
        assert ledger_size() == before
        assert not Mix.objects.filter(planned=planned).exists()
        assert not Cast.objects.filter(mix__planned=planned).exists()
        return refused.value

    def test_a_mould_that_is_still_damp(self):
        planned = pots()
        article = planned.casts.first().part.article
        out_of_mould(planned)
        again = a_planned_mix(article, planned.colour, pieces=1, starts_at=MONDAY + minutes(80))
        before = ledger_size()

        with pytest.raises(MouldNotFree) as refused:
            start_mix(**a_tap(now=MONDAY + minutes(80)), planned_mix_id=again.pk)

        # Out 70 min after 09:00, two hours to clean and dry: 12:10.
        assert "Copy 1 is wet until 12:10 and copy 2 is wet until 12:10." in refused.value.message
        assert ledger_size() == before

    def test_a_damp_mould_is_free_again_when_it_is_dry(self):
        planned = pots()
        article = planned.casts.first().part.article
        out_of_mould(planned)
        again = a_planned_mix(article, planned.colour, pieces=1)

        done = start_mix(**a_tap(now=MONDAY + minutes(190)), planned_mix_id=again.pk)

        assert Mix.objects.get(pk=done.facts["mix_id"]).casts.count() == 2

    def test_a_mould_that_is_in_another_mix(self):
        planned = pots()
        article = planned.casts.first().part.article
        mix = started(planned)
        again = a_planned_mix(article, planned.colour, pieces=1)

        fault = self.refused(MouldNotFree, again)

        assert f"copy 2 is in mix {mix.number}" in fault.message

    def test_a_mould_that_is_lent(self):
        planned = pots(pieces=1, copies=1)
        MouldCopy.objects.update(lent_on=MONDAY.date())

        assert "lent" in self.refused(MouldNotFree, planned).message

    def test_a_mould_that_was_never_measured(self):
        planned = pots()
        Mould.objects.update(volume_ul=None)

        self.refused(MouldNotMeasured, planned)

    def test_a_mix_over_the_jug(self):
        planned = pots()
        Compound.objects.update(jug_most_mg=1 * KG)

        fault = self.refused(MixTooLargeForJug, planned)

        assert fault.facts["jug_mg"] == 1 * KG

    def test_fills_that_outlast_the_working_time(self):
        planned = pots()
        Mould.objects.update(fill_minutes=5)

        fault = self.refused(FillsOutlastWorkingTime, planned)

        assert fault.message.startswith("Stirring takes 3 min, filling takes 20 min and")

    def test_a_colour_with_no_recipe(self):
        planned = pots()
        planned.colour.pigments.all().delete()

        self.refused(NoRecipeForColour, planned)

    def test_less_powder_in_the_tub_than_the_mix_takes_and_says_where_more_is(self):
        compound = a_compound(powder_held=KG // 2)
        bulk = a_filled_tub(10 * KG, compound.powder, code="B4")
        colour = a_colour(compound)
        planned = a_planned_mix(an_article(compound, colour, a_mould()), colour, pieces=2)

        fault = self.refused(NotEnoughInContainer, planned)

        assert fault.message.endswith(f"More is in {bulk.code} 10.00 kg. Decant first.")

    def test_no_tub_with_the_pigment(self):
        compound = a_compound()
        colour = a_colour(compound, held=0)
        planned = a_planned_mix(an_article(compound, colour, a_mould()), colour)

        self.refused(NoTubToWeighFrom, planned)

    def test_a_page_that_showed_other_grams(self):
        planned = pots()

        fault = self.refused(WeightsChanged, planned, powder_mg=5_000_000)

        assert fault.facts["shown_mg"] == 5_000_000


class TestPourCast:
    def test_says_the_copy_and_then_the_whole_mix_with_when_it_is_due_out(self):
        mix = started(pots(pieces=1))
        first, last = mix.casts.order_by("position")

        one = pour_cast(**a_tap(now=MONDAY + minutes(6)), cast_id=first.pk)
        two = pour_cast(**a_tap(now=MONDAY + minutes(9)), cast_id=last.pk)

        mix.refresh_from_db()
        assert one.said == f"{first.mould_copy.mould} copy 1 poured 09:06."
        assert two.said == f"Mix {mix.number} poured 09:09. Out about 10:09."
        assert mix.poured_at == MONDAY + minutes(9)

    def test_again_with_the_same_key_answers_the_same(self):
        cast, key = started(pots()).casts.first(), uuid4()
        first = pour_cast(**a_tap(key), cast_id=cast.pk)

        assert pour_cast(**a_tap(key), cast_id=cast.pk).said == first.said

    def test_a_later_tap_on_another_screen_is_told_when_it_was_poured(self):
        cast = started(pots()).casts.first()
        pour_cast(**a_tap(now=MONDAY + minutes(33)), cast_id=cast.pk)

        with pytest.raises(AlreadyDone) as refused:
            pour_cast(**a_tap(now=MONDAY + minutes(34)), cast_id=cast.pk)

        cast.refresh_from_db()
        assert refused.value.message == "Already poured 09:33."
        assert cast.poured_at == MONDAY + minutes(33)

    @pytest.mark.django_db(transaction=True)
    def test_two_taps_at_once_pour_it_once(self):
        cast = started(pots()).casts.first()

        answers = at_once(
            lambda: pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=cast.pk),
            lambda: pour_cast(**a_tap(now=MONDAY + minutes(6)), cast_id=cast.pk),
        )

        assert sorted(type(answer).__name__ for answer in answers) == ["AlreadyDone", "Done"]

    def test_a_mix_stopped_on_another_screen_is_not_poured(self):
        mix = started(pots())
        stop_mix(**a_tap(now=MONDAY + minutes(8)), mix_id=mix.pk)
        cast = mix.casts.first()

        with pytest.raises(MixNotSetting) as refused:
            pour_cast(**a_tap(now=MONDAY + minutes(9)), cast_id=cast.pk)

        cast.refresh_from_db()
        assert refused.value.message == (
            f"Poured was not kept: mix {mix.number} was stopped on another screen at 09:08."
        )
        assert cast.poured_at is None

    def test_a_time_before_the_powder_is_refused(self):
        cast = started(pots()).casts.first()

        with pytest.raises(MixNotSetting):
            pour_cast(**a_tap(now=MONDAY + minutes(9), happened_at=MONDAY - minutes(1)), cast_id=cast.pk)


class TestStopMix:
    def test_leaves_out_what_was_not_filled_and_frees_the_copies(self):
        planned = pots()
        article = planned.casts.first().part.article
        mix = started(planned)
        pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=mix.casts.first().pk)

        done = stop_mix(**a_tap(now=MONDAY + minutes(14)), mix_id=mix.pk)

        mix.refresh_from_db()
        assert mix.is_stopped is True
        assert mix.casts.filter(left_out_at__isnull=False).count() == 3
        assert done.said.startswith(f"Mix {mix.number} stopped 09:14: 1 poured, 3 moulds left out.")
        again = a_planned_mix(article, planned.colour, pieces=1)
        assert started(again, MONDAY + minutes(15)).casts.count() == 2

    def test_a_poured_mix_is_not_stopped(self):
        mix = poured(pots())

        with pytest.raises(AlreadyDone) as refused:
            stop_mix(**a_tap(now=MONDAY + minutes(30)), mix_id=mix.pk)

        assert refused.value.message == f"Mix {mix.number} was poured 09:05."

    def test_again_with_the_same_key_answers_the_same(self):
        mix, key = started(pots()), uuid4()
        first = stop_mix(**a_tap(key), mix_id=mix.pk)

        assert stop_mix(**a_tap(key), mix_id=mix.pk).said == first.said

    @pytest.mark.django_db(transaction=True)
    def test_stopped_and_poured_at_once_leaves_one_truth(self):
        mix = started(pots(pieces=1, copies=1))
        first, last = mix.casts.order_by("position")
        pour_cast(**a_tap(now=MONDAY + minutes(5)), cast_id=first.pk)

        at_once(
            lambda: pour_cast(**a_tap(now=MONDAY + minutes(6)), cast_id=last.pk),
            lambda: stop_mix(**a_tap(now=MONDAY + minutes(6)), mix_id=mix.pk),
        )

        last.refresh_from_db()
        assert (last.poured_at is None) != (last.left_out_at is None)


class TestPourRest:
    def test_an_hour_late_it_is_due_out_by_when_it_was_poured(self):
        mix = started(pots())
        pour_cast(**a_tap(now=MONDAY + minutes(4)), cast_id=mix.casts.first().pk)

        late = a_tap(now=MONDAY + minutes(64), happened_at=MONDAY + minutes(6))
        done = pour_rest(**late, mix_id=mix.pk)

        assert done.said == f"Mix {mix.number} poured 09:06. Out about 10:06."
        assert mix.casts.filter(poured_at=MONDAY + minutes(6)).count() == 3

    def test_before_the_powder_went_in_is_refused_and_a_second_phone_is_told_when(self):
        mix = started(pots())
        with pytest.raises(MixNotSetting, match="was started 09:00"):
            pour_rest(**a_tap(happened_at=MONDAY - minutes(1)), mix_id=mix.pk)
        pour_rest(**a_tap(now=MONDAY + minutes(5)), mix_id=mix.pk)
        with pytest.raises(AlreadyDone, match="was poured 09:05"):
            pour_rest(**a_tap(now=MONDAY + minutes(6)), mix_id=mix.pk)

    def test_over_midnight_and_a_clock_change_the_hours_are_real_ones(self):
        """Poured 00:30 by the wall, which goes back at 02:00 (IANA, Europe/London, 25 October 2026)."""
        at = datetime(2026, 10, 24, 22, 55, tzinfo=UTC)
        mix = started(pots(), at)
        Mould.objects.update(in_mould_minutes=120)

        done = pour_rest(**a_tap(now=at + minutes(35), happened_at=at + minutes(35)), mix_id=mix.pk)

        assert done.said == f"Mix {mix.number} poured 00:30. Out about 01:30."
