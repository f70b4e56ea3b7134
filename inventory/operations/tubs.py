"""Taking tubs in hand inside an act: locked in one order, checked, and refused in the studio's own numbers.

Order of locks everywhere: the rows of the tubs by id first, then their holdings by id. Two acts on the same
tubs then wait for each other and never in a ring.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.db.models import F
from django.db.models.functions import Least

from inventory.errors import ContainerRetired, StudioError
from inventory.models import Container, Holding
from inventory.queries.wording import full_day


def take_tub(container_id: int) -> Container:
    """The container in use with this id, locked until the act ends, with its material.

    Raises: ContainerRetired; StudioError when there is none.
    """
    return take_tubs([container_id])[0]


def take_tubs(container_ids: Iterable[int]) -> list[Container]:
    """The containers in use with these ids, in the order asked for, all locked.

    Raises: ContainerRetired; StudioError when one is unknown.
    """
    wanted = list(container_ids)
    found = lock_tubs(wanted)
    for container_id in wanted:
        tub = found.get(container_id)
        if tub is None:
            raise StudioError("There is no such tub. Choose one from the list.", container_id=container_id)
        if tub.retired_on:
            raise ContainerRetired(
                f"{tub.code} is retired since {full_day(tub.retired_on)}. Choose another tub.",
                container=tub.code,
            )
    return [found[container_id] for container_id in wanted]


def lock_tubs(container_ids: Iterable[int]) -> dict[int, Container]:
    """These containers with their materials, locked until the act ends, retired ones too."""
    # no_key: rows of other tables that only point at a tub need not wait.
    rows = (
        Container.objects.select_for_update(of=("self",), no_key=True)
        .select_related("material")
        .filter(pk__in=list(container_ids))
        .order_by("pk")
    )
    return {tub.pk: tub for tub in rows}


def lock_tubs_at(place_ids: Iterable[int]) -> dict[int, Container]:
    """The containers among these places with their materials, by place, locked until the act ends."""
    rows = (
        Container.objects.select_for_update(of=("self",), no_key=True)
        .select_related("material")
        .filter(place_id__in=list(place_ids))
        .order_by("pk")
    )
    return {tub.place_id: tub for tub in rows}


def lock_holdings(place_ids: Iterable[int]) -> list[Holding]:
    """What these places hold above zero, locked until the act ends."""
    return list(
        Holding.objects.select_for_update().filter(place_id__in=list(place_ids), amount__gt=0).order_by("pk")
    )


def held_in(tub: Container) -> int:
    """What a locked tub holds of all lots (thousandths), its holdings locked too."""
    return sum(row.amount for row in lock_holdings([tub.place_id]))


def note_opening(tub: Container, opened_at: datetime) -> None:
    """Start the opened life of a tub that was shut; a tub opened before keeps its earlier day."""
    Container.objects.filter(pk=tub.pk, opened_at__isnull=True).update(opened_at=opened_at)


def count_opening(tub_ids: Iterable[int], happened_at: datetime) -> None:
    """The lids of these tubs came off: their opened life begins if they were shut, and bulk tubs count it.

    A working tub is at hand all day: nobody counts how often it is opened.
    """
    tubs = Container.objects.filter(pk__in=list(tub_ids))
    tubs.filter(opened_at__isnull=True).update(opened_at=happened_at)
    tubs.filter(role=Container.Role.BULK).update(openings_count=F("openings_count") + 1)


def uncount_opening(tub_ids: Iterable[int], happened_at: datetime) -> None:
    """What was taken out at `happened_at` never was: it was no opening, and the only one leaves the tub shut.

    A tub that was refilled from empty since has forgotten it.
    """
    tubs = Container.objects.filter(
        pk__in=list(tub_ids), role=Container.Role.BULK, openings_count__gt=0, opened_at__lte=happened_at
    )
    only_one = list(tubs.filter(openings_count=1, opened_at=happened_at).values_list("pk", flat=True))
    tubs.update(openings_count=F("openings_count") - 1)
    Container.objects.filter(pk__in=only_one).update(opened_at=None)


def note_older_content(tub: Container, opened_at: datetime) -> None:
    """What came in was opened at `opened_at`: the earlier of the two days counts for all of it (stirred)."""
    note_opening(tub, opened_at)
    Container.objects.filter(pk=tub.pk).update(opened_at=Least(F("opened_at"), opened_at))


def note_refilled_from_empty(tub: Container) -> None:
    """An empty tub starts anew: neither opened nor lumpy."""
    Container.objects.filter(pk=tub.pk).update(opened_at=None, openings_count=0, is_lumpy=False)


@contextmanager
def states_around(tubs: Sequence[Container]) -> Iterator[dict[str, Any]]:
    """Collect how locked tubs stood before and after a change, as plain facts for `restore_states`."""
    states: dict[str, Any] = {}
    yield states
    after = Container.objects.in_bulk([tub.pk for tub in tubs])
    for tub in tubs:
        states[str(tub.pk)] = {"before": _state(tub), "after": _state(after[tub.pk])}


def restore_states(states: dict[str, Any]) -> None:
    """Put tubs back to how they stood before, those that were not opened or refilled again since."""
    found = lock_tubs(int(tub_id) for tub_id in states)
    for tub_id, state in states.items():
        tub = found[int(tub_id)]
        if _state(tub) == state["after"]:
            before = state["before"]
            opened_at = datetime.fromisoformat(before["opened_at"]) if before["opened_at"] else None
            Container.objects.filter(pk=tub.pk).update(**{**before, "opened_at": opened_at})


def _state(tub: Container) -> dict[str, Any]:
    return {
        "opened_at": tub.opened_at.isoformat() if tub.opened_at else None,
        "openings_count": tub.openings_count,
        "is_lumpy": tub.is_lumpy,
    }
