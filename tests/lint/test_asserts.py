#!/usr/bin/env python3
"""Every test can fail: it has an EXPECT or ASSERT, or calls a function that has one; none is
switched off, and none asserts a constant."""
import re
import tree

ASSERTION = re.compile(r"\b(?:EXPECT|ASSERT|ADD_FAILURE|FAIL|RC_ASSERT)(?:_[A-Z_]+)?\s*\(|\bEXPECT_CALL\b")
SWITCHED_OFF = re.compile(r"\bGTEST_SKIP\b|\bDISABLED_|\bSUCCEED\s*\(|"
                          r"\b(?:EXPECT|ASSERT)_TRUE\s*\(\s*true\s*\)")


def asserting_functions(bodies):
    """Names of functions that assert, or call one that does."""
    names = set()
    while True:
        more = {name.split("::")[-1] for name, body in bodies
                if ASSERTION.search(body) or calls(body, names)}
        if more <= names:
            return names
        names |= more


def calls(body, names):
    return any(re.search(rf"\b{re.escape(name)}\b", body) for name in names if "." not in name)


def problems_in(root, path, shared):
    text = tree.text_of(root, path)
    for match in SWITCHED_OFF.finditer(tree.blanked(text)):
        line = text.count("\n", 0, match.start()) + 1
        yield f"{path}:{line}: {match.group()}: a test that cannot fail is no test"
    found = list(tree.functions(text))
    names = asserting_functions([(n, b) for n, _, _, b in found]) | shared
    for name, first, _, body in found:
        if "." in name and not ASSERTION.search(body) and not calls(body, names):
            yield f"{path}:{first}: {name} asserts nothing: give it an EXPECT or ASSERT"


def main():
    root = tree.root_argument()
    paths = [p for p in tree.files(root, ".cpp") if p.name.endswith("_test.cpp")]
    shared = set()  # assertions of support headers and sources beside the tests
    for path in tree.files(root / "tests", *tree.CPP) if (root / "tests").is_dir() else []:
        if not path.name.endswith("_test.cpp"):
            bodies = [(n, b) for n, _, _, b in tree.functions(tree.text_of(root / "tests", path))]
            shared |= asserting_functions(bodies)
    problems = [problem for path in paths for problem in problems_in(root, path, shared)]
    tree.report(problems, len(paths), "test files")


main()
