"""Settings of the studio, read from environment variables with safe defaults (README lists each)."""

from __future__ import annotations

import sys
from pathlib import Path

import environ
from csp.constants import NONE, SELF

from shopfloor.bootstrap import data_directory, secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

STUDIO_DIR = data_directory()
# What several machines must see alike: photos, files being imported, papers, copies.
SHARED_DIR = Path(env.str("SHARED_DIR", default="") or STUDIO_DIR).absolute()
SECRET_KEY = env.str("SECRET_KEY", default="") or secret_key(STUDIO_DIR)
DEBUG = env.bool("DEBUG", default=False)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_tables2",
    "django_htmx",
    "axes",
    "csp",
    "inventory",
    "production",
    "orders",
    "shopfloor",
    "shopfloor.studio",
    "shopfloor.jobs",
    "shopfloor.notices",
    "shopfloor.backups",
]

MIDDLEWARE = [
    # First, so that every answer carries the headers: static files and what leads on to encryption too.
    "shopfloor.middleware.HeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.security.SecurityMiddleware",
    # Before what packs pages: static files are packed already, and an answer without a body would get one.
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "shopfloor.middleware.SessionsMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shopfloor.middleware.StudioMiddleware",
    "shopfloor.studio.session_rules.SessionRulesMiddleware",
    "shopfloor.kept.middleware.KeptTapsMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shopfloor.urls"
WSGI_APPLICATION = "shopfloor.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "shopfloor" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shopfloor.context.frame",
            ],
        },
    }
]

# SQLite: WAL so that readers never wait; IMMEDIATE because a read-then-write in a deferred transaction fails
# at once under load; FULL because a ledger should survive a power cut; recursive triggers so that
# INSERT OR REPLACE cannot get past the append-only triggers.
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA recursive_triggers=ON;"
        "PRAGMA cache_size=-20000;PRAGMA temp_store=MEMORY;PRAGMA journal_size_limit=67108864;"
    ),
}
DATABASES = {"default": env.db("DATABASE_URL", default=f"sqlite:///{STUDIO_DIR / 'studio.sqlite3'}")}
DATABASES["default"]["CONN_MAX_AGE"] = 60
DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
    # The library of tables loads PostgreSQL's fields where it can, into each process and for nothing here.
    sys.modules.setdefault("django.contrib.postgres", None)  # type: ignore[arg-type]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "shopfloor.studio.passwords.NotOfTheStudio"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "/"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "registration/locked_out.html"
AXES_VERBOSE = False
# What was typed beside a wrong try is noted there; these are never.
AXES_SENSITIVE_PARAMETERS = ["own_password", "old_password", "new_password1", "new_password2", "pin"]

LANGUAGE_CODE = "en-gb"
USE_I18N = True
USE_TZ = True
TIME_ZONE = env.str("TIME_ZONE", default="Europe/London")
USE_THOUSAND_SEPARATOR = False

STATIC_URL = "static/"
STATIC_ROOT = STUDIO_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": env.str(
            "STATICFILES_BACKEND",
            default="whitenoise.storage.CompressedManifestStaticFilesStorage",
        )
    },
}
WHITENOISE_USE_FINDERS = DEBUG
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
ORDER_FILE_MOST_BYTES = 20_000_000
API_REQUESTS_A_MINUTE = 120

DJANGO_TABLES2_TEMPLATE = "components/table.html"
DJANGO_TABLES2_TABLE_ATTRS = {"class": "fold"}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "form-action": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
# One switch for all that needs HTTPS: over plain http on a workshop network these would lock everybody out.
HTTPS = env.bool("HTTPS", default=False)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
# The prefix binds a cookie to this host, this path and encryption; browsers refuse it without.
COOKIE_PREFIX = "__Host-" if HTTPS else ""
SESSION_COOKIE_NAME = f"{COOKIE_PREFIX}sessionid"
CSRF_COOKIE_NAME = f"{COOKIE_PREFIX}csrftoken"
TABLET_COOKIE_NAME = f"{COOKIE_PREFIX}bench_tablet"
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
# Subdomains and browsers' preload lists bind a whole domain for a year; that is its keeper's to decide.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

