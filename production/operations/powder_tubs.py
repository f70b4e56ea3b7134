"""How old the powder of a mix was. Part of acts, not an act itself."""

from __future__ import annotations

from production.models import Mix, MixDraw


def note_tub(mix: Mix) -> None:
    """Keep with a mix since when its powder's tub had been open and how often its lid had been off.

    The tub forgets both once it is refilled. Decants out of it and mixes weighed from it are openings, this
    mix among them. Called inside the act that drew the powder.
    """
    powder = MixDraw.objects.filter(mix=mix, material=mix.compound.powder_id)
    tub = powder.values_list("container", "container__opened_at", "container__openings_count").first()
    if tub is None:
        return
    container_id, opened_at, decants = tub
    weighed = MixDraw.objects.filter(
        container=container_id, material=mix.compound.powder_id, mix__started_at__gte=opened_at
    )
    mix.powder_opened_at = opened_at
    mix.powder_openings = decants + weighed.values("mix").distinct().count()
    mix.save(update_fields=["powder_opened_at", "powder_openings"])
