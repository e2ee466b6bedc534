#!/usr/bin/env python3
"""Every key of deploy/config/*.toml has a comment above it that says what it is and what happens
without it: "Default ..." or "Required". One comment may speak for keys that follow each other
without a blank line (latitude and longitude)."""
import re
import tree

KEY = re.compile(r"^\s*([A-Za-z0-9_.\-\"]+)\s*=")
SAYS_DEFAULT = re.compile(r"\bdefaults?\b|\brequired\b|\bneeded\b", re.IGNORECASE)


def problems_in(path, text):
    comment = ""
    after_key = False
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.strip()
        if stripped.startswith("#"):
            comment = stripped if after_key else comment + stripped
            after_key = False
            continue
        key = KEY.match(line)
        if key and not comment:
            yield f"{path}:{number}: {key.group(1)} has no comment above it: say what it is"
        elif key and not SAYS_DEFAULT.search(comment):
            yield f"{path}:{number}: {key.group(1)}: its comment names no default: say " \
                  '"Default ..." or "Required"'
        after_key = after_key or bool(key)
        if not stripped:
            comment = ""


def main():
    root = tree.root_argument()
    paths = [p for p in tree.files(root, ".toml") if str(p.parent) == "deploy/config"]
    problems = [problem for path in paths for problem in problems_in(path, tree.text_of(root, path))]
    tree.report(problems, len(paths), "configuration files")


main()
