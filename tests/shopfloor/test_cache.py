from __future__ import annotations

from shopfloor.cache import PatientCache


def test_without_redis_each_process_counts_by_itself():
    cache = PatientCache("redis://127.0.0.1:1/0", {"OPTIONS": {"socket_connect_timeout": 1}})

    assert cache.add("asked", 0, 120)
    assert [cache.incr("asked"), cache.incr("asked"), cache.get("asked")] == [1, 2, 2]
