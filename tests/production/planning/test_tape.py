"""A run played again from the middle is the run played from the start, whatever was changed in its mixes."""

import random

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import given as given_examples
from hypothesis import strategies as st

from production.planning.forms import problem_from_form
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.simulate import play_window, simulate
from production.planning.state import GivenMix
from production.planning.tape import record
from tests.production.planning.generator import a_problem_form, a_supplied_form

DAY = 1440
RULES = (ListRule(5 * DAY, 5 * DAY, 0.0), ListRule(2 * DAY, 0, 0.0), ListRule(5 * DAY, 14 * DAY, 0.7))
KINDS = (
    {},
    {"pairs": 2, "slack": 0.5},
    {"powder_g": 6_000, "receipts": ((9 * DAY, 20_000), (15 * DAY + 700, 90_000))},
    {"slack": 0.4, "days": 16},
)


def moved(rng, mixes):
    """One or two mixes at other hours, without some of their pieces, gone, or with pieces of another."""
    mixes = list(mixes)
    for _ in range(rng.choice((1, 1, 2))):
        place = rng.randrange(len(mixes))
        mix = mixes[place]
        kind = rng.choice(("hour", "hour", "gone", "fewer", "passed on"))
        if kind == "hour":
            hour = max(0, mix.not_before + rng.randrange(-3000, 3000))
            mixes[place] = GivenMix(hour, mix.jug, mix.takes)
        elif kind == "gone" and len(mixes) > 1:
            del mixes[place]
        elif kind == "fewer" and len(mix.takes) > 1:
            mixes[place] = GivenMix(mix.not_before, mix.jug, mix.takes[1:])
        elif kind == "passed on":
            hosts = [n for n, other in enumerate(mixes) if other.jug == mix.jug and n != place]
            if hosts:
                host = rng.choice(hosts)
                takes = mixes[host].takes + mix.takes[-1:]
                mixes[host] = GivenMix(mixes[host].not_before, mix.jug, takes)
                mixes[place] = GivenMix(mix.not_before, mix.jug, mix.takes[:-1])
    return mixes


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given_examples(
    st.integers(5, 40), st.integers(0, 10**6), st.integers(0, 3), st.sampled_from(RULES), st.booleans()
)
def test_a_run_played_from_the_middle_is_the_run_played_from_the_start(lines, seed, kind, rule, has_offsets):
    rng = random.Random(seed)
    form = a_supplied_form(lines, seed, **KINDS[kind])
    if seed % 5 == 0:
        form["pins"] = [{"compound": "Quick", "colour": "Fog", "from": 8 * DAY, "to": 9 * DAY}]
    if seed % 3 == 0:
        form["no_pours"] = [
            {"compound": None, "colour": colour, "from": day * DAY + 600, "to": (day + 1) * DAY + 700}
            for colour, day in (("Fog", 2), ("Slate", 4), (None, 7))
        ]
    prepared = prepare(problem_from_form(form))
    offsets = [rng.randrange(-3000, 3000) for _ in prepared.problem.lines] if has_offsets else None
    mixes = simulate(prepared, rule, offsets=offsets).given_mixes()
    tape = record(prepared, rule, offsets, mixes)
    assert tape.run == simulate(prepared, rule, offsets=offsets, given=mixes)

    for turn in range(6):
        changed = moved(rng, mixes) if mixes else mixes
        whole = simulate(prepared, rule, offsets=offsets, given=changed)
        assert tape.replay(changed) == whole
        if turn % 2:
            tape, mixes = tape.again(changed), changed
            assert tape.run == whole


@pytest.mark.parametrize("from_minute", [0, 3 * DAY, 10**6])
def test_a_minute_to_begin_from_changes_nothing_about_the_run(from_minute):
    prepared = prepare(problem_from_form(a_problem_form(20, 3)))
    mixes = simulate(prepared, RULES[0]).given_mixes()
    tape = record(prepared, RULES[0], given=mixes)
    changed = [GivenMix(mixes[-1].not_before + 200, mixes[-1].jug, mixes[-1].takes), *mixes[:-1]]

    assert tape.replay(changed, from_minute) == simulate(prepared, RULES[0], given=changed)


def test_what_is_alike_is_not_played_again(monkeypatch):
    """A mix an hour later in the middle of the plan: few of the windows are played."""
    prepared = prepare(problem_from_form(a_problem_form(60, 4)))
    mixes = simulate(prepared, RULES[0]).given_mixes()
    tape = record(prepared, RULES[0], given=mixes)
    middle = len(mixes) // 2
    changed = list(mixes)
    changed[middle] = GivenMix(mixes[middle].not_before + 60, mixes[middle].jug, mixes[middle].takes)
    played = []

    def noting(studio, window):
        played.append(window)
        play_window(studio, window)

    monkeypatch.setattr("production.planning.tape.play_window", noting)

    run = tape.replay(changed)

    assert run == simulate(prepared, RULES[0], given=changed)
    assert 0 < len(played) < len(prepared.calendar.windows) / 3
