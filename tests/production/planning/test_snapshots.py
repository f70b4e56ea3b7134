from production.planning.begin import open_studio
from production.planning.list_rule import ListRule
from production.planning.prepare import prepare
from production.planning.problem import Receipt
from production.planning.simulate import play_window
from production.planning.snapshots import Snapshot, copy_of
from tests.production.planning.builders import a_compound, a_line, a_problem

DAY = 1440


def a_studio(**changes):
    problem = a_problem(a_line("1", quantity=4), a_line("2", quantity=3, ship_by=12 * DAY), **changes)
    return open_studio(prepare(problem), ListRule(10**6, 0, 0.0), None, ())


def play(studio, windows):
    for window in studio.prepared.calendar.windows[:windows]:
        play_window(studio, window)
    return studio


def test_a_copy_goes_on_by_itself():
    studio = play(a_studio(), 1)
    copy = copy_of(studio)
    before = (list(studio.left), list(studio.mixes), list(studio.events), list(studio.task_starts))

    play_window(copy, studio.prepared.calendar.windows[1])

    assert copy.mixes != studio.mixes
    assert (studio.left, studio.mixes, studio.events, studio.task_starts) == before


def test_studios_with_the_same_before_them_are_alike_whatever_their_past():
    studio, end = play(a_studio(), 1), play(a_studio(), 30)
    snapshot = Snapshot(1, copy_of(studio), ())
    other = copy_of(studio)
    assert snapshot.is_like(other, (), end)

    other.packed_at[0] = 5
    assert snapshot.is_like(other, (), end)
    other.left[0] -= 1
    assert not snapshot.is_like(other, (), end)


def test_more_in_hand_counts_as_alike_only_where_there_is_no_lack_later():
    enough, short = a_compound(powder_g=5000), a_compound(powder_g=300, receipts=(Receipt(9 * DAY, 5000),))
    for compound, alike in ((enough, True), (short, False)):
        studio, end = play(a_studio(compounds=(compound,)), 1), play(a_studio(compounds=(compound,)), 30)
        snapshot = Snapshot(1, copy_of(studio), ())
        other = copy_of(studio)
        other.in_hand[0] += 1000

        assert snapshot.is_like(other, (), end) is alike
        other.in_hand[0] -= 2000
        assert not snapshot.is_like(other, (), end)
