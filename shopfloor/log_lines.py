"""How lines of the log are written, and what is kept out of them."""

from __future__ import annotations

import json
import logging
from datetime import UTC, datetime

from django.core.exceptions import PermissionDenied


class WithoutRefusalTrace(logging.Filter):
    """A page refused to somebody is one line in the log: nothing is broken, so no trace is wanted."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let the line pass, and take the trace off a refusal."""
        if record.exc_info and isinstance(record.exc_info[1], PermissionDenied):
            record.exc_info = None
        return True


class JsonLines(logging.Formatter):
    """One JSON object a line, for a program that gathers logs: time, level, who says it, words, trace."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            "process": record.process,
            "thread": record.threadName,
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)
