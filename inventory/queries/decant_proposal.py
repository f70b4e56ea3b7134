"""Which decant carries the week, so that each bulk tub is opened once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.arithmetic.tare import proposed_decant
from inventory.errors import StudioError
from inventory.models import Container
from inventory.queries.choosing import in_use_order, with_holdings

WEEK_DAYS = 7


@dataclass(frozen=True)
class TubState:
    """One tub as a decant needs it. Amounts in thousandths of the material's unit, tare in mg."""

    container_id: int
    code: str
    role_words: str
    material: str
    unit: str
    cautions: str
    tare_mg: int
    capacity: int
    held: int

    @property
    def room(self) -> int:
        """How much more goes in (thousandths)."""
        return max(0, self.capacity - self.held)


@dataclass(frozen=True)
class DecantProposal:
    """What to decant (thousandths): `amount` of what the week `still_needs`, from `bulk` into `working`."""

    material_id: int
    material: str
    unit: str
    bulk: TubState
    working: TubState
    still_needs: int
    amount: int
    must_sieve_after: date | None

    @property
    def carries_the_week(self) -> bool:
        """Whether the working tub then has all that the week still needs."""
        return self.working.held + self.amount >= self.still_needs


def decant_proposals(
    today: date,
    planned_draws: Mapping[int, Sequence[tuple[date, int]]],
    days: int = WEEK_DAYS,
) -> list[DecantProposal]:
    """The decants that the next `days` days need, the largest first; only where there is a working tub.

    Parameters: `planned_draws` by material id (thousandths). Two queries.
    """
    until = today + timedelta(days=days)
    needs = {
        material_id: sum(amount for day, amount in draws if day < until)
        for material_id, draws in planned_draws.items()
    }
    by_material: dict[int, list[Container]] = {}
    for tub in with_holdings(Container.objects.filter(material__in=list(needs), retired_on__isnull=True)):
        by_material.setdefault(tub.material_id, []).append(tub)
    found = [_proposal(in_use_order(tubs), needs[material_id]) for material_id, tubs in by_material.items()]
    return sorted((one for one in found if one is not None), key=lambda one: (-one.amount, one.material))


def _proposal(tubs: Sequence[Container], still_needs: int) -> DecantProposal | None:
    working = next((tub for tub in tubs if tub.role == Container.Role.WORKING), None)
    bulk = next((tub for tub in tubs if tub.role == Container.Role.BULK and tub.held), None)
    if working is None or bulk is None:
        return None
    amount = proposed_decant(
        still_needed_mg=still_needs,
        held_mg=working.held,
        bulk_held_mg=bulk.held,
        capacity_mg=working.capacity,
    )
    if amount <= 0:
        return None
    sieve_after = working.sieve_after
    return DecantProposal(
        material_id=bulk.material_id,
        material=bulk.material.name,
        unit=bulk.material.unit,
        bulk=tub_state(bulk),
        working=tub_state(working),
        still_needs=still_needs,
        amount=amount,
        must_sieve_after=sieve_after.date() if sieve_after else None,
    )


def tub_state(tub: Container) -> TubState:
    """A tub with its holdings as a decant needs it."""
    return TubState(
        container_id=tub.pk,
        code=tub.code,
        role_words=tub.role_words,
        material=tub.material.name,
        unit=tub.material.unit,
        cautions=tub.material.cautions,
        tare_mg=tub.tare_mg,
        capacity=tub.capacity,
        held=tub.held,
    )


def tub_states(codes: Sequence[str]) -> list[TubState]:
    """The tubs in use with these codes, in the order asked for. Two queries.

    Raises: StudioError when one is not in use.
    """
    asked = [code.strip().upper() for code in codes]
    tubs = Container.objects.filter(code__in=asked, retired_on__isnull=True)
    found = {tub.code: tub for tub in with_holdings(tubs)}
    for code in asked:
        if code not in found:
            raise StudioError(f"There is no tub {code[:8]} in use. Choose one from the list.", code=code)
    return [tub_state(found[code]) for code in asked]


def working_tubs_for(code: str) -> list[str]:
    """The codes of the working tubs in use that the content of this tub may go into. One query."""
    source = code.strip().upper()
    tubs = Container.objects.filter(
        role=Container.Role.WORKING, retired_on__isnull=True, material__containers__code=source
    )
    return list(tubs.exclude(code=source).order_by("code").values_list("code", flat=True))
