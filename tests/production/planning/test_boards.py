import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.planning.boards import original_id, split_by_board
from production.planning.faults import ProblemFault
from tests.production.planning.builders import a_line


def test_a_line_of_thirty_becomes_two_full_boards_and_six():
    boards = split_by_board([a_line("107", quantity=30)])

    assert [(board.id, board.quantity) for board in boards] == [("107", 12), ("107/2", 12), ("107/3", 6)]


def test_a_line_that_fits_one_board_stays_as_it_is():
    line = a_line("107", quantity=12, weight=2)

    assert split_by_board([line]) == (line,)


def test_a_number_that_is_another_lines_id_is_passed_over():
    lines = [a_line("107", quantity=30), a_line("107/2", quantity=1)]

    ids = [board.id for board in split_by_board(lines)]

    assert ids == ["107", "107/3", "107/4", "107/2"]
    assert [original_id(board, {"107", "107/2"}) for board in ids] == ["107", "107", "107", "107/2"]


@given(st.lists(st.integers(1, 60), max_size=8), st.integers(1, 15))
def test_splitting_keeps_every_piece_and_every_id_can_be_led_back(quantities, board):
    lines = [a_line(f"L/{number}", quantity=quantity) for number, quantity in enumerate(quantities)]

    boards = split_by_board(lines, board)

    originals = {line.id for line in lines}
    assert len({one.id for one in boards}) == len(boards)
    assert all(1 <= one.quantity <= board for one in boards)
    for line in lines:
        own = [one for one in boards if original_id(one.id, originals) == line.id]
        assert sum(one.quantity for one in own) == line.quantity
        assert {one.ship_by for one in own} == {line.ship_by}


def test_a_board_of_no_pieces_is_refused():
    with pytest.raises(ProblemFault, match="board must be a whole number of at least 1, not 0"):
        split_by_board([a_line()], 0)
