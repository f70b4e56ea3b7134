"""Pages of the range opened and forms sent as a browser sends them."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse


def words(response):
    return " ".join(response.content.decode().split())


def show(client, name, *args):
    return client.get(reverse(f"production:{name}", args=args))


def send(client, page, /, *args, **typed):
    return client.post(reverse(f"production:{page}", args=args), {"request_key": str(uuid4()), **typed})


def rows(*typed, kept=0):
    """Rows under a form, as a browser sends them."""
    sent = {"rows-TOTAL_FORMS": len(typed), "rows-INITIAL_FORMS": kept}
    for place, row in enumerate(typed):
        sent |= {f"rows-{place}-{name}": value for name, value in row.items()}
    return sent


def a_typed_compound(powder, **typed):
    return {
        "name": "quick compound",
        "powder": powder.pk,
        "water_ratio": "0.30",
        "least_water_ratio": "0.186",
        "bound_water_ratio": "0.186",
        "powder_density_g_per_ml": "2.63",
        "overfill": "3",
        "sieve_allowance": "2",
        "pigment_load_most": "10",
        "residue_mg": "30",
        "jug_most_mg": "3.5",
        "scale_step_mg": "1",
        "pigment_step_mg": "0.1",
        "working_time_minutes": "15",
        "weigh_and_mix_minutes": "10",
        "stir_minutes": "3",
        "clean_up_minutes": "5",
        "open_after_minutes": "60 min",
        "dry_hours": "24",
        **typed,
    }


def step(position, name, /, **typed):
    return {
        "position": position,
        "kind": "coat",
        "name": name,
        "minutes_each": "2",
        "minutes_per_board": "5",
        **typed,
    }
