"""Which texts of a source file reach a person, and do not go through the catalogue?

An honest guess from the code alone. A text reaches a person when it holds two words or more, or
is one capitalised word, unless it stands where only the program reads: docstrings, keys, what is
compared with, SQL, HTML and CSS, patterns, arguments of the calls named below.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

# Said through the catalogue; the number of their first arguments that are texts.
SAID = {"_": 1, "N_": 1, "ngettext": 2, "counted": 3, "count": 3}
# Calls whose texts only the program reads.
_PROGRAM = {
    *("compile", "fullmatch", "match", "search", "sub", "findall", "split", "rsplit", "replace"),
    *("startswith", "endswith", "removeprefix", "removesuffix", "partition", "rpartition"),
    *("strip", "lstrip", "rstrip", "getattr", "setattr", "hasattr", "text", "execute", "DDL"),
    *("exec_driver_sql", "executescript", "TypeVar", "NewType", "cast", "query", "eval"),
    *("html", "deprecated", "ContextVar", "warn", "getLogger", "strptime", "strftime"),
    *("simplefilter", "filterwarnings", "CheckConstraint", "Literal", "encode", "open"),
}  # fmt: skip
_PROGRAM_KEYWORDS = {
    *("key", "mime", "icon", "format", "how", "on", "columns", "file_name", "unsafe", "width"),
    *("family", "prog", "metavar", "dest", "action", "url_path", "class_", "style", "color"),
    *("font_family", "hovertemplate", "dtype", "freq", "textcoords", "loc", "group_class"),
}  # fmt: skip
# What a developer reads, not the person at the screen.
_DEVELOPERS_ERRORS = {
    *("ValueError", "TypeError", "RuntimeError", "KeyError", "AssertionError", "LookupError"),
    *("NotImplementedError", "IndexError", "AttributeError"),
}  # fmt: skip
_WORDS = re.compile(r"[^\W\d_]{2,}[^\S\n]+\S*[^\W\d_]|[^\W\d_]+ [^\W\d_]{2,}")
_ONE_WORD = re.compile(r"[A-Z][a-z]{2,}[.:?!…]?")
_IN_PLACE = re.compile(
    r"\{\} ?[^\W\d_]{2,}|[^\W\d_]{2,}[:,;.]? \(?\{\}|\{\} [^\W\d_]"
    r"|\{\w+(:[^}]*)?\} [^\W\d_]{2,}|% [^\W\d_]{2,}"
)
_SQL = re.compile(
    r"\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|ALTER|BEGIN|DROP|WITH|LOCK|SET|COMMIT|CAST"
    r"|VACUUM|ROLLBACK|SAVEPOINT|RELEASE|REFERENCES|NOT NULL|PRIMARY)\b"
    r"|.* ORDER BY |extract\(|\w+ (text|day|choice|number|whole|money|moment)!?(,|$)"
)
_MARKUP = re.compile(r"</?[a-z][\w-]*[^<]*>|[\w-]+:\s*[^;{}]+;|^\s*[.#@][\w-]+.*\{", re.S)


@dataclass(frozen=True)
class Text:
    """A text that reaches a person: where it stands, what it says, with {} for its places."""

    node: ast.expr
    line: int
    words: str
    constant: bool  # outside any function: made before the language is known


def unwrapped(path: Path) -> list[Text]:
    """The texts of that file that reach a person without going through the catalogue."""
    return unwrapped_in(ast.parse(path.read_text(encoding="utf-8")))


def unwrapped_in(tree: ast.Module) -> list[Text]:
    """The same of a file that is parsed already."""
    return list(_texts(tree, in_function=False))


def plain(node: ast.expr) -> str:
    """The words of a text, {} in each place."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    assert isinstance(node, ast.JoinedStr)
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
    )


