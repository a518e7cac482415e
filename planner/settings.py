"""Settings of the service. Every environment variable is read here and nowhere else.

``PLANNER_MODE`` is ``demo`` (default: one machine, SQLite, a key made on first start) or
``production`` (refuses to start without the settings that make it safe).
"""

import os
import secrets
import tomllib
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from planner.operations.logs import logging_settings

ROOT = Path(__file__).resolve().parent.parent
VERSION: str = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]


def choice(name: str, *, default: str, among: tuple[str, ...]) -> str:
    """Environment variable ``name``; stops with the allowed values if it is another one."""
    value = os.environ.get(name, default)
    if value not in among:
        raise ImproperlyConfigured(f"{name}={value!r} is not one of {', '.join(among)}.")
    return value


def required(name: str, *, example: str) -> str:
    """Environment variable ``name``; stops, saying how to set it, where it is missing."""
    if value := os.environ.get(name):
        return value
    raise ImproperlyConfigured(f"{name} is not set. Set it, for example: {name}={example}")


def whole_number(name: str, *, default: int) -> int:
    """Environment variable ``name`` as a whole number of at least 1."""
    text = os.environ.get(name, str(default))
    if not text.isdigit() or int(text) < 1:
        raise ImproperlyConfigured(f"{name}={text!r} is not a whole number of at least 1.")
    return int(text)


def several(name: str, *, default: str, among: tuple[str, ...]) -> frozenset[str]:
    """Environment variable ``name``: values parted by commas; stops if one is another."""
    values = frozenset(filter(None, os.environ.get(name, default).split(",")))
    if wrong := sorted(values.difference(among)):
        raise ImproperlyConfigured(f"{name}: {wrong[0]!r} is not one of {', '.join(among)}.")
    return values


def kept_secret(path: Path, *, length: int = 50) -> str:
    """The random key in ``path``, made on first use so that sign-ins survive a restart."""
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(length))
    return path.read_text()


MODE = choice("PLANNER_MODE", default="demo", among=("demo", "production"))
PRODUCTION = MODE == "production"
DEBUG = choice("PLANNER_DEBUG", default="0", among=("0", "1")) == "1"
if PRODUCTION and DEBUG:
    raise ImproperlyConfigured("PLANNER_DEBUG=1 shows secrets to visitors. Unset it in production.")

VAR = Path(os.environ.get("PLANNER_VAR_DIR", ROOT / "var"))
if PRODUCTION:
    SECRET_KEY = required("PLANNER_SECRET_KEY", example="$(openssl rand -base64 48)")
    ALLOWED_HOSTS = required("PLANNER_HOSTS", example="planning.example.org").split(",")
else:
    SECRET_KEY = kept_secret(VAR / "secret-key")
    ALLOWED_HOSTS = os.environ.get("PLANNER_HOSTS", "127.0.0.1,localhost,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [
    origin for origin in os.environ.get("PLANNER_TRUSTED_ORIGINS", "").split(",") if origin
]

# The solver and the worker.
PLAN_GAP = 0.001
PLAN_SECONDS = whole_number("PLANNER_PLAN_SECONDS", default=300)
HEARTBEAT_SECONDS = 5
# Named as Dask names it, so that one variable serves its own tools too.
DASK_SCHEDULER = os.environ.get("DASK_SCHEDULER", "")
RUN_LOST_AFTER_SECONDS = whole_number("PLANNER_RUN_LOST_AFTER_SECONDS", default=60)

# For those who keep the service running.
METRICS_TOKEN = os.environ.get("PLANNER_METRICS_TOKEN", "")
QUEUE_PATIENCE_SECONDS = whole_number("PLANNER_QUEUE_PATIENCE_SECONDS", default=600)
LOGGING = logging_settings(
    choice("PLANNER_LOGS", default="json" if PRODUCTION else "text", among=("json", "text"))
)

# Ours, lowest layer first; what each may import stands in pyproject.toml.
INSTALLED_APPS = [
    "apps.audit",
    "apps.accounts",
    "apps.facilities",
    "apps.catalogue",
    "apps.inventory",
    "apps.demand",
    "apps.imports",
    "apps.coverage",
    "apps.plans",
    "apps.api",
    "apps.web",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_tasks",
    "django_tasks_db",
    "django_filters",
    "rest_framework",
    "rest_framework.authtoken",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "csp",
]

MIDDLEWARE = [
    "planner.operations.requests.RequestIds",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "planner.urls"
WSGI_APPLICATION = "planner.wsgi.application"
ASGI_APPLICATION = "planner.asgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]

# Deferred transactions lose updates to "database is locked" when several processes
# write; IMMEDIATE makes the second writer wait instead.
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA mmap_size=134217728;"
        " PRAGMA journal_size_limit=27103364; PRAGMA cache_size=-20000;"
    ),
}


