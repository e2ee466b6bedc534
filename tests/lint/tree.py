"""What the lints share: the files of the tree, C++ without its comments, and how to report."""
import pathlib
import re
import sys

# Not ours to judge: build results, what npm brings, and the trees on which lints must fail.
LEFT_OUT = {".git", "build", "data", "node_modules", "dist", "__pycache__"}
BAD_TREES = pathlib.PurePath("tests/lint/bad")
CPP = (".cpp", ".hpp")


def files(root, *suffixes):
    """Paths under root, relative to it, sorted; all of them when no suffix is given."""
    found = []
    folders = [root]
    while folders:
        for path in folders.pop().iterdir():
            relative = path.relative_to(root)
            if path.name in LEFT_OUT or relative == BAD_TREES:
                continue
            if path.is_dir() and not path.is_symlink():
                folders.append(path)
            elif not suffixes or path.suffix in suffixes:
                found.append(relative)
    return sorted(found)


def text_of(root, relative):
    return (root / relative).read_text(encoding="utf-8")


def blanked(code):
    """C++ with the inside of comments, strings and characters blanked, its lines kept."""
    pattern = re.compile(
        r'//[^\n]*|/\*.*?\*/|R"(?P<d>[^(\s]*)\(.*?\)(?P=d)"|"(?:\\.|[^"\\\n])*"'
        r"|(?<![0-9a-fA-F])'(?:\\.|[^'\\\n])*'",
        re.DOTALL)
    return pattern.sub(lambda m: re.sub(r"[^\n]", " ", m.group()), code)


def functions(code):
    """(name, first line, lines, body) of every function with a body, lambdas within theirs."""
    clean = blanked(code)
    stack = []  # of (kind, start of the statement, position of the brace)
    start = 0
    for at, c in enumerate(clean):
        if c == "{":
            inside = any(kind == "function" for kind, _, _ in stack)
            stack.append((kind_of_brace(clean, start, at, inside), start, at))
        elif c == "}" and stack:
            kind, began, opened = stack.pop()
            if kind == "function":
                yield described(clean, began, opened, at)
            if kind == "initialiser":
                continue
        ends_directive = c == "\n" and clean[start:at].lstrip().startswith("#")
        if c in ";}" or ends_directive or (c == "{" and stack[-1][0] != "initialiser"):
            start = at + 1


def kind_of_brace(clean, start, at, inside):
    """In formatted code a body's brace follows a space, an initialiser's follows a name or =."""
    before = clean[start:at].rstrip()
    if not clean[at - 1].isspace() or before.endswith(("=", ",", "(", "return")):
        return "initialiser"
    return "function" if not inside and heads_a_function(before) else "block"


def heads_a_function(head):
    words = head.split()
    if "(" not in head or ")" not in head or words[0] in ("namespace", "enum", "extern"):
        return False
    before_arguments = re.sub(r"\[\[.*?\]\]", "", head[: head.index("(")])
    return "=" not in before_arguments.replace("operator=", "") and "[" not in before_arguments


def described(clean, began, opened, closed):
    head = clean[began:opened]
    first = clean.count("\n", 0, began + len(head) - len(head.lstrip())) + 1
    last = clean.count("\n", 0, closed) + 1
    return name_in(head), first, last - first + 1, clean[opened:closed]


def name_in(head):
    test = re.search(r"\b(?:TYPED_)?TEST(?:_[FP])?\(\s*(\w+)\s*,\s*(\w+)", head)
    if test:
        return f"{test.group(1)}.{test.group(2)}"
    found = re.search(r"([\w:~]+|operator\S+)\s*\(", head)
    return found.group(1) if found else "?"


def report(problems, checked, what):
    """Prints one line a problem and ends the program. A lint that saw nothing has failed too."""
    for problem in problems:
        print(problem)
    if not checked:
        print(f"nothing to check: no {what} found")
    print(f"{checked} {what}, {len(problems)} problems")
    sys.exit(1 if problems or not checked else 0)


def root_argument():
    if len(sys.argv) != 2:
        sys.exit(f"usage: {sys.argv[0]} ROOT")
    return pathlib.Path(sys.argv[1]).resolve()
