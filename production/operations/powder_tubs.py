"""How old the powder of a mix was. Part of acts, not an act itself."""

from __future__ import annotations

from production.models import Mix, MixDraw


def note_tub(mix: Mix) -> None:
    """Keep with a mix since when its powder's tub had been open and how often its lid had been off.

    The tub forgets both once it is refilled. A bulk tub counts its openings itself, this mix among them; of a
    working tub they are the mixes weighed from it. Called inside the act that drew the powder.
    """
    powder = MixDraw.objects.filter(mix=mix, material=mix.compound.powder_id)
    draw = powder.select_related("container").first()
    if draw is None:
        return
    tub = draw.container
    mix.powder_opened_at, mix.powder_openings = tub.opened_at, tub.openings_count
    if tub.role != "bulk":
        weighed = MixDraw.objects.filter(
            container=tub, material=mix.compound.powder_id, mix__started_at__gte=tub.opened_at
        )
        mix.powder_openings += weighed.values("mix").distinct().count()
    mix.save(update_fields=["powder_opened_at", "powder_openings"])
