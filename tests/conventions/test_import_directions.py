"""Which way imports point. Models never see views; science never sees Django; a board never writes; an action never renders."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APP = ROOT / "enclosures"

PURE = {"estimates", "forecast", "verdicts", "figures"}
# layer -> layers of ours it may import, besides itself
MAY = {
    "estimates": set(),
    "forecast": {"estimates"},
    "verdicts": {"estimates", "forecast"},
    "figures": {"estimates", "forecast", "verdicts"},
    "models": {"estimates"},
    "roles": {"models"},
    "evidence": {"models", "forecast", "verdicts", "estimates"},
    "exports": {"models", "evidence", "estimates", "verdicts"},
    "actions": {"models", "evidence", "forecast", "verdicts", "estimates", "exports", "roles"},
    "boards": {"models", "evidence", "forecast", "verdicts", "figures", "estimates"},
    "forms": {"models", "verdicts", "estimates"},
    "imports": {"forms", "actions", "models", "exports", "estimates", "verdicts"},
    "views": {
        "forms", "actions", "boards", "exports", "imports", "roles", "models", "verdicts", "estimates", "forecast",
        "figures",
    },
    "scenarios": {"actions", "models", "estimates", "forecast", "imports", "exports"},
    "management": {
        "actions", "boards", "exports", "imports", "evidence", "forecast", "scenarios", "models", "verdicts",
    },
    "templatetags": {"estimates", "verdicts", "models"},
    "urls": {"views"},
    "admin": {"models"},
    "apps": {"models"},
    "migrations": {"models"},
}  # fmt: skip
# outside packages a pure layer may import
OUTSIDE = {
    "estimates": set(),
    "forecast": {"numpy", "pandas"},
    "verdicts": set(),
    "figures": {"pandas", "plotly", "numpy"},
}
STANDARD = __import__("sys").stdlib_module_names


def layer_of(path: Path) -> str:
    return path.relative_to(APP).parts[0].removesuffix(".py")


def imported(path: Path) -> list[str]:
    """Full dotted names, relative ones resolved."""
    names: list[str] = []
    package = ".".join(path.relative_to(ROOT).with_suffix("").parts[:-1])
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                base = ".".join([*package.split(".")[: len(package.split(".")) - node.level + 1], base]).rstrip(".")
            names += [f"{base}.{alias.name}" for alias in node.names]
    return names


def wrong_arrows(path: Path) -> list[str]:
    layer = layer_of(path)
    wrong = []
    for name in imported(path):
        parts = name.split(".")
        if parts[0] == "husbandry":
            wrong.append(f"{path.name} imports {name}: the subject never imports the site")
        elif parts[0] == "enclosures":
            target = parts[1] if len(parts) > 1 else ""
            if target and target != layer and target not in MAY[layer]:
                wrong.append(f"{path.relative_to(ROOT)} imports {name}: {layer} may not import {target}")
        elif layer in PURE and parts[0] not in STANDARD and parts[0] not in OUTSIDE[layer]:
            wrong.append(f"{path.relative_to(ROOT)} imports {name}: {layer} is pure")
    return wrong


FILES = sorted(path for path in APP.rglob("*.py") if path.parent != APP or path.stem not in {"__init__"})


@pytest.mark.parametrize("layer", sorted({layer_of(path) for path in FILES}))
def test_imports_point_downwards(layer: str) -> None:
    assert layer in MAY, f"{layer} is a new layer: give it its place in the table"
    wrong = [line for path in FILES if layer_of(path) == layer for line in wrong_arrows(path)]
    assert not wrong, "\n".join(wrong)


def test_the_test_can_see_a_wrong_arrow(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = tmp_path / "enclosures" / "models" / "bad.py"
    bad.parent.mkdir(parents=True)
    bad.write_text("from enclosures.views import home\nfrom husbandry import settings\n")
    monkeypatch.setattr(__import__(__name__, fromlist=["x"]), "ROOT", tmp_path)
    monkeypatch.setattr(__import__(__name__, fromlist=["x"]), "APP", tmp_path / "enclosures")
    assert len(wrong_arrows(bad)) == 2


def test_the_app_and_its_pure_layers_import_without_django() -> None:
    assert (APP / "__init__.py").read_text() == ""
    import subprocess
    import sys

    code = (
        "import sys; sys.modules['django'] = None\n"
        "import enclosures.estimates.void, enclosures.forecast.outlook, enclosures.verdicts.urgency\n"
        "import enclosures.figures.section"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
