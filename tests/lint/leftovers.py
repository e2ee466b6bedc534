#!/usr/bin/env python3
"""No note of work left undone, and one word a thing: what a station measures is a bearing."""
import re
import tree

SOURCES = (*tree.CPP, ".py", ".sh", ".sql", ".proto", ".ts", ".toml", ".md", ".html")
# Put together here, so that this file does not find itself.
UNDONE = re.compile(r"\b(?:TO" r"DO|FIX" r"ME|XX" r"X|HA" r"CK)\b")
OTHER_WORDS = re.compile(r"\bLO" r"B\b|\bLO" r"Bs\b")


def main():
    root = tree.root_argument()
    problems = []
    paths = tree.files(root, *SOURCES)
    for path in paths:
        for number, line in enumerate(tree.text_of(root, path).splitlines(), 1):
            for match in UNDONE.finditer(line):
                problems.append(f"{path}:{number}: {match.group()}: do it, or file an issue")
            for match in OTHER_WORDS.finditer(line):
                problems.append(f"{path}:{number}: {match.group()}: we say bearing")
    tree.report(problems, len(paths), "files")


main()
