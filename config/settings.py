"""Settings, from the environment only. `.env.example` lists every variable.

Development needs none of them; production refuses to start without a secret key and allowed hosts.
"""

from pathlib import Path

from django.core.exceptions import ImproperlyConfigured
from environs import Env

from config.addresses import broker_url, database_settings
from config.embedded.directories import server_directory
from config.log import logging_configuration

BASE_DIR = Path(__file__).resolve().parent.parent

env = Env()

ENVIRONMENT = env.str("TIERWRIGHT_ENV", "development")
if ENVIRONMENT not in ("development", "production"):
    raise ImproperlyConfigured(
        f"TIERWRIGHT_ENV: want development or production, not {ENVIRONMENT!r}"
    )
PRODUCTION = ENVIRONMENT == "production"
DEBUG = env.bool("TIERWRIGHT_DEBUG", default=not PRODUCTION)

SECRET_KEY = env.str("TIERWRIGHT_SECRET_KEY", "" if PRODUCTION else "only-for-development")
ALLOWED_HOSTS = env.list(
    "TIERWRIGHT_ALLOWED_HOSTS", [] if PRODUCTION else ["localhost", "127.0.0.1", "[::1]"]
)
if PRODUCTION and len(SECRET_KEY) < 32:
    raise ImproperlyConfigured("TIERWRIGHT_SECRET_KEY: production needs one of 32 signs or more")
if PRODUCTION and not ALLOWED_HOSTS:
    raise ImproperlyConfigured("TIERWRIGHT_ALLOWED_HOSTS: production needs the names it answers to")
if PRODUCTION and DEBUG:
    raise ImproperlyConfigured("TIERWRIGHT_DEBUG: production never shows its insides")

# ── Applications ────────────────────────────────────────────────────────────────────────────────
INSTALLED_APPS = [
    "seed_fixtures.apps.SeedFixturesConfig",
    "jobs.apps.JobsConfig",
    "loading.apps.LoadingConfig",
    "inventory.apps.InventoryConfig",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "jobs.middleware.PairedPhoneMiddleware",
    "config.languages.middleware.PersonLanguageMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "config.problems.ProblemMiddleware",
]
ROOT_URLCONF = "config.urls"
ASGI_APPLICATION = "config.asgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "config" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

# ── People ──────────────────────────────────────────────────────────────────────────────────────
AUTH_USER_MODEL = "inventory.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "jobs:mine"
LOGOUT_REDIRECT_URL = "sign-in"

# ── Servers ─────────────────────────────────────────────────────────────────────────────────────
_EMBEDDED = server_directory("dev")
DATABASES = {
    "default": database_settings(
        env.str("DATABASE_URL", "") or f"postgresql://tierwright@/tierwright?host={_EMBEDDED}",
        pool_size=env.int("DATABASE_POOL_SIZE", 0),
    )
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
REDIS_URL = env.str("REDIS_URL", "") or f"unix://{_EMBEDDED}/valkey.sock?db=0"
CELERY_BROKER_URL = broker_url(REDIS_URL)

# ── Language, time and units ────────────────────────────────────────────────────────────────────
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"  # what is stored; people see their branch's time

# ── Static files ────────────────────────────────────────────────────────────────────────────────
STATIC_URL = "/static/"  # the same for every address that pages lie under
# Development serves them from where they lie; production from here, after `collectstatic`.
STATIC_ROOT = (
    env.str("TIERWRIGHT_STATIC_ROOT", str(BASE_DIR / ".run" / "static")) if PRODUCTION else None
)
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
WHITENOISE_USE_FINDERS = not PRODUCTION
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}

# ── What may come in ────────────────────────────────────────────────────────────────────────────
UPLOAD_LIMIT_BYTES = env.int("TIERWRIGHT_UPLOAD_LIMIT_BYTES", 5_000_000)
DATA_UPLOAD_MAX_MEMORY_SIZE = UPLOAD_LIMIT_BYTES

# Photographs: larger than lists, checked by content, kept outside the database, served by a view.
PHOTO_LIMIT_BYTES = env.int("TIERWRIGHT_PHOTO_LIMIT_BYTES", 15_000_000)
MEDIA_ROOT = env.str("TIERWRIGHT_MEDIA_ROOT", "") or str(BASE_DIR / ".run" / "media")

# ── API ─────────────────────────────────────────────────────────────────────────────────────────
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "rest_framework.authentication.BasicAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": [
        "rest_framework.renderers.JSONRenderer",
        "rest_framework.renderers.BrowsableAPIRenderer",
    ],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.LimitOffsetPagination",
    "PAGE_SIZE": 100,
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "config.problems.api_exception_handler",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Tierwright",
    "DESCRIPTION": "Shipments in, load plans out, floor work and its events.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_NAME_OVERRIDES": {
        "AfterKindEnum": "jobs.api.afterwards.KINDS",
        "HoldKindEnum": "inventory.models.Hold.Kind",
        "MeasureSourceEnum": "inventory.models.MeasureSource",
        "SearchStatusEnum": "loading.models.TruckChoice.Status",
    },
}

# ── Safety of the pages ─────────────────────────────────────────────────────────────────────────
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
CSRF_TRUSTED_ORIGINS: list[str] = env.list("TIERWRIGHT_TRUSTED_ORIGINS", [])
SECURE_SSL_REDIRECT = env.bool("TIERWRIGHT_HTTPS", default=PRODUCTION)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT
SECURE_HSTS_SECONDS = 31_536_000 if SECURE_SSL_REDIRECT else 0
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if env.bool("TIERWRIGHT_BEHIND_PROXY", False) else None
)

# ── Logging ─────────────────────────────────────────────────────────────────────────────────────
LOGGING = logging_configuration(
    level=env.str("TIERWRIGHT_LOG_LEVEL", "INFO"),
    as_json=env.bool("TIERWRIGHT_LOG_JSON", default=PRODUCTION),
)
