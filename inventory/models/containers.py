"""Places of the ledger: the tubs in the studio, and the named places outside them."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import models
from django.db.models import Q

from inventory.models.materials import Material


class Place(models.Model):
    """Anywhere a gram can be: in a container, or at one of the outside places."""

    class Kind(models.TextChoices):
        CONTAINER = "container", "container"
        SUPPLIER = "supplier", "supplier"
        MIX = "mix", "mix"
        PIECE = "piece", "piece"
        PARCEL = "parcel", "parcel"
        WASTE = "waste", "waste"
        SPILL = "spill", "spill"
        DIFFERENCE = "difference", "count difference"

    kind = models.CharField(max_length=12, choices=Kind)

    class Meta:
        constraints = [
            # One row for each outside place; containers have one each.
            models.UniqueConstraint(
                fields=["kind"], condition=~Q(kind="container"), name="place_one_of_each_outside"
            )
        ]

    def __str__(self) -> str:
        return self.get_kind_display()


class Container(models.Model):
    """A physical tub, bottle or box: bulk as delivered, or working beside the scale."""

    class Role(models.TextChoices):
        BULK = "bulk", "bulk tub"
        WORKING = "working", "working tub"

    place = models.OneToOneField(Place, models.PROTECT, related_name="container")
    code = models.CharField(max_length=8, unique=True)
    role = models.CharField(max_length=8, choices=Role)
    material = models.ForeignKey(Material, models.PROTECT, related_name="containers")
    tare_mg = models.BigIntegerField(default=0)
    capacity = models.BigIntegerField(help_text="thousandths of the material's base unit")
    stands_at = models.CharField(max_length=60, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True, help_text="first opening since it was last empty")
    openings_count = models.PositiveIntegerField(default=0)
    is_lumpy = models.BooleanField(default=False)
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(tare_mg__gte=0), name="container_tare_not_negative"),
            models.CheckConstraint(condition=Q(capacity__gt=0), name="container_capacity_positive"),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def role_words(self) -> str:
        """What it is called: a tub, or a box of what is counted in pieces. Read `material` along."""
        return dict(self.roles_of(self.material.unit))[self.role]

    @classmethod
    def roles_of(cls, unit: str) -> list[tuple[str, str]]:
        """The roles with what each is called for a material kept in `unit`."""
        if unit == "piece":
            return [(cls.Role.BULK, "box"), (cls.Role.WORKING, "working box")]
        return list(cls.Role.choices)

    @property
    def held(self) -> int:
        """What it holds of all lots (thousandths). Read `place__holdings` along."""
        return sum(row.amount for row in self.place.holdings.all())

    @property
    def sieve_after(self) -> datetime | None:
        """The end of the opened life; None while unopened, or when the material keeps."""
        if self.opened_at is None or self.material.opened_life_days is None:
            return None
        return self.opened_at + timedelta(days=self.material.opened_life_days)

    def must_sieve(self, now: datetime) -> bool:
        """Whether what comes out of it needs the sieve: lumps were seen, or its opened life is over."""
        return self.is_lumpy or (self.sieve_after is not None and self.sieve_after < now)
