#!/usr/bin/env python3
"""The tree: what may lie at the top, and one static library for each folder of C++."""
import re
import tree

TOP = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "proto", "server", "station_agent",
       "sql", "deploy", "tests",
       # what tools insist on finding there
       "CMakePresets.json", ".clang-format", ".clang-tidy", ".gitignore", ".ci"}
SNAKE_CASE = re.compile(r"[a-z0-9_]+\.(?:cpp|hpp)")
LEAKY = re.compile(r"target_link_libraries\([^)]*\b(?:PUBLIC|INTERFACE)\b|"
                   r"add_library\([^)]*\b(?:SHARED|INTERFACE)\b")
# Folders of C++ that hold a program and no library of their own.
PROGRAMS_ONLY = re.compile(r"\badd_executable\(")


def top_problems(root):
    for path in sorted(root.iterdir()):
        if path.name not in TOP | tree.LEFT_OUT:
            yield f"{path.name}: has no place at the top of the tree (DEVELOPERS.md, the tree)"


def libraries_in(text):
    return re.findall(r"(?:fixwright_library|add_library)\(\s*(\w+)", text)


def folder_problems(root, folder, names):
    """folder holds the C++ files `names` and must make one library, or only a program, of them."""
    cmake = root / folder / "CMakeLists.txt"
    if not cmake.is_file():
        # A folder of headers alone, or one whose parent's CMakeLists.txt names its files.
        parent = root / folder.parent / "CMakeLists.txt"
        text = parent.read_text(encoding="utf-8") if parent.is_file() else ""
        if not all(f"{folder.name}/{name}" in text for name in names if name.endswith(".cpp")):
            yield f"{folder}: has C++ files and no CMakeLists.txt: each folder is a library"
        return
    text = cmake.read_text(encoding="utf-8")
    count = len(libraries_in(text))
    if count > 1 or (count == 0 and not PROGRAMS_ONLY.search(text)):
        yield f"{folder}/CMakeLists.txt: makes {count} libraries: each folder is one"
    if LEAKY.search(text):
        yield f"{folder}/CMakeLists.txt: links are PRIVATE and libraries static"
    for name in names:
        if name.endswith(".cpp") and not re.search(rf"\b{re.escape(name)}\b", text):
            yield f"{folder}/{name}: is in no list of {folder}/CMakeLists.txt: it is never built"


def main():
    root = tree.root_argument()
    problems = list(top_problems(root))
    by_folder = {}
    for path in tree.files(root, *tree.CPP):
        by_folder.setdefault(path.parent, []).append(path.name)
        if not SNAKE_CASE.fullmatch(path.name):
            problems.append(f"{path}: files are named in snake_case")
    for folder, names in sorted(by_folder.items()):
        if folder.parts[0] in ("server", "station_agent"):
            problems += folder_problems(root, folder, names)
    tree.report(problems, len(by_folder), "folders")


main()
