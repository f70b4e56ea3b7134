"""What the outcomes are narrowed to."""

from __future__ import annotations

from django import forms

from production.arithmetic.outcome_rates import NOT_GOOD, SCRAP, SECOND
from production.models import REASONS

WEEKS = {
    "13": "the last 13 weeks",
    "26": "the last 26 weeks",
    "52": "the last year",
    "all": "all that is kept",
}
WEEKS_FIRST = "26"
COUNTED = (NOT_GOOD, SCRAP, SECOND, *REASONS)


class OutcomesForm(forms.Form):
    """Since when, and what is counted. Anything else that is asked for gives what is shown first."""

    weeks = forms.ChoiceField(label="Out of the mould in", choices=list(WEEKS.items()), initial=WEEKS_FIRST)
    counted = forms.ChoiceField(label="Count", choices=[(one, one) for one in COUNTED], initial=NOT_GOOD)

    def narrowed(self) -> tuple[int | None, str]:
        """Weeks back, None for all, and what is counted."""
        self.is_valid()
        weeks = self.cleaned_data.get("weeks") or WEEKS_FIRST
        return None if weeks == "all" else int(weeks), self.cleaned_data.get("counted") or NOT_GOOD
