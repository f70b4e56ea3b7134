"""Django's own sentences of refusal, said as the studio says them: what is wrong, and what to type instead.

Every form of every app answers with them; a field that has a better sentence of its own still says that.
"""

from __future__ import annotations

from django.core import validators
from django.db import models
from django.forms import fields
from django.forms import models as model_fields

CHOOSE = "That is not in the list. Choose one that is."

FIELD_SENTENCES: dict[type[fields.Field], dict[str, str]] = {
    fields.Field: {"required": "Fill this in."},
    fields.IntegerField: {"invalid": "Type a whole number."},
    fields.FloatField: {"invalid": "Type a number."},
    fields.DecimalField: {"invalid": "Type a number."},
    fields.DateField: {"invalid": "That is not a day. Write it like 2026-10-12."},
    fields.TimeField: {"invalid": "That is not a time. Write it like 09:15."},
    fields.ChoiceField: {"invalid_choice": CHOOSE},
    fields.MultipleChoiceField: {"invalid_choice": CHOOSE, "invalid_list": CHOOSE},
    model_fields.ModelChoiceField: {"invalid_choice": CHOOSE},
    model_fields.ModelMultipleChoiceField: {
        "required": "Choose one at least.",
        "invalid_choice": CHOOSE,
        "invalid_list": CHOOSE,
        "invalid_pk_value": CHOOSE,
    },
}


def say_plainly() -> None:
    """Put the studio's sentences in the place of Django's; once, when the apps are ready."""
    for field, sentences in FIELD_SENTENCES.items():
        field.default_error_messages = {**field.__dict__.get("default_error_messages", {}), **sentences}
    models.Field.default_error_messages = {
        **models.Field.default_error_messages,
        "unique": "%(model_name)s of that name is here already. Give it another name.",
    }
    validators.MinValueValidator.message = "Type %(limit_value)s or more."
    validators.MaxValueValidator.message = "Type %(limit_value)s or less."
    validators.MaxLengthValidator.message = "Shorten it to %(limit_value)d letters: it has %(show_value)d."
