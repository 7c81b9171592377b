"""The system's own Chromium, and how to start it quietly."""

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
ARGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
if hasattr(os, "geteuid") and os.geteuid() == 0:
    ARGS.append("--no-sandbox")


def find_chromium() -> str:
    """Return the path of a Chromium or Chrome on this machine.

    Raises:
        FileNotFoundError: If there is none; says what to install.
    """
    for name in NAMES:
        if path := shutil.which(name):
            return path
    msg = "No Chromium was found. On Debian: apt-get install chromium"
    raise FileNotFoundError(msg)
