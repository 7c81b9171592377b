"""The project's own files, for the tests that read them."""

import ast
import functools
import subprocess
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("patterns", "production", "sales", "socktrade")


@functools.cache
def tracked_files() -> tuple[Path, ...]:
    """Return what git knows of, and what it would take on; the clone may belong to anyone."""
    git = ["git", "-c", "safe.directory=*", "ls-files", "-z"]
    listed = subprocess.run(
        [*git, "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    names = {name for name in listed.stdout.decode().split("\0") if name}
    return tuple(path for name in sorted(names) if (path := ROOT / name).is_file())


@functools.cache
def sources() -> dict[str, ast.Module]:
    """Return the parsed modules of the app, by their path from the top."""
    found = {}
    for path in tracked_files():
        name = path.relative_to(ROOT).as_posix()
        if path.suffix == ".py" and name.startswith(PACKAGES) and "/migrations/" not in name:
            found[name] = ast.parse(path.read_text(encoding="utf-8"), name)
    return found


def calls(tree: ast.Module) -> Iterator[ast.Call]:
    """Walk over every call in a module."""
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def first_text(call: ast.Call) -> str | None:
    """Return the first argument of a call where it is a plain string."""
    first = call.args[0] if call.args else None
    return first.value if isinstance(first, ast.Constant) and isinstance(first.value, str) else None


def called_name(call: ast.Call) -> str:
    """Return the dotted name of what is called, e.g. `Act.objects.create`."""
    return ast.unparse(call.func)
