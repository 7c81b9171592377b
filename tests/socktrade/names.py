"""The names of all addresses, with their app's name before them."""

from collections.abc import Iterator

from django.urls import URLPattern, URLResolver, get_resolver


def known_url_names() -> set[str]:
    """Return every name that `{% url %}` and `reverse` can find."""
    return set(_names(get_resolver(), ""))


def _names(resolver: URLResolver, prefix: str) -> Iterator[str]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLPattern):
            if entry.name:
                yield prefix + entry.name
        else:
            inner = f"{prefix}{entry.namespace}:" if entry.namespace else prefix
            yield from _names(entry, inner)
