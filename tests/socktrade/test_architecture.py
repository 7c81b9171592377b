import ast
import re
import subprocess
import sys
import tomllib

import pytest
from django.apps import apps
from django.core.management import call_command

from tests.socktrade.house import ROOT, called_name, calls, first_text, sources, tracked_files
from tests.socktrade.names import known_url_names

LONGEST_FUNCTION = 40
LONGEST_MODULE = 400

ALLOWED_TOP = {
    "DEVELOPERS.md", "README.md", "manage.py", "patterns", "production", "pyproject.toml",
    "requirements.lock", "sales", "socktrade", "static", "templates", "tests",
}  # fmt: skip

SCALE = {"Package", "PackageWeight", "Weighing"}
INK = {"Act", "PairMove", "SockMark", "SockMove", "YarnMove", *SCALE}
WRITERS = {
    "production/services/acts.py": INK - SCALE,
    "production/services/opening.py": {"PairMove", "SockMove"},
    "production/services/pairs.py": {"PairMove"},
    "production/services/strings.py": {"SockMove"},
    "production/services/yarn.py": SCALE,
    "production/services/yarn_scale.py": {"PackageWeight"},
    # A made-up past for load, which goes into an empty book only and is checked as a whole.
    "socktrade/history/ink.py": INK,
}

FLOOR = {"auth": 0, "contenttypes": 0, "sessions": 0, "socktrade": 0}
RANK = {**FLOOR, "patterns": 1, "production": 2, "sales": 3}

# The brackets keep this list from finding itself.
UNWANTED = {
    "a registry's address": r"pyp[i]\.org|pythonh[o]sted|npmj[s]\.(?:org|com)|deb\.debia[n]",
    "a path of one machine": r"(?<![\w.])/(?:hom[e]|roo[t]|User[s]|wor[k]|srv/buil[d])/\w",
    "a private key": r"-----BEGIN [A-Z ]*PRIVATE KE[Y]-----",
    "an access token": r"\b(?:gh[pousr]_[A-Za-z0-9]{30}|AKI[A][0-9A-Z]{16}|xox[bap]-\w{10})",
    "a password in an address": r"\w+://[^\s/:@<>{}]+:(?!PASSWORD@)[^\s/:@<>{}]+@",
    "a signing key": r"""SECRET_KEY\s*=\s*["'][^"']{8}""",
}


def _functions():
    for name, tree in sources().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield name, node


def _length(node):
    """Lines from `def` to the last one, without the docstring."""
    lines = node.end_lineno - node.lineno + 1
    if ast.get_docstring(node) is not None:
        lines -= node.body[0].end_lineno - node.body[0].lineno + 1
    return lines


def _written(tree):
    found = set()
    for call in calls(tree):
        owner, _, rest = called_name(call).partition(".")
        if owner in INK and (not rest or re.fullmatch(r"objects\.(bulk_|get_or_)?create", rest)):
            found.add(owner)
    return found


def _modules_of(package):
    folder = ROOT / package / "core"
    for path in sorted(folder.rglob("*.py")):
        yield ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def test_no_function_is_longer_than_a_screen():
    long = [
        f"{name}:{node.lineno} {node.name}: {_length(node)} lines"
        for name, node in _functions()
        if _length(node) > LONGEST_FUNCTION
    ]

    assert not long


def test_no_module_covers_more_than_its_subject():
    long = {
        path.relative_to(ROOT).as_posix(): lines
        for path in tracked_files()
        if path.suffix == ".py" and "migrations" not in path.parts
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_MODULE
    }

    assert not long


def test_acts_and_moves_are_written_only_by_the_services_that_hold_their_rules():
    written = {name: found for name, tree in sources().items() if (found := _written(tree))}

    assert written == WRITERS


def test_foreign_keys_between_apps_point_down():
    upward = []
    for model in apps.get_models():
        for field in model._meta.get_fields():
            if field.concrete and field.is_relation:
                start, end = model._meta.app_label, field.related_model._meta.app_label
                # An app that is not ours may point where it likes, and lies below all of ours.
                if start in RANK and RANK.get(end, 0) > RANK[start]:
                    upward.append(f"{model.__name__}.{field.name} -> {end}")

    assert not upward


@pytest.mark.parametrize("package", ["patterns", "production", "sales"])
def test_the_arithmetic_loads_without_django(package):
    modules = list(_modules_of(package))
    code = (
        f"import sys, {', '.join(modules)}; print(sorted({{m.split('.')[0] for m in sys.modules}}))"
    )

    said = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )

    loaded = set(ast.literal_eval(said.stdout))
    assert package in loaded
    assert not loaded & {"django", "socktrade", "babel", "weasyprint", "sqlite3"}


def test_every_module_of_the_wiring_stands_in_the_import_contract():
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    layers = contracts["tool"]["importlinter"]["contracts"][0]["layers"]
    named = {name for layer in layers for name in re.findall(r"socktrade\.(\w+)", layer)}

    there = {
        name.split("/")[1].removesuffix(".py") for name in sources() if name[:9] == "socktrade"
    }

    assert there - {"__init__", "apps"} == named


def test_the_top_level_holds_only_what_the_house_allows():
    top = {path.relative_to(ROOT).parts[0] for path in tracked_files()}

    assert {name for name in top if not name.startswith(".")} == ALLOWED_TOP


@pytest.mark.parametrize("what", UNWANTED)
def test_no_file_holds(what):
    pattern = re.compile(UNWANTED[what])
    found = []
    for path in tracked_files():
        raw = path.read_bytes()
        if b"\0" not in raw:
            lines = enumerate(raw.decode("utf-8").splitlines(), start=1)
            name = path.relative_to(ROOT)
            found += [f"{name}:{number}" for number, line in lines if pattern.search(line)]

    assert not found


@pytest.mark.parametrize(
    ("what", "pieces"),
    [
        ("a registry's address", ("https://pyp", "i.org/simple")),
        ("a path of one machine", ("cp /hom", "e/maker/x .")),
        ("a private key", ("-----BEGIN RSA PRIVATE", " KEY-----")),
        ("an access token", ("token: gh", "p_0123456789abcdefghijABCDEFGHIJ")),
        ("a password in an address", ("postgres://maker:", "hunter2@db/book")),
        ("a signing key", ("SECRET_KEY", ' = "0123456789abcdef"')),
    ],
)
def test_the_search_would_find(what, pieces):
    assert re.search(UNWANTED[what], "".join(pieces))


@pytest.mark.django_db
def test_migrations_say_what_the_models_say(capsys):
    call_command("makemigrations", check_changes=True, dry_run=True)

    assert "No changes detected" in capsys.readouterr().out


def test_every_address_named_in_the_code_exists():
    known, unknown = known_url_names(), []
    for name, tree in sources().items():
        for call in calls(tree):
            target = first_text(call)
            if called_name(call) in {"reverse", "reverse_lazy"} and target and target not in known:
                unknown.append(f"{name}:{call.lineno} {target}")

    assert not unknown


def test_an_address_that_nobody_defined_is_noticed():
    assert "sales:no_such_page" not in known_url_names()
    assert {"today", "sales:shelf", "production:basket_list"} <= known_url_names()
