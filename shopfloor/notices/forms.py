"""The form of what a person wants by e-mail."""

from __future__ import annotations

from typing import Any

from django import forms

from shopfloor.notices.mail_times import is_quiet
from shopfloor.notices.mail_wishes import KINDS_OF_GROUP, OWNERS_GROUP
from shopfloor.notices.models import How
from shopfloor.studio.forms import WallTimeField


class MailForm(forms.Form):
    """Where to, what as it comes and what together, and when not."""

    address = forms.EmailField(
        label="Your e-mail address",
        required=False,
        help_text="empty for no e-mail; a new one is confirmed by a link sent to it",
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    hands = forms.ChoiceField(label="Moulds to open, what is dry, due a coat or cured", choices=How)
    orders = forms.ChoiceField(label="Orders at risk", choices=How)
    stores = forms.ChoiceField(label="What to order, what comes late, opened lives, worn moulds", choices=How)
    studio = forms.ChoiceField(label="A backup that failed", choices=How)
    digest_at = WallTimeField(label="Once a day at", help_text="24 hours, such as 07:00")
    quiet_from = WallTimeField(label="Quiet from", required=False, help_text="such as 20:00")
    quiet_until = WallTimeField(
        label="Quiet until", required=False, help_text="such as 06:30; leave both empty for none"
    )

    def __init__(self, *args: Any, is_owner: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if not is_owner:
            del self.fields[OWNERS_GROUP]

    def clean(self) -> dict[str, Any] | None:
        """Quiet hours have a beginning and another end, and the daily one does not fall into them."""
        cleaned = super().clean() or {}
        begins, ends, daily = (cleaned.get(name) for name in ("quiet_from", "quiet_until", "digest_at"))
        if "quiet_from" in self.errors or "quiet_until" in self.errors:
            return cleaned
        if (begins is None) != (ends is None):
            missing = "quiet_until" if ends is None else "quiet_from"
            self.add_error(missing, "Quiet hours have a beginning and an end. Give both, or neither.")
        elif begins is not None and begins == ends:
            self.add_error(
                "quiet_until", f"From {begins:%H:%M} until {ends:%H:%M} is no time or all day. Change one."
            )
        elif daily and self._wants_daily(cleaned) and is_quiet(daily, begins, ends):
            self.add_error(
                "digest_at",
                f"{daily:%H:%M} is in the quiet hours, {begins:%H:%M} until {ends:%H:%M}."
                f" Choose a time outside them, {ends:%H:%M} at the earliest.",
            )
        return cleaned

    def _wants_daily(self, cleaned: dict[str, Any]) -> bool:
        return any(cleaned.get(group) == How.DIGEST for group in KINDS_OF_GROUP)
