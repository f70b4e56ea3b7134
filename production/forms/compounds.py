"""What is typed about compounds, and about colours with their pigments."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import inlineformset_factory

from inventory.arithmetic.quantities import format_amount
from inventory.errors import StudioError
from inventory.fields import AmountField, NameOnce, SaysChoose
from production.arithmetic.mix_walls import (
    GYPSUM_WALLS,
    RatioTypedAsParts,
    check_pigment_load,
    check_ratio_is_no_slip,
    check_water_ratio,
)
from production.forms.numbers import MinutesField, NumberField, PartField, WaitField
from production.forms.rows import NamedRowsFormSet, offer_materials
from production.models import Colour, ColourPigment, Compound

LOAD_BELOW = 0.5
SCALE_STEP_MOST_MG = 50_000


class CompoundForm(NameOnce, SaysChoose, forms.ModelForm):
    """A powder system with its ratio and times. `offered_ratio` is what was probably meant, if anything."""

    offered_ratio = ""

    water_ratio = NumberField(
        label="Water ratio", help_text="Mass of water for one of powder, such as 0.40.", unit="of powder"
    )
    least_water_ratio = NumberField(
        label="What the powder takes up to set",
        initial=0.186,
        unit="of powder",
        help_text="0.186 for gypsum plasters. Less water than this is refused.",
    )
    bound_water_ratio = NumberField(
        label="Water that stays in the dry casting", initial=0.186, unit="of powder"
    )
    powder_density_g_per_ml = NumberField(label="Density of the powder's grains", initial=2.63, unit="g/mL")
    measured_yield_ml_per_100g = NumberField(
        label="Slurry from 100 g of powder",
        required=False,
        unit="mL",
        help_text="At this ratio, if you measured it. It wins over the densities.",
    )
    overfill = PartField(label="Mixed extra", initial=0.03, min_value=0, max_value=100)
    sieve_allowance = PartField(
        label="Lost in the sieve, from old or lumpy powder", initial=0.02, min_value=0, max_value=100
    )
    pigment_load_most = PartField(label="Most pigment it carries", initial=0.10, min_value=0, max_value=100)
    residue_mg = AmountField(label="Left in the jug by every mix", initial=30_000)
    jug_most_mg = AmountField(unit="kg", label="Most the jug holds, powder and water", initial=3_500_000)
    scale_step_mg = AmountField(
        label="Scale for powder and water shows steps of",
        initial=1_000,
        help_text="Powder is rounded up to a step; water and pigments follow from the rounded powder.",
    )
    pigment_step_mg = AmountField(label="Scale for pigment shows steps of", initial=100)
    working_time_minutes = MinutesField(
        label="Stays workable, from the powder going in", min_value=1, initial=12
    )
    weigh_and_mix_minutes = MinutesField(label="To weigh and mix", initial=10)
    stir_minutes = MinutesField(label="Of the working time, stirring takes", initial=3)
    clean_up_minutes = MinutesField(label="To clean up", initial=5)
    open_after_minutes = WaitField(label="From the pour to opening", initial=90)

    class Meta:
        model = Compound
        fields = [
            "name",
            "powder",
            "water_ratio",
            "least_water_ratio",
            "bound_water_ratio",
            "powder_density_g_per_ml",
            "measured_yield_ml_per_100g",
            "overfill",
            "sieve_allowance",
            "pigment_load_most",
            "residue_mg",
            "jug_most_mg",
            "scale_step_mg",
            "pigment_step_mg",
            "working_time_minutes",
            "weigh_and_mix_minutes",
            "stir_minutes",
            "clean_up_minutes",
            "open_after_minutes",
            "dry_hours",
            "cautions",
        ]
        labels = {"dry_hours": "Hours to dry, without weighing"}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        powder = offer_materials(self, "powder", "powder")
        if not powder.queryset.exists():
            powder.help_text = "No powder in the stores yet. Add one there first."
        self.fields["dry_hours"].unit = "h"

    def clean_water_ratio(self) -> float:
        """A ratio typed as parts per hundred is questioned with what was probably meant."""
        ratio: float = self.cleaned_data["water_ratio"]
        try:
            check_ratio_is_no_slip(ratio)
        except RatioTypedAsParts as fault:
            self.offered_ratio = f"{fault.facts['offer']:.2f}"
            raise ValidationError(fault.message) from fault
        except StudioError as fault:
            raise ValidationError(fault.message) from fault
        return ratio

    def clean_scale_step_mg(self) -> int:
        """More than nothing, and no more than a coarse scale shows."""
        return self._step("scale_step_mg")

    def clean_pigment_step_mg(self) -> int:
        """More than nothing, and no more than a coarse scale shows."""
        return self._step("pigment_step_mg")

    def _step(self, name: str) -> int:
        step: int = self.cleaned_data[name]
        if not 1 <= step <= SCALE_STEP_MOST_MG:
            raise ValidationError("Type the least the scale shows: 0.001 g to 50 g.")
        return step

    def clean(self) -> dict[str, Any]:
        """The ratio is at least what the powder takes up; the jug holds more than it keeps."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        ratio, least = cleaned.get("water_ratio"), cleaned.get("least_water_ratio")
        if ratio is not None and least is not None:
            try:
                check_water_ratio(ratio, replace(GYPSUM_WALLS, stop_least=least))
            except StudioError as fault:
                self.add_error("water_ratio", fault.message)
        stir, working = cleaned.get("stir_minutes"), cleaned.get("working_time_minutes")
        if stir is not None and working is not None and stir >= working:
            self.add_error(
                "stir_minutes",
                f"Stirring takes {stir} of the {working} min it stays workable: no time is left to pour.",
            )
        residue, jug = cleaned.get("residue_mg"), cleaned.get("jug_most_mg")
        if residue is not None and jug is not None and jug <= residue:
            self.add_error(
                "jug_most_mg",
                f"The jug keeps {format_amount(residue, 'g')} of every mix. It has to hold more.",
            )
        return cleaned


