import subprocess
import sys
from pathlib import Path

import sales.core

PROBE = """
import importlib, sys
for name in {names!r}:
    importlib.import_module("sales.core." + name)
print(*sorted({{name.partition(".")[0] for name in sys.modules}} & {{"django", "numpy", "scipy"}}))
"""


def test_core_imports_neither_django_nor_numpy_nor_scipy():
    folder = Path(sales.core.__path__[0])
    names = sorted(path.stem for path in folder.glob("*.py") if path.stem != "__init__")

    done = subprocess.run(
        [sys.executable, "-c", PROBE.format(names=names)],
        cwd=folder.parent.parent,
        capture_output=True,
        text=True,
        check=True,
    )

    assert "demand" in names
    assert done.stdout.strip() == ""
