"""Learning what every address takes: from its own forms, and from the source of its view.

Nothing is listed by hand, so that a form is asked hostile questions the day it is added.
"""

import inspect
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urljoin, urlsplit

from django.forms import BaseForm
from django.urls import Resolver404, resolve

from tests.hostile.values import LIKELY, SUITS

ASKED_FOR = re.compile(r"""(?:GET|POST|FILES)(?:\.get|\.getlist)?[(\[]\s*"(\w+)\"""")


@dataclass
class Ask:
    """One thing to send: an address, how, and the values that suit each of its fields."""

    name: str
    address: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)

    def take(self, name: str, values: list[str], kind: str) -> None:
        """Note a field; values already known stay first."""
        known = self.fields.setdefault(name, [])
        more = [*values, *SUITS.get(kind, ())]
        known += [value for value in more if value not in known][: 40 - len(known)]
        if kind in ("file", "FileField"):
            self.files.add(name)


class FormReader(HTMLParser):
    """Reads the forms of a page, and the questions that its links ask."""

    def __init__(self, at: str) -> None:
        super().__init__()
        self.at, self.asks, self.links = at, [], []
        self.select = self.area = None

    def handle_starttag(self, tag, attrs):
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            method = told.get("method", "get").upper()
            self.asks.append(Ask("", urljoin(self.at, told.get("action", "")), method))
        elif tag == "a" and "?" in told.get("href", ""):
            self.links.append(urljoin(self.at, told["href"]))
        elif self.asks and tag in ("input", "button") and told.get("name"):
            values = [told["value"]] if told.get("value") else []
            self.asks[-1].take(told["name"], values, told.get("type", "text"))
        elif self.asks and tag in ("select", "textarea") and told.get("name"):
            self.select = told["name"]
            self.asks[-1].take(told["name"], [], "text")
        elif tag == "option" and self.asks and self.select and told.get("value"):
            self.asks[-1].take(self.select, [told["value"]], "text")

    def handle_endtag(self, tag):
        if tag in ("select", "textarea"):
            self.select = None


def learn(client, pages) -> dict[tuple[str, str], Ask]:
    """Open every page and return what can be sent, by address name and method."""
    asks: dict[tuple[str, str], Ask] = {}
    kinds: dict[str, list[str]] = {}
    for name, address in pages:
        for method in ("GET", "POST"):
            ask = Ask(name, address, method)
            for asked in _named_in_source(address):
                ask.take(asked, list(LIKELY), "text")
            asks.setdefault((name, method), ask)
    for name, address in pages:
        answer = client.get(address)
        if answer.status_code == 200 and "html" in answer.headers.get("Content-Type", ""):
            _learn_page(asks, answer, name, address, kinds)
    for ask in asks.values():
        _fill_up(ask, kinds)
    return asks


def _fill_up(ask, kinds):
    """Give a field that stands empty in its page what suits the form's field of that name."""
    for key, values in ask.fields.items():
        if not values:
            ask.fields[key] = kinds.get(key, list(LIKELY))


def _learn_page(asks, answer, name, address, kinds):
    reader = FormReader(address)
    reader.feed(answer.content.decode())
    for form in _forms_in(answer.context):
        for key, one in form.fields.items():
            kinds.setdefault(key, [*_choices(one), *SUITS.get(type(one).__name__, LIKELY)])
            for method in ("GET", "POST"):
                asks[name, method].take(form.add_prefix(key), _choices(one), type(one).__name__)
    for found in reader.asks:
        _merge(asks, found)
    for link in reader.links:
        link_ask = Ask("", link, "GET")
        for key, value in parse_qsl(urlsplit(link).query):
            link_ask.take(key, [value], "text")
        _merge(asks, link_ask)


def _merge(asks, found):
    path = urlsplit(found.address).path
    try:
        name = resolve(path).view_name
    except Resolver404:
        return
    known = asks.get((name, found.method))
    if known is None:
        return
    known.address = path if found.method == "POST" else known.address
    for key, values in found.fields.items():
        known.take(key, values, "file" if key in found.files else "text")


def _choices(one) -> list[str]:
    """Return what a field would take: its choices, and what stands in it."""
    choices = getattr(one, "choices", ())
    flat = [value for value, _label in choices if not isinstance(_label, list | tuple)]
    initial = one.initial() if callable(one.initial) else one.initial
    return [str(value) for value in ([] if initial is None else [initial]) + flat[:20]]


def _forms_in(context) -> Iterator[BaseForm]:
    seen = set()
    for layer in context or ():
        for value in layer.flatten().values() if hasattr(layer, "flatten") else ():
            many = value if isinstance(value, list | tuple) else [value]
            for one in many[:5]:
                if isinstance(one, BaseForm) and id(one) not in seen:
                    seen.add(id(one))
                    yield one


def _named_in_source(address: str) -> set[str]:
    """Return the names that the module of a view takes out of a request."""
    view = inspect.unwrap(resolve(urlsplit(address).path).func)
    module = sys.modules[getattr(view, "__module__", "")]
    return set(ASKED_FOR.findall(inspect.getsource(module)))
