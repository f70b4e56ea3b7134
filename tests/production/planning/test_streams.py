from hypothesis import given
from hypothesis import strategies as st

from production.planning.prepare import prepare
from production.planning.problem import Part
from production.planning.supplies import Recipe, RecipeNeed, Supply
from tests.production.planning.builders import a_compound, a_mould, a_problem, an_article


def a_jug(powder_g=1000.0, ochre_g=20.0, per_powder_g=0.02):
    """Half powder, 50 g residue, 2000 g jug."""
    problem = a_problem(
        compounds=(a_compound(powder_g=powder_g),),
        supplies=(Supply("ochre", ochre_g),),
        recipes=(Recipe("Quick", "Slate", (RecipeNeed("ochre", per_powder_g),)),),
    )
    prepared = prepare(problem)
    return prepared.jugs[0], [supply.opening for supply in prepared.supplies]


def test_a_mix_draws_powder_and_pigment_for_its_residue_too():
    jug, in_hand = a_jug()

    assert in_hand == [20_000, 1_000_000]
    assert jug.draws(150_000) == ((1, 100_000), (0, 2_000))
    assert jug.draws(150_001) == ((1, 100_001), (0, 2_001))


def test_the_scarcest_of_powder_and_pigment_says_how_much_slurry_there_can_be():
    by_powder, in_hand = a_jug(powder_g=100)
    assert by_powder.most_slurry_mg(in_hand) == 150_000
    by_pigment, in_hand = a_jug(ochre_g=2)
    assert by_pigment.most_slurry_mg(in_hand) == 150_000
    without, in_hand = a_jug(ochre_g=0, per_powder_g=0)
    assert without.most_slurry_mg(in_hand) == 1_950_000


@given(
    st.integers(0, 10**8).map(lambda mg: mg / 1000),
    st.integers(0, 10**6).map(lambda mg: mg / 1000),
    st.floats(0.0001, 0.2),
)
def test_the_most_slurry_is_what_can_be_drawn_and_no_milligram_less(powder_g, ochre_g, per_powder_g):
    jug, in_hand = a_jug(powder_g, ochre_g, per_powder_g)
    most_mg = jug.most_slurry_mg(in_hand)

    def suffices(slurry_mg):
        return all(amount <= in_hand[supply] for supply, amount in jug.draws(slurry_mg))

    assert most_mg < 0 or suffices(most_mg)
    # A milligram of powder makes two of slurry, so one more may still do.
    assert not suffices(max(0, most_mg) + 2)


def test_a_jug_knows_the_least_that_any_piece_takes_of_it():
    """100 ml and 40 ml at 2 g: 80 g; the lid's mould fills in half a minute."""
    parts = (Part("body", "tray", 100, "Quick"), Part("lid", "lid", 40, "Quick"))
    moulds = (a_mould(), a_mould("lid", fill_minutes=0.5))

    jug = prepare(a_problem(articles=(an_article(parts=parts),), moulds=moulds)).jugs[0]

    assert (jug.least_slurry_mg, jug.least_fill_milliminutes) == (80_000, 500)
