"""Places of the code that cosmic-ray's operators change, what a file becomes, and what its functions do."""

import ast
import functools
import inspect
import re
import subprocess
import types
from collections import defaultdict
from typing import NamedTuple

# a slip of the pen writes another sign of arithmetic, not a shift of bits; "is" for "==" is the same of what Python keeps once
LEFT_OUT = re.compile(r"variable|extracted|Bit|Shift|_(Mod|FloorDiv|Pow)$|_(Eq|NotEq|Lt|LtE|Gt|GtE)_(Is|IsNot|In|NotIn)$", re.IGNORECASE)


class Mutant(NamedTuple):
    """A change of one place: the operator, and which of its places in the file it is."""

    file: str
    line: int
    operator: str
    occurrence: int


def changed_lines(root, since, rooms):
    """The lines of each file that are not as they were then."""
    command = ["git", "diff", "-U0", since, "HEAD", "--", *(f"lenscalc/{room}" for room in rooms)]
    diff = subprocess.run(command, cwd=root, capture_output=True, text=True, check=True)
    lines, file = defaultdict(set), ""
    for text in diff.stdout.splitlines():
        if text.startswith("+++ "):
            file = text[6:]
        elif found := re.match(r"@@ \S+ \+(\d+)(?:,(\d+))? @@", text):
            lines[file].update(range(int(found[1]), int(found[1]) + int(found[2] or 1)))
    return lines


def mutants_of(folder, rooms, lines):
    """Every place that an operator changes."""
    import parso
    from cosmic_ray.plugins import get_operator, operator_names

    def nodes(node):
        yield node
        for child in getattr(node, "children", ()):
            yield from nodes(child)

    found = []
    for path in sorted(p for room in rooms for p in (folder / "lenscalc" / room).rglob("*.py")):
        file = str(path.relative_to(folder))
        every = list(nodes(parso.parse(path.read_text(encoding="utf-8"))))
        for name in operator_names():
            if not LEFT_OUT.search(name.split("/")[-1]):
                operator = get_operator(name)()
                at = [place for node in every for place in operator.mutation_positions(node)]
                found += [Mutant(file, start[0], name, i) for i, (start, _) in enumerate(at) if lines is None or start[0] in lines[file]]
    return found


def meaning(text):
    """What is run of a file: not its annotations, which nobody evaluates; a bare star or stroke among parameters is no sign of arithmetic.

    Nor what can only be told by its time, memory or a fault elsewhere: whether a function keeps what it gave and how much, and whether columns
    that are joined are held to be of one length.
    """
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            node.decorator_list = [d for d in node.decorator_list if named(d) not in ("cache", "lru_cache")]
        if isinstance(node, ast.Call) and named(node) == "zip":
            node.keywords = []
        if isinstance(node, ast.arguments):
            node.args, node.posonlyargs, node.kwonlyargs = node.posonlyargs + node.args + node.kwonlyargs, [], []
            node.defaults, node.kw_defaults = node.defaults + [d for d in node.kw_defaults if d], []
        for field in {"annotation", "returns"} & set(node._fields):
            setattr(node, field, ast.Constant(None))
    return ast.dump(tree)


def named(node):
    """The name of what is called, with arguments or without."""
    called = node.func if isinstance(node, ast.Call) else node
    return getattr(called, "attr", getattr(called, "id", ""))


@functools.cache
def orders_of_texts(text):
    """How often a text that stands in a file is compared by its order: nobody writes "<=" for "==" there."""
    every = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Compare))
    asked = (node for node in every if isinstance(node.ops[0], ast.Lt | ast.LtE | ast.Gt | ast.GtE))
    return sum(any(isinstance(s, ast.Constant) and isinstance(s.value, str) for s in (node.left, *node.comparators)) for node in asked)


@functools.cache
def text_of(path):
    """A file."""
    return path.read_text(encoding="utf-8")


@functools.cache
def meaning_of(path):
    """What is run of it."""
    return meaning(text_of(path))


def changed_text(folder, mutant):
    """What the file becomes, or none where that means the same."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    text = mutate_code(text_of(folder / mutant.file), get_operator(mutant.operator)(), mutant.occurrence)
    path = folder / mutant.file
    try:
        same = text is None or meaning(text) == meaning_of(path) or orders_of_texts(text) > orders_of_texts(text_of(path))
    except SyntaxError:
        return None
    return None if same else text


@functools.cache
def lines_within(path):
    """The lines of the bodies of a file's functions: what they change acts as they are called, unless the file calls them as it is read in."""
    tree, found = ast.parse(text_of(path)), set()
    called = called_at_reading(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name not in called:
            found |= set(range(node.body[0].lineno, node.end_lineno + 1))
    return found


def called_at_reading(tree):
    """The names of a file's functions that it calls itself as it is read in, and of those that these call."""
    functions = {node.name: node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
    found, to_do = set(), [tree]
    while to_do:
        node = to_do.pop()
        if isinstance(node, ast.Call) and named(node) in functions and named(node) not in found:
            found.add(named(node))
            to_do += functions[named(node)].body
        if isinstance(node, ast.FunctionDef):
            to_do += node.decorator_list
        elif not isinstance(node, ast.Lambda):
            to_do += ast.iter_child_nodes(node)
    return found


def codes(code):
    """A code and all those within it."""
    yield code
    for constant in code.co_consts:
        if isinstance(constant, types.CodeType):
            yield from codes(constant)


def changed_codes(before, after):
    """What the codes of a file's functions become; where one within another is left out (a loop over nothing), the other has that in it."""
    named = defaultdict(lambda: ([], []))
    for i, text in enumerate((before, after)):
        for code in codes(compile(text, "", "exec")):
            named[code.co_qualname][i].append(code)
    pairs = [pair for olds, news in named.values() if len(olds) == len(news) for pair in zip(olds, news, strict=True)]
    return [(old, new) for old, new in pairs if old.co_flags & inspect.CO_NEWLOCALS and old != new and old.co_freevars == new.co_freevars]
