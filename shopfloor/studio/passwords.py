"""What a password must not be. Length and the list of common ones are Django's; no mixture is asked for.

Source: P. Grassi et al., Digital Identity Guidelines, NIST SP 800-63B, 2017, section 5.1.1.2.
"""

from __future__ import annotations

import re
from typing import Any

from django.core.exceptions import ValidationError

from shopfloor.studio.queries import studio_settings

OWN_WORDS = ("shopfloor", "studio", "password", "workshop")
# What is left beside the words of the studio must be a password by itself.
LEFT_LEAST = 6


class NotOfTheStudio:
    """Refuses what somebody who knows the studio's name would try first."""

    def validate(self, password: str, user: Any = None) -> None:
        """Refuse a password that is little more than the studio's own words, or their own name.

        Raises: ValidationError.
        """
        names = [studio_settings().name, user.get_username() if user else ""]
        words = {*OWN_WORDS, *re.findall(r"\w{4,}", " ".join(names).lower())}
        left = password.lower()
        for word in sorted(words, key=len, reverse=True):
            left = left.replace(word, "")
        if left != password.lower() and len(left) < LEFT_LEAST:
            raise ValidationError(
                "That is little more than your name or the studio's. Take words that have none of it.",
                code="password_of_the_studio",
            )

    def get_help_text(self) -> str:
        """Said beside the field."""
        return "Not your name or the studio's."
