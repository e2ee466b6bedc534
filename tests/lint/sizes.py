#!/usr/bin/env python3
"""A file has at most 400 lines, a C++ function at most 60 (house rule "Size")."""
import tree

MAX_FILE_LINES = 400
MAX_FUNCTION_LINES = 60
SOURCES = (*tree.CPP, ".py", ".sh", ".sql", ".proto", ".ts", ".css", ".cmake")


def main():
    root = tree.root_argument()
    problems = []
    paths = tree.files(root, *SOURCES)
    for path in paths:
        text = tree.text_of(root, path)
        lines = text.count("\n")
        if lines > MAX_FILE_LINES:
            problems.append(f"{path}: {lines} lines: at most {MAX_FILE_LINES}; split it by idea")
        if path.suffix not in tree.CPP:
            continue
        for name, first, length, _ in tree.functions(text):
            if length > MAX_FUNCTION_LINES:
                problems.append(f"{path}:{first}: {name} has {length} lines: at most "
                                f"{MAX_FUNCTION_LINES}")
    tree.report(problems, len(paths), "source files")


main()
