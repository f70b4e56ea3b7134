"""The worked sums of a decant: from what the scale shows to what goes where, and every refusal on the way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from inventory.arithmetic.tare import check_room, net_from_gross, taken_out
from inventory.errors import OverCapacity, StudioError, WrongMaterial
from inventory.models import Container, Material
from inventory.queries.choosing import not_enough, with_holdings
from inventory.queries.wording import alike, in_words

# How far a reading may be off what the ledger says before it is questioned: a hundredth of the tub, about
# what a kitchen scale and a dusty lid make of it. Our own choice.
SLACK_PARTS = 100


@dataclass(frozen=True)
class Typed:
    """What was typed: two readings or `amount` (what went in), lumps, and a reading to check against.

    Amounts in thousandths of the material's unit; readings in mg, tub and all.
    """

    amount: int | None = None
    before_mg: int | None = None
    after_mg: int | None = None
    lumps: int = 0
    target_after_mg: int | None = None


@dataclass(frozen=True)
class DecantSums:
    """What comes out, goes in, goes to waste, and what both tubs will hold (thousandths)."""

    out: int
    lumps: int
    into: int
    source_will_hold: int
    target_will_hold: int


def decant_looked_at(*, source_id: int, target_id: int, typed: Typed) -> DecantSums:
    """What a decant would do, before it is kept. Two queries.

    Raises: as `decant_sums`; StudioError when a tub is not in use.
    """
    found = with_holdings(Container.objects.filter(pk__in=[source_id, target_id], retired_on__isnull=True))
    tubs = {tub.pk: tub for tub in found}
    if source_id not in tubs or target_id not in tubs:
        raise StudioError("One of the tubs is not in use any more. Choose again.")
    source, target = tubs[source_id], tubs[target_id]
    return decant_sums(source, source.held, target, target.held, typed)


@contextmanager
def beside(field: str) -> Iterator[None]:
    """Name the field a refusal belongs to, unless it names one itself."""
    try:
        yield
    except StudioError as fault:
        fault.facts.setdefault("field", field)
        raise


def decant_sums(
    source: Container, source_held: int, target: Container, target_held: int, typed: Typed
) -> DecantSums:
    """Work out a decant from `source` into `target`, which hold so much (thousandths).

    Raises: a StudioError with the field it belongs to in its facts: GrossBelowTare, NetAboveCapacity,
    ReadingsTheWrongWayRound, DecantAboveCapacity, OverCapacity, WrongMaterial, NotEnoughInContainer.
    """
    _check_tubs(source, target)
    out = _taken_out(source, source_held, typed)
    into = out - typed.lumps
    unit = source.material.unit
    if into <= 0:
        raise StudioError(
            f"{in_words(out, unit)} came out and {in_words(typed.lumps, unit)} of it is lumps: nothing is"
            " left to go in. Look at the weights again.",
            field="lumps",
        )
    if out > source_held:
        fault = not_enough(source, source_held, out)
        fault.facts["field"] = "amount" if typed.before_mg is None else "after"
        raise fault
    with beside("amount" if typed.before_mg is None else "after"):
        _check_room(target, target_held, into)
    _check_target(target, target_held + into, typed.target_after_mg)
    return DecantSums(
        out=out,
        lumps=typed.lumps,
        into=into,
        source_will_hold=source_held - out,
        target_will_hold=target_held + into,
    )


def _check_tubs(source: Container, target: Container) -> None:
    if source.pk == target.pk:
        raise StudioError(
            f"{source.code} cannot be decanted into itself. Choose a working tub.", field="target"
        )
    if source.material_id != target.material_id:
        raise WrongMaterial(
            f"{target.code} is for {target.material.name}, and {source.code} holds {source.material.name}."
            " Choose a tub of the same material.",
            field="target",
        )
    if target.role != Container.Role.WORKING:
        raise StudioError(f"{target.code} is a bulk tub. Decant into a working tub.", field="target")


def _taken_out(source: Container, source_held: int, typed: Typed) -> int:
    """What left the source, lumps included."""
    if typed.before_mg is None and typed.after_mg is None:
        if typed.amount is None:
            raise StudioError(
                f"Nothing was typed. Weigh {source.code} before and after, or type the weight.",
                field="before",
            )
        return typed.amount + typed.lumps
    if typed.before_mg is None or typed.after_mg is None:
        missing = "before" if typed.before_mg is None else "after"
        raise StudioError(f"Weigh {source.code} {missing} too, tub and all.", field=missing)
    if source.material.unit != Material.Unit.GRAM:
        raise StudioError(
            f"{source.material.name} is not kept by weight. Type the amount that went in.", field="amount"
        )
    if typed.amount is not None:
        raise StudioError(
            "Type the two readings or the weight, not both: leave one of them blank.", field="amount"
        )
    with beside("before"):
        net_mg = net_from_gross(typed.before_mg, source.tare_mg, source.capacity, tub=source.code)
        if abs(net_mg - source_held) > source.capacity // SLACK_PARTS:
            should, says = alike("g", source_held, net_mg)
            raise StudioError(
                f"{source.code} should hold {should}, and the scale says {says}."
                f" Type the reading again, or count {source.code} first."
            )
    with beside("after"):
        net_from_gross(typed.after_mg, source.tare_mg, tub=source.code)
        return taken_out(typed.before_mg, typed.after_mg)


def _check_room(target: Container, held: int, amount: int) -> None:
    unit = target.material.unit
    if unit == Material.Unit.GRAM:
        check_room(held, amount, target.capacity, tub=target.code)
    elif held + amount > target.capacity:
        most = max(0, target.capacity - held)
        raise OverCapacity(
            f"{target.code} holds {in_words(target.capacity, unit)} and has {in_words(held, unit)} in it."
            f" Decant {in_words(most, unit)} at most.",
            container=target.code,
            most=most,
        )


def _check_target(target: Container, will_hold: int, target_after_mg: int | None) -> None:
    """The reading of the working tub afterwards, if there is one, must agree with the sums."""
    if target_after_mg is None:
        return
    with beside("target_after"):
        net_mg = net_from_gross(target_after_mg, target.tare_mg, target.capacity, tub=target.code)
        if abs(net_mg - will_hold) > target.capacity // SLACK_PARTS:
            tare, net, will, near = alike("g", target.tare_mg, net_mg, will_hold, target.tare_mg + will_hold)
            raise StudioError(
                f"{target.code} empty weighs {tare}, so this is {net} of {target.material.name}, not {will}."
                f" Weigh {target.code} with its tub (near {near}) or leave it blank."
            )