class ColourForm(NameOnce, forms.ModelForm):
    """A colour of the range."""

    class Meta:
        model = Colour
        fields = ["name", "hex"]
        labels = {"hex": "Drawn as"}
        widgets = {"hex": forms.TextInput(attrs={"type": "color"})}


class PigmentForm(SaysChoose, forms.ModelForm):
    """So much of one pigment in one compound."""

    load = PartField(label="For 100 g of powder")

    class Meta:
        model = ColourPigment
        fields = ["compound", "pigment", "load"]

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offer_materials(self, "pigment", "pigment")
        # A percent of the powder's mass is so many grams for 100 g of it.
        self.fields["load"].unit = "g"

    def clean_load(self) -> float:
        """Half the powder's mass is a slip of the decimal sign, whatever the compound carries."""
        load: float = self.cleaned_data["load"]
        if not 0 <= load < LOAD_BELOW:
            raise ValidationError(
                f"{load * 100:g} g for 100 g of powder cannot be. Type 0 to below {LOAD_BELOW * 100:g} g."
            )
        return load


class PigmentsFormSet(NamedRowsFormSet):
    """The pigments of a colour, compound by compound."""

    doubled = "This pigment is in the same compound twice. Type one load for it."

    def clean(self) -> None:
        """All pigments of a compound together stay within what it carries."""
        super().clean()
        loads: dict[Compound, float] = {}
        for form in self.kept:
            compound = form.cleaned_data["compound"]
            loads[compound] = loads.get(compound, 0.0) + form.cleaned_data["load"]
        for compound, load in loads.items():
            try:
                check_pigment_load(load * 100, limit_percent=compound.pigment_load_most * 100)
            except StudioError as fault:
                raise ValidationError(f"{compound}: {fault.message}") from fault


PigmentFormSet = inlineformset_factory(
    Colour, ColourPigment, form=PigmentForm, formset=PigmentsFormSet, extra=3, can_delete=True
)
