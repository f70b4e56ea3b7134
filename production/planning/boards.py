"""Splitting lines into drying boards: a line is finished as a whole, so it may not be too big."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from production.planning.faults import check_whole
from production.planning.problem import Line

BOARD_PIECES = 12


def split_by_board(lines: Iterable[Line], board: int = BOARD_PIECES) -> tuple[Line, ...]:
    """Split each line of more than `board` pieces into full boards and what remains.

    The first board keeps the line's id, the others are "107/2", "107/3" and so on (a number
    that is another line's id already is passed over). Order is kept.

    Raises
    ------
    ProblemFault
        When `board` is not a whole number of at least 1.
    """
    check_whole("board", board, 1)
    whole = tuple(lines)
    taken = {line.id for line in whole}
    boards: list[Line] = []
    for line in whole:
        left, number, line_id = line.quantity, 1, line.id
        while left > 0:
            boards.append(replace(line, id=line_id, quantity=min(left, board)))
            left -= board
            number += 1
            while (line_id := f"{line.id}/{number}") in taken:
                number += 1
    return tuple(boards)


def original_id(line_id: str, originals: Collection[str]) -> str:
    """Id of the line that a board was split from; `originals` are the ids before splitting.

    >>> original_id("107/2", {"107", "108"})
    '107'
    """
    if line_id in originals:
        return line_id
    return line_id.rpartition("/")[0]
