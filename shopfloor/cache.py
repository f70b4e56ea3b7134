"""What is remembered for a moment by all web processes together: how often a program asked in this minute.

Sessions and lock-outs are rows of the database, so that ending one ends it everywhere at once.
"""

from __future__ import annotations

import logging
from typing import Any

from django.core.cache.backends.locmem import LocMemCache
from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError

logger = logging.getLogger(__name__)


class PatientCache(RedisCache):
    """Redis; while it does not answer, this process remembers by itself, and nobody is turned away."""

    def __init__(self, server: str, params: dict[str, Any]) -> None:
        super().__init__(server, params)
        self.meanwhile = LocMemCache("while Redis is away", {})

    def add(self, key: Any, value: Any, *arguments: Any, **named: Any) -> bool:
        """As Django's."""
        return bool(self._asked("add", key, value, *arguments, **named))

    def get(self, key: Any, *arguments: Any, **named: Any) -> Any:
        """As Django's."""
        return self._asked("get", key, *arguments, **named)

    def set(self, key: Any, value: Any, *arguments: Any, **named: Any) -> None:
        """As Django's."""
        self._asked("set", key, value, *arguments, **named)

    def incr(self, key: Any, *arguments: Any, **named: Any) -> int:
        """As Django's; a key that Redis lost between two calls begins anew."""
        return int(self._asked("incr", key, *arguments, **named))

    def delete(self, key: Any, *arguments: Any, **named: Any) -> bool:
        """As Django's."""
        return bool(self._asked("delete", key, *arguments, **named))

    def _asked(self, name: str, key: Any, *arguments: Any, **named: Any) -> Any:
        try:
            return getattr(super(), name)(key, *arguments, **named)
        except RedisError as fault:
            logger.warning("Redis does not answer (%s); counted in this process alone.", fault)
        if name == "incr":
            self.meanwhile.add(key, 0)
        return getattr(self.meanwhile, name)(key, *arguments, **named)
