"""Settings of the test run; filled in beside socktrade.settings."""

SECRET_KEY = "tests"
INSTALLED_APPS = []
DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}}
USE_TZ = True
