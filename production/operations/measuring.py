"""Measuring a mould with water."""

from __future__ import annotations

from inventory.arithmetic.quantities import format_amount
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from production.arithmetic.water_volume import FillNotUsable, MouldVolume, volume_from_fills
from production.errors import AlreadyDone, NotThere
from production.models import Mould, WaterFill

MG_PER_G = 1000


@act("production.add_water_fill")
def add_water_fill(
    tap: Tap, *, mould_id: int, water_mg: int, water_c: float, copy_id: int | None = None
) -> Done:
    """Keep one weighing of a mould filled with water; the mould's volume is the mean of its kept fills.

    Parameters: `water_mg` of water as the scale shows it, `water_c` its temperature in Celsius, `copy_id` the
    copy that was filled, which is damp from then on. A fill far from the others is kept and questioned, not
    refused.

    Changes: production_waterfill, production_mould.volume_ul, production_mouldcopy.washed_at.
    Again: the first answer, no second fill.
    Raises: NotThere; FillNotUsable for no water, or water outside 5 to 35 C (facts `field`).
    """
    mould = lock_mould(mould_id)
    volume_before_ul = mould.volume_ul
    try:
        volume_from_fills([(water_mg / MG_PER_G, water_c)])
    except FillNotUsable as fault:
        field = "water_c" if fault.facts.get("name") == "Water" else "water"
        raise FillNotUsable(fault.message, **{**fault.facts, "field": field}) from None
    fill = WaterFill.objects.create(
        mould=mould, water_mg=water_mg, water_c=water_c, filled_at=tap.happened_at
    )
    if copy_id is not None:
        mould.copies.filter(pk=copy_id).update(washed_at=tap.happened_at)
    volume = keep_volume(mould)
    assert volume is not None
    said = f"{mould}: {format_amount(water_mg, 'g')} of water kept. {volume_words(volume)}"
    facts = {"mould_id": mould.pk, "fill_id": fill.pk, "volume_before_ul": volume_before_ul}
    return Done(f"{said} {volume.remark}".strip(), facts)


@act("production.leave_fill_out")
def leave_fill_out(tap: Tap, *, fill_id: int, left_out: bool = True) -> Done:
    """Leave a fill out of the mean, or take it in again. It stays in the list, crossed out.

    Changes: production_waterfill, production_mould.volume_ul.
    Again: the first answer.
    Raises: NotThere; AlreadyDone; StudioError when it is the only fill of a mould that casts are poured in.
    """
    found = WaterFill.objects.filter(pk=fill_id).values_list("mould", flat=True).first()
    if found is None:
        raise NotThere("There is no such fill. Open the mould again.", fill_id=fill_id)
    mould = lock_mould(found)
    fill = WaterFill.objects.select_for_update(no_key=True).get(pk=fill_id)
    if (fill.left_out_at is not None) == left_out:
        raise AlreadyDone("That fill was left out before." if left_out else "That fill counts already.")
    fill.left_out_at = tap.happened_at if left_out else None
    fill.save(update_fields=["left_out_at"])
    volume = keep_volume(mould)
    if volume is None:
        raise StudioError(f"It is the only fill of {mould}. Add another one first.", mould=mould.name)
    done = "left out" if left_out else "counts again"
    said = f"{format_amount(fill.water_mg, 'g')} {done}. {volume_words(volume)}"
    return Done(said, {"mould_id": mould.pk, "fill_id": fill.pk, "left_out": left_out})


def lock_mould(mould_id: int) -> Mould:
    """The mould, locked: its volume follows from all its fills. Raises: NotThere."""
    mould = Mould.objects.select_for_update(no_key=True).filter(pk=mould_id).first()
    if mould is None:
        raise NotThere("There is no such mould. Open Moulds again.", mould_id=mould_id)
    return mould


def keep_volume(mould: Mould) -> MouldVolume | None:
    """Work the volume out again from the kept fills; None when none is kept."""
    fills = mould.water_fills.filter(left_out_at__isnull=True).values_list("water_mg", "water_c")
    if not fills:
        return None
    volume = volume_from_fills([(water_mg / MG_PER_G, water_c) for water_mg, water_c in fills])
    mould.volume_ul = volume.mean_ul
    mould.save(update_fields=["volume_ul"])
    return volume


def volume_words(volume: MouldVolume) -> str:
    """What the fills say together: "501.4 mL ± 0.6 mL by 3 fills."."""
    spread = f" ± {volume.expanded_ml:.1f} mL" if volume.expanded_ml is not None else ""
    fills = "1 fill" if volume.count == 1 else f"{volume.count} fills"
    return f"{volume.mean_ml:.1f} mL{spread} by {fills}."
