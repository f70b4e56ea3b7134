"""In whole mixes more is proven than in fractions."""

from production.planning.demands import demands_of
from production.planning.overload import overload
from production.planning.overload_whole import overload_in_whole
from production.planning.prepare import prepare
from production.planning.turns import Earliest
from tests.production.planning.builders import a_compound, a_line, a_mould, a_problem, an_article


def test_two_colours_take_two_whole_mixes_though_each_is_half_a_mix():
    # A day of 480 minutes; each of two lines takes 2 + 3 to fill and open, 10 to pack, and a mix of 225. With
    # half a mix each there is time for both, with a whole one there is not.
    lines = [a_line(str(n), ship_by=1020, colour=colour) for n, colour in enumerate(("Fog", "Rust"))]
    problem = a_problem(
        *lines,
        articles=(an_article(steps=(), pack_wait_minutes=0),),
        compounds=(a_compound(dry_minutes=0, weigh_and_mix_minutes=120, clean_up_minutes=120),),
        moulds=(a_mould(copies=2),),
    )
    demands = demands_of(Earliest(prepare(problem)))

    known = overload(demands)

    assert known.points == 0
    assert overload_in_whole(demands, known, deterministic_seconds=0.5).points == 2 + 1
