"""What a line that wants less gives back of what is planned and poured for it."""

from __future__ import annotations


def casts_freed(planned: int, in_moulds: int, *, lacked: int, lacks: int) -> tuple[int, int]:
    """Casts a line needs no more: those not poured yet, and those in the making.

    Parameters: `planned` and `in_moulds` casts for the line; pieces it lacked before and lacks now.
    What is not poured yet is spared first; a piece that is still wanted keeps all casts of its parts.

    >>> casts_freed(6, 2, lacked=4, lacks=1)
    (6, 0)
    """
    if lacks >= lacked:
        return 0, 0
    casts = planned + in_moulds
    freed = casts - -(-casts * max(0, lacks) // lacked)
    return min(freed, planned), max(0, freed - planned)
