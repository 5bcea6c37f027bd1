"""House rules that a reader would miss in review: each test says what is wrong, where, and what to do instead."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APP = ROOT / "enclosures"
SKIP = {".venv", ".git", "staticfiles", "__pycache__", ".ruff_cache", ".pytest_cache", ".hypothesis", "media"}


def ours(pattern: str) -> list[Path]:
    return [path for path in ROOT.rglob(pattern) if not SKIP & set(path.relative_to(ROOT).parts)]


def test_the_top_level_is_the_agreed_one() -> None:
    fixed = {
        "README.md", "DEVELOPERS.md", "manage.py", "husbandry", "enclosures", "templates", "static", "tests",
        "requirements.txt", "pyproject.toml",
    }  # fmt: skip
    made_here = {"staticfiles", "media"}
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and ".sqlite3" not in path.name}
    assert seen - made_here == fixed


@pytest.mark.parametrize("layer", ["estimates", "forecast", "verdicts", "figures", "models", "actions", "boards"])
def test_time_is_passed_in_below_the_views(layer: str) -> None:
    clocks = re.compile(r"\b(date\.today\(|datetime\.now\(|timezone\.now\(|timezone\.localdate\(|time\.time\()")
    wrong = [
        f"{path.relative_to(ROOT)}:{number} asks the clock; take `today` or `now` as an argument"
        for path in (APP / layer).rglob("*.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if clocks.search(line)
    ]
    assert not wrong, "\n".join(wrong)


def test_nothing_is_loaded_from_another_server() -> None:
    outside = re.compile(r"""(?:src|href|url\()\s*=?\s*["'(]?\s*(?:https?:)?//(?!127\.0\.0\.1|www\.w3\.org)""", re.I)
    wrong = [
        f"{path.relative_to(ROOT)}:{number}"
        for pattern in ("templates/**/*.html", "static/**/*.css", "static/**/*.js")
        for path in ROOT.glob(pattern)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if outside.search(line)
    ]
    assert not wrong, f"loaded from outside: {wrong}"


def test_templates_carry_no_inline_script_or_style() -> None:
    """The content policy forbids them, and a browser would drop them without a word."""
    inline = re.compile(r"\sstyle\s*=|\son[a-z]+\s*=\s*[\"']|hx-on|<style|javascript:", re.I)
    script = re.compile(r"<script(?![^>]*(?:\ssrc=|type=\"application/json\"))", re.I)
    wrong = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in ROOT.glob("templates/**/*.html")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if inline.search(line) or script.search(line)
    ]
    assert not wrong, "\n".join(wrong)


def test_booleans_are_passed_by_name() -> None:
    """`log(entry, True)` says nothing; `log(entry, late=True)` does. Public functions take booleans by keyword only."""
    wrong = []
    for path in APP.rglob("*.py"):
        if "migrations" in path.parts:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            for argument in node.args.args:
                if isinstance(argument.annotation, ast.Name) and argument.annotation.id == "bool":
                    wrong.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}({argument.arg}: bool)")
    assert not wrong, "\n".join(wrong)


def test_every_template_folder_of_a_page_has_its_page() -> None:
    wrong = []
    for audience in ("staff", "supervisor", "coordinator", "shared"):
        for folder in (ROOT / "templates" / audience).glob("*"):
            if folder.is_dir() and not (folder / "page.html").exists():
                wrong.append(str(folder.relative_to(ROOT)))
    assert not wrong, f"no page.html in {wrong}"


def test_view_template_and_address_share_one_name() -> None:
    """Knowing one, you can open the rest: URL name log-feeding, view log_feeding.py, folder log_feeding/."""
    from enclosures.urls import urlpatterns

    names = {pattern.name for pattern in urlpatterns if pattern.name}
    wrong = []
    for audience in ("staff", "supervisor", "coordinator", "shared"):
        for folder in (ROOT / "templates" / audience).glob("*"):
            if not folder.is_dir():
                continue
            view = APP / "views" / audience / f"{folder.name}.py"
            if folder.name.replace("_", "-") not in names:
                wrong.append(f"templates/{audience}/{folder.name}: no address named {folder.name.replace('_', '-')}")
            if not view.exists():
                wrong.append(f"templates/{audience}/{folder.name}: no view {view.relative_to(ROOT)}")
    assert not wrong, "\n".join(wrong)


def test_every_view_says_who_may_enter() -> None:
    from enclosures.urls import urlpatterns

    open_to_all_signed_in = {"home"}
    open_to_anybody = {"service-worker", "manifest", "device-token", "offline", "secure-address"}  # they name nobody
    wrong = [
        pattern.name
        for pattern in urlpatterns
        if pattern.name not in open_to_all_signed_in | open_to_anybody
        and not hasattr(pattern.callback, "allowed_roles")
    ]
    assert not wrong, f"no @for_role on the views of {wrong}"


def test_developers_guide_names_every_folder_and_command() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    folders = [path.name for path in APP.iterdir() if path.is_dir() and path.name not in SKIP]
    commands = [path.stem for path in (APP / "management" / "commands").glob("*.py") if path.stem != "__init__"]
    missing = [name for name in [*folders, *commands] if name not in guide]
    assert not missing, f"DEVELOPERS.md does not name {missing}"


def test_readme_opens_with_the_job_and_holds_the_two_commands() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    opening = readme.split("\n\n")[1]
    for word in ("turtle", "void", "vacuum"):
        assert word in opening
    for command in (
        "python3 -m venv .venv && .venv/bin/pip install -r requirements.txt && .venv/bin/python manage.py demo",
        "python3 -m venv .venv && .venv/bin/pip install -r requirements.txt && .venv/bin/python -m pytest",
    ):
        assert command in readme
