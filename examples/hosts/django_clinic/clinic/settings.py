"""Settings: safe as they stand; CLINIC_DEBUG=1 is for a developer's machine alone."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

import dermreport

BASE_DIR = Path(__file__).parent.parent
DEBUG = os.environ.get("CLINIC_DEBUG") == "1"
# A key for everybody's copy would let anybody forge a session.
SECRET_KEY = "only-on-a-developers-machine" if DEBUG else os.environ.get("CLINIC_SECRET_KEY", "")
if not SECRET_KEY:
    raise ImproperlyConfigured(
        "Set the environment variable CLINIC_SECRET_KEY to a long random text that stays the same, and keep it secret: "
        "python -c 'import secrets; print(secrets.token_urlsafe(64))' makes one. On a developer's machine alone, "
        "CLINIC_DEBUG=1 does without."
    )
ALLOWED_HOSTS = os.environ.get("CLINIC_HOSTS", "localhost,127.0.0.1").split(",")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "examinations",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "clinic.headers.headers",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    # Every page but the sign-in asks for one; who forgets a decorator opens nothing.
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "clinic.urls"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]
WSGI_APPLICATION = "clinic.wsgi.application"
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": os.environ.get("CLINIC_DATABASE", BASE_DIR / "clinic.sqlite3"),
        "OPTIONS": {"transaction_mode": "IMMEDIATE"},
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "examinations"
LOGOUT_REDIRECT_URL = "login"
SESSION_COOKIE_AGE = 30 * 60
SESSION_SAVE_EVERY_REQUEST = True
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = not DEBUG
SECURE_HSTS_SECONDS = 0 if DEBUG else 365 * 24 * 3600
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = not DEBUG
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
USE_TZ = True
TIME_ZONE = os.environ.get("CLINIC_ZONE", "Europe/London")

# Nothing of a patient gets into a log: not by a message, not by what an exception quotes.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"careful": {"()": "clinic.logs.Careful"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "careful"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        "django": {"handlers": ["console"], "level": "INFO", "propagate": False},
        "django.server": {"handlers": ["console"], "level": "INFO", "propagate": False},
    },
}

#: In which systems this clinic numbers: settled once and for ever, for reports are found by them.
EXAMINATION_SYSTEM = "https://clinic.example/ids/examination"
#: What the library is told of this host: one frozen value.
DERMREPORT = dermreport.Settings(
    identifier_systems=dermreport.IdentifierSystems(examination=EXAMINATION_SYSTEM),
    organisation=dermreport.Reference(reference="Organization/harbour-lane"),
)
LETTERS = dermreport.LetterSettings(
    sender=dermreport.Party(name="Harbour Lane Practice", lines=("2 Harbour Lane",), phone="+00 555 0100"),
    contact="Clinic desk, +00 555 0100, weekdays 8 to 18",
)
