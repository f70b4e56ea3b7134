"""What is typed about the range: articles with parts, compounds, colours with pigments, routes with steps."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BaseInlineFormSet, inlineformset_factory

from inventory.arithmetic.quantities import format_amount, parse_amount
from inventory.errors import StudioError
from inventory.fields import AmountField
from production.arithmetic.mix_walls import RatioTypedAsParts, check_pigment_load, check_ratio_is_no_slip
from production.forms.moulds import SILHOUETTES
from production.forms.numbers import MinutesField, NumberField, PartField, WaitField
from production.models import Article, ArticlePart, Colour, ColourPigment, Compound, Route, RouteStep
from production.queries.range import casts_in_moulds, has_history

OPTIONAL = "if you have it"


class ArticleForm(forms.ModelForm):
    """What is sold."""

    silhouette = forms.ChoiceField(choices=SILHOUETTES, initial="block", label="Outline")
    pack_minutes = MinutesField(label="Packing takes", initial=5)
    packaging_each = AmountField(base="piece", required=False, label="Packaging for one piece", initial="1")

    class Meta:
        model = Article
        fields = [
            "name",
            "silhouette",
            "route",
            "colours",
            "is_matched",
            "pack_minutes",
            "packaging",
            "packaging_each",
            "is_candle",
            "care",
        ]
        labels = {
            "is_matched": "All parts of a piece come from one mix",
            "is_candle": "It is filled with wax",
            "care": "Looking after it",
        }
        help_texts = {"is_matched": "", "care": "Printed on the care card."}
        widgets = {"colours": forms.CheckboxSelectMultiple, "care": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        packaging = self.fields["packaging"]
        packaging.queryset = packaging.queryset.filter(kind="packaging", retired_on__isnull=True)
        packaging.required = False
        packaging.help_text = OPTIONAL

    def clean_packaging_each(self) -> int:
        """Nothing counts as none."""
        return self.cleaned_data["packaging_each"] or 0


class PartsFormSet(BaseInlineFormSet):
    """The parts of an article."""

    def clean(self) -> None:
        """Parts in moulds keep their mould and compound; matched parts share a compound and colour."""
        super().clean()
        kept = [form for form in self.forms if form.cleaned_data and not form.cleaned_data.get("DELETE")]
        kept = [form for form in kept if not form.errors]
        for form in self.forms:
            if form.instance.pk and not form.errors:
                _check_part_may_change(form)
        if self.instance.is_matched:
            jugs = {(form.cleaned_data["compound"], form.cleaned_data["own_colour"]) for form in kept}
            if len(jugs) > 1:
                raise ValidationError(
                    "Parts that come from one mix need the same compound and colour. Change one of them, or"
                    " do not ask for one mix."
                )


def _check_part_may_change(form: forms.ModelForm) -> None:
    part: ArticlePart = form.instance
    if form.cleaned_data.get("DELETE"):
        if has_history(part):
            form.add_error("name", f"{part.name} was cast or planned before: its history needs it.")
        return
    moved = {"mould", "compound"} & set(form.changed_data)
    inside = casts_in_moulds(part) if moved else 0
    if inside:
        casts = "1 cast of it is" if inside == 1 else f"{inside} casts of it are"
        form.add_error(sorted(moved)[0], f"{casts} in moulds now. Change it once they are out.")


PartFormSet = inlineformset_factory(
    Article,
    ArticlePart,
    formset=PartsFormSet,
    fields=["name", "mould", "compound", "own_colour"],
    labels={"name": "Part", "own_colour": "Its own colour"},
    help_texts={"own_colour": "Empty: as ordered."},
    extra=2,
    can_delete=True,
)


class CompoundForm(forms.ModelForm):
    """A powder system with its ratio and times."""

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
    overfill = PartField(label="Mixed extra", initial=0.03)
    sieve_allowance = PartField(label="Lost in the sieve, from old or lumpy powder", initial=0.02)
    pigment_load_most = PartField(label="Most pigment it carries", initial=0.10)
    residue_mg = AmountField(label="Left in the jug by every mix", initial=30_000)
    jug_most_mg = AmountField(unit="kg", label="Most the jug holds, powder and water", initial=3_500_000)
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
        powder = self.fields["powder"]
        powder.queryset = powder.queryset.filter(kind="powder", retired_on__isnull=True)
        powder.help_text = (
            "" if powder.queryset.exists() else "No powder in the stores yet. Add one there first."
        )
        self.fields["dry_hours"].unit = "h"

    def clean_water_ratio(self) -> float:
        """A ratio typed as parts per hundred is questioned with what was probably meant."""
        ratio: float = self.cleaned_data["water_ratio"]
        try:
            check_ratio_is_no_slip(ratio)
        except RatioTypedAsParts as fault:
            raise ValidationError(f"{fault.message} Type {fault.facts['offer']:.2f}.") from fault
        except StudioError as fault:
            raise ValidationError(fault.message) from fault
        return ratio

    def clean(self) -> dict[str, Any]:
        """The ratio is at least what the powder takes up; the jug holds more than it keeps."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        ratio, least = cleaned.get("water_ratio"), cleaned.get("least_water_ratio")
        if ratio is not None and least is not None and ratio < least:
            self.add_error(
                "water_ratio",
                f"{ratio:g} of water is less than the {least:g} the powder takes up when it sets."
                " Use more water.",
            )
        residue, jug = cleaned.get("residue_mg"), cleaned.get("jug_most_mg")
        if residue is not None and jug is not None and jug <= residue:
            self.add_error(
                "jug_most_mg",
                f"The jug keeps {format_amount(residue, 'g')} of every mix. It has to hold more.",
            )
        return cleaned