EMAIL_CONFIG = env.email_url("EMAIL_URL", default="consolemail://")
vars().update(EMAIL_CONFIG)
# Without it nothing is sent, and the pages say so; a mail server that hangs does not hold up the worker.
EMAIL_IS_SET = bool(env.str("EMAIL_URL", default=""))
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", default="studio@localhost")

# The broker is only a doorbell: work waiting to be done is a row in the database (shopfloor.jobs).
REDIS_URL = env.str("REDIS_URL", default="")
CACHES = {
    "default": {
        "BACKEND": "shopfloor.cache.PatientCache",
        "LOCATION": REDIS_URL,
        "KEY_PREFIX": "studio",
        "OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 1},
    }
    if REDIS_URL
    else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
}
BROKER_DIR = STUDIO_DIR / "doorbell"
CELERY_BROKER_URL = env.str("BROKER_URL", default=REDIS_URL or "filesystem://localhost")
if CELERY_BROKER_URL.startswith("filesystem://"):
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(BROKER_DIR / "messages"),
        "data_folder_out": str(BROKER_DIR / "messages"),
        "control_folder": str(BROKER_DIR / "control"),
        "polling_interval": 0.2,
    }
else:
    CELERY_BROKER_TRANSPORT_OPTIONS = {"unacked_restore_throttle": 1, "visibility_timeout": 3600}
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_TASK_IGNORE_RESULT = True
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = TIME_ZONE
# Due times are in the database, so the clock needs no file of its own; one of several rings.
CELERY_BEAT_SCHEDULER = "shopfloor.jobs.clock:OneClock"
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_BROKER_CONNECTION_TIMEOUT = 2
JOB_RING_SECONDS = env.int("JOB_RING_SECONDS", default=15)
JOB_LEASE_SECONDS = env.int("JOB_LEASE_SECONDS", default=120)
NOTICE_SECONDS = env.int("NOTICE_SECONDS", default=60)
# Hundredths of the tries that suit the size of the week; the clock is only a safety net.
PLAN_EFFORT_PERCENT = env.float("SHOPFLOOR_PLAN_EFFORT", default=100)
PLAN_WALL_SECONDS = 900
# Copies of everything, one each night; the second folder is one on another disk.
COPIES_DIR = env.str("BACKUP_DIR", default="") or str(SHARED_DIR / "copies")
COPIES_SECOND_DIR = env.str("BACKUP_SECOND_DIR", default="")
CELERY_BEAT_SCHEDULE = {
    "ring for open jobs": {
        "task": "shopfloor.jobs.tasks.ring",
        "schedule": JOB_RING_SECONDS,
        # A ring that nobody heard in time is worth nothing: the next one says the same.
        "options": {"expires": JOB_RING_SECONDS},
    },
    "watch for notices": {
        "task": "shopfloor.notices.tasks.watch",
        "schedule": NOTICE_SECONDS,
        "options": {"expires": NOTICE_SECONDS},
    },
    "keep a copy": {
        "task": "shopfloor.backups.tasks.keep",
        "schedule": NOTICE_SECONDS,
        "options": {"expires": NOTICE_SECONDS},
    },
}
SITE_ADDRESS = env.str("SITE_ADDRESS", default="http://localhost:8000")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"},
        "json": {"()": "shopfloor.log_lines.JsonLines"},
    },
    "filters": {
        "without refusal trace": {"()": "shopfloor.log_lines.WithoutRefusalTrace"},
        "without secrets": {"()": "shopfloor.log_lines.WithoutSecrets"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": env.str("LOG_FORMAT", default="plain"),
            "filters": ["without secrets"],
        }
    },
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", default="WARNING")},
    "loggers": {"django.request": {"filters": ["without refusal trace"]}},
}
