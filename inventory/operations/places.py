"""The tubs themselves: a new one, one put away for good, lumps seen in one."""

from __future__ import annotations

import re
from datetime import date

from django.db import IntegrityError, transaction

from inventory.errors import StudioError
from inventory.models import Container, Material, Place
from inventory.operations.acts import Done, Tap, act
from inventory.operations.tubs import held_in, take_tub
from inventory.queries.wording import in_words

PREFIXES = {Container.Role.BULK: "B", Container.Role.WORKING: "Q"}
_TRIES_MOST = 20


@act("inventory.make_tub")
def make_tub(
    tap: Tap, *, material_id: int, role: str, tare_mg: int, capacity: int, code: str = "", stands_at: str = ""
) -> Done:
    """Note a new tub; without `code` it gets the next free one (B for bulk, Q for working).

    Parameters: `tare_mg` the empty tub; `capacity` in thousandths of the material's unit.
    Changes: one place and one container.
    Again: answers the first sentence.
    Raises: as `new_tub`.
    """
    tub = new_tub(material_id, role=role, tare_mg=tare_mg, capacity=capacity, code=code, stands_at=stands_at)
    return Done(
        f"{tub.role_words.capitalize()} {tub.code} for {tub.material.name}.",
        {"container_id": tub.pk, "code": tub.code},
    )


@act("inventory.retire_tub")
def retire_tub(tap: Tap, *, container_id: int, on: date) -> Done:
    """Put an empty tub away for good; its history stays.

    Changes: the container.
    Again: answers the first sentence.
    Raises: StudioError while it holds something; ContainerRetired when it was retired before.
    """
    tub = take_tub(container_id)
    held = held_in(tub)
    if held:
        raise StudioError(
            f"{tub.code} still holds {in_words(held, tub.material.unit)}."
            " Decant it or count it to nothing first.",
            held=held,
        )
    Container.objects.filter(pk=tub.pk).update(retired_on=on)
    return Done(f"{tub.code} is retired.", {"container_id": tub.pk})


@act("inventory.note_lumps")
def note_lumps(tap: Tap, *, container_id: int, is_lumpy: bool) -> Done:
    """Note that lumps were seen in a tub, or that it is fine again; mixes from a lumpy tub get the sieve.

    Changes: the container.
    Again: answers the first sentence.
    Raises: ContainerRetired.
    """
    tub = take_tub(container_id)
    Container.objects.filter(pk=tub.pk).update(is_lumpy=is_lumpy)
    said = f"Lumps in {tub.code}: sieve what comes out of it." if is_lumpy else f"{tub.code}: no lumps."
    return Done(said, {"container_id": tub.pk, "was_lumpy": tub.is_lumpy, "is_lumpy": is_lumpy})


def new_tub(
    material_id: int, *, role: str, tare_mg: int, capacity: int, code: str = "", stands_at: str = ""
) -> Container:
    """Make a container and its place, inside the act that needs it.

    Raises: StudioError for an unknown or retired material, a code that is taken or none, no capacity.
    """
    material = Material.objects.filter(pk=material_id).first()
    if material is None or material.retired_on:
        raise StudioError("This material is not in use. Choose another.", field="material")
    if role not in Container.Role.values:
        words = " or ".join(words for _, words in Container.roles_of(material.unit))
        raise StudioError(f"Choose {words}.", field="role")
    if capacity <= 0:
        raise StudioError("Type how much the tub holds when full.", field="capacity")
    typed = _tidy_code(code)
    fields = {
        "material": material,
        "role": role,
        "tare_mg": tare_mg,
        "capacity": capacity,
        "stands_at": stands_at,
    }
    for candidate in [typed] if typed else _free_codes(Container.Role(role)):
        try:
            # A savepoint, so that a code taken by another tap in this moment spoils nothing else.
            with transaction.atomic():
                return Container.objects.create(
                    code=candidate, place=Place.objects.create(kind=Place.Kind.CONTAINER), **fields
                )
        except IntegrityError:
            continue
    raise StudioError(f"There is a tub {typed} already. Choose another code.", field="code", code=typed)


def _tidy_code(code: str) -> str:
    typed = re.sub(r"[\s-]", "", code).upper()
    if typed and not re.fullmatch(r"[A-Z]{1,3}[1-9][0-9]{0,3}", typed, flags=re.ASCII):
        raise StudioError(
            f'"{code.strip()[:20]}" is not a tub code. Type one to three letters and a number, like Q2.',
            field="code",
        )
    return typed


def _free_codes(role: Container.Role) -> list[str]:
    """The next codes of this role's letter that no tub bears."""
    letter = PREFIXES[role]
    taken = set(Container.objects.filter(code__startswith=letter).values_list("code", flat=True))
    numbers = range(1, len(taken) + _TRIES_MOST + 1)
    return [code for number in numbers if (code := f"{letter}{number}") not in taken]
