#!/usr/bin/env python3
"""Who may include and link whom: the table of DEVELOPERS.md against every #include of the tree
and every fixwright_library() of its CMakeLists.txt."""
import re
import include_table
import tree

INCLUDE = re.compile(r'^\s*#\s*include\s*(["<])([^">]+)[">]', re.MULTILINE)
LIBRARY = re.compile(r"fixwright_library\(\s*(\w+)([^)]*)\)")
FOLDERS = ("server", "station_agent", "tests")


class Checker:
    def __init__(self, root):
        self.root = root
        self.table = include_table.Table(root)
        self.problems = []
        self.library_folders = {}  # CMake target: its folder

    def complain(self, path, line, what):
        self.problems.append(f"{path}:{line}: {what}")

    def check_file(self, path):
        row = self.table.row_of(path)
        if row is None:
            self.complain(path, 1, "its folder has no row in the include table of DEVELOPERS.md")
            return
        text = tree.text_of(self.root, path)
        for match in INCLUDE.finditer(text):
            line = text.count("\n", 0, match.start()) + 1
            self.check_include(path, line, row, match.group(1) == '"', match.group(2))

    def check_include(self, path, line, row, quoted, header):
        if not quoted:
            self.check_library(path, line, row, header, self.table.library_of(header))
        elif header.endswith(".pb.h"):
            if not row.may_include("proto"):
                self.complain(path, line, f"{header}: {row.folder} may not include proto")
        elif not (self.root / header).is_file():
            self.complain(path, line, f"{header}: is no file under the root; includes of our own "
                                      "begin there")
        elif not row.may_include(header):
            self.complain(path, line, f"{header}: {row.folder} may not include it; it may "
                                      f"include {', '.join(row.includes) or 'nothing else'}")

    def check_library(self, path, line, row, name, library):
        if library is None:
            self.complain(path, line, f"{name}: of no library in the library table of DEVELOPERS.md")
        elif library and not row.may_link(library):
            self.complain(path, line, f"{name}: {row.folder} may not link {library}; it may link "
                                      f"{', '.join(row.links) or 'nothing'}")

    def check_links(self, path):
        row = self.table.row_of(path)
        text = tree.text_of(self.root, path)
        for match in LIBRARY.finditer(text):
            if row is None:  # the file's own folder was told by check_file
                continue
            line = text.count("\n", 0, match.start()) + 1
            _, _, links = match.group(2).partition("LINKS")
            for target in links.split():
                self.check_target(path, line, row, target)

    def check_target(self, path, line, row, target):
        folder = self.library_folders.get(target)
        if folder is None:
            self.check_library(path, line, row, target, self.table.targets.get(target))
        elif not row.may_include(folder):
            self.complain(path, line, f"{target}: {row.folder} may not link {folder}")

    def learn_libraries(self, paths):
        self.library_folders["fixwright_proto"] = "proto"
        for path in paths:
            for match in LIBRARY.finditer(tree.text_of(self.root, path)):
                self.library_folders[match.group(1)] = str(path.parent)


def main():
    checker = Checker(tree.root_argument())
    sources = [p for p in tree.files(checker.root, *tree.CPP) if p.parts[0] in FOLDERS]
    lists = [p for p in tree.files(checker.root, ".txt")
             if p.name == "CMakeLists.txt" and p.parts[0] in FOLDERS[:2]]
    checker.learn_libraries(lists)
    for path in sources:
        checker.check_file(path)
    for path in lists:
        checker.check_links(path)
    if not checker.table.rows or not checker.table.headers:
        checker.complain("DEVELOPERS.md", 1, "holds no include table or no library table")
    tree.report(checker.problems, len(sources), "C++ files")


main()
