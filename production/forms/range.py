"""What is typed about articles with their parts, and about routes with their steps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import inlineformset_factory

from inventory.arithmetic.quantities import format_amount, parse_amount
from inventory.errors import StudioError
from inventory.fields import CHOOSE_ONE, OPTIONAL, AmountField, MoneyField, NameOnce, SaysChoose
from production.forms.moulds import SILHOUETTES
from production.forms.numbers import MinutesField, PartField, WaitField
from production.forms.rows import NamedRowsFormSet, offer_in_use, offer_materials, say_missing
from production.models import Article, ArticlePart, Route, RouteStep, StepKind
from production.queries.range import casts_in_moulds, has_history

BUILT_IN = frozenset({"dry", "coat", "fill", "wax fill", "cure", "fit", "pack"})


class ArticleForm(NameOnce, SaysChoose, forms.ModelForm):
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
        widgets = {
            "colours": forms.CheckboxSelectMultiple,
            "care": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        packaging = offer_materials(self, "packaging", "packaging")
        packaging.required = False
        packaging.help_text = OPTIONAL
        say_missing(self, route="route", colours="colour")

    def clean_packaging_each(self) -> int:
        """Nothing counts as none."""
        return self.cleaned_data["packaging_each"] or 0


class PriceForm(forms.ModelForm):
    """What one piece is sold for, and how much of it is to be left."""

    price_minor = MoneyField(
        required=False, label="Price of one piece", help_text="Before any tax and postage."
    )
    margin_wanted = PartField(
        required=False,
        min_value=0,
        max_value=99,
        label="To be left of the price",
        help_text="After all costs, your own hours among them.",
    )

    class Meta:
        model = Article
        fields = ["price_minor", "margin_wanted"]

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        price: MoneyField = self.fields["price_minor"]  # type: ignore[assignment]
        price.in_currency(currency)


class PartForm(SaysChoose, forms.ModelForm):
    """One part: its mould, its compound, and its colour if it has one of its own."""

    class Meta:
        model = ArticlePart
        fields = ["name", "mould", "compound", "own_colour"]
        labels = {"name": "Part", "own_colour": "Its own colour"}
        help_texts = {"own_colour": "Empty: as ordered."}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offer_in_use(self, "mould")
        say_missing(self, mould="mould", compound="compound")


class PartsFormSet(NamedRowsFormSet):
    """The parts of an article."""

    def clean(self) -> None:
        """Parts in moulds keep their mould and compound; matched parts share a compound and colour."""
        super().clean()
        for form in self.forms:
            if form.instance.pk and not form.errors:
                _check_part_may_change(form)
        if self.instance.is_matched:
            jugs = {(form.cleaned_data["compound"], form.cleaned_data["own_colour"]) for form in self.kept}
            if len(jugs) > 1:
                raise ValidationError(
                    "Parts that come from one mix need the same compound and colour. Change one of them, or"
                    " do not ask for one mix."
                )


def _check_part_may_change(form: forms.ModelForm) -> None:
    part: ArticlePart = form.instance
    if form.cleaned_data.get("DELETE"):
        if has_history(part):
            # Said above the rows: what is wrong in a row that is taken out would not be asked about.
            raise ValidationError(f"{part.name} was cast or planned before: its history needs it. Keep it.")
        return
    moved = {"mould", "compound"} & set(form.changed_data)
    inside = casts_in_moulds(part) if moved else 0
    if inside:
        casts = "1 cast of it is" if inside == 1 else f"{inside} casts of it are"
        form.add_error(sorted(moved)[0], f"{casts} in moulds now. Change it once they are out.")


PartFormSet = inlineformset_factory(
    Article,
    ArticlePart,
    form=PartForm,
    formset=PartsFormSet,
    extra=2,
    can_delete=True,
)


class StepKindForm(NameOnce, forms.ModelForm):
    """A kind of step of the studio's own."""

    class Meta:
        model = StepKind
        fields = ["name", "done_word", "cautions"]
        labels = {"name": "What is done", "done_word": "What a piece is after it", "cautions": "Cautions"}
        help_texts = {
            "name": "gild, felt, engrave",
            "done_word": "gilded, felted. Empty: the step's own name.",
            "cautions": "Shown wherever the step is due: a mask when sanding, gloves, an open window.",
        }
        widgets = {"cautions": forms.Textarea(attrs={"rows": 2})}

    def clean_name(self) -> str:
        """Not the name of a kind that is built in."""
        name = super().clean_name()
        if name.lower() in BUILT_IN:
            raise ValidationError(f"Every studio has {name.lower()} already. Choose it in the route.")
        return name


