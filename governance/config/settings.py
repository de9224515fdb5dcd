"""The one settings file. What differs between machines comes from the environment; ``env.example`` lists all of it."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

from governance.config import env
from governance.config.store import scan_store

BASE_DIR = Path(__file__).resolve().parent.parent.parent

MODE = env.choice("FIELDWRIT_MODE", ("development", "production"), "development")
PRODUCTION = MODE == "production"

DEBUG = env.flag("FIELDWRIT_DEBUG", False)
SECRET_KEY = env.text("FIELDWRIT_SECRET_KEY")
ALLOWED_HOSTS = env.words("FIELDWRIT_HOSTS", () if PRODUCTION else ("localhost", "127.0.0.1", "[::1]"))

INSECURE_DEFAULTS: list[str] = []
"""One sentence for each default that must not face a network: servers print them, production mode refuses them."""

if not SECRET_KEY:
    INSECURE_DEFAULTS.append(
        "FIELDWRIT_SECRET_KEY is not set: a key made up for this run signs what the server hands out, and every "
        "restart ends all sessions. Set it to 50 or more random characters."
    )
    SECRET_KEY = secrets.token_urlsafe(64)
elif len(SECRET_KEY) < 50:
    INSECURE_DEFAULTS.append(
        "FIELDWRIT_SECRET_KEY is short: it can be guessed. Set it to 50 or more random characters."
    )
if DEBUG:
    INSECURE_DEFAULTS.append(
        "FIELDWRIT_DEBUG is on: an error page shows settings and data to whoever sees it. Set it to no."
    )
if PRODUCTION and not ALLOWED_HOSTS:
    INSECURE_DEFAULTS.append("FIELDWRIT_HOSTS is not set: name the hosts that may be served, separated by commas.")
if PRODUCTION and INSECURE_DEFAULTS:
    raise ImproperlyConfigured("FIELDWRIT_MODE is production, which refuses this: " + " ".join(INSECURE_DEFAULTS))

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",  # before staticfiles: whitenoise serves the files, in development too
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "simple_history",
    "django_tasks",
    "django_tasks_db",
    "csp",
    "django_htmx",  # ships htmx and its script tag: governance/plans asks for parts of a page anew
    # The rooms, from the outermost in.
    "governance.config",
    "governance.guide",
    "governance.search",
    "governance.usedesk",
    "governance.duties",
    "governance.reports",
    "governance.audit",
    "governance.plans",
    "governance.verdicts",
    "governance.papers",
    "governance.scans",
    "accessions.intake",
    "accessions.material",
    "accessions.sites",
    "accessions.names",
    "accessions.people",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "django_htmx.middleware.HtmxMiddleware",  # request.htmx: whether the page's script asks for a part
    "accessions.people.origins.OriginMiddleware",  # outside whatever writes: the seal says where a change came from
    "governance.audit.middleware.OpeningsMiddleware",  # inside authentication: it names who opened what is restricted
    "governance.duties.middleware.CatchUpMiddleware",  # outside the verdicts: it follows whatever comes of them
    "governance.verdicts.middleware.TakeUpMiddleware",  # inside authentication: it names who made the change
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["accessions.people.templatetags.access", "django.templatetags.i18n"],
        },
    }
]
AUTH_USER_MODEL = "people.User"
LOGIN_URL = "people:sign-in"
LOGIN_REDIRECT_URL = "verdicts:today"
LOGOUT_REDIRECT_URL = "people:sign-in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
SESSION_COOKIE_AGE = 12 * 60 * 60  # a working day

STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True  # serves the files from the rooms: there is nothing to collect

# No inline script or style anywhere: geometry is drawn with SVG attributes.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
    }
}

# Scans: the store is the local disk, or an S3-compatible service by one setting (the extra "s3" must be installed).
# Files on their way and pictures of pages stay on the local disk: both can be made again.
FIELDWRIT_FILES = env.folder("FIELDWRIT_FILES", BASE_DIR / "files")
FIELDWRIT_STORE = env.text("FIELDWRIT_STORE")
FIELDWRIT_LARGEST_FILE_MB = env.number("FIELDWRIT_LARGEST_FILE_MB", 100, lowest=1)
FIELDWRIT_OCR_LANGUAGES = env.words("FIELDWRIT_OCR_LANGUAGES", ("eng",))
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": FIELDWRIT_FILES / "store", "base_url": None},
    },
    "scans": scan_store(FIELDWRIT_STORE, FIELDWRIT_FILES / "store"),
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

# Hundreds of scans are chosen at once. Without script they come in one request; past the limit Django answers with
# a bare 400 that says nothing.
DATA_UPLOAD_MAX_NUMBER_FILES = 1000
FILE_UPLOAD_HANDLERS = [
    "governance.scans.whole_files.NoMoreThanTheLimit",  # before those that keep
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Mail goes out for the daily reminders alone. Without a server it is printed where the command runs.
FIELDWRIT_ADDRESS = env.web_address("FIELDWRIT_ADDRESS")
EMAIL_HOST = env.text("FIELDWRIT_MAIL_HOST")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'console'}.EmailBackend"
EMAIL_PORT = env.number("FIELDWRIT_MAIL_PORT", 25, lowest=1)
EMAIL_HOST_USER = env.text("FIELDWRIT_MAIL_USER")
EMAIL_HOST_PASSWORD = env.text("FIELDWRIT_MAIL_PASSWORD")
_mail_security = env.choice("FIELDWRIT_MAIL_SECURITY", ("none", "starttls", "tls"), "none")
EMAIL_USE_TLS, EMAIL_USE_SSL = _mail_security == "starttls", _mail_security == "tls"
EMAIL_TIMEOUT = 20  # seconds; a server that does not answer must not hold up the others
DEFAULT_FROM_EMAIL = env.text("FIELDWRIT_MAIL_FROM", "fieldwrit@localhost")

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
FIELDWRIT_WORKER = env.choice("FIELDWRIT_WORKER", ("embedded", "separate"), "embedded")
ROOT_URLCONF = "governance.config.urls"
WSGI_APPLICATION = "governance.config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"


def _with_options(database: dict[str, Any]) -> dict[str, Any]:
    """Add what each kind of database needs when several people and runs write at once.

    SQLite: readers go on beside one writer (write-ahead log); a transaction takes the write lock at its start, since
    one that reads first and writes later fails at once when another was quicker; who waits, waits 20 seconds.
    """
    if database["ENGINE"] == "django.db.backends.sqlite3":
        options = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
        }
        return database | {"OPTIONS": options | database.get("OPTIONS", {})}
    return database | {"CONN_MAX_AGE": 60, "CONN_HEALTH_CHECKS": True}


DATABASES = {
    "default": _with_options(
        env.database("DATABASE_URL", {"ENGINE": "django.db.backends.sqlite3", "NAME": BASE_DIR / "db.sqlite3"})
    )
}

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]  # each by its own name: whoever looks for it reads no other
LOCALE_PATHS = [BASE_DIR / "governance" / "config" / "locale"]  # one catalogue: one word a concept, in every room
FORMAT_MODULE_PATH = "governance.config.formats"
USE_I18N = True
USE_TZ = True
TIME_ZONE = env.time_zone("FIELDWRIT_TIME_ZONE", "UTC")

# In production every page goes over TLS and browsers are told to remember it. The header of a proxy is believed only
# where the proxy is said to be there: it must then drop the header that a client sends.
SECURE_SSL_REDIRECT = PRODUCTION
SECURE_HSTS_SECONDS = env.number("FIELDWRIT_HSTS_SECONDS", 3600, lowest=1) if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = PRODUCTION
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if env.flag("FIELDWRIT_BEHIND_PROXY", False) else None
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = PRODUCTION
CSRF_COOKIE_SECURE = PRODUCTION
CSRF_COOKIE_HTTPONLY = True
X_FRAME_OPTIONS = "DENY"
# W021 asks to enter the domain in the browsers' preload lists. That binds the owner's whole domain for months, so it is
# the owner's decision and no default of ours.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
