"""What the templates name exists, lies below them, and needs nothing that the browser forbids."""

import re

import pytest
from django.template import Engine, engines
from django.template.base import FilterExpression
from django.template.defaulttags import URLNode
from django.template.loader_tags import ExtendsNode, IncludeNode

from tests.socktrade.house import ROOT, tracked_files
from tests.socktrade.names import known_url_names

TEMPLATES = ROOT / "templates"
RANK = {"patterns": 1, "production": 2, "sales": 3}
TOP = 9  # the wiring may link anywhere
FREE_FOR_ALL = {
    "today", "log_string", "find", "act_undo", "workshop", "sign_in", "sign_out", "glossary",
    "yarn_low",
}  # fmt: skip

# What the content security policy of the pages refuses, so that it would silently not work.
FORBIDDEN = {
    "a style attribute": r"<[^>]*\sstyle\s*=",
    "a style element": r"<style\b",
    "script in the page": r"<script\b(?![^>]*\bsrc=)(?![^>]*application/(?:ld\+)?json)",
    "a handler in an attribute": r"<[^>]*\s(?:on[a-z]+|hx-on[:\w-]*)\s*=",
    "script in a link": r"""(?:href|action)\s*=\s*["']?\s*javascript:""",
    "a part from elsewhere": (
        r"""<(?:link|script|img|iframe|source)\b[^>]*(?:src|href)\s*=\s*["'](?:https?:)?//"""
    ),
}


def _names():
    for path in tracked_files():
        if path.suffix == ".html" and path.is_relative_to(TEMPLATES):
            yield path.relative_to(TEMPLATES).as_posix()


NAMES = sorted(_names())


def _for_browsers(name):
    """The template without what only the PDF maker reads."""
    text = (TEMPLATES / name).read_text(encoding="utf-8")
    return re.sub(r"{% if for_pdf %}.*?(?={% else %}|{% endif %})", "", text, flags=re.DOTALL)


def _rank(name):
    """A page's floor; a shared part lies below all apps."""
    folder = name.split("/")[0] if "/" in name else ""
    return TOP if folder in {"socktrade", "print"} else RANK.get(folder, 0)


def _nodes(name, kind):
    engine: Engine = engines["django"].engine
    return engine.get_template(name).nodelist.get_nodes_by_type(kind)


def _literal(expression: FilterExpression) -> str | None:
    return expression.var if isinstance(expression.var, str) else None


def _linked(name):
    return {found for node in _nodes(name, URLNode) if (found := _literal(node.view_name))}


def _pulled_in(name):
    wanted = [node.template for node in _nodes(name, IncludeNode)]
    wanted += [node.parent_name for node in _nodes(name, ExtendsNode)]
    return {found for expression in wanted if (found := _literal(expression))}


def _all_problems(check):
    assert "base.html" in NAMES
    return [f"{name}: {problem}" for name in NAMES for problem in check(name)]


def test_every_link_leads_to_an_address_that_exists():
    known = known_url_names()

    assert not _all_problems(lambda name: sorted(_linked(name) - known))


def test_every_part_that_is_pulled_in_exists():
    assert not _all_problems(lambda name: sorted(_pulled_in(name) - set(NAMES)))


def test_parts_come_from_the_same_app_or_one_below():
    def higher(name):
        parts = _pulled_in(name) - {"print/base.html"}
        return [part for part in parts if _rank(part) > _rank(name)]

    assert not _all_problems(higher)


def test_links_lead_to_the_same_app_or_one_below():
    def higher(name):
        targets = _linked(name) - FREE_FOR_ALL
        return [link for link in targets if RANK.get(link.partition(":")[0], TOP) > _rank(name)]

    assert not _all_problems(higher)


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_page_holds(what):
    pattern = re.compile(FORBIDDEN[what], re.IGNORECASE)

    assert [name for name in NAMES if pattern.search(_for_browsers(name))] == []


@pytest.mark.parametrize(
    ("what", "markup"),
    [
        ("a style attribute", '<p class="x" style="color:red">'),
        ("a style element", "<style>p {}</style>"),
        ("script in the page", "<script>go()</script>"),
        ("a handler in an attribute", '<button type="submit" onclick="go()">'),
        ("script in a link", '<a href="javascript:go()">'),
        ("a part from elsewhere", '<script src="https://example.com/x.js"></script>'),
    ],
)
def test_the_check_would_find(what, markup):
    assert re.search(FORBIDDEN[what], markup, re.IGNORECASE)


@pytest.mark.parametrize(
    "markup",
    ["<script src=\"{% static 'js/till.js' %}\" defer></script>", '<a href="https://example.com">'],
)
def test_the_check_leaves_alone(markup):
    assert not any(re.search(pattern, markup, re.IGNORECASE) for pattern in FORBIDDEN.values())
