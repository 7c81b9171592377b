"""The settings that are served, with one bare page beside the book's own for comparison."""

from socktrade.settings import *  # noqa: F403

ROOT_URLCONF = "tests.load.urls"
