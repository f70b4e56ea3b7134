"""What is kept out of the log."""

from __future__ import annotations

import logging

from django.core.exceptions import PermissionDenied


class WithoutRefusalTrace(logging.Filter):
    """A page refused to somebody is one line in the log: nothing is broken, so no trace is wanted."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let the line pass, and take the trace off a refusal."""
        if record.exc_info and isinstance(record.exc_info[1], PermissionDenied):
            record.exc_info = None
        return True
