"""The papers of the house say what its scripts and files do."""

import ast
import functools
import re
import sys
import tomllib
from importlib.metadata import packages_distributions

import pytest

from tests.socktrade.house import PACKAGES, ROOT, tracked_files

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
DEV = PROJECT["dependency-groups"]["dev"]
RUN = PROJECT["project"]["dependencies"]
OPTIONAL = [
    line for lines in PROJECT["project"]["optional-dependencies"].values() for line in lines
]

LOCKS = {"requirements.lock": RUN, "tests/requirements.lock": RUN + DEV}
# Called by name on a command line or by pytest itself, so nothing imports them.
TOOLS = {
    "djhtml": "djhtml ",
    "import-linter": "lint-imports",
    "mypy": "mypy",
    "pytest-django": "DJANGO_SETTINGS_MODULE",
    "pytest-xdist": "-n 2",
    "ruff": "ruff check",
}


def _text(name):
    return (ROOT / name).read_text(encoding="utf-8")


def _name(requirement):
    return re.match(r"[\w-]+", requirement)[0].lower()


def _pins(lock):
    return set(re.findall(r"^([\w-]+)==", _text(lock), re.MULTILINE))


@functools.cache
def _python(start):
    """The code of the app, or of the tests, in one text."""
    wanted = (path for path in tracked_files() if path.suffix == ".py")
    return "\n".join(
        path.read_text(encoding="utf-8")
        for path in wanted
        if (path.relative_to(ROOT).parts[0] == "tests") == (start == "tests")
    )


def test_developers_are_told_the_commands_that_the_script_runs():
    ran = re.findall(r"^check (.+)$", _text(".ci/test"), re.MULTILINE)
    told = re.search(r"```\n(.*?)```", _text("DEVELOPERS.md"), re.DOTALL)[1].splitlines()

    assert len(ran) > 5
    assert told == ran


def test_the_whole_run_sets_up_and_then_checks():
    steps = re.findall(r"^sh (.+)$", _text(".ci/run"), re.MULTILINE)

    assert steps[0] == ".ci/setup tests"
    assert steps[-1] == ".ci/test"


def test_the_readme_has_one_line_to_see_it_and_one_to_test_it():
    lines = _text("README.md").splitlines()

    assert "sh .ci/setup app && .venv/bin/python manage.py open --demo" in lines
    assert "sh .ci/setup tests && sh .ci/test" in lines


@pytest.mark.parametrize("paper", ["README.md", "DEVELOPERS.md"])
def test_what_the_papers_point_to_exists(paper):
    links = re.findall(r"\]\((?!http)([^)#]+)\)", _text(paper))
    paths = re.findall(
        r"`((?:\.ci|patterns|production|sales|socktrade|static|tests)/[\w./-]*)`", _text(paper)
    )

    assert [name for name in links + paths if not (ROOT / name).exists()] == []


def test_the_readme_names_every_variable_that_is_read():
    code = _python("app")
    read = set(re.findall(r'environ\S*?[(\[]"(SOCKTRADE_\w+|DATABASE_URL)"', code))

    assert {"SOCKTRADE_DATA", "SOCKTRADE_TLS", "DATABASE_URL"} <= read
    inner = {"SOCKTRADE_BOOK", "SOCKTRADE_DEBUG"}  # set by manage.py, and for developers
    assert [name for name in sorted(read - inner) if f"`{name}`" not in _text("README.md")] == []


def test_what_came_from_others_is_named_with_its_licence():
    vendored = {folder.name for folder in (ROOT / "static" / "vendor").iterdir() if folder.is_dir()}

    assert vendored
    for name in vendored:
        assert f"`static/vendor/{name}` |" in _text("README.md")
        assert f"| `{name}` |" in _text("static/vendor/README.md")
        assert list((ROOT / "static" / "vendor" / name).glob("LICENSE*"))


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_every_dependency_with_hashes_and_no_address(lock):
    entries = re.split(r"\n(?=\S)", _text(lock).strip())

    assert {_name(line) for line in LOCKS[lock]} <= _pins(lock)
    assert [entry.split()[0] for entry in entries if "--hash=sha256:" not in entry] == []
    assert not re.search(r"://|--index|--find-links|--extra", _text(lock))


def test_the_app_installs_no_tool_of_the_tests():
    assert not {_name(line) for line in DEV + OPTIONAL} & _pins("requirements.lock")


def test_both_locks_pin_the_same_versions():
    app = set(re.findall(r"^\S+==\S+", _text("requirements.lock"), re.MULTILINE))
    tests = set(re.findall(r"^\S+==\S+", _text("tests/requirements.lock"), re.MULTILINE))

    assert app <= tests


def test_every_dependency_says_why_it_is_there():
    listed = re.findall(r'^  "[\w-]+(?:\[\w+\])?>=[^"]+",?(.*)$', _text("pyproject.toml"), re.M)

    assert len(listed) == len(RUN) + len(DEV)
    assert all(re.fullmatch(r" # .{8,}", why) for why in listed)


def _modules(distribution):
    names = packages_distributions().items()
    return {
        module
        for module, owners in names
        if distribution in {re.sub(r"[_.]", "-", owner).lower() for owner in owners}
    }


def _is_used(distribution, code):
    imported = "|".join(map(re.escape, _modules(distribution)))
    return bool(re.search(rf"""(?:^\s*(?:from|import) |["'])(?:{imported})\b""", code, re.M))


def _imported(code):
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.partition(".")[0]


def _foreign(start):
    ours = {*PACKAGES, "tests"}
    code = _python(start).replace("from __future__", "# from __future__")
    return set(_imported(code)) - set(sys.stdlib_module_names) - ours


@pytest.mark.parametrize(("start", "declared"), [("app", RUN + OPTIONAL), ("tests", RUN + DEV)])
def test_what_is_imported_is_declared(start, declared):
    known = {module for line in declared for module in _modules(_name(line))}

    assert _foreign(start) - known == set()


@pytest.mark.parametrize("requirement", RUN)
def test_the_app_uses(requirement):
    assert _is_used(_name(requirement), _python("app"))


@pytest.mark.parametrize("requirement", DEV)
def test_the_tests_use(requirement):
    name = _name(requirement)
    called = _text(".ci/test") + _text("pyproject.toml")

    assert TOOLS[name] in called if name in TOOLS else _is_used(name, _python("tests"))