def reaches_a_person(words: str) -> bool:
    """True for a text that looks as if written for people."""
    if _SQL.match(words) or _MARKUP.search(words) or "://" in words:
        return False
    bare = words.replace("{}", " ")
    if not re.search(r"[a-z]", bare):
        return False
    return bool(
        _WORDS.search(bare) or _ONE_WORD.fullmatch(words.strip()) or _IN_PLACE.search(words)
    )


def _texts(node: ast.AST, *, in_function: bool) -> Iterator[Text]:
    if isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    ):
        if reaches_a_person(plain(node)):
            yield Text(node, node.lineno, plain(node), not in_function)
        elif isinstance(node, ast.JoinedStr):
            for part in node.values:
                if isinstance(part, ast.FormattedValue):
                    yield from _texts(part.value, in_function=in_function)
        return
    for child, inside in _children(node, in_function):
        yield from _texts(child, in_function=inside)


def _children(node: ast.AST, in_function: bool) -> Iterator[tuple[ast.AST, bool]]:
    """What stands in a node and may hold texts for people."""
    if isinstance(node, ast.FunctionDef) and node.name == "__repr__":
        return
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        for default in (*node.args.defaults, *node.args.kw_defaults):
            if default is not None:
                yield default, False
        yield from ((child, True) for child in _without_docstring(node.body))
    elif isinstance(node, (ast.ClassDef, ast.Module)):
        yield from ((child, in_function) for child in _without_docstring(node.body))
    elif isinstance(node, ast.Lambda):
        yield node.body, True
    elif isinstance(node, ast.Call):
        yield from ((child, in_function) for child in _arguments(node))
    elif isinstance(node, ast.Dict):
        yield from ((value, in_function) for value in node.values)
    elif isinstance(node, ast.Compare):
        return  # compared with, not said
    elif isinstance(node, ast.Subscript):
        yield node.value, in_function
        if any(isinstance(inner, ast.Call) for inner in ast.walk(node.slice)):
            yield node.slice, in_function  # a question whose answer is the key
    elif isinstance(node, ast.AnnAssign):
        if node.value is not None:
            yield node.value, in_function
    elif isinstance(node, ast.Assign) and _is_list_of_names(node):
        return
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring beside a constant
    elif isinstance(node, ast.Raise) and _raises_for_developers(node):
        return
    elif isinstance(node, ast.match_case):
        yield from ((child, in_function) for child in node.body)
    elif isinstance(node, ast.Assert):
        return
    else:
        yield from ((child, in_function) for child in ast.iter_child_nodes(node))


def _without_docstring(body: list[ast.stmt]) -> list[ast.stmt]:
    first = body[0] if body else None
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
        return body[1:]
    return body


def _is_list_of_names(node: ast.Assign) -> bool:
    return any(isinstance(to, ast.Name) and to.id == "__all__" for to in node.targets)


def called(node: ast.Call) -> str:
    """The last name of what is called: ``count`` for ``numbers.count(…)``."""
    if isinstance(node.func, ast.Name):
        return node.func.id
    return node.func.attr if isinstance(node.func, ast.Attribute) else ""


def _arguments(node: ast.Call) -> Iterator[ast.AST]:
    name = called(node)
    if name in _PROGRAM:
        if isinstance(node.func, ast.Attribute):
            yield node.func.value
        yield from (arg for arg in node.args if not isinstance(arg, (ast.Constant, ast.JoinedStr)))
        yield from (keyword.value for keyword in node.keywords if name == "replace")
        return
    if not isinstance(node.func, ast.Name):
        yield node.func
    texts = SAID.get(name, 0)
    yield from (
        arg for at, arg in enumerate(node.args) if at >= texts or not isinstance(arg, ast.Constant)
    )
    yield from (one.value for one in node.keywords if one.arg not in _PROGRAM_KEYWORDS)


def _raises_for_developers(node: ast.Raise) -> bool:
    return isinstance(node.exc, ast.Call) and called(node.exc) in _DEVELOPERS_ERRORS
