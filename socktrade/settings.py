"""Django settings; everything that differs between machines comes from the environment."""

import os
from datetime import timedelta
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF

from socktrade.folders import book_file, data_folder, load_or_make_secret
from socktrade.guild.choice import chosen_guild
from socktrade.zone import machine_zone

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = data_folder()
BOOK = os.environ.get("SOCKTRADE_BOOK", "book")
IS_DEMO = BOOK.startswith("demo")

DEBUG = os.environ.get("SOCKTRADE_DEBUG", "") == "1"
SECRET_KEY = os.environ.get("SOCKTRADE_SECRET_KEY") or load_or_make_secret(DATA_DIR)
ALLOWED_HOSTS = os.environ.get("SOCKTRADE_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [o for o in os.environ.get("SOCKTRADE_ORIGINS", "").split(",") if o]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "csp",
    "axes",
    "socktrade",
    "patterns",
    "production",
    "sales",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    # What a page says beside what a stranger made it say could be guessed from its length.
    # Here no other site can send her cookie along (SameSite), the token of a form is written
    # anew each time, and Django adds a random length; so pages are sent small.
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "socktrade.language.LanguageMiddleware",
    "socktrade.access.middleware.RoleMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "socktrade.masthead.PathsMiddleware",
    "socktrade.today.MarketAheadMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "socktrade.urls"
WSGI_APPLICATION = "socktrade.wsgi.application"

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
                "socktrade.workshop.context",
            ],
            "builtins": ["django.templatetags.i18n", "socktrade.templatetags.workshop"],
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    [
                        "django.template.loaders.filesystem.Loader",
                        "django.template.loaders.app_directories.Loader",
                    ],
                )
            ],
        },
    }
]

FORM_RENDERER = "socktrade.forms.Renderer"  # our own field markup

# The demo lets in whoever has its link, so it must never be a book that others work in.
DATABASE_URL = "" if IS_DEMO else os.environ.get("DATABASE_URL", "")
DATABASES = {
    "default": dj_database_url.parse(
        DATABASE_URL or f"sqlite:///{book_file(DATA_DIR, BOOK)}", conn_max_age=600
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # FULL and not NORMAL: an act that was acknowledged must survive a power cut, and
    # a lone maker's few writes a minute do not notice the extra sync.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        ),
    }

# Many makers on one server: a schema for each book, and the host name says which.
GUILD, GUILD_BOOK = chosen_guild(os.environ, database=DATABASES["default"]["ENGINE"], demo=IS_DEMO)
if GUILD:
    DATABASES["default"]["ENGINE"] = "socktrade.guild.backend"
    MIDDLEWARE.insert(0, "socktrade.guild.middleware.GuildMiddleware")
    ALLOWED_HOSTS.append(f".{GUILD}")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "socktrade.access.backend.MemberBackend",
]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = timedelta(minutes=15)
# By name and address together: nobody can lock the maker out from elsewhere.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "socktrade/too_many_tries.html"
AXES_VERBOSE = False

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator",
                 "CommonPasswordValidator", "NumericPasswordValidator")
]  # fmt: skip
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign_in"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 90
# The cookies of several books on one machine must not sign each other out.
SESSION_COOKIE_NAME = f"socktrade_{BOOK.replace('-', '_')}"
CSRF_COOKIE_NAME = f"{SESSION_COOKIE_NAME}_csrf"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [BASE_DIR / "socktrade" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = machine_zone()

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = DATA_DIR / "assets"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "SAMEORIGIN"  # the tag page shows its own PDF beside the form
SILENCED_SYSTEM_CHECKS = ["security.W019"]  # the line above is meant
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [SELF],
        "form-action": [SELF],
    }
}
if os.environ.get("SOCKTRADE_TLS", "") == "1":
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    if GUILD:  # a browser takes these from no other host, so no book can set another's
        SESSION_COOKIE_NAME = f"__Host-{SESSION_COOKIE_NAME}"
        CSRF_COOKIE_NAME = f"__Host-{CSRF_COOKIE_NAME}"

DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000  # a basket of 3,000 ticked socks is one form

LOG_JSON = os.environ.get("SOCKTRADE_LOG", "") == "json"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"},
        "json": {"()": "socktrade.logs.JsonFormatter"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "json" if LOG_JSON else "line",
        }
    },
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        # It warns of every rule of a style sheet that is for screens.
        "weasyprint": {"handlers": ["console"], "level": "ERROR", "propagate": False},
        "socktrade.requests": {"handlers": ["console"], "level": "INFO", "propagate": False},
    },
}
if LOG_JSON:
    MIDDLEWARE.insert(0, "socktrade.logs.RequestLogMiddleware")
