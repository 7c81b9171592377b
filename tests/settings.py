"""Settings of the test run: fast hashing, plain assets, a database in memory."""

import os
import tempfile

if "SOCKTRADE_DATA" not in os.environ:
    os.environ["SOCKTRADE_DATA"] = tempfile.mkdtemp(prefix="socktrade-tests-")

from socktrade.settings import *  # noqa: F403
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