def database(url: str) -> dict[str, Any]:
    """Django's settings for the database at ``url``."""
    parsed: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=60))
    if parsed["ENGINE"].endswith("sqlite3"):
        parsed["OPTIONS"] = {**parsed.get("OPTIONS", {}), **SQLITE_OPTIONS}
    return parsed


VAR.mkdir(parents=True, exist_ok=True)
DATABASES = {
    "default": database(os.environ.get("PLANNER_DATABASE_URL", f"sqlite:///{VAR / 'planner.db'}"))
}
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

# Counts of refused sign-ins and of API calls are shared by all processes.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "shared_cache",
        # The default of 300 entries would drop answers kept for repeated requests.
        "OPTIONS": {"MAX_ENTRIES": 100_000},
    }
}

AUTH_USER_MODEL = "accounts.User"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
# Roles that have to give a one-time code beside the password.
SECOND_FACTOR_ROLES = several(
    "PLANNER_SECOND_FACTOR_ROLES",
    default="administrator" if PRODUCTION else "",
    among=("in_charge", "health_officer", "planner", "auditor", "administrator"),
)
LOGIN_URL = "web:sign-in"
LOGIN_REDIRECT_URL = "web:site-list"
LOGOUT_REDIRECT_URL = "web:sign-in"

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "rest_framework.authentication.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["apps.api.permissions.May"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["apps.api.parsers.StrictJSON"],
    "DEFAULT_PAGINATION_CLASS": "apps.api.pagination.Pages",
    "DEFAULT_FILTER_BACKENDS": ["apps.api.filters.DeclaredFilters"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_METADATA_CLASS": None,
    "URL_FORMAT_OVERRIDE": None,
    "DEFAULT_THROTTLE_CLASSES": [
        "rest_framework.throttling.AnonRateThrottle",
        "rest_framework.throttling.UserRateThrottle",
    ],
    "DEFAULT_THROTTLE_RATES": {
        "anon": "60/min",
        "user": "600/min",
        "runs": "30/hour",
        "sign_in_address": "10/min",
        "sign_in_name": "30/hour",
    },
    # How many proxies stand in front and add to X-Forwarded-For; what a visitor puts into
    # that header does not count.
    "NUM_PROXIES": int(choice("PLANNER_PROXIES", default="0", among=("0", "1", "2", "3"))),
    "EXCEPTION_HANDLER": "apps.api.errors.explained",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Benchward",
    "DESCRIPTION": "Which tests each health centre can run, what stands in the way, and what"
    " a budget should buy first.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "apps.api.schema.complete",
    ],
    "ENUM_NAME_OVERRIDES": {
        "CoverageState": "apps.coverage.choices.State",
        "RunState": "apps.plans.choices.RunState",
        "ActionKind": "apps.plans.choices.ActionKind",
        "AreaKind": "apps.facilities.choices.AreaKind",
        "Basis": "apps.inventory.choices.Basis",
        "DemandBasis": "apps.demand.choices.DemandBasis",
        "SourceKind": "apps.catalogue.choices.SourceKind",
        "Grade": "apps.catalogue.choices.Grade",
        "VerificationKind": "apps.inventory.choices.VerificationKind",
        "Outcome": "apps.inventory.choices.Outcome",
        "StepKind": "apps.catalogue.choices.StepKind",
        "ControlKind": "apps.catalogue.choices.ControlKind",
        "Measure": "apps.catalogue.choices.Measure",
        "UploadKind": "apps.imports.choices.UploadKind",
        "UploadState": "apps.imports.choices.UploadState",
        "SentKind": "apps.api.v1.upload_shapes.KINDS",
        "Known": "apps.inventory.choices.Known",
        "BiosafetyKept": "apps.facilities.choices.Biosafety",
        "BiosafetyAsked": "apps.catalogue.choices.Biosafety",
        "PlannedMeasure": "apps.catalogue.choices.Planned",
    },
}

LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = True
USE_THOUSAND_SEPARATOR = True

STATIC_URL = "static/"
STATIC_ROOT = VAR / "static"
STATIC_ROOT.mkdir(exist_ok=True)  # WhiteNoise warns of a folder that is not there
# In production `collectstatic` has named each file by its content; the demo serves the
# files where they lie, so that it starts at once.
WHITENOISE_USE_FINDERS = not PRODUCTION
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = PRODUCTION
SECURE_SSL_REDIRECT = PRODUCTION
SECURE_HSTS_SECONDS = 31_536_000 if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = PRODUCTION
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if PRODUCTION else None
SESSION_COOKIE_AGE = 60 * 60 * 12
