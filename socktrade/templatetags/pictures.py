"""The picture of a string: a mark for each sock, which leads to it."""

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from django import template
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from production.models import Quality, Sock

register = template.Library()

MARK = """<li class="string-sock {}">
<a href="{}" title="{}">
<svg class="sock-mark" viewBox="0 0 24 30" aria-hidden="true" focusable="false"><path \
d="M7 2h8v13l5.2 5.6a4 4 0 0 1-5.8 5.5L7 18.5z"/></svg>
<span class="string-place">{}</span>
<span class="hush">{}</span>
</a>
</li>
"""


@register.simple_tag
def sock_marks(socks: Iterable[Sock], whole_number: bool | str = False) -> SafeString:  # noqa: FBT001, FBT002 - a tag's argument
    """Return the list items of a string; pages show hundreds, so no template of their own."""
    names: dict[str, str] = {}  # of places, each said once
    marks = (MARK.format(*_words(sock, bool(whole_number), names)) for sock in socks)
    return mark_safe("".join(marks))  # noqa: S308 - numbers, keys of places, escaped words


def _words(sock: Sock, whole_number: bool, names: dict[str, str]) -> tuple[str, ...]:  # noqa: FBT001
    look, number = f"is-{sock.place}", sock.number
    if sock.place not in names:
        names[sock.place] = str(sock.place_name)
    said = f"{number}: {names[sock.place]}"
    title = escape(said)
    if sock.quality != Quality.FIRST:
        look = f"{look} is-{sock.quality}"
        said = f"{said}, {sock.get_quality_display()}"
    place = number if whole_number else str(sock.position)
    return look, _address(sock.string.number, sock.position), title, place, escape(said)


@lru_cache(maxsize=20_000)
def _address(string: int, position: int) -> str:
    """Return the address of a sock; kept, for every picture asks again."""
    return reverse("production:sock_detail", args=[string, position])
