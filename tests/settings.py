"""Settings of the test run: fast hashing, plain assets, a database in memory."""

import os
import tempfile

os.environ.setdefault("SOCKTRADE_DATA", tempfile.mkdtemp(prefix="socktrade-tests-"))

from socktrade.settings import *  # noqa: E402, F403
from socktrade.settings import STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
TIME_ZONE = "UTC"
ALLOWED_HOSTS = ["*"]
