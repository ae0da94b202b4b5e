"""Manners of the code that can be counted: sizes, names, documentation, types."""

import ast
import statistics
from collections import Counter

from test_map import MODULES, tree_of

import crosscurrent

LONGEST = 60
# what may be longer, and why
LONG = {
    ("api", "case"): "its docstring shows each kind of argument",
}
ANY = 60  # places that say Any: edges of untyped libraries, tables as TOML gives them


def functions(tree):
    """Public functions of a module, and public methods of its public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield inner


def test_files_are_short():
    lengths = [len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES.values()]
    assert statistics.median(lengths) <= 150
    assert max(lengths) <= 450


def test_functions_fit_a_screen():
    for name in MODULES:
        for node in ast.walk(tree_of(name)):
            if isinstance(node, ast.FunctionDef) and (name, node.name) not in LONG:
                assert node.end_lineno - node.lineno < LONGEST, f"{name}.{node.name}"


def test_class_names_mean_one_thing():
    names = Counter(n.name for name in MODULES for n in ast.walk(tree_of(name)) if isinstance(n, ast.ClassDef))
    assert not [name for name, count in names.items() if count > 1]


def test_public_functions_are_documented_and_typed():
    wrong = []
    for name in MODULES:
        for node in functions(tree_of(name)):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            bare = [a.arg for a in arguments if a.annotation is None and a.arg not in ("self", "cls")]
            if bare or node.returns is None or not ast.get_docstring(node):
                wrong.append(f"{name}.{node.name}: {bare or 'what it returns, or its docstring'}")
    assert not wrong


def test_what_a_public_function_raises_is_said():
    silent = [
        f"{name}.{node.name}"
        for name in MODULES
        for node in tree_of(name).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        if any(isinstance(n, ast.Raise) and n.exc is not None for n in ast.walk(node))
        if "Raises" not in (ast.get_docstring(node) or "")
    ]
    assert not silent


def test_any_stands_at_the_edges_only():
    found = Counter()
    for name in MODULES:
        found[name] += sum(isinstance(n, ast.Name) and n.id == "Any" for n in ast.walk(tree_of(name)))
    assert sum(found.values()) <= ANY, found.most_common(12)


def test_public_verbs_have_an_example_that_is_run():
    """The functions that `import crosscurrent as cc` offers, and the class of its answers."""
    verbs = [getattr(crosscurrent, n) for n in crosscurrent.__all__ if n.islower()]
    assert not [v.__name__ for v in (*verbs, crosscurrent.Result) if ">>>" not in (v.__doc__ or "")]
