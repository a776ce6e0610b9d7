"""Django's settings: one book for one grower.

On this machine alone the pages go over plain http from 127.0.0.1. With
HALFWATER_HOST set they are served beyond it: then every cookie is for https
only and the deployment check is clean.
"""

from functools import partial

from django.utils.functional import SimpleLazyObject

from halfwater.config import environment, paths
from halfwater.config.secret import secret_key

PHOTO_FOLDER = paths.photos()
BACKUP_FOLDER = paths.backups()

SERVED_BEYOND = bool(environment.hosts())
HTTPS_WAY = environment.https_way() if SERVED_BEYOND else "none"
_HTTPS = HTTPS_WAY != "none"

SECRET_KEY = SimpleLazyObject(partial(secret_key, paths.secret_file()))  # made when first needed
DEBUG = False
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", *environment.hosts()]
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in environment.hosts()] if _HTTPS else []

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "simple_history",
    "halfwater.book",
    "halfwater.web",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "halfwater.web.policy.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "halfwater.web.gate.OwnerGate",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]
ROOT_URLCONF = "halfwater.config.urls"
WSGI_APPLICATION = "halfwater.config.wsgi.application"
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

DATABASES = {"default": environment.database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

LANGUAGE_CODE = "en"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # instants are kept in UTC; the nursery's own zone is a setting in the book

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True  # served from the package itself: nothing to collect first
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 3600

SESSION_COOKIE_AGE = 90 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
DATA_UPLOAD_MAX_MEMORY_SIZE = 16 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 16 * 1024 * 1024
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"

# Cookies for https only, and https only from then on: right beyond this machine,
# impossible on 127.0.0.1, where there is no certificate.
SESSION_COOKIE_SECURE = _HTTPS
CSRF_COOKIE_SECURE = _HTTPS
SECURE_SSL_REDIRECT = _HTTPS
SECURE_HSTS_SECONDS = 30 * 24 * 3600 if _HTTPS else 0
if HTTPS_WAY == "proxy":
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SILENCED_SYSTEM_CHECKS = [
    # The domain above the grower's host name may hold other people's sites:
    # whether those keep to https is for the domain's owner to say, not for this book.
    "security.W005",  # SECURE_HSTS_INCLUDE_SUBDOMAINS
    "security.W021",  # SECURE_HSTS_PRELOAD
]

# A page that fails leaves its trace in the terminal that serves it.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"terminal": {"class": "logging.StreamHandler", "level": "ERROR"}},
    "loggers": {"django.request": {"handlers": ["terminal"], "level": "ERROR"}},
}

LOGIN_URL = "/login/"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "/"
