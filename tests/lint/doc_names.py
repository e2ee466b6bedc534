#!/usr/bin/env python3
"""DEVELOPERS.md names functions and types; each still exists. `Type::function` and `CamelCase`
in backticks must be words of some C++ file, and paths must lead somewhere."""
import re
import tree

NAME = re.compile(r"`((?:\w+::)+\w+|[A-Z]\w*[a-z]\w*|[a-z]\w*_\w+)`")
PATH = re.compile(r"`((?:server|station_agent|proto|sql|deploy|tests)/[\w/.\-]*)`")


def words_of_code(root):
    words = set()
    for path in tree.files(root, *tree.CPP, ".py", ".sh", ".ts", ".sql", ".txt"):
        words |= set(re.findall(r"\w+", tree.text_of(root, path)))
    return words


def main():
    root = tree.root_argument()
    known = words_of_code(root)
    libraries = re.compile(r"^\| (\w+) \|", re.MULTILINE)
    problems = []
    count = 0
    text = tree.text_of(root, "DEVELOPERS.md")
    known |= set(libraries.findall(text))
    for number, line in enumerate(text.splitlines(), 1):
        for name in NAME.findall(line):
            count += 1
            if not set(name.split("::")) <= known:
                problems.append(f"DEVELOPERS.md:{number}: {name} is in no source file")
        for path in PATH.findall(line):
            count += 1
            if "NNNN" not in path and not (root / path).exists():
                problems.append(f"DEVELOPERS.md:{number}: {path} does not exist")
    tree.report(problems, count, "names in DEVELOPERS.md")


main()
