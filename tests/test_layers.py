"""Rooms that never mix: who may import whom, checked by reading and by importing without the rest."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "rxlearn"

ROOMS = {
    # room or module: (rooms it may import, packages it may import)
    "data": ((), ()),
    "compute": (("data",), ("lmfit", "numpy", "scipy")),
    "plan": (("data", "compute"), ("numpy", "pydantic")),
    "store": (("plan",), ("filelock", "platformdirs", "pydantic")),
    "figures": (("data", "compute"), ("matplotlib", "numpy", "schemdraw")),
    "exercises": (("data", "compute", "plan"), ("numpy",)),
    "sheets": (("data", "compute", "plan", "figures"), ("fpdf", "matplotlib", "numpy")),
    "bench": (("data", "compute", "plan", "store", "figures", "exercises", "sheets"),
              ("IPython", "anywidget", "ipywidgets", "numpy", "traitlets")),
    "server": ((), ("jupyter_server", "tornado", "traitlets")),
    "installing": ((), ()),
    "workshop": (("installing",), ()),
    "__main__": (("workshop",), ()),
    "__init__": ((), ()),
}
"""From the bottom up.  Besides these, a room may import itself and the standard library."""

WIDGETS = ("ipywidgets", "anywidget", "IPython", "traitlets")
BLOCKED = {
    "data": ("numpy", "matplotlib", *WIDGETS), "compute": ("matplotlib", "pydantic", *WIDGETS),
    "plan": ("matplotlib", *WIDGETS), "store": ("matplotlib", *WIDGETS),
    "figures": ("pydantic", *WIDGETS), "sheets": WIDGETS, "exercises": ("matplotlib", *WIDGETS),
    "server": ("numpy", "matplotlib", *WIDGETS),
}
"""What each room must be importable without."""

IMPORT_ALL = """
import importlib, pkgutil, sys
room, blocked = sys.argv[1], set(sys.argv[2].split(","))
class Blocker:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in blocked:
            raise ImportError(f"{name} is blocked here")
sys.meta_path.insert(0, Blocker())
package = importlib.import_module(f"rxlearn.{room}")
names = [m.name for m in pkgutil.walk_packages(package.__path__, f"rxlearn.{room}.")]
for name in names:
    importlib.import_module(name)
print(len(names))
"""

MODULES = sorted(PACKAGE.rglob("*.py"))
FILES = {"open", "exec", "eval", "compile", "__import__", "input", "print"}
CHANGES = {"append", "add", "update", "pop", "popitem", "setdefault", "clear", "extend", "insert",
           "remove", "discard", "sort", "reverse"}


def room_of(path: Path) -> str:
    """The room that a module stands in, or its own name on the ground floor."""
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else path.stem


def imports_of(tree: ast.AST) -> list[str]:
    """Dotted names of all that a module imports, also inside functions."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            found += [f"{node.module}.{alias.name}" for alias in node.names]
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_import_points_upward(path):
    room = room_of(path)
    rooms, packages = ROOMS[room]
    for name in imports_of(ast.parse(path.read_text())):
        top, *rest = name.split(".")
        if top == "rxlearn":
            assert rest[0] in (room, *rooms), f"{room} must not import {name}"
        else:
            assert top in sys.stdlib_module_names or top in packages, f"{room} imports {name}"


def test_the_table_itself_points_downward():
    order = list(ROOMS)
    for room, (rooms, _) in ROOMS.items():
        assert all(order.index(lower) < order.index(room) for lower in rooms)


def test_no_module_imports_itself_by_way_of_others():
    names = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in MODULES}
    graph = {
        name: {found for imported in imports_of(ast.parse(path.read_text()))
               for found in (imported, imported.rpartition(".")[0]) if found in names}
        for name, path in names.items()
    }
    done, trail = set(), []

    def visit(name):
        assert name not in trail, " → ".join([*trail, name])
        if name not in done:
            trail.append(name)
            for other in graph[name] - {name}:
                visit(other)
            trail.pop()
            done.add(name)

    for name in graph:
        visit(name)


@pytest.mark.parametrize("room", BLOCKED)
def test_a_room_can_be_imported_without_the_rooms_above(room):
    result = subprocess.run(
        [sys.executable, "-c", IMPORT_ALL, room, ",".join(BLOCKED[room])], cwd=ROOT,
        capture_output=True, text=True, timeout=60,
    )
    assert result.returncode == 0, result.stderr
    expected = [p for p in MODULES if room_of(p) == room and p.stem != "__init__"]
    assert int(result.stdout) == len(expected)


def test_the_blocker_blocks():
    result = subprocess.run(
        [sys.executable, "-c", IMPORT_ALL, "compute", "numpy"], cwd=ROOT, capture_output=True,
        text=True, timeout=60,
    )
    assert result.returncode != 0 and "numpy is blocked here" in result.stderr


@pytest.mark.parametrize("room", ["data", "compute", "exercises", "figures"])
def test_what_only_computes_touches_no_file_and_prints_nothing(room):
    for path in (p for p in MODULES if room_of(p) == room):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in FILES, f"{path.name} calls {node.func.id}"


def test_pyplot_is_used_nowhere():
    for path in MODULES:
        assert not any("pyplot" in name for name in imports_of(ast.parse(path.read_text()))), path


def test_no_module_keeps_a_state():
    """Lists, dicts and sets at the top of a module are tables: nothing changes them later."""
    for path in MODULES:
        tree = ast.parse(path.read_text())
        tables = {
            target.id for node in tree.body if isinstance(node, ast.Assign | ast.AnnAssign)
            for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
            if isinstance(target, ast.Name)
        }
        for function in ast.walk(tree):
            if not isinstance(function, ast.FunctionDef | ast.Lambda):
                continue
            own = {argument.arg for argument in ast.walk(function.args)
                   if isinstance(argument, ast.arg)}
            own |= {node.id for node in ast.walk(function)
                    if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)}
            for node in ast.walk(function):
                assert not isinstance(node, ast.Global), f"{path.name}: global"
                changed = None
                if isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Store | ast.Del):
                    changed = node.value
                elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store | ast.Del):
                    changed = node.value
                elif (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
                      and node.func.attr in CHANGES):
                    changed = node.func.value
                if isinstance(changed, ast.Name) and changed.id in tables - own:
                    raise AssertionError(f"{path.name}:{node.lineno} changes {changed.id}")