class ColourForm(forms.ModelForm):
    """A colour of the range."""

    class Meta:
        model = Colour
        fields = ["name", "hex"]
        labels = {"hex": "Drawn as"}
        widgets = {"hex": forms.TextInput(attrs={"type": "color"})}


class PigmentForm(forms.ModelForm):
    """So much of one pigment in one compound."""

    load = PartField(label="Load", help_text="Of the powder's mass.")

    class Meta:
        model = ColourPigment
        fields = ["compound", "pigment", "load"]

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        pigment = self.fields["pigment"]
        pigment.queryset = pigment.queryset.filter(kind="pigment", retired_on__isnull=True)


class PigmentsFormSet(BaseInlineFormSet):
    """The pigments of a colour, compound by compound."""

    def clean(self) -> None:
        """All pigments of a compound together stay within what it carries."""
        super().clean()
        loads: dict[Compound, float] = {}
        for form in self.forms:
            if form.cleaned_data and not form.cleaned_data.get("DELETE") and not form.errors:
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


class RouteForm(forms.ModelForm):
    """The steps after casting."""

    class Meta:
        model = Route
        fields = ["name"]


class StepForm(forms.ModelForm):
    """One step: a wait, then hands."""

    position = forms.IntegerField(min_value=1, max_value=999, label="Order")
    wait_minutes = WaitField(
        required=False, label="Wait before it", help_text="16 h, 2 d. Empty: until it is dry."
    )
    minutes_each = MinutesField(label="Hands, each piece", initial=0)
    minutes_per_board = MinutesField(label="Hands, each board", initial=0)
    amount_each = forms.CharField(
        required=False, max_length=40, label="For one piece", help_text="12 ml, 60 g"
    )

    class Meta:
        model = RouteStep
        fields = [
            "position",
            "kind",
            "name",
            "wait_minutes",
            "minutes_each",
            "minutes_per_board",
            "material",
            "amount_each",
        ]

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["material"].required = False
        self.fields["material"].queryset = self.fields["material"].queryset.filter(retired_on__isnull=True)
        step: RouteStep = self.instance
        if step.pk and step.material:
            self.initial["amount_each"] = format_amount(step.amount_each, step.material.unit)
        elif step.pk:
            self.initial["amount_each"] = ""

    def has_changed(self) -> bool:
        """A blank row whose order alone is filled in is no step."""
        return bool(set(self.changed_data) - {"position"}) if not self.instance.pk else super().has_changed()

    def clean(self) -> dict[str, Any]:
        """The amount is read in the material's own unit."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        text, material = cleaned.get("amount_each") or "", cleaned.get("material")
        cleaned["amount_each"] = 0
        if material and text:
            try:
                cleaned["amount_each"] = parse_amount(text, material.unit)
            except StudioError as fault:
                self.add_error("amount_each", fault.message)
        elif material:
            self.add_error("amount_each", f"How much {material} does one piece take?")
        elif text:
            self.add_error("material", f"{text} of what? Choose the material.")
        return cleaned


StepFormSet = inlineformset_factory(Route, RouteStep, form=StepForm, extra=3, can_delete=True)
