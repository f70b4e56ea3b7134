"""Whether all is well: `/healthz` for programs that watch, `manage.py doctor` for people."""