class RouteForm(NameOnce, forms.ModelForm):
    """The steps after casting."""

    class Meta:
        model = Route
        fields = ["name", "care"]
        widgets = {"care": forms.Textarea(attrs={"rows": 2})}


class StepForm(SaysChoose, forms.ModelForm):
    """One step: a wait, then hands. Its kind is one of ours, or "own:3" for one of the studio's."""

    kind = forms.ChoiceField(label="Kind")
    name = forms.CharField(
        required=False, max_length=40, label="Name", help_text="coat 1, feet. Empty: its kind."
    )
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
            "name",
            "wait_minutes",
            "minutes_each",
            "minutes_per_board",
            "material",
            "amount_each",
        ]

    field_order = ("position", "kind", "name", "wait_minutes")

    def __init__(
        self, *args: Any, own_kinds: Sequence[StepKind] = (), place: int = 0, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        if place and not self.instance.pk:
            self.initial["position"] = place
        self.own_kinds = {f"own:{one.pk}": one for one in own_kinds}
        offer_materials(self, "material").required = False
        words = [(value, label) for value, label in RouteStep.Kind.choices if value != RouteStep.Kind.OWN]
        own = [(value, one.name) for value, one in self.own_kinds.items()]
        self.fields["kind"].choices = [("", CHOOSE_ONE), *words, *own]  # type: ignore[attr-defined]
        step: RouteStep = self.instance
        if step.pk:
            self.initial["kind"] = f"own:{step.own_kind_id}" if step.own_kind_id else step.kind
        if step.pk and step.material:
            self.initial["amount_each"] = format_amount(step.amount_each, step.material.unit)
        elif step.pk:
            self.initial["amount_each"] = ""

    @property
    def kind_word(self) -> str:
        """The kind as the bench says it: coat, fill, or the studio's own word."""
        return str(self.instance.own_kind or self.instance.kind)

    def has_changed(self) -> bool:
        """A blank row whose order alone is filled in is no step."""
        return bool(set(self.changed_data) - {"position"}) if not self.instance.pk else super().has_changed()

    def validate_constraints(self) -> None:
        """Two steps may bear one number while they change places: they are numbered anew when kept."""

    def clean(self) -> dict[str, Any]:
        """The amount is read in the material's own unit; drying takes no hands."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        own = self.own_kinds.get(cleaned.get("kind", ""))
        self.instance.own_kind = own
        self.instance.kind = RouteStep.Kind.OWN if own else cleaned.get("kind", "")
        if self.instance.kind == RouteStep.Kind.DRY and (
            cleaned.get("minutes_each") or cleaned.get("minutes_per_board")
        ):
            self.add_error("kind", "Drying takes no hands. Give the minutes to the step that comes after it.")
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


class StepsFormSet(NamedRowsFormSet):
    """The steps of a route; they are numbered anew in the order typed, so that two may bear one number."""

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        """The studio's own kinds, read once for all rows."""
        if not hasattr(self, "_own_kinds"):
            self._own_kinds = list(StepKind.objects.all())
        place = 0 if index is None else index + 1
        return {**super().get_form_kwargs(index), "own_kinds": self._own_kinds, "place": place}

    def clean(self) -> None:
        """A step without a name is called by its kind, with a number where there are more; no two alike."""
        super().clean()
        in_order = sorted(self.kept, key=lambda form: form.cleaned_data["position"])
        kinds = Counter(form.kind_word for form in in_order)
        met: Counter[str] = Counter()
        for form in in_order:
            met[form.kind_word] += 1
            number = f" {met[form.kind_word]}" if kinds[form.kind_word] > 1 else ""
            form.instance.name = form.cleaned_data["name"] or f"{form.kind_word}{number}"
        names = Counter(form.instance.name.lower() for form in in_order)
        twice = next((form for form in in_order if names[form.instance.name.lower()] > 1), None)
        if twice:
            raise ValidationError(
                f"Two steps are called {twice.instance.name}. Call the second one something else, such as"
                f" {twice.instance.name} 2."
            )

    def validate_unique(self) -> None:
        """Nothing has to differ."""


StepFormSet = inlineformset_factory(
    Route, RouteStep, form=StepForm, formset=StepsFormSet, extra=3, can_delete=True
)
