"""What a browser says of itself, shortened to what a person knows it by."""

from patterns.core.words import say

# Looked for in this order: many browsers also name the ones whose pages they can show.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)


def name_browser(user_agent: str) -> str:
    """Return, for instance, `Firefox on Android`; an unknown one is a browser.

    Args:
        user_agent: The header that the browser sends with every request.
    """
    browser = _first(BROWSERS, user_agent)
    system = _first(SYSTEMS, user_agent)
    if browser and system:
        return say("{browser} on {system}", browser=browser, system=system)
    return browser or system or say("a browser that gives no name")


def _first(names: tuple[tuple[str, str], ...], text: str) -> str:
    return next((name for mark, name in names if mark in text), "")
