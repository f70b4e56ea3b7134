"""Casts that are no piece yet, sorted by whom they were poured for and what they can become."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Q

from production.models import Cast, Outcome
from production.planning.demand import Demand

SetOfCasts = tuple[Cast, ...]


@dataclass
class Making:
    """What one demand has in the making: sets of all parts, and single casts that still lack another part."""

    sets: list[SetOfCasts] = field(default_factory=list)
    singles: list[Cast] = field(default_factory=list)


def casts_in_the_making() -> list[Cast]:
    """Casts in moulds, and good or unjudged ones out of them that are no piece yet; by mix. One query."""
    return list(
        Cast.objects.filter(piece__isnull=True, left_out_at__isnull=True, mix__undone_at__isnull=True)
        .filter(Q(out_at__isnull=True) | Q(outcome__in=("", Outcome.GOOD)))
        .select_related("mix__compound", "mix__colour", "part__article", "mould_copy")
        .order_by("mix__started_at", "mix", "position")
    )


def sort_by_demand(
    casts: Iterable[Cast],
    demands: Sequence[Demand],
    parts_of: Mapping[int, Sequence[int]],
    matched: Mapping[int, bool],
    wanted: Mapping[str, int],
) -> tuple[dict[str, Making], list[Cast]]:
    """Give every demand its casts, and the casts that no demand can use.

    Parameters: `parts_of` part ids by article; `matched` by article; `wanted` pieces each demand still lacks.
    """
    by_key = {demand.wanted_by: demand for demand in demands}
    mine: dict[str, list[Cast]] = defaultdict(list)
    spare: list[Cast] = []
    for cast in casts:
        demand = by_key.get(cast.wanted_by)
        is_its = demand is not None and (demand.article_id, demand.colour_id) == (
            cast.part.article_id,
            cast.piece_colour_id,
        )
        (mine[cast.wanted_by] if is_its else spare).append(cast)
    found = {}
    for key, own in mine.items():
        article = by_key[key].article_id
        making, left = _make_sets(own, parts_of[article], matched[article], wanted[key])
        found[key] = making
        spare += left
    return found, spare


def _make_sets(
    casts: Sequence[Cast], part_ids: Sequence[int], is_matched: bool, wanted: int
) -> tuple[Making, list[Cast]]:
    """Put casts together to at most `wanted` pieces; the rest waits for its other part or is spare."""
    pools: dict[int, dict[int, list[Cast]]] = defaultdict(lambda: defaultdict(list))
    for cast in casts:
        pools[cast.mix.first_id if is_matched else 0][cast.part_id].append(cast)
    making = Making()
    left: list[Cast] = []
    for pool in pools.values():
        while len(making.sets) < wanted and part_ids and all(pool[part] for part in part_ids):
            making.sets.append(tuple(pool[part].pop(0) for part in part_ids))
        left += [cast for part in sorted(pool) for cast in pool[part]]
    still = wanted - len(making.sets)
    if is_matched or still <= 0:
        return making, left
    used: dict[int, int] = defaultdict(int)
    spare: list[Cast] = []
    for cast in left:
        used[cast.part_id] += 1
        (making.singles if used[cast.part_id] <= still else spare).append(cast)
    return making, spare
