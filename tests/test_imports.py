"""The table of allowed imports in DEVELOPERS.md, held against the code."""

import ast
import re
import sys
from functools import cache
from pathlib import Path

import networkx
import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "stores"


@cache
def table() -> dict[str, tuple[set[str], set[str], set[str]]]:
    """Read the table: room -> (rooms, packages anywhere, packages inside functions only)."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = {}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and re.fullmatch(r"`[a-z_]+`(, `[a-z_]+`)*", cells[0]):
            sets = [set(re.findall(r"`([\w.]+)`", cell)) for cell in cells]
            for room in sets[0]:
                rows[room] = (sets[1] | {room}, sets[2], sets[3])
    return rows


def room_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return parts[0]


def imports(path: Path) -> list[tuple[str, bool, int]]:
    """Give what a module imports: name, whether inside a function, line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: list[tuple[str, bool, int]] = []

    def walk(node: ast.AST, inside: bool) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.If) and ast.unparse(child.test).endswith("TYPE_CHECKING"):
                continue
            deeper = inside or isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef))
            if isinstance(child, ast.Import):
                found.extend((alias.name, inside, child.lineno) for alias in child.names)
            elif isinstance(child, ast.ImportFrom):
                names = [child.module or ""]
                if child.module == "stores":
                    names = [f"stores.{alias.name}" for alias in child.names]
                found.extend((name, inside, child.lineno) for name in names)
            elif not isinstance(child, ast.expr):  # an import is a statement
                walk(child, deeper)

    walk(tree, False)
    return found


MODULES = sorted(p for p in PACKAGE.rglob("*.py") if p.parent != PACKAGE or p.name != "__init__.py")


def test_every_room_is_in_the_table() -> None:
    assert {room_of(path) for path in MODULES} == set(table())


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_point_downwards_only(path: Path) -> None:
    rooms, anywhere, inside_only = table()[room_of(path)]
    faults = []
    for name, inside, line in imports(path):
        top = name.split(".")[0]
        if top == "stores":
            room = [*name.split("."), ""][1]
            if room not in rooms | {"", "__version__"}:
                faults.append(f"line {line}: imports the room {room}")
        elif top not in sys.stdlib_module_names and top not in anywhere:
            if top not in inside_only:
                faults.append(f"line {line}: imports {top}")
            elif not inside:
                faults.append(f"line {line}: imports {top} outside a function")
    assert not faults


def top_level(path: Path) -> set[str]:
    """Return the modules of ours that a module imports when it is loaded."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    loaded = set()
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("stores"):
            loaded |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module or ""}
    return loaded


def test_no_module_waits_for_itself_to_load() -> None:
    """No circle at loading, within a room or between rooms."""
    graph = networkx.DiGraph()
    for path in PACKAGE.rglob("*.py"):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        graph.add_edges_from((name, other) for other in top_level(path))
    packages = {".".join(p.parent.relative_to(ROOT).parts) for p in PACKAGE.rglob("__init__.py")}
    graph.remove_nodes_from(packages)  # a package is loaded before what is in it
    assert [
        sorted(each) for each in networkx.strongly_connected_components(graph) if len(each) > 1
    ] == []
